"""Camera and lens as set: aperture, exposure time, sensitivity, and the light that they ask for."""

from __future__ import annotations

import numpy as np

from shootlint.physics import exposure
from shootlint.physics.shutter import open_share_at_flash
from shootlint.readings.axes import Array
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene


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


@given("iso", asks="setup iso")
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
         source="ISO 516 marks; exact thirds of a stop", enough="shutter-set")  # fmt: skip
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
    "share",
    "minute",
    formula="shutter / sync time, at most 1",
    source="geometry of a focal-plane shutter that travels in its sync time",
)
def sync_share(shutter: Array, sync_time: Array) -> Array:
    """Share of the frame that is open when the flash fires; the rest of it gets no flash."""
    return open_share_at_flash(shutter, sync_time)


@given("s", asks="camera shutter")
def camera_shortest(scene: Scene) -> float:
    """The shortest exposure that the camera has."""
    return float(exposure.exact_exposure_time(min(each.value for each in scene.camera.shutter)))


@given("s", asks="camera shutter")
def camera_longest(scene: Scene) -> float:
    """The longest exposure that the camera has."""
    return float(exposure.exact_exposure_time(max(each.value for each in scene.camera.shutter)))


@given("iso", asks="camera iso")
def iso_lowest(scene: Scene) -> float:
    """The lowest sensitivity that the camera has."""
    return float(scene.camera.iso.range.low)


@given("iso", asks="camera iso")
def iso_highest(scene: Scene) -> float:
    """The highest sensitivity that the camera has."""
    return float(scene.camera.iso.range.high)


@given("mm", asks="lens focal")
def lens_shortest(scene: Scene) -> float:
    """The shortest focal length of the lens."""
    return scene.lens.focal.low.value


@given("mm", asks="lens focal")
def lens_longest(scene: Scene) -> float:
    """The longest focal length of the lens."""
    return scene.lens.focal.high.value


@given("f/", asks="lens aperture")
def lens_widest(scene: Scene) -> float:
    """The widest aperture of the lens."""
    return float(exposure.exact_f_number(scene.lens.aperture.low.value))


@given("f/", asks="lens aperture")
def lens_smallest(scene: Scene) -> float:
    """The smallest aperture of the lens."""
    return float(exposure.exact_f_number(scene.lens.aperture.high.value))


@given("m", asks="lens closest")
def closest_focus(scene: Scene) -> float | None:
    """The closest focusing distance of the lens, from the sensor."""
    return scene.lens.closest.value if scene.lens.closest is not None else None


@reading(
    "stops",
    "minute",
    formula="ambient - setting - filter loss - what the shutter follows at",
    source="definition",
)
def follow_error(ambient: Array, setting: Array, filter_loss: Array, shutter_follows: Array) -> Array:
    """How far the ambient light is from where a shutter that follows it should keep it; positive where it is too bright."""
    return ambient - setting - filter_loss - shutter_follows
