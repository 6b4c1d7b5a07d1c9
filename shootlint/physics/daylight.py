"""Light of the sun and the sky on the ground, on upright people, and what stands in its way.

Altitudes of the sun here are `daylight_altitude` of the geometric one; a sky condition is a place in `sky_condition.SKY_CONDITIONS`.
Answers outside the domain: nan in, nan out; an altitude
beyond 90 degrees, negative light and a condition not in the list give nan.

A model of mean skies: a real clear sky differs by half a stop at one moment, clouds by far more (the same sky may give
half or twice as much within minutes). At dusk the side of the glow gives an upright plane more than the even sky of
this model: -0.5 to +1.5 stop (from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, look_up, only_where, silent
from shootlint.physics.sky_condition import (
    CLEAR,
    CLOUD_DIVISOR,
    DIRECT_KEPT,
    VERTICAL_SKY_SHARE,
)
from shootlint.physics.sun import SUNRISE_ALTITUDE, refraction

# Six segments of log10 of the illuminance [lx] as a cubic of altitude / 90 degrees. Coefficients: D. Vallado,
# Fundamentals of Astrodynamics and Applications, table 5-1, as found alike in five public codes; origin P. K.
# Seidelmann (ed.), Explanatory Supplement to the Astronomical Almanac (1992) (from memory). The first row is the
# moonless floor below -18 degrees.
_SEGMENT_STARTS: Floats = np.array([-18.0, -12.0, -5.0, -0.8, 5.0, 20.0])
_SEGMENTS: Floats = np.array(
    [
        [math.log10(6.4e-4), 0.0, 0.0, 0.0],
        [13.84, 262.72, 1447.42, 2797.93],
        [2.70, 12.17, -431.69, -1899.83],
        [2.88, 21.81, -258.11, -858.36],
        [2.88, 22.26, -207.64, 1034.30],
        [3.05, 13.28, -45.98, 64.33],
        [3.74, 3.97, -4.07, 1.47],
    ]
)
_CONSTANT, _LINEAR, _SQUARE, _CUBE = (np.ascontiguousarray(column) for column in _SEGMENTS.T)

# USNO Circular 171: light of the sun outside the air [lx], radius of the Earth in heights of the air, and the two
# extinctions and the scattered share of its closed form.
_CIRCULAR_SUN = 133_775.0
_CIRCULAR_RADIUS = 753.66156
_CIRCULAR_DIRECT_EXTINCTION = 0.21
_CIRCULAR_SKY_EXTINCTION = 0.042
_CIRCULAR_SKY_SHARE = 0.0289

# Diffuse reflectance for light (not for solar heat, which makes grass 0.20 to 0.26): low, usual, high. The order of
# size follows the tables of lighting handbooks (dark grass 0.06, moist earth 0.07, asphalt 0.07, gravel 0.13, macadam
# 0.18, concrete 0.27 to 0.55), from memory; sand and boards are common practice without a source.
GROUND_REFLECTANCE_RANGE: dict[str, tuple[float, float, float]] = {
    "grass": (0.06, 0.10, 0.20),
    "gravel": (0.10, 0.15, 0.30),
    "sand": (0.20, 0.30, 0.45),
    "paved": (0.07, 0.20, 0.40),
    "boards": (0.10, 0.20, 0.35),
    "mud": (0.05, 0.08, 0.15),
    "snow": (0.60, 0.75, 0.90),
}
GROUND_REFLECTANCE: dict[str, float] = {ground: usual for ground, (_, usual, _) in GROUND_REFLECTANCE_RANGE.items()}


@silent
def daylight_altitude(geometric_altitude: ArrayLike) -> Floats:
    """The altitude to give to the functions of this module.

    Parameters
    ----------
    geometric_altitude : array_like [deg], of the sun's middle, without refraction

    Returns
    -------
    array [deg]: apparent above the horizon, geometric below -0.833, and between a refraction that fades evenly to zero;
        nan beyond 90 degrees either way

    The polynomial's source does not say which altitude it means, Circular 171 takes the apparent one down to -0.833.
    The even fade is our choice, to have no step; the choice moves the light by at most 0.5 stop within a degree of the
    horizon and by nothing elsewhere.
    """
    altitude = floats(geometric_altitude)
    fade = np.clip(1.0 - altitude / SUNRISE_ALTITUDE, 0.0, 1.0)
    return only_where(np.abs(altitude) <= 90.0, altitude + fade * refraction(np.maximum(altitude, 0.0)))


@silent
def horizontal_illuminance(altitude: ArrayLike, condition: ArrayLike = CLEAR) -> Floats:
    """Light of sun and sky together on level ground.

    Parameters
    ----------
    altitude : array_like [deg], of the sun, see `daylight_altitude`
    condition : array_like of int, a place in SKY_CONDITIONS

    Returns
    -------
    array [lx]; a moonless 0.00064 lx of the clear sky below -18 degrees

    Holds from -18 to 90 degrees. The fit follows its table to 5 %; a clear sky differs by 0.5 stop, a clouded one by 1.
    Source: the six segments above; condition divisors USNO Circular 171.
    """
    h = floats(altitude)
    segment = np.searchsorted(_SEGMENT_STARTS, h, side="right")
    x = h / 90.0
    power = _CONSTANT[segment] + x * (_LINEAR[segment] + x * (_SQUARE[segment] + x * _CUBE[segment]))
    light = only_where(np.abs(h) <= 90.0, np.power(10.0, power))
    return light / look_up(CLOUD_DIVISOR, condition)


@silent
def circular_171_illuminance(altitude: ArrayLike) -> tuple[Floats, Floats]:
    """Light of a clear sky on level ground, sun and sky apart, by the closed form of the circular.

    Parameters
    ----------
    altitude : array_like [deg], apparent, of the sun

    Returns
    -------
    direct, diffuse : arrays [lx]; direct is 0 at and below the horizon

    Together within 0.3 stop of `horizontal_illuminance` from 90 to -10 degrees; the circular's sum falls off too fast
    below, so it serves here for the split alone. Source: P. M. Janiczek and J. A. DeYoung, USNO Circular 171 (1987),
    as read in a program that follows it and returns its certification values.
    """
    normal, sine, diffuse = _circular_parts(altitude)
    return _CIRCULAR_SUN * normal * sine, _CIRCULAR_SUN * diffuse


def _circular_parts(altitude: ArrayLike) -> tuple[Floats, Floats, Floats]:
    h = floats(altitude)
    h = only_where(np.abs(h) <= 90.0, h)
    angle = np.radians(h)
    sine = np.sin(angle)
    bent = np.arcsin(_CIRCULAR_RADIUS * np.cos(angle) / (_CIRCULAR_RADIUS + 1.0))
    cosine = np.cos(bent)
    mass = _CIRCULAR_RADIUS * (cosine - sine) + cosine
    normal = np.exp(-_CIRCULAR_DIRECT_EXTINCTION * mass) * (h > 0.0)
    glow = 1.0 + (h + 90.0) * sine / math.degrees(1.0)
    diffuse = _CIRCULAR_SKY_SHARE * np.exp(-_CIRCULAR_SKY_EXTINCTION * mass) * glow
    return normal, sine, diffuse


@silent
def direct_share(altitude: ArrayLike) -> Floats:
    """Share of a clear sky's light on level ground that comes straight from the sun.

    Parameters
    ----------
    altitude : array_like [deg], of the sun

    Returns
    -------
    array [1]; 0 at and below the horizon

    Between the clear sky of the IES (0.49 at 10 degrees, 0.78 at 30) and the cleanest air; differs by 0.15 with haze
    low down. Source: USNO Circular 171, see `circular_171_illuminance`.
    """
    normal, sine, diffuse = _circular_parts(altitude)
    direct = normal * sine
    return direct / (direct + diffuse)


@silent
def direct_normal_illuminance(altitude: ArrayLike, condition: ArrayLike = CLEAR) -> Floats:
    """Light straight from the sun on a plane that faces it.

    Parameters
    ----------
    altitude : array_like [deg], of the sun
    condition : array_like of int, a place in SKY_CONDITIONS

    Returns
    -------
    array [lx]; 0 at and below the horizon and behind cloud

    The total of `horizontal_illuminance` split by `direct_share`; under haze half of the direct part is counted as sky
    (common practice, no source). Error 0.5 stop above 10 degrees, one stop below.
    """
    normal, sine, diffuse = _circular_parts(altitude)
    total = horizontal_illuminance(altitude, condition)
    return total * look_up(DIRECT_KEPT, condition) * normal / (normal * sine + diffuse)


@silent
def sky_illuminance_horizontal(altitude: ArrayLike, condition: ArrayLike = CLEAR) -> Floats:
    """Light of the sky without the sun on level ground.

    Parameters
    ----------
    altitude : array_like [deg], of the sun
    condition : array_like of int, a place in SKY_CONDITIONS

    Returns
    -------
    array [lx]; with the direct part it makes up `horizontal_illuminance` exactly

    Error and sources: as for `direct_normal_illuminance`.
    """
    total = horizontal_illuminance(altitude, condition)
    return total * (1.0 - look_up(DIRECT_KEPT, condition) * direct_share(altitude))


@silent
def vertical_sky_share(condition: ArrayLike = CLEAR) -> Floats:
    """Light of an open sky on an upright plane over that on level ground.

    Parameters
    ----------
    condition : array_like of int, a place in SKY_CONDITIONS

    Returns
    -------
    array [1]: 0.5 for the even sky, 0.396 for the CIE overcast sky

    A clear sky is brighter near the sun: an upright plane gets 0.3 to 1 of the level one (from memory).
    """
    return look_up(VERTICAL_SKY_SHARE, condition)


@silent
def skyline_blocked_share(
    start_bearing: ArrayLike, end_bearing: ArrayLike, skyline_altitude: ArrayLike, plane_bearing: ArrayLike
) -> Floats:
    """Share of an even sky's light on an upright plane that a skyline of one height takes away.

    Parameters
    ----------
    start_bearing, end_bearing : array_like [deg], the skyline's sector, clockwise; 360 apart is all round
    skyline_altitude : array_like [deg], top of the skyline; below 0 blocks nothing, above 90 gives nan
    plane_bearing : array_like [deg], where the plane faces

    Returns
    -------
    array [1], 0 to 1; nan for an infinite bearing

    Exact for an even sky. An element of sky at altitude g, turned d from the plane's bearing, gives cos(d) cos(g)^2;
    over the sector that is sin(d2) - sin(d1), over the height g/2 + sin(2 g)/4, of pi/2 in all. The part of the sector
    behind the plane counts nothing. Sectors of several obstructions add where they do not overlap.
    """
    start, end = floats(start_bearing), floats(end_bearing)
    width = np.where(np.abs(end - start) >= 360.0, 360.0, np.mod(end - start, 360.0))
    first = np.mod(start - floats(plane_bearing) + 180.0, 360.0) - 180.0
    last = first + width
    # A sector may leave the half space in front of the plane and come back into it after a full turn.
    across = _sine_in_front(last) - _sine_in_front(first) + _sine_in_front(last - 360.0) + 1.0
    top = floats(skyline_altitude)
    height = np.radians(np.clip(top, 0.0, 90.0))
    up = height / 2.0 + np.sin(2.0 * height) / 4.0
    return only_where((top <= 90.0) & np.isfinite(end), np.clip(across * up / (math.pi / 2.0), 0.0, 1.0))


def _sine_in_front(turn: Floats) -> Floats:
    return np.sin(np.radians(np.clip(turn, -90.0, 90.0)))


@silent
def ground_illuminance_on_vertical(global_horizontal: ArrayLike, reflectance: ArrayLike) -> Floats:
    """Light that open level ground throws on an upright plane.

    Parameters
    ----------
    global_horizontal : array_like [lx], on the ground
    reflectance : array_like [1], 0 to 1

    Returns
    -------
    array [lx]: half of the reflected light

    Exact for endless matt ground lit evenly; the group's own shadow and near walls take from it.
    """
    light, share = floats(global_horizontal), floats(reflectance)
    return only_where((light >= 0) & (share >= 0) & (share <= 1), 0.5 * share * light)


@silent
def direct_on_plane(
    direct_normal: ArrayLike, sun_altitude: ArrayLike, sun_bearing: ArrayLike, plane_bearing: ArrayLike
) -> Floats:
    """Light straight from the sun on an upright plane.

    Parameters
    ----------
    direct_normal : array_like [lx], on a plane that faces the sun
    sun_altitude, sun_bearing : array_like [deg]
    plane_bearing : array_like [deg], where the plane faces

    Returns
    -------
    array [lx]; 0 with the sun behind the plane or below the horizon

    Exact (cosine law).
    """
    light, height = floats(direct_normal), floats(sun_altitude)
    turn = np.radians(floats(sun_bearing) - floats(plane_bearing))
    facing = np.maximum(np.cos(np.radians(height)) * np.cos(turn), 0.0) * (height > 0.0)
    return only_where((light >= 0) & (np.abs(height) <= 90.0), light * facing)
