"""Focus: the plane of sharpness, and how far from sharp everything else is at the size of the print.

Focus breathing and the lens's own faults are left out: the lens is thin, its plane of focus flat. Closest focus is the
lens maker's figure and judged as such.
"""

from __future__ import annotations

import numpy as np

from shootlint.physics import framing, optics
from shootlint.readings.axes import UNKNOWN, Array, along, least, most
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

THIN_LENS = "Ray, Applied Photographic Optics (3rd ed. 2002); Conrad, Depth of Field in Depth (2006)"


@given("m", asks="setup focus")
def focus_set(scene: Scene) -> float | None:
    """The distance that the lens is focused on, where the plan gives one."""
    distance = scene.setup.focus.distance
    return distance.value if distance is not None else None


@given("yes", "person", asks="setup focus")
def focused_on(scene: Scene) -> Array | None:
    """Whether a person is among those whom the focus is on."""
    focus = scene.setup.focus
    if focus.distance is not None:
        return None
    # By the row that names a person: who is held may stand in another one.
    chosen = [focus.between_rows or row.name == focus.row or posed.name == focus.person for row, posed in scene.setup.people]
    return along("person", chosen)


@reading("m", formula="the distance set; else 2 near far / (near + far) of those whom the focus is on",
         source="harmonic mean: Conrad, Depth of Field in Depth (2006)", enough="focus-set")  # fmt: skip
def focus_distance(focus_set: Array | None = None, focused_on: Array | None = None, posed_distance: Array | None = None) -> Array:
    """Distance from the lens to the plane of focus, along the camera's axis. Focus breathing is left out."""
    if focus_set is not None or focused_on is None or posed_distance is None:
        return focus_set if focus_set is not None else UNKNOWN
    near = least(np.where(focused_on > 0, posed_distance, np.inf), "person")
    far = most(np.where(focused_on > 0, posed_distance, -np.inf), "person")
    return optics.shared_focus(near, far)


@reading("1", formula="f / (s - f)", source=THIN_LENS)
def magnification(focal_length: Array, focus_distance: Array) -> Array:
    """Size on the sensor over size in the plane of focus."""
    return optics.magnification(focal_length, focus_distance)


@reading("m", formula="sensor width (s - f) / f", source=THIN_LENS)
def field_width(sensor_width: Array, focal_length: Array, focus_distance: Array) -> Array:
    """Width that the frame takes in at the focus distance."""
    return framing.field_size(sensor_width, focal_length, focus_distance)


@reading("m", formula="sensor height (s - f) / f", source=THIN_LENS)
def field_height(sensor_height: Array, focal_length: Array, focus_distance: Array) -> Array:
    """Height that the frame takes in at the focus distance."""
    return framing.field_size(sensor_height, focal_length, focus_distance)


@reading("m", formula="f² / (N c) + f", source=THIN_LENS)
def hyperfocal(focal_length: Array, aperture: Array, sensor_blur_limit: Array) -> Array:
    """The nearest focus that keeps infinity sharp on the print."""
    return optics.hyperfocal_distance(focal_length, aperture, sensor_blur_limit)


@reading("m", formula="s (H - f) / (H + s - 2 f)", source=THIN_LENS)
def near_limit(focal_length: Array, aperture: Array, sensor_blur_limit: Array, focus_distance: Array) -> Array:
    """The nearest distance that is sharp on the print."""
    return optics.near_limit(focal_length, aperture, sensor_blur_limit, focus_distance)


@reading("m", formula="s (H - f) / (H - s); infinite from the hyperfocal distance on", source=THIN_LENS)
def far_limit(focal_length: Array, aperture: Array, sensor_blur_limit: Array, focus_distance: Array) -> Array:
    """The farthest distance that is sharp on the print; it may be infinite."""
    return optics.far_limit(focal_length, aperture, sensor_blur_limit, focus_distance)


@reading("mm", "person", formula="(f / N) m |d - s| / d, times the enlargement", source=THIN_LENS,
         holds_for="a lens without aberrations, at magnifications under 0.1")  # fmt: skip
def blur(focal_length: Array, aperture: Array, focus_distance: Array, distance: Array, enlargement: Array) -> Array:
    """Diameter on the print of the patch into which defocus spreads a point of a person. Diffraction is told apart."""
    return optics.defocus_blur(focal_length, aperture, focus_distance, distance) * enlargement


@reading(
    "mm",
    formula="2.44 λ N (1 + m), times the enlargement, λ 550 nm",
    source="Airy disc to its first dark ring: Born & Wolf, Principles of Optics",
)
def diffraction(aperture: Array, magnification: Array, enlargement: Array) -> Array:
    """Diameter on the print of the patch into which diffraction spreads a point."""
    return optics.airy_disc(aperture, magnification) * enlargement


@reading(
    "mm", "person", formula="root of blur² + diffraction²", source="adding in quadrature, an engineering estimate from memory"
)
def blur_with_diffraction(blur: Array, diffraction: Array) -> Array:
    """Defocus and diffraction together, on the print."""
    return optics.combined_blur(blur, diffraction)


@given("m", asks="site background")
def background_distance(scene: Scene) -> float | None:
    """How far the background lies behind the group."""
    background = scene.plan.site.background if scene.plan.site is not None else None
    return background.distance.value if background is not None else None


@reading(
    "mm",
    formula="(f / N) m (d - s) / d, times the enlargement, d the background's distance behind the last person",
    source=THIN_LENS,
)
def background_blur(
    focal_length: Array, aperture: Array, focus_distance: Array, distance: Array, background_distance: Array, enlargement: Array
) -> Array:
    """Diameter on the print of the patch into which defocus spreads a point of the background."""
    behind = most(distance, "person") + background_distance
    return optics.defocus_blur(focal_length, aperture, focus_distance, behind) * enlargement


@reading("m", formula="2 near far / (near + far) of everybody", source="harmonic mean: Conrad, Depth of Field in Depth (2006)")
def shared_focus(distance: Array) -> Array:
    """The focus distance at which the nearest and the farthest person are equally sharp."""
    return optics.shared_focus(least(distance, "person"), most(distance, "person"))
