"""Flash: guide numbers, the nearness of large sources, power, ratios.

A guide number is f-number times distance for a right incident exposure, in metres, at ISO 100 and full power unless
stated. Answers outside the domain: nan in, nan out; distances, sizes, powers below zero and f-numbers or ISO at or
below zero give nan.

A catalogue's guide number holds for one reflector, often a narrow one, sometimes in a room: without it 1 to 2 stops
are gone (common practice). Metering one's own lights is the only number to trust.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent


@silent
def disc_factor(diameter: ArrayLike, distance: ArrayLike) -> Floats:
    """Light on the axis of an even disc over what the same disc would give by the law of the inverse square.

    Parameters
    ----------
    diameter : array_like [m]
    distance : array_like [m], from its face

    Returns
    -------
    array [1]: 1 far away, 0.8 at one diameter, 0 at the face; nan for a point at no distance

    Exact for an evenly bright matt disc; real faces with a hot middle fall between this and 1. Source: photometry of
    extended sources; the five-times rule of IES LS-1 (9.1.1) is its 1 % mark.
    """
    width, d = floats(diameter), floats(distance)
    return only_where((width >= 0) & (d >= 0), 1.0 / (1.0 + np.square(width / 2.0 / d)))


@silent
def rectangle_factor(width: ArrayLike, height: ArrayLike, distance: ArrayLike) -> Floats:
    """Light on the axis of an even rectangle over what it would give by the law of the inverse square.

    Parameters
    ----------
    width, height : array_like [m]; one may be zero (a strip)
    distance : array_like [m], from its face

    Returns
    -------
    array [1]: 1 far away, 0.752 for a square at one side's distance, 0 at the face; nan for a point at no distance

    Exact for an evenly bright matt face. Source: configuration factor of a rectangle, standard photometry, written so
    that it stays finite far away.
    """
    w, h, d = floats(width), floats(height), floats(distance)
    x, y = w / 2.0 / d, h / 2.0 / d
    wide, tall = 1.0 + x * x, 1.0 + y * y
    factor = 0.5 * (_arc_over(y / np.sqrt(wide)) / wide + _arc_over(x / np.sqrt(tall)) / tall)
    factor = np.where((d == 0.0) & ((w > 0.0) | (h > 0.0)), 0.0, factor)
    return only_where((w >= 0) & (h >= 0) & (d >= 0), factor)


def _arc_over(ratio: Floats) -> Floats:
    return np.where(ratio == 0.0, 1.0, np.arctan(ratio) / ratio)


@silent
def distance_for_change(
    stops: ArrayLike, distance: ArrayLike, width: ArrayLike, height: ArrayLike, is_round: ArrayLike
) -> Floats:
    """How far from a light's face, on its axis, it gives so many stops more (+) or less (-) than at a distance.

    Parameters
    ----------
    stops : array_like [stops]
    distance : array_like [m]
    width, height : array_like [m], of the face; both its diameter where it is round, zero for a point
    is_round : array_like [1], above zero where the face is round

    Returns
    -------
    array [m]; nan where no distance gives so much, as before a large face that is near, and past 1e150 m, where its light
        is too little to reckon with

    Exact for an evenly bright matt face; a point gives distance × 2^(-stops / 2). Found by halving the span of distances
    in stops. Source: the law of the inverse square with `disc_factor` or `rectangle_factor`.
    """
    change, d, w, h, disc = np.broadcast_arrays(*map(floats, (stops, distance, width, height, is_round)))

    def light(at: Floats) -> Floats:
        """Light at a distance, but for a factor that is the same everywhere."""
        return np.where(disc > 0, disc_factor(w, at), rectangle_factor(w, h, at)) / np.square(at)

    wanted = light(d) * np.exp2(change)
    # Nowhere does a face give more than at its own surface, nor a point less than the bare inverse square asks.
    near, far = d * 1e-6, np.maximum(d, np.hypot(w, h)) * np.exp2(np.abs(change) + 2.0)
    reached = light(near) >= wanted
    for _ in range(60):
        middle = np.sqrt(near) * np.sqrt(far)
        more = light(middle) > wanted
        near, far = np.where(more, middle, near), np.where(more, far, middle)
    fits = (d > 0) & (w >= 0) & (h >= 0) & ~np.isnan(disc)
    return only_where(fits & reached & np.isfinite(wanted) & (wanted > 0.0), np.sqrt(near) * np.sqrt(far))


@silent
def flash_exposure(
    guide_number: ArrayLike,
    distance: ArrayLike,
    f_number: ArrayLike,
    iso: ArrayLike = 100.0,
    power: ArrayLike = 1.0,
    area_factor: ArrayLike = 1.0,
) -> Floats:
    """How far the flash's light lies over (+) or under (-) the camera's setting.

    Parameters
    ----------
    guide_number : array_like [m], at ISO 100 and full power, far away
    distance : array_like [m]
    f_number : array_like [1]
    iso : array_like [1]
    power : array_like [1], share of full power
    area_factor : array_like [1], from `disc_factor` or `rectangle_factor`

    Returns
    -------
    array [stops]; -inf for a power or guide number of zero, inf at no distance, nan for both

    Open air: a room adds up to a stop. Guide numbers rest on a meter constant, C 215 to 330, which is 0.6 stop.
    Source: ISO 1230:1992.
    """
    gn, d, n = floats(guide_number), floats(distance), floats(f_number)
    s, p, area = floats(iso), floats(power), floats(area_factor)
    fits = (gn >= 0) & (d >= 0) & (n > 0) & (s > 0) & (p >= 0) & (area >= 0)
    return only_where(fits, 2.0 * np.log2(gn / (d * n)) + np.log2(p * s / 100.0 * area))


@silent
def from_metered(
    metered_f_number: ArrayLike,
    metered_distance: ArrayLike,
    area_factor: ArrayLike = 1.0,
    iso: ArrayLike = 100.0,
    power: ArrayLike = 1.0,
) -> Floats:
    """Guide number, far away, of a light whose f-number was metered near by.

    Parameters
    ----------
    metered_f_number : array_like [1], shown by an incident meter
    metered_distance : array_like [m], at which it was held
    area_factor : array_like [1], of the source at that distance
    iso : array_like [1], set on the meter
    power : array_like [1], share of full power used

    Returns
    -------
    array [m], at ISO 100 and full power

    As good as the meter (0.1 to 0.2 stop) and the evenness of the face.
    """
    n, d, area = floats(metered_f_number), floats(metered_distance), floats(area_factor)
    s, p = floats(iso), floats(power)
    fits = (n > 0) & (d >= 0) & (area >= 0) & (s > 0) & (p >= 0)
    return only_where(fits, n * d / np.sqrt(area * p * s / 100.0))


@silent
def power_for_exposure(stops_at_full_power: ArrayLike, wanted_stops: ArrayLike = 0.0) -> Floats:
    """Share of full power that brings the flash to the wanted level.

    Parameters
    ----------
    stops_at_full_power : array_like [stops], from `flash_exposure` with power 1
    wanted_stops : array_like [stops], over the camera's setting

    Returns
    -------
    array [1]; over 1 when the flash cannot, inf when it gives nothing, nan when nothing is wanted of that

    Exact for light in proportion to the power set.
    """
    return np.exp2(floats(wanted_stops) - floats(stops_at_full_power))


@silent
def angular_size(size: ArrayLike, distance: ArrayLike) -> Floats:
    """Angle a source fills for the person it lights: the softness of its shadows.

    Parameters
    ----------
    size : array_like [m], across
    distance : array_like [m], from its middle

    Returns
    -------
    array [deg]; 180 at no distance, nan for a point there

    Exact for a face square to the line of sight.
    """
    s, d = floats(size), floats(distance)
    return only_where((s >= 0) & (d >= 0), np.degrees(2.0 * np.arctan(s / 2.0 / d)))


@silent
def key_to_fill(key: ArrayLike, fill: ArrayLike) -> Floats:
    """Lighting ratio, first convention: key light over fill light.

    Parameters
    ----------
    key, fill : array_like [lx], or any one unit of light

    Returns
    -------
    array [1]; inf without fill, nan without any light

    Two conventions are in use side by side; a figure means nothing without its convention.
    """
    k, f = floats(key), floats(fill)
    return only_where((k >= 0) & (f >= 0), k / f)


@silent
def key_plus_fill_to_fill(key: ArrayLike, fill: ArrayLike) -> Floats:
    """Lighting ratio, second convention: the lit side, which both lights reach, over the shadow side.

    Parameters
    ----------
    key, fill : array_like [lx], or any one unit of light

    Returns
    -------
    array [1], one more than `key_to_fill`; inf without fill, nan without any light

    What the picture shows, where the fill reaches both sides of the face alike.
    """
    return 1.0 + key_to_fill(key, fill)


@silent
def recycle_time(full_recycle_time: ArrayLike, power: ArrayLike) -> Floats:
    """Time to the next flash at a part of the power.

    Parameters
    ----------
    full_recycle_time : array_like [s], after a flash at full power
    power : array_like [1], share of full power

    Returns
    -------
    array [s]

    In proportion to the energy spent: common practice. A tired or cold battery needs up to twice as long.
    """
    full, p = floats(full_recycle_time), floats(power)
    return only_where((full >= 0) & (p >= 0) & (p <= 1), full * p)
