"""What a lens takes in, how it stretches the edges, and how fine a print must be.

The model: a rectilinear lens, symmetric and thin, distances from the lens. Real lenses leave it by their distortion
(1 to 3 % at the edge of zooms) and by a focal length that shortens on focusing. Answers outside the domain: nan in,
nan out; sizes and focal lengths at or below zero give nan.

Source: plain geometry of central projection.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# What a good eye separates [deg]; common figure of the field for 6/6 sight.
ONE_ARCMINUTE = 1.0 / 60.0


@silent
def enlargement(sensor_width: ArrayLike, sensor_height: ArrayLike, print_width: ArrayLike, print_height: ArrayLike) -> Floats:
    """How many times the sensor's picture grows to fill the whole print, the overhang cut off.

    Parameters
    ----------
    sensor_width, sensor_height : array_like [m]
    print_width, print_height : array_like [m]

    Returns
    -------
    array [1], the larger of the two ratios

    Exact. Tables that divide the diagonals answer up to 12 % less when the shapes differ.
    """
    sw, sh = floats(sensor_width), floats(sensor_height)
    pw, ph = floats(print_width), floats(print_height)
    return only_where((sw > 0) & (sh > 0) & (pw > 0) & (ph > 0), np.maximum(pw / sw, ph / sh))


@silent
def eye_limit(viewing_distance: ArrayLike, acuity: ArrayLike = ONE_ARCMINUTE) -> Floats:
    """Largest blur on a print that an eye at this distance still takes for a point.

    Parameters
    ----------
    viewing_distance : array_like [m]
    acuity : array_like [deg], the angle the eye separates

    Returns
    -------
    array [m]; nan for a distance below zero or an angle outside 0 to 90

    Eyes and light differ by a factor of two either way. Source: one arcminute, the field's common figure; the print
    industry's 0.2 mm at 250 mm is 2.75 arcminutes.
    """
    v, a = floats(viewing_distance), floats(acuity)
    return only_where((v >= 0) & (a > 0) & (a < 90), v * np.tan(np.radians(a)))


@silent
def field_angle(sideways: ArrayLike, forward: ArrayLike) -> Floats:
    """Angle off the lens axis of a point so far sideways and so far forward of the lens.

    Parameters
    ----------
    sideways : array_like [m], either sign
    forward : array_like [m], above zero

    Returns
    -------
    array [deg], 0 to 90; nan for a point beside or behind the lens

    Exact.
    """
    across, ahead = floats(sideways), floats(forward)
    return only_where(ahead > 0, np.degrees(np.arctan2(np.abs(across), ahead)))


@silent
def field_size(side: ArrayLike, focal_length: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """Width (or height) in the plane of focus that fills a side of the sensor.

    Parameters
    ----------
    side : array_like [m], of the sensor
    focal_length : array_like [m]
    focus_distance : array_like [m], above the focal length

    Returns
    -------
    array [m]; inf at a focus of infinity

    Range and source: see the module.
    """
    x, f, s = floats(side), floats(focal_length), floats(focus_distance)
    return only_where((x > 0) & (f > 0) & (s > f), x * (s - f) / f)


@silent
def edge_stretch(field_angle: ArrayLike) -> Floats:
    """Length over breadth in the picture of a small ball off the axis of a rectilinear lens.

    Parameters
    ----------
    field_angle : array_like [deg], off the axis, either sign

    Returns
    -------
    array [1]; nan from 90 degrees on

    Heads stretch so, flat things parallel to the sensor do not. Within 0.02 % for a head at group distance.
    """
    angle = floats(field_angle)
    return only_where(np.abs(angle) < 90, 1.0 / np.cos(np.radians(angle)))


@silent
def print_resolution(pixels: ArrayLike, print_length: ArrayLike) -> Floats:
    """Pixels laid on each metre of print.

    Parameters
    ----------
    pixels : array_like [px], along the side
    print_length : array_like [m], of the same side

    Returns
    -------
    array [px/m]; times 0.0254 it is ppi

    Exact. Says nothing of the printer's dots.
    """
    count, length = floats(pixels), floats(print_length)
    return only_where((count >= 0) & (length > 0), count / length)


@silent
def resolution_for_eye(viewing_distance: ArrayLike, acuity: ArrayLike = ONE_ARCMINUTE) -> Floats:
    """Pixels per metre of print beyond which an eye at this distance sees no more.

    Parameters
    ----------
    viewing_distance : array_like [m]
    acuity : array_like [deg], the angle the eye separates

    Returns
    -------
    array [px/m]; inf at a distance of zero

    Eyes and light differ by a factor of two either way; source as for `eye_limit`.
    """
    return 1.0 / eye_limit(viewing_distance, acuity)
