"""Exposure: what daylight and flash together give faces and background against the setting, and what moves meanwhile."""

from __future__ import annotations

import numpy as np

from shootlint.physics import body, daylight, exposure, eyes, motion
from shootlint.physics import flash as flash_physics
from shootlint.physics.shutter import captured_flash_stops
from shootlint.readings.axes import Array, least, mean, most
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.daylight import SKY, USUAL_REFLECTANCE
from shootlint.readings.lights import chosen_lamps, each_lamp, together
from shootlint.readings.scene import Scene

ADDED = "light adds, stops do not"
SEATED_SWAY = 0.5
"""Share of a standing person's sway that a seated, kneeling or lying one keeps (common practice, no source)."""


@reading("stops", "minute", "person", formula="log2(2^ambient over setting + 2^front light over setting)", source=ADDED)
def face_exposure(ambient_over_setting: Array, front_over_setting: Array | None = None) -> Array:
    """How far daylight, key and fill together lie over the camera's setting on a person's face."""
    if front_over_setting is None:
        return ambient_over_setting
    return np.logaddexp2(ambient_over_setting, front_over_setting)


@given("yes", "light", asks="a light placed as key or fill")
def is_front(scene: Scene) -> Array | Missing | None:
    """Whether a light is there for the faces: a key or a fill."""
    return chosen_lamps(scene, "key", "fill")


@given("yes", "light", asks="a light placed as fill")
def is_fill(scene: Scene) -> Array | Missing | None:
    """Whether a light is a fill."""
    return chosen_lamps(scene, "fill")


@reading("stops", "person", formula="the flashes of key and fill added as light", source=ADDED)
def front_over_setting(flash: Array, is_front: Array) -> Array:
    """How far key and fill lights together lie over the camera's setting at a person."""
    return together(flash, is_front)


@reading("stops", "person", formula="the flashes of the fills added as light", source=ADDED)
def fill_over_setting(flash: Array, is_fill: Array) -> Array:
    """How far the fill lights together lie over the camera's setting at a person."""
    return together(flash, is_fill)


@reading(
    "1",
    "minute",
    formula="(key + fill + ambient) : (fill + ambient), means over people",
    source="the convention that adds: a trade magazine tells of both; the other one is key : fill",
)
def lighting_ratio(key_over_setting: Array, ambient_over_setting: Array, fill_over_setting: Array | None = None) -> Array:
    """How many times as much light the key side of a face gets as its shadow side; daylight counts as fill."""
    key = np.exp2(mean(key_over_setting, "person"))
    shadow = np.exp2(ambient_over_setting)
    if fill_over_setting is not None:
        shadow = shadow + np.exp2(mean(fill_over_setting, "person"))
    return flash_physics.key_plus_fill_to_fill(key, shadow)


@given("yes", asks="site background sunlit or shaded")
def background_sunlit(scene: Scene) -> float | None:
    """Whether the plan says that the sun lies on the background."""
    background = scene.plan.site.background if scene.plan.site is not None else None
    return float(background.light == "sunlit") if background is not None and background.light is not None else None


@reading("stops", "minute", formula="log2 of daylight on an upright background, over the setting", source=f"{SKY}; a background of middle tone comes out as a meter at it would read",
         uncertainty="1 stop, and what the background is made of")  # fmt: skip
def background_exposure(
    sun_altitude: Array,
    sun_bearing: Array,
    sun_beam: Array,
    level_light: Array,
    level_skylight: Array,
    facing: Array,
    sky: Array,
    background_sunlit: Array,
    setting: Array,
    filter_loss: Array,
) -> Array:
    """How far a background of middle tone lies over the camera's setting."""
    direct = daylight.direct_on_plane(sun_beam, sun_altitude, sun_bearing, facing + 180)
    ground = level_skylight + background_sunlit * (level_light - level_skylight)
    light = (
        level_skylight * daylight.vertical_sky_share(sky)
        + background_sunlit * direct
        + daylight.ground_illuminance_on_vertical(ground, USUAL_REFLECTANCE)
    )
    return exposure.illuminance_to_ev(light) - setting - filter_loss


