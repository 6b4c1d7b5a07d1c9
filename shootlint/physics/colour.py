"""Colour temperature, mireds and the chromaticity of daylight and of glowing bodies.

Answers outside the domain: nan in, nan out; a temperature at or below zero gives nan. Mixtures of two lights are in
`daylight_colour`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Mireds are so many over the kelvins.
MIRED = 1e6

# Range of the CIE's daylight locus [K] and where its first cubic gives way to the second.
DAYLIGHT_LOWEST = 4000.0
DAYLIGHT_JOIN = 7000.0
DAYLIGHT_HIGHEST = 25_000.0
# x as a cubic in 1000 K / T, constant first: CIE 15; Wyszecki and Stiles, Color Science, pp. 145 to 146 (as quoted).
_DAYLIGHT_WARM = (0.244063, 0.09911, 2.9678, -4.6070)
_DAYLIGHT_COOL = (0.237040, 0.24748, 1.9018, -2.0064)

# Range of the formula for glowing bodies [K] and its quotients in u and v of 1960: M. Krystek, Color Research &
# Application 10 (1985), 38, doi:10.1002/col.5080100109.
PLANCK_LOWEST = 1000.0
PLANCK_HIGHEST = 15_000.0


@silent
def mired(temperature: ArrayLike) -> Floats:
    """A million over the colour temperature: the scale on which equal steps look about alike.

    Parameters
    ----------
    temperature : array_like [K]

    Returns
    -------
    array [mired]; 0 for an infinite temperature

    Exact by definition. Source: I. G. Priest (1932), as quoted.
    """
    t = floats(temperature)
    return only_where(t > 0, MIRED / t)


@silent
def temperature_from_mired(mireds: ArrayLike) -> Floats:
    """Colour temperature of so many mireds.

    Parameters
    ----------
    mireds : array_like [mired]

    Returns
    -------
    array [K]; inf for 0, nan below

    Exact by definition.
    """
    m = floats(mireds)
    return only_where(m >= 0, MIRED / np.abs(m))


@silent
def shifted_temperature(temperature: ArrayLike, mired_shift: ArrayLike) -> Floats:
    """Colour temperature of a light behind a gel.

    Parameters
    ----------
    temperature : array_like [K]
    mired_shift : array_like [mired], positive for orange (CTO), negative for blue (CTB)

    Returns
    -------
    array [K]; inf at the blue end of the scale, nan past it

    Within 5 mired for gels near the locus. Makers name 131 to 167 mired "full" CTO (from memory): the shift is the
    plan's to give.
    """
    return temperature_from_mired(mired(temperature) + floats(mired_shift))


@silent
def daylight_chromaticity(temperature: ArrayLike) -> tuple[Floats, Floats]:
    """Chromaticity of the CIE's daylight of a colour temperature.

    Parameters
    ----------
    temperature : array_like [K], 4000 to 25 000

    Returns
    -------
    x, y of 1931 : arrays [1]; nan outside the range

    Exact to the definition; tabulated D illuminants differ by 1e-4, their temperatures by the old constant (D50 is
    5003 K). Source: CIE 15; D. B. Judd, D. L. MacAdam and G. Wyszecki, J. Opt. Soc. Am. 54 (1964), 1031.
    """
    t = floats(temperature)
    r = 1000.0 / t
    a, b, c, d = (np.where(t <= DAYLIGHT_JOIN, warm, cool) for warm, cool in zip(_DAYLIGHT_WARM, _DAYLIGHT_COOL, strict=True))
    x = only_where((t >= DAYLIGHT_LOWEST) & (t <= DAYLIGHT_HIGHEST), a + r * (b + r * (c + r * d)))
    return x, -3.0 * x * x + 2.87 * x - 0.275


@silent
def planckian_chromaticity(temperature: ArrayLike) -> tuple[Floats, Floats]:
    """Chromaticity of a glowing black body.

    Parameters
    ----------
    temperature : array_like [K], 1000 to 15 000

    Returns
    -------
    x, y of 1931 : arrays [1]; nan outside the range

    Within 1e-4 in u and v of 1960, so within 4e-4 in x and y. Source: Krystek (1985), see above.
    """
    t = floats(temperature)
    t = only_where((t >= PLANCK_LOWEST) & (t <= PLANCK_HIGHEST), t)
    u = (0.860117757 + t * (1.54118254e-4 + 1.28641212e-7 * t)) / (1.0 + t * (8.42420235e-4 + 7.08145163e-7 * t))
    v = (0.317398726 + t * (4.22806245e-5 + 4.20481691e-8 * t)) / (1.0 - t * (2.89741816e-5 - 1.61456053e-7 * t))
    scale = 2.0 * u - 8.0 * v + 4.0
    return 3.0 * u / scale, 2.0 * v / scale


@silent
def chromaticity_to_uv_prime(x: ArrayLike, y: ArrayLike) -> tuple[Floats, Floats]:
    """The even chromaticity scale of 1976.

    Parameters
    ----------
    x, y : array_like [1], of 1931

    Returns
    -------
    u', v' : arrays [1]

    Exact. Source: CIE 15.
    """
    first, second = floats(x), floats(y)
    scale = -2.0 * first + 12.0 * second + 3.0
    return 4.0 * first / scale, 9.0 * second / scale


@silent
def uv_prime_difference(first_temperature: ArrayLike, second_temperature: ArrayLike) -> Floats:
    """Distance on the scale of 1976 between two lights of given colour temperature.

    Parameters
    ----------
    first_temperature, second_temperature : array_like [K], 1000 to 25 000

    Returns
    -------
    array [1]; nan outside the range

    Each light is taken as daylight from 4000 K up and as a glowing body below; the two loci lie 0.004 apart where they
    meet, which is the error near there. One step of the just noticeable scale is about 0.0011 (CIE TN 001:2014, from
    memory).
    """
    first_u, first_v = _locus(floats(first_temperature))
    second_u, second_v = _locus(floats(second_temperature))
    return np.hypot(first_u - second_u, first_v - second_v)


def _locus(temperature: Floats) -> tuple[Floats, Floats]:
    day, glow = daylight_chromaticity(temperature), planckian_chromaticity(temperature)
    daylight = temperature >= DAYLIGHT_LOWEST
    return chromaticity_to_uv_prime(np.where(daylight, day[0], glow[0]), np.where(daylight, day[1], glow[1]))
