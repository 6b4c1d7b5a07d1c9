"""Shadows of round things and mirror reflections, as seen from the place that they fall on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent


@silent
def hidden_disc_share(source_radius: ArrayLike, cover_radius: ArrayLike, separation: ArrayLike) -> Floats:
    """Share of a round source that a round thing before it hides.

    Parameters
    ----------
    source_radius : array_like [deg], half the angle that the source fills, seen from the shaded place
    cover_radius : array_like [deg], half the angle of what stands before it
    separation : array_like [deg], angle between their middles

    Returns
    -------
    array [1], 0 to 1; nan for negative or unknown input. A source without size is hidden wholly or not at all.

    The area that two circles share, over the source's own: circles in a plane, so within 1 % for angles under 20 deg.
    Source: area of the lens between two circles, elementary geometry.
    """
    r, c, d = np.broadcast_arrays(floats(source_radius), floats(cover_radius), floats(separation))
    apart = (r >= 0) & (c >= 0) & (d >= r + c)
    # Of many pairs few overlap, and what follows is dear.
    share = np.zeros(apart.shape)
    share[~apart] = _share_of_near(r[~apart], c[~apart], d[~apart])
    return share[()]


def _share_of_near(r: Floats, c: Floats, d: Floats) -> Floats:
    """The share where the two may overlap; nan for nonsense."""
    fits = (r >= 0) & (c >= 0) & (d >= 0)
    # Middles that differ by rounding alone are one: the square of so small a number is nought, and nought by nought nothing.
    d = np.where(d <= 1e-12 * (r + c), 0.0, d)
    small, large = np.minimum(r, c), np.maximum(r, c)
    # Between touching from outside and lying within, the two circular segments add up.
    cos_r = np.clip((d * d + r * r - c * c) / (2.0 * d * r), -1.0, 1.0)
    cos_c = np.clip((d * d + c * c - r * r) / (2.0 * d * c), -1.0, 1.0)
    kite = np.sqrt(np.maximum((-d + r + c) * (d + r - c) * (d - r + c) * (d + r + c), 0.0)) / 2.0
    lens = (r * r * np.arccos(cos_r) + c * c * np.arccos(cos_c) - kite) / (math.pi * r * r)
    inside = np.where(r <= c, 1.0, (small / r) ** 2)
    share = np.where(d >= r + c, 0.0, np.where(d <= large - small, inside, lens))
    point = np.where(d < c, 1.0, 0.0)
    return only_where(fits, np.clip(np.where(r == 0.0, point, share), 0.0, 1.0))


@silent
def mirror_tilt(
    light_sideways: ArrayLike,
    light_up: ArrayLike,
    light_forward: ArrayLike,
    eye_sideways: ArrayLike,
    eye_up: ArrayLike,
    eye_forward: ArrayLike,
) -> tuple[Floats, Floats]:
    """How a small mirror must be turned to throw a light into an eye (or a lens).

    Parameters
    ----------
    light_sideways, light_up, light_forward : array_like [m], from the mirror to the light
    eye_sideways, eye_up, eye_forward : array_like [m], from the mirror to the eye

    Returns
    -------
    arrays [deg], [deg]: the turn to the side (to the eye's own right positive) and the tilt upwards of the mirror's
    normal, against straight forward; nan where the light or the eye is at the mirror

    The normal halves the angle between the two directions. Source: law of reflection.
    """
    light = [floats(light_sideways), floats(light_up), floats(light_forward)]
    eye = [floats(eye_sideways), floats(eye_up), floats(eye_forward)]
    to_light = np.sqrt(light[0] ** 2 + light[1] ** 2 + light[2] ** 2)
    to_eye = np.sqrt(eye[0] ** 2 + eye[1] ** 2 + eye[2] ** 2)
    side, up, forward = (one / to_light + two / to_eye for one, two in zip(light, eye, strict=True))
    turn = np.degrees(np.arctan2(side, forward))
    tilt = np.degrees(np.arctan2(up, np.hypot(side, forward)))
    return turn, tilt