@reading("stops", "minute", formula="log2(100 L / 12.5), L the level skylight / π, over the setting", source=f"{SKY}; reflected constant K = 12.5, ISO 2720:1974",
         uncertainty="2 stops: a clear sky is several times as bright near the sun as opposite")  # fmt: skip
def sky_exposure(level_skylight: Array, setting: Array, filter_loss: Array) -> Array:
    """How far an average patch of sky lies over the camera's setting, where the picture shows any."""
    return exposure.luminance_to_ev(level_skylight / np.pi) - setting - filter_loss


@reading("m/s", "person", formula="by age; half of it for those who do not stand", source="adults: helmet-light study of standing sway; children and the elderly: common practice, no source",
         uncertainty="a factor of 2")  # fmt: skip
def sway(age: Array, pose: Array) -> Array:
    """How fast a person's head moves while holding still."""
    return motion.sway_speed(age) * np.where(pose == body.POSES.index("standing"), 1.0, SEATED_SWAY)


@reading("mm", "minute", "person", formula="sway × exposure time × image distance / distance × enlargement", source="even motion across the view",
         uncertainty="a factor of 2, and nought where only the flash lights the face")  # fmt: skip
def motion_blur(sway: Array, shutter: Array, image_distance: Array, distance: Array, enlargement: Array) -> Array:
    """Length on the print of the trace that a person leaves by daylight."""
    return motion.subject_blur(sway, shutter, image_distance / distance) * enlargement


@given("yes", asks="setup support")
def hand_held(scene: Scene) -> float | None:
    """Whether the camera is held by hand."""
    return float(scene.setup.support.kind == "handheld") if scene.setup.support is not None else None


@reading("mm", "minute", formula="1.72 deg/s × exposure time × f (1 + m) × enlargement, by hand; nought on a tripod", source="the turn that the rule of one over the focal length stands for; common practice",
         uncertainty="a factor of 3 between hands")  # fmt: skip
def hand_shake(shutter: Array, focal_length: Array, magnification: Array, enlargement: Array, hand_held: Array) -> Array:
    """Length on the print of the trace that the hand's shake leaves by daylight."""
    trace = motion.hand_shake_blur(motion.HAND_SHAKE_ANGULAR_SPEED, shutter, focal_length, magnification)
    return hand_held * trace * enlargement


@given("s", "light", asks="light duration")
def flash_duration(scene: Scene) -> Array | Missing:
    """How long a light shines at full power, above a tenth of its peak (t0.1)."""
    return each_lamp(scene, lambda lamp: lamp.light.duration.value if lamp.light.duration is not None else np.nan)


@reading("stops", "light", formula="-log2(1 - 10^(-t / t0.1)) at the shortest exposure", source="exponential tail; ISO 2827:1988 for t0.1",
         holds_for="full power; at less power a flash is shorter with some lights and longer with others")  # fmt: skip
def flash_tail_lost(shutter: Array, flash_duration: Array) -> Array:
    """What the closing shutter cuts off a flash's tail."""
    return np.abs(captured_flash_stops(least(shutter, "minute"), flash_duration))


@reading("share", formula="(1 - 1/6 s⁻¹ × (0.25 s + t)) to the power of the number of people", source="Svenson & Barnes, CSIRO (2006); its 10 blinks a minute of 0.25 s from memory",
         holds_for="people who do not blink together; a bright flash makes some do")  # fmt: skip
def open_eyes_chance(people_count: Array, shutter: Array) -> Array:
    """Chance that in one picture nobody blinks, at the longest exposure of the slot."""
    return eyes.all_open_chance(people_count, most(shutter, "minute"))


@reading("1", formula="ln(1 - 0.99) / ln(1 - chance in one picture)", source="Svenson & Barnes, CSIRO (2006)",
         holds_for="people who do not blink together")  # fmt: skip
def frames_for_open_eyes(people_count: Array, shutter: Array) -> Array:
    """How many pictures make it 99 % sure that in one of them all eyes are open."""
    return np.ceil(eyes.pictures_for_open_eyes(people_count, 0.99, most(shutter, "minute")))
