"""Camera, lens, focus and print: what is sharp, at the size of the print."""

from __future__ import annotations

import numpy as np

from shootlint.physics import exposure, framing, optics
from shootlint.physics.shutter import open_share_at_flash
from shootlint.readings.axes import UNKNOWN, Array, along, least, most
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

THIN_LENS = "Ray, Applied Photographic Optics (3rd ed. 2002); Conrad, Depth of Field in Depth (2006)"


@given("mm", asks="camera sensor")
def sensor_width(scene: Scene) -> float:
    """Width of the sensor as the frame is held."""
    short, long = scene.camera.sensor.sides
    return long if scene.setup.frame.orientation == "landscape" else short


@given("mm", asks="camera sensor")
def sensor_height(scene: Scene) -> float:
    """Height of the sensor as the frame is held."""
    short, long = scene.camera.sensor.sides
    return short if scene.setup.frame.orientation == "landscape" else long


@given("px", asks="camera pixels")
def pixels_across(scene: Scene) -> float:
    """Pixels along the width of the frame as it is held."""
    short, long = scene.camera.pixels.sides
    return long if scene.setup.frame.orientation == "landscape" else short


@given("s", asks="camera sync")
def sync_time(scene: Scene) -> float:
    """The shortest exposure for which the whole frame is open at once."""
    return float(exposure.exact_exposure_time(scene.camera.sync.value))


@given("mm", asks="setup lens focal length")
def focal_length(scene: Scene) -> float | None:
    """The focal length that the lens is set to."""
    focal, lens = scene.setup.lens.focal, scene.lens.focal
    if focal is not None:
        return focal.value
    return lens.low.value if lens.low.value == lens.high.value else None


@given("f/", asks="setup aperture")
def aperture(scene: Scene) -> float:
    """The f-number, as the exact third of a stop that its mark stands for (f/6.3 is 6.35)."""
    return float(exposure.exact_f_number(scene.setup.aperture.value))


@given("1", asks="setup iso")
def iso(scene: Scene) -> float:
    """The sensitivity, as the exact third of a stop that its mark stands for."""
    return float(exposure.exact_iso(float(scene.setup.iso)))


@given("stops", asks="setup filter")
def filter_loss(scene: Scene) -> float:
    """What the filters on the lens take from all of the picture."""
    return sum(each.loses.value for each in scene.filters)


@given("s", asks="setup shutter")
def shutter_set(scene: Scene) -> float | None:
    """The exposure time where the plan sets one, as the exact third of a stop that its mark stands for."""
    time = scene.setup.shutter.time
    return float(exposure.exact_exposure_time(time.value)) if time is not None else None


@given("stops", asks="setup shutter follows ambient")
def shutter_follows(scene: Scene) -> float | None:
    """How far from the key the ambient light is to be kept by a shutter that follows it."""
    follows = scene.setup.shutter.follows
    return follows.value if follows is not None else None


@given("s", asks="setup shutter limits")
def shutter_shortest(scene: Scene) -> float | None:
    """The shortest exposure that a shutter which follows the light may take."""
    limits = scene.setup.shutter.limits
    return min(each.value for each in limits) if limits is not None else None


@given("s", asks="setup shutter limits")
def shutter_longest(scene: Scene) -> float | None:
    """The longest exposure that a shutter which follows the light may take."""
    limits = scene.setup.shutter.limits
    return max(each.value for each in limits) if limits is not None else None


@reading("s", "minute", formula="the time set, or the marked third of a stop nearest to what the ambient light asks for, within its limits",
         source="ISO 516 marks; exact thirds of a stop")  # fmt: skip
def shutter(
    aperture: Array,
    iso: Array,
    filter_loss: Array,
    shutter_set: Array | None = None,
    shutter_follows: Array | None = None,
    shutter_shortest: Array | None = None,
    shutter_longest: Array | None = None,
    ambient: Array | None = None,
) -> Array:
    """The exposure time at each minute."""
    if shutter_set is not None:
        return shutter_set
    if ambient is None or shutter_follows is None or shutter_shortest is None or shutter_longest is None:
        return np.full_like(aperture, np.nan)
    wanted = ambient - shutter_follows - filter_loss
    time = aperture**2 / (np.exp2(wanted) * iso / 100.0)
    marked = exposure.exact_exposure_time(exposure.nearest_marked(time, exposure.MARKED_EXPOSURE_TIMES))
    first, last = exposure.exact_exposure_time(shutter_shortest), exposure.exact_exposure_time(shutter_longest)
    return np.clip(marked, first, last)


