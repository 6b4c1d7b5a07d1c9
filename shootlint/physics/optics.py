"""Focus, blur and depth of field of a thin lens.

The model behind every function: a symmetric thin lens without aberrations, a flat field of focus and distances
measured from the lens (its entrance pupil), not from the sensor. It holds for magnifications under about 0.1, so for
any group picture. Taking a distance from the barrel's scale, which starts at the sensor, errs by 1 to 5 % at 3 to
10 m; a pupil magnification between 0.6 and 1.5 changes the total depth by less than 1 % at group distances.

Answers outside the domain: nan in, nan out. A focal length, f-number or blur below or at zero where that means
nothing, and a focus at or inside the focal length, give nan. Infinity is a distance like any other.

Source of the model, unless a function names another: S. F. Ray, Applied Photographic Optics, 3rd ed. (2002), chapters
on depth of field (from memory); W. J. Smith, Modern Optical Engineering, eqs 9.9 to 9.11 (equivalent blur form).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Diameter of the first dark ring in units of wavelength times working f-number: twice the first zero of J1 over pi.
AIRY_CONSTANT = 2.4393399
# Middle of the visible band, near the eye's peak [m]; common practice.
GREEN_LIGHT = 550e-9


@silent
def magnification(focal_length: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """Size of the image over the size of the thing in the plane of focus.

    Parameters
    ----------
    focal_length : array_like [m]
    focus_distance : array_like [m], above the focal length

    Returns
    -------
    array [1]; 0 at a focus of infinity, nan where no real image forms

    Range, error and source: see the module.
    """
    f, s = floats(focal_length), floats(focus_distance)
    return only_where((f > 0) & (s > f), f / (s - f))


@silent
def image_distance(focal_length: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """How far behind the lens the focused image stands.

    Parameters
    ----------
    focal_length : array_like [m]
    focus_distance : array_like [m], above the focal length

    Returns
    -------
    array [m]; the focal length itself at a focus of infinity

    Range, error and source: see the module.
    """
    return floats(focal_length) * (1.0 + magnification(focal_length, focus_distance))


@silent
def hyperfocal_distance(focal_length: ArrayLike, f_number: ArrayLike, blur_diameter: ArrayLike) -> Floats:
    """Nearest focus at which infinity is still blurred by no more than the given diameter.

    Parameters
    ----------
    focal_length : array_like [m]
    f_number : array_like [1]
    blur_diameter : array_like [m], allowed on the sensor

    Returns
    -------
    array [m]; inf for a blur of zero

    Range, error and source: see the module. The blur allowed is a choice: 0.024 to 0.033 mm circulate for a sensor
    of 36 by 24 mm, which is a factor of 1.4 in the answer.
    """
    f, n, c = floats(focal_length), floats(f_number), floats(blur_diameter)
    return only_where((f > 0) & (n > 0) & (c >= 0), f * f / (n * c) + f)


@silent
def near_limit(focal_length: ArrayLike, f_number: ArrayLike, blur_diameter: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """Nearest distance blurred by no more than the given diameter.

    Parameters
    ----------
    focal_length : array_like [m]
    f_number : array_like [1]
    blur_diameter : array_like [m], allowed on the sensor
    focus_distance : array_like [m]

    Returns
    -------
    array [m]; half the hyperfocal distance when focused on it

    Range, error and source: see the module.
    """
    return _limit(focal_length, f_number, blur_diameter, focus_distance, 1.0)


@silent
def far_limit(focal_length: ArrayLike, f_number: ArrayLike, blur_diameter: ArrayLike, focus_distance: ArrayLike) -> Floats:
    """Farthest distance blurred by no more than the given diameter.

    Parameters
    ----------
    focal_length : array_like [m]
    f_number : array_like [1]
    blur_diameter : array_like [m], allowed on the sensor
    focus_distance : array_like [m]

    Returns
    -------
    array [m]; inf from the hyperfocal distance on

    Range, error and source: see the module.
    """
    return _limit(focal_length, f_number, blur_diameter, focus_distance, -1.0)


def _limit(
    focal_length: ArrayLike, f_number: ArrayLike, blur_diameter: ArrayLike, focus_distance: ArrayLike, side: float
) -> Floats:
    # In dioptres, where a focus at infinity, a blur of zero and a limit at infinity all stay finite numbers.
    f, n, c, s = floats(focal_length), floats(f_number), floats(blur_diameter), floats(focus_distance)
    dioptres = 1.0 / s + side * (n * c / (f * f)) * (1.0 - f / s)
    return only_where((f > 0) & (n > 0) & (c >= 0) & (s > f), 1.0 / np.maximum(dioptres, 0.0))


@silent
def defocus_blur(focal_length: ArrayLike, f_number: ArrayLike, focus_distance: ArrayLike, distance: ArrayLike) -> Floats:
    """Diameter on the sensor of the disc into which focus error spreads a point.

    Parameters
    ----------
    focal_length : array_like [m]
    f_number : array_like [1]
    focus_distance : array_like [m], may be inf
    distance : array_like [m], of the point; may be inf

    Returns
    -------
    array [m]; 0 in the plane of focus, inf at the lens

    Range, error and source: see the module. Geometry alone: diffraction and aberration come on top.
    """
    f, n, s, d = floats(focal_length), floats(f_number), floats(focus_distance), floats(distance)
    blur = f * f / n * np.abs(1.0 / s - 1.0 / d) / (1.0 - f / s)
    return only_where((f > 0) & (n > 0) & (s > f) & (d >= 0), blur)


@silent
def airy_disc(f_number: ArrayLike, magnification: ArrayLike = 0.0, wavelength: ArrayLike = GREEN_LIGHT) -> Floats:
    """Diameter of the first dark ring around a point that a perfect lens of this f-number draws.

    Parameters
    ----------
    f_number : array_like [1]
    magnification : array_like [1]
    wavelength : array_like [m]

    Returns
    -------
    array [m]

    Marked f-numbers 11 and 22 are 0.08 stop, so 3 %, off their true openings. Source: M. Born and E. Wolf, Principles
    of Optics, diffraction at a circular aperture (from memory); the constant computed.
    """
    n, m, wave = floats(f_number), floats(magnification), floats(wavelength)
    return only_where((n > 0) & (m >= 0) & (wave > 0), AIRY_CONSTANT * wave * n * (1.0 + m))


@silent
def combined_blur(*parts: ArrayLike) -> Floats:
    """One diameter for several independent causes of blur, added in quadrature.

    Parameters
    ----------
    parts : array_like [m], one or more; their sign does not matter

    Returns
    -------
    array [m]

    The usual engineering estimate, from memory; the plain sum is the cautious bound, at most 41 % higher for two.
    """
    return np.sqrt(sum((np.square(floats(part)) for part in parts), start=np.zeros(())))


@silent
def shared_focus(near: ArrayLike, far: ArrayLike) -> Floats:
    """Focus at which a near and a far distance are blurred alike: their harmonic mean.

    Parameters
    ----------
    near, far : array_like [m], far may be inf

    Returns
    -------
    array [m]; twice the near distance when far is infinite, nan unless 0 < near <= far

    Exact for a thin lens. Source: J. Conrad, Depth of Field in Depth (2004 to 2006), as quoted.
    """
    n, d = floats(near), floats(far)
    return only_where((n > 0) & (d >= n), 2.0 / (1.0 / n + 1.0 / d))
