"""Blur of things that move and of hands that shake, on the sensor.

Answers outside the domain: nan in, nan out; negative speeds, times and sizes give nan.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent
from shootlint.physics.stature import years

# Speed to plan with for a posed person by age [years] and [m/s]: common practice, no source, 10 to 20 mm/s for an adult
# and 50 to 100 mm/s for a restless child. That children sway faster is sourced: Oba et al., PLoS ONE 10 (2015), e0140235.
_SWAY_AGES: Floats = np.array([0.0, 2.0, 4.0, 8.0, 12.0, 18.0, 65.0, 85.0])
_SWAY_SPEEDS: Floats = np.array([0.050, 0.100, 0.080, 0.050, 0.030, 0.015, 0.015, 0.025])

# Turn of a hand-held camera [deg/s] that the rule "one over the focal length" stands for, at a blur of 0.03 mm on a
# sensor of 36 by 24 mm: 0.03 rad/s. The rule is common practice.
HAND_SHAKE_ANGULAR_SPEED = 1.72


@silent
def sway_speed(age: ArrayLike | None = None) -> Floats:
    """Speed of a posed person's head to plan with.

    Parameters
    ----------
    age : array_like [years]; nan or none is an adult

    Returns
    -------
    array [m/s]; nan below zero

    A factor of two either way, more for a child. Common practice, see the table; the measured mean of quiet adults is
    0.006.
    """
    given = years(age)
    return only_where(given >= 0, np.interp(given, _SWAY_AGES, _SWAY_SPEEDS))


@silent
def subject_blur(speed: ArrayLike, exposure_time: ArrayLike, magnification: ArrayLike) -> Floats:
    """Length of the trace a moving thing leaves on the sensor.

    Parameters
    ----------
    speed : array_like [m/s], across the view
    exposure_time : array_like [s]; for a flash-lit thing the flash's t0.1
    magnification : array_like [1]

    Returns
    -------
    array [m]

    For even motion square to the view. Flash freezes with its own duration; what the ambient light adds still smears
    over the whole exposure.
    """
    v, t, m = floats(speed), floats(exposure_time), floats(magnification)
    return only_where((v >= 0) & (t >= 0) & (m >= 0), v * t * m)


@silent
def hand_shake_blur(
    angular_speed: ArrayLike, exposure_time: ArrayLike, focal_length: ArrayLike, magnification: ArrayLike = 0.0
) -> Floats:
    """Length of the trace that a turning camera leaves on the sensor.

    Parameters
    ----------
    angular_speed : array_like [deg/s]
    exposure_time : array_like [s]
    focal_length : array_like [m]
    magnification : array_like [1]

    Returns
    -------
    array [m]

    For even turning about an axis square to the view, up to a few degrees. Hands differ by a factor of three, and
    looking at single pixels asks for 1 to 1.5 stops more than the usual rule (common practice).
    """
    w, t = np.radians(floats(angular_speed)), floats(exposure_time)
    f, m = floats(focal_length), floats(magnification)
    return only_where((w >= 0) & (t >= 0) & (f > 0) & (m >= 0), w * t * f * (1.0 + m))