@reading("EV", "minute", formula="2 log2(N) - log2(t) - log2(ISO / 100)", source="APEX, ASA PH2.5-1960; ISO 2720:1974",
         uncertainty="shutters and diaphragms lie within a third of a stop")  # fmt: skip
def setting(aperture: Array, shutter: Array, iso: Array) -> Array:
    """The light that aperture, shutter and ISO are set for, as EV at ISO 100, without filters."""
    return exposure.exposure_value(aperture, shutter, iso)


@reading(
    "1",
    "minute",
    formula="shutter / sync time, at most 1",
    source="geometry of a focal-plane shutter that travels in its sync time",
)
def sync_share(shutter: Array, sync_time: Array) -> Array:
    """Share of the frame that is open when the flash fires; the rest of it gets no flash."""
    return open_share_at_flash(shutter, sync_time)


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
    chosen = [focus.between_rows or sitter.row.name == focus.row or sitter.posed.name == focus.person for sitter in scene.sitters]
    return along("person", chosen)


@reading("m", formula="the distance set; else 2 near far / (near + far) of those whom the focus is on",
         source="harmonic mean: Conrad, Depth of Field in Depth (2006)")  # fmt: skip
def focus_distance(focus_set: Array | None = None, focused_on: Array | None = None, distance: Array | None = None) -> Array:
    """Distance from the lens to the plane of focus, along the camera's axis. Closest focus and focus breathing are left out."""
    if focus_set is not None or focused_on is None or distance is None:
        return focus_set if focus_set is not None else UNKNOWN
    near = least(np.where(focused_on > 0, distance, np.inf), "person")
    far = most(np.where(focused_on > 0, distance, -np.inf), "person")
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


@given("cm", asks="setup print")
def print_width(scene: Scene) -> float | None:
    """Width of the print; its long side lies along the frame's long side."""
    if scene.print is None:
        return None
    short, long = scene.print.size.sides
    return long if scene.setup.frame.orientation == "landscape" else short


@given("cm", asks="setup print")
def print_height(scene: Scene) -> float | None:
    """Height of the print."""
    if scene.print is None:
        return None
    short, long = scene.print.size.sides
    return short if scene.setup.frame.orientation == "landscape" else long


@given("m", asks="print viewed from")
def viewed_from(scene: Scene) -> float | None:
    """The distance from which the plan says that the print is looked at."""
    told = scene.print.viewed_from if scene.print is not None else None
    return told.value if told is not None else None


@given("ppi", asks="print at least")
def resolution_wanted(scene: Scene) -> float | None:
    """The fewest pixels per inch that the plan asks of the print."""
    told = scene.print.at_least if scene.print is not None else None
    return told.value if told is not None else None


@reading("m", formula="as told, else the print's diagonal", source="the diagonal is common practice, no source")
def viewing_distance(print_width: Array, print_height: Array, viewed_from: Array | None = None) -> Array:
    """How far away the print is looked at."""
    return viewed_from if viewed_from is not None else np.hypot(print_width, print_height)


@reading(
    "1",
    formula="the larger of print width / sensor width and print height / sensor height",
    source="filling the print; what does not fit is cut",
)
def enlargement(sensor_width: Array, sensor_height: Array, print_width: Array, print_height: Array) -> Array:
    """Size on the print over size on the sensor."""
    return framing.enlargement(sensor_width, sensor_height, print_width, print_height)


@reading("mm", formula="viewing distance tan(1/60 deg)", source="one arcminute, the acuity of a normal eye (20/20)",
         uncertainty="the classic 0.2 mm at 250 mm allows 2.75 times as much")  # fmt: skip
def sharp_limit(viewing_distance: Array) -> Array:
    """The widest blur on the print that the eye takes for sharp, seen from the viewing distance."""
    return framing.eye_limit(viewing_distance)


@reading("ppi", formula="pixels across / (sensor width enlargement)", source="definition of pixels per inch")
def print_resolution(pixels_across: Array, sensor_width: Array, enlargement: Array) -> Array:
    """Pixels of the picture in each inch of the print."""
    return framing.print_resolution(pixels_across, sensor_width * enlargement)


@reading("mm", formula="sharp limit / enlargement", source="definition of the circle of confusion")
def sensor_blur_limit(sharp_limit: Array, enlargement: Array) -> Array:
    """The widest blur on the sensor that the print still takes for sharp."""
    return sharp_limit / enlargement


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
