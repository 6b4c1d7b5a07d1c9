"""Colour temperature of sunlight, of the sky and of mixtures.

Answers outside the domain: nan in, nan out; an altitude beyond 90 degrees, a temperature at or below zero and negative
light give nan.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, look_up, only_where, silent
from shootlint.physics.colour import MIRED
from shootlint.physics.sky_condition import CLEAR, CLOUD_COLOUR_SHARE

# Correlated colour temperatures [K] of a clear sky against the sun's altitude [deg]. Computed, not measured: spectral
# model of R. E. Bird and C. Riordan, J. Climate Appl. Meteorol. 25 (1986), 87, with turbidity 0.1, 1.5 cm of water and
# 0.31 atm-cm of ozone, temperatures by the method of Ohno (2013). Under 4 degrees the model has no claim; the direct
# row then goes to 2000 K at the horizon (common practice, no source).
_ALTITUDES: Floats = np.array([0.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0])
DIRECT_COLOUR: Floats = np.array([2000.0, 2730.0, 3210.0, 3850.0, 4310.0, 4600.0, 4950.0, 5200.0, 5320.0])
SKY_COLOUR: Floats = np.array([10480.0, 10480.0, 10270.0, 10160.0, 10330.0, 10560.0, 10970.0, 11390.0, 11660.0])
GLOBAL_COLOUR: Floats = np.array([7070.0, 7070.0, 6140.0, 5610.0, 5550.0, 5590.0, 5690.0, 5780.0, 5830.0])
_DIRECT_MIRED, _SKY_MIRED, _GLOBAL_MIRED = MIRED / DIRECT_COLOUR, MIRED / SKY_COLOUR, MIRED / GLOBAL_COLOUR

# Light under full cloud [K]; common practice says 6000 to 7500.
CLOUD_COLOUR = 6500.0


def _between(altitude: ArrayLike, mireds: Floats) -> Floats:
    h = floats(altitude)
    return only_where(np.abs(h) <= 90.0, np.interp(h, _ALTITUDES, mireds))


@silent
def direct_colour(altitude: ArrayLike) -> Floats:
    """Colour temperature of light straight from the sun.

    Parameters
    ----------
    altitude : array_like [deg], of the sun

    Returns
    -------
    array [K]; the end values beyond 0 and 60 degrees

    Within 15 % (in mired) of clear days from 4 degrees up; lower down dust rules. Source: the table above.
    """
    return MIRED / _between(altitude, _DIRECT_MIRED)


@silent
def sky_colour(altitude: ArrayLike, condition: ArrayLike = CLEAR) -> Floats:
    """Colour temperature of the sky's light, hence of open shade.

    Parameters
    ----------
    altitude : array_like [deg], of the sun
    condition : array_like of int, a place in SKY_CONDITIONS

    Returns
    -------
    array [K]; the value for 4 degrees below that and in twilight, where 9000 to 15 000 K are usual (from memory)

    Within 15 % (in mired) for clear days above 4 degrees; measured open shade is often warmer (7000 to 9000 K) for
    what the ground and walls add. Source: the table above; under cloud common practice.
    """
    grey = look_up(CLOUD_COLOUR_SHARE, condition)
    return MIRED / ((1.0 - grey) * _between(altitude, _SKY_MIRED) + grey * (MIRED / CLOUD_COLOUR))


@silent
def global_colour(altitude: ArrayLike) -> Floats:
    """Colour temperature of sun and sky together on level ground under a clear sky.

    Parameters
    ----------
    altitude : array_like [deg], of the sun

    Returns
    -------
    array [K]; the end values beyond 4 and 60 degrees

    Within 15 % (in mired). Source: the table above.
    """
    return MIRED / _between(altitude, _GLOBAL_MIRED)


@silent
def mixed_colour(
    first_temperature: ArrayLike,
    first_illuminance: ArrayLike,
    second_temperature: ArrayLike,
    second_illuminance: ArrayLike,
) -> Floats:
    """Colour temperature of two lights on one surface: the mean of their mireds, weighted by their light.

    Parameters
    ----------
    first_temperature, second_temperature : array_like [K]
    first_illuminance, second_illuminance : array_like [lx], or any one unit of light

    Returns
    -------
    array [K]; nan without any light

    An approximation: true mixtures lie on a straight line between the two chromaticities, a little off the locus. Good
    to about 10 mired for pairs within 150 mired of each other.
    """
    t1, e1 = floats(first_temperature), floats(first_illuminance)
    t2, e2 = floats(second_temperature), floats(second_illuminance)
    mireds = (e1 * (MIRED / t1) + e2 * (MIRED / t2)) / (e1 + e2)
    return only_where((t1 > 0) & (t2 > 0) & (e1 >= 0) & (e2 >= 0), MIRED / mireds)
