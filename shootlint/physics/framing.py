"""What a lens takes in, how it stretches the edges, and how fine a print must be.

The model: a rectilinear lens, symmetric and thin, distances from the lens. Real lenses leave it by their distortion
(1 to 3 % at the edge of zooms) and by a focal length that shortens on focusing. Answers outside the domain: nan in,
nan out; sizes and focal lengths at or below zero give nan.

Source: plain geometry of central projection; M. H. Pirenne, Optics, Painting and Photography (1970), for the sphere
seen at an angle (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

METRES_PER_INCH = 0.0254
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
def angle_of_view(side: ArrayLike, focal_length: ArrayLike, magnification: ArrayLike = 0.0) -> Floats:
    """Full angle that a side (or the diagonal) of the sensor takes in.

    Parameters
    ----------
    side : array_like [m], of the sensor
    focal_length : array_like [m]
    magnification : array_like [1], 0 at infinity

    Returns
    -------
    array [deg]

    Range and source: see the module.
    """
    x, f, m = floats(side), floats(focal_length), floats(magnification)
    return only_where((x > 0) & (f > 0) & (m >= 0), np.degrees(2.0 * np.arctan(x / (2.0 * f * (1.0 + m)))))


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
def focal_length_for_field(side: ArrayLike, field: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """Focal length whose field at this distance just has the wanted size.

    Parameters
    ----------
    side : array_like [m], of the sensor
    field : array_like [m], wanted width or height
    focus_distance : array_like [m]

    Returns
    -------
    array [m]

    Range and source: see the module.
    """
    x, w, s = floats(side), floats(field), floats(focus_distance)
    return only_where((x > 0) & (w > 0) & (s > 0), s / (1.0 + w / x))


@silent
def focus_distance_for_field(side: ArrayLike, focal_length: ArrayLike, field: ArrayLike) -> Floats:
    """Distance at which a lens takes in just the wanted field.

    Parameters
    ----------
    side : array_like [m], of the sensor
    focal_length : array_like [m]
    field : array_like [m], wanted width or height

    Returns
    -------
    array [m]

    Range and source: see the module.
    """
    x, f, w = floats(side), floats(focal_length), floats(field)
    return only_where((x > 0) & (f > 0) & (w > 0), f * (1.0 + w / x))


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
def edge_stretch_of_sphere(field_angle: ArrayLike, angular_radius: ArrayLike) -> Floats:
    """Length over breadth in the picture of a ball of any size off the axis of a rectilinear lens.

    Parameters
    ----------
    field_angle : array_like [deg], of the ball's middle, either sign
    angular_radius : array_like [deg], half the angle the ball fills

    Returns
    -------
    array [1]; nan unless the whole ball lies before the lens

    Exact: the ball's outline projects to an ellipse whose half axes are (tan(t + a) - tan(t - a)) / 2 and
    sin(a) / sqrt(cos(a)^2 - sin(t)^2); their ratio reduces to the one line below.
    """
    angle, radius = floats(field_angle), floats(angular_radius)
    across = np.cos(np.radians(radius))
    along = np.sin(np.radians(angle))
    whole = (radius >= 0) & (np.abs(angle) + radius < 90)
    return only_where(whole, across / np.sqrt(across * across - along * along))


@silent
def natural_falloff(field_angle: ArrayLike) -> Floats:
    """Light lost off the axis by the fourth power of the cosine.

    Parameters
    ----------
    field_angle : array_like [deg], off the axis, either sign

    Returns
    -------
    array [stops], zero or more; nan from 90 degrees on

    An upper bound for wide lenses of modern build, without the barrel's own shading at wide openings.
    """
    return 4.0 * np.log2(edge_stretch(field_angle))


@silent
def print_resolution(pixels: ArrayLike, print_length: ArrayLike) -> Floats:
    """Pixels laid on each metre of print.

    Parameters
    ----------
    pixels : array_like [px], along the side
    print_length : array_like [m], of the same side

    Returns
    -------
    array [px/m]; times `METRES_PER_INCH` it is ppi

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
