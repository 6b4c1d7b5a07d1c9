"""Pure functions on numpy arrays: optics, exposure, sun, daylight, flash, colour, body, wind and motion."""
