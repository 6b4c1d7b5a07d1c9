"""Settings, light and exposure values.

EV here is always the value at ISO 100: the scene's light for which a setting is right. Stops are binary logarithms of
light. Answers outside the domain: nan in, nan out; an f-number, time or ISO at or below zero gives nan; no light is
-inf stops.

Source: ASA PH2.5-1960 (APEX), reproduced in the Exif standard; ISO 2720:1974 for the meter constants.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Incident-meter constants C [lx s]: ISO 2720 allows 240 to 400 for a flat receptor and 320 to 540 for a dome (dome
# range from memory); 250 and 330 are the common choices and differ by 0.40 stop, so a plan must not mix them.
INCIDENT_CONSTANT_FLAT = 250.0
# Reflected-light constant K [cd s/m2]: ISO 2720 allows 10.6 to 13.4; 12.5 is the common choice, 14 the next.
REFLECTED_CONSTANT = 12.5

# Third-stop marks of lenses, shutters and ISO dials, rising. The exact values are powers of two; the marks are
# rounded by custom. Scales after ISO 517, ISO 516 and ISO 12232, the single marks from memory.
MARKED_F_NUMBERS: Floats = np.fromstring(
    "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32", sep=" "
)
EXACT_F_NUMBERS: Floats = np.exp2(np.arange(len(MARKED_F_NUMBERS)) / 6.0)

_MARKED_FRACTIONS: Floats = 1.0 / np.fromstring(
    "8000 6400 5000 4000 3200 2500 2000 1600 1250 1000 800 640 500 400 320 250 200 160 125 100 80 60 50 40 30 25 20 15 "
    "13 10 8 6 5 4",
    sep=" ",
)
_MARKED_SECONDS: Floats = np.fromstring("0.3 0.4 0.5 0.6 0.8 1 1.3 1.6 2 2.5 3.2 4 5 6 8 10 13 15 20 25 30", sep=" ")
MARKED_EXPOSURE_TIMES: Floats = np.concatenate([_MARKED_FRACTIONS, _MARKED_SECONDS])
EXACT_EXPOSURE_TIMES: Floats = np.exp2(np.arange(len(MARKED_EXPOSURE_TIMES)) / 3.0 - 13.0)

MARKED_ISO: Floats = np.fromstring(
    "50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200 4000 5000 6400 8000 10000 12800 "
    "16000 20000 25600 32000 40000 51200",
    sep=" ",
)
EXACT_ISO: Floats = 50.0 * np.exp2(np.arange(len(MARKED_ISO)) / 3.0)

# A number this near a mark (relative) was meant to be the mark; f/1.7 is no mark and stays what it is.
SAME_MARK = 0.005


@silent
def exposure_value(f_number: ArrayLike, exposure_time: ArrayLike, iso: ArrayLike) -> Floats:
    """EV at ISO 100 of the light for which this setting is right.

    Parameters
    ----------
    f_number : array_like [1]
    exposure_time : array_like [s]
    iso : array_like [1]

    Returns
    -------
    array [EV at ISO 100]

    Exact for exact settings; marked ones are off by up to 0.14 stop. A lens transmits 0.1 to 0.5 stop less than its
    f-number says. Source: see the module.
    """
    n, t, s = floats(f_number), floats(exposure_time), floats(iso)
    return only_where((n > 0) & (t > 0) & (s > 0), 2.0 * np.log2(n) - np.log2(t) - np.log2(s / 100.0))


@silent
def illuminance_to_ev(illuminance: ArrayLike, constant: ArrayLike = INCIDENT_CONSTANT_FLAT) -> Floats:
    """EV an incident meter shows in this light.

    Parameters
    ----------
    illuminance : array_like [lx]
    constant : array_like [lx s], the meter's C

    Returns
    -------
    array [EV at ISO 100]; -inf in the dark, nan for negative light

    The constant's range alone is 0.74 stop. Source: ISO 2720:1974.
    """
    e, c = floats(illuminance), floats(constant)
    return only_where((e >= 0) & (c > 0), np.log2(100.0 * e / c))


@silent
def ev_to_illuminance(ev: ArrayLike, constant: ArrayLike = INCIDENT_CONSTANT_FLAT) -> Floats:
    """Light in which an incident meter shows this EV.

    Parameters
    ----------
    ev : array_like [EV at ISO 100]
    constant : array_like [lx s], the meter's C

    Returns
    -------
    array [lx]

    Error and source: as for `illuminance_to_ev`.
    """
    c = floats(constant)
    return only_where(c > 0, c / 100.0 * np.exp2(floats(ev)))


@silent
def luminance_to_ev(luminance: ArrayLike, constant: ArrayLike = REFLECTED_CONSTANT) -> Floats:
    """EV a reflected-light meter shows for this surface.

    Parameters
    ----------
    luminance : array_like [cd/m2]
    constant : array_like [cd s/m2], the meter's K

    Returns
    -------
    array [EV at ISO 100]; -inf in the dark, nan for negative light

    The constant's range is 0.34 stop. Source: ISO 2720:1974.
    """
    return illuminance_to_ev(luminance, constant)


@silent
def nearest_marked(values: ArrayLike, scale: Floats) -> Floats:
    """The mark nearest in stops to each value.

    Parameters
    ----------
    values : array_like [unit of the scale]
    scale : 1-d array, rising, one of the marked scales

    Returns
    -------
    array [unit of the scale]; the end mark beyond either end, nan for values at or below zero
    """
    wanted = floats(values)
    between = np.sqrt(scale[1:] * scale[:-1])
    return only_where(wanted > 0, scale[np.searchsorted(between, wanted)])


@silent
def exact_f_number(marked: ArrayLike) -> Floats:
    """The opening a marked f-number stands for, a power of the sixth root of two.

    Parameters
    ----------
    marked : array_like [1]

    Returns
    -------
    array [1]; a number that is no third-stop mark comes back unchanged, nan at or below zero

    A mark is at most 0.141 stop from what it stands for (f/1.2). Source: ISO 517, marks from memory.
    """
    return _exact(marked, MARKED_F_NUMBERS, EXACT_F_NUMBERS)


@silent
def exact_exposure_time(marked: ArrayLike) -> Floats:
    """The time a marked time stands for, a power of the cube root of two.

    Parameters
    ----------
    marked : array_like [s]

    Returns
    -------
    array [s]; a number that is no third-stop mark comes back unchanged, nan at or below zero

    A mark is at most 0.093 stop from what it stands for (1/60 s). Source: ISO 516, marks from memory.
    """
    return _exact(marked, MARKED_EXPOSURE_TIMES, EXACT_EXPOSURE_TIMES)


@silent
def exact_iso(marked: ArrayLike) -> Floats:
    """The speed a marked ISO stands for, 100 times a power of the cube root of two.

    Parameters
    ----------
    marked : array_like [1]

    Returns
    -------
    array [1]; a number that is no third-stop mark comes back unchanged, nan at or below zero

    A mark is at most 0.023 stop from what it stands for. Source: ISO 12232, marks from memory.
    """
    return _exact(marked, MARKED_ISO, EXACT_ISO)


def _exact(marked: ArrayLike, scale: Floats, meant: Floats) -> Floats:
    value = floats(marked)
    place = np.searchsorted(np.sqrt(scale[1:] * scale[:-1]), value)
    is_mark = np.abs(value / scale[place] - 1.0) < SAME_MARK
    return only_where(value > 0, np.where(is_mark, meant[place], value))


def third_stops_between(low: float, high: float, scale: Floats) -> Floats:
    """The marks of a scale from low to high, both ends in.

    Parameters
    ----------
    low, high : float [unit of the scale]
    scale : 1-d array, rising, one of the marked scales

    Returns
    -------
    1-d array [unit of the scale], rising; empty when no mark lies between
    """
    return scale[(scale >= low * (1.0 - SAME_MARK)) & (scale <= high * (1.0 + SAME_MARK))]


@silent
def add_stops(stops: ArrayLike, axis: int = -1) -> Floats:
    """Level of several lights together: the light is added, not the stops.

    Parameters
    ----------
    stops : array_like [stops], all against the same level; -inf is no light
    axis : int, the axis along which the lights lie

    Returns
    -------
    array [stops], without that axis; -inf when there is no light at all

    Exact, and safe from overflow.
    """
    total: Floats = np.logaddexp2.reduce(floats(stops), axis=axis)
    return total
