"""Where lights aim, how their light falls off on the way, and whether the lens looks into them."""

from __future__ import annotations

import numpy as np

from shootlint.physics import flash
from shootlint.readings.axes import INDEX, Array, along
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.lights import NO_LIGHT, NUMBERS
from shootlint.readings.scene import Scene


@reading("deg", "light", formula="angle at the light between the directions to where it aims and to the lens", source="geometry",
         holds_for="lights that aim at the middle of the heads or at the person named")  # fmt: skip
def lens_from_aim(
    light_across: Array,
    light_away: Array,
    light_height: Array,
    aim_across: Array,
    aim_away: Array,
    aim_height: Array,
    camera_height: Array,
) -> Array:
    """How far from a light's aim the lens is, as the light sees it; a light from behind that sees the lens veils the picture."""
    aim = (aim_across - light_across, aim_away - light_away, aim_height - light_height)
    lens = (-light_across, -light_away, camera_height - light_height)
    dot = sum(one * two for one, two in zip(aim, lens, strict=True))
    lengths = np.sqrt(sum(each**2 for each in aim) * sum(each**2 for each in lens))
    # From a light that stands where the lens is, the lens is in no direction.
    return np.degrees(np.arccos(np.clip(dot / np.where(lengths > 0, lengths, np.nan), -1, 1)))


@given("1", "light", asks="a light placed in the setup")
def aimed_at(scene: Scene) -> Array | Missing:
    """Which person a light aims at, by place; unknown to one that aims at the middle of the heads."""
    names = [sitter.name for sitter in scene.sitters]
    places = [float(names.index(lamp.placement.aim)) if lamp.placement.aim is not None else -1.0 for lamp in scene.lamps]
    return along("light", places) if places else NO_LIGHT


def _aim(values: Array, aimed_at: Array) -> Array:
    """A quantity of people at the one that each light aims at, or its mean where it aims at all."""
    axis = INDEX["person"]
    values = np.broadcast_to(values, np.broadcast_shapes(values.shape, aimed_at.shape))
    places = np.broadcast_to(np.maximum(aimed_at, 0), (*values.shape[:axis], 1, *values.shape[axis + 1 :])).astype(np.intp)
    one = np.take_along_axis(values, np.minimum(places, values.shape[axis] - 1), axis=axis)
    return np.where(aimed_at >= 0, one, values.mean(axis=axis, keepdims=True))


@reading("m", "light", formula="sideways of whom it aims at, or the mean of all", source="definition")
def aim_across(sideways: Array, aimed_at: Array) -> Array:
    """How far to the right of the camera's axis a light aims."""
    return _aim(sideways, aimed_at)


@reading("m", "light", formula="row distance of whom it aims at, or the mean of all", source="definition")
def aim_away(row_distance: Array, aimed_at: Array) -> Array:
    """How far from the camera a light aims."""
    return _aim(row_distance, aimed_at)


@reading("m", "light", formula="eye height of whom it aims at, or the mean of all", source="definition")
def aim_height(eye_height: Array, aimed_at: Array) -> Array:
    """How high above the ground a light aims."""
    return _aim(eye_height, aimed_at)


@reading("m", "light", formula="from the middle of the modifier to where it aims, through the air", source="geometry")
def aim_distance(
    light_across: Array,
    light_away: Array,
    light_height: Array,
    aim_across: Array,
    aim_away: Array,
    aim_height: Array,
) -> Array:
    """How far it is from a light to where it aims."""
    return np.sqrt((aim_across - light_across) ** 2 + (aim_away - light_away) ** 2 + (aim_height - light_height) ** 2)


@reading(
    "m", "light", formula="where the inverse square and the area factor together give twice as much as at the aim", source=NUMBERS
)
def stop_more_at(aim_distance: Array, modifier_width: Array, modifier_height: Array, modifier_round: Array) -> Array:
    """How far from a light, on its axis, it gives a stop more than where it aims; nowhere before a large face that is near."""
    return flash.distance_for_change(1.0, aim_distance, modifier_width, modifier_height, modifier_round)


@reading(
    "m", "light", formula="where the inverse square and the area factor together give half as much as at the aim", source=NUMBERS
)
def stop_less_at(aim_distance: Array, modifier_width: Array, modifier_height: Array, modifier_round: Array) -> Array:
    """How far from a light, on its axis, it gives a stop less than where it aims."""
    return flash.distance_for_change(-1.0, aim_distance, modifier_width, modifier_height, modifier_round)
