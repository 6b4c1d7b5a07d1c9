"""The lights: how much each one gives each person, in what colour, and what it would take."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from shootlint.language.model.setup import ROLES
from shootlint.physics import colour, exposure, flash
from shootlint.readings.axes import INDEX, Array, along, least, mean
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.scene import Lamp, Scene

NUMBERS = "ISO 1230:1992; inverse square with the on-axis correction for a source with size (Lambertian, uniform)"


@given("1", "light", asks="a light placed in the setup", words=ROLES)
def role(scene: Scene) -> Array | Missing:
    """What a light is for."""
    return each_lamp(scene, lambda lamp: ROLES.index(lamp.placement.role))


@given("deg", "light", asks="a light placed in the setup")
def light_angle(scene: Scene) -> Array | Missing:
    """Where a light stands as seen from the group: 0 beside the camera, 180 behind the group, right positive."""
    return each_lamp(scene, lambda lamp: lamp.placement.angle.angle)


@given("m", "light", asks="a light placed in the setup")
def light_distance(scene: Scene) -> Array | Missing:
    """How far a light stands from the middle of the front row, along the ground."""
    return each_lamp(scene, lambda lamp: lamp.placement.distance.value)


@given("m", "light", asks="a light placed in the setup")
def light_height(scene: Scene) -> Array | Missing:
    """Height of the middle of a light's modifier above the ground."""
    return each_lamp(scene, lambda lamp: lamp.placement.height.value)


@given("of full power", "light", asks="a light placed in the setup")
def power(scene: Scene) -> Array | Missing:
    """What a light is set to, as a share of its full output."""
    return each_lamp(scene, lambda lamp: lamp.placement.power.value)


@given("of full power", "light", asks="a light placed in the setup")
def least_power(scene: Scene) -> Array | Missing:
    """The least that a light can be set to."""
    return each_lamp(scene, lambda lamp: lamp.light.least_power.value)


@given("stops", "light", asks="a light placed in the setup")
def gel_loss(scene: Scene) -> Array | Missing:
    """What the gels take from a light."""
    return each_lamp(scene, lambda lamp: sum(gel.loses.value for gel in lamp.gels))


@given("mired", "light", asks="a light placed in the setup")
def gel_shift(scene: Scene) -> Array | Missing:
    """How far the gels move a light's colour; positive is warmer."""
    return each_lamp(scene, lambda lamp: sum(gel.shift.value for gel in lamp.gels))


@given("K", "light", asks="light colour")
def light_colour_bare(scene: Scene) -> Array | Missing:
    """A light's colour without gels."""
    return each_lamp(scene, lambda lamp: lamp.light.colour.value if lamp.light.colour is not None else np.nan)


@given("m", "light", asks="light modifier")
def modifier_width(scene: Scene) -> Array | Missing:
    """Width of a light's modifier, or its diameter; 0 for a bare tube."""
    return each_lamp(scene, lambda lamp: _side(lamp, 0))


@given("m", "light", asks="light modifier")
def modifier_height(scene: Scene) -> Array | Missing:
    """Height of a light's modifier, or its diameter; 0 for a bare tube."""
    return each_lamp(scene, lambda lamp: _side(lamp, 1))


@given("yes", "light", asks="light modifier")
def modifier_round(scene: Scene) -> Array | Missing:
    """Whether a light's modifier is round."""
    return each_lamp(scene, lambda lamp: float(_is_round(lamp)))


NO_LIGHT = Missing("a light placed in the setup")


def each_lamp(scene: Scene, number: Callable[[Lamp], float]) -> Array | Missing:
    """A number of each light along their axis. Without lights nothing else is lacking than a light."""
    return along("light", [number(lamp) for lamp in scene.lamps]) if scene.lamps else NO_LIGHT


def chosen_lamps(scene: Scene, *roles: str) -> Array | Missing | None:
    """Which lights have one of these roles; None where no light has."""
    chosen = [lamp.placement.role in roles for lamp in scene.lamps]
    return along("light", chosen) if any(chosen) else None if chosen else NO_LIGHT


def _is_round(lamp: Lamp) -> bool:
    size = lamp.light.modifier.size if lamp.light.modifier is not None else None
    return size is None or size.is_round


def _side(lamp: Lamp, which: int) -> float:
    modifier = lamp.light.modifier
    if modifier is None:
        return np.nan
    if modifier.size is None:
        return 0.0
    return (modifier.size.width.value, modifier.size.height.value)[which]


def area_factor_at(width: Array, height: Array, is_round: Array, distance: Array) -> Array:
    """Light from a source with size over what the inverse square of the distance alone would give."""
    return np.where(is_round > 0, flash.disc_factor(width, distance), flash.rectangle_factor(width, height, distance))


@given("m", "light", asks="light metered or guide")
def guide_number(scene: Scene) -> Array | Missing:
    """Guide number of a light at full power and ISO 100, far away; worked back from a meter reading where one is told."""
    return each_lamp(scene, _guide_number)


@given("yes", "light", asks="a light placed in the setup")
def light_metered(scene: Scene) -> Array | Missing:
    """Whether a light's output is told by a meter reading, taken with its modifier on, and not by a guide number."""
    return each_lamp(scene, lambda lamp: float(lamp.light.metered is not None))


def _guide_number(lamp: Lamp) -> float:
    metered, guide = lamp.light.metered, lamp.light.guide
    if metered is None:
        return guide.value if guide is not None else np.nan
    # Without a modifier told, the reading is taken as that of a small source.
    width, height = (np.nan_to_num(np.array(_side(lamp, which))) for which in (0, 1))
    factor = area_factor_at(width, height, np.array(_is_round(lamp)), np.array(metered.distance.value))
    return float(flash.from_metered(exposure.exact_f_number(metered.aperture.value), metered.distance.value, factor))


@given("stops", "light", asks="light high-speed-sync")
def high_speed_sync_loss_told(scene: Scene) -> Array | Missing:
    """What high-speed sync costs a light at the sync speed; unknown to a light that cannot do it."""
    return each_lamp(
        scene, lambda lamp: lamp.light.high_speed_sync.loses.value if lamp.light.high_speed_sync is not None else np.nan
    )


@given("yes", "light", asks="a light placed in the setup")
def high_speed_sync(scene: Scene) -> Array | Missing:
    """Whether a light may fire above the sync speed."""
    return each_lamp(scene, lambda lamp: float(lamp.light.high_speed_sync is not None))


@reading("stops", "light", formula="0 down to the sync speed; beyond it what the light's maker tells, and a stop for each stop of shutter",
         source="a flat pulse that outlasts the curtains loses with the slit; the first loss is as told",
         uncertainty="0.5 stop between makes (common practice, no source)")  # fmt: skip
def high_speed_sync_loss(shutter: Array, sync_time: Array, high_speed_sync_loss_told: Array | None = None) -> Array:
    """What a light loses when it fires above the sync speed. A light that cannot do it loses nothing but does not reach all of the frame."""
    shortest = least(shutter, "minute")
    if high_speed_sync_loss_told is None:
        return np.zeros_like(shortest)
    beyond = np.log2(sync_time / shortest)
    return np.where(
        (beyond > 1e-9) & ~np.isnan(high_speed_sync_loss_told), np.nan_to_num(high_speed_sync_loss_told) + beyond, 0.0
    )


@reading(
    "m",
    "light",
    "person",
    formula="from the middle of the modifier to the middle of the head, through the air",
    source="geometry",
)
def light_to_person(
    light_angle: Array,
    light_distance: Array,
    light_height: Array,
    sideways: Array,
    row_distance: Array,
    head_distance: Array,
    crown_height: Array,
    chin_height: Array,
) -> Array:
    """How far a light is from a person's head."""
    turn = np.radians(light_angle)
    across = light_distance * np.sin(turn) - sideways
    front = least(row_distance, "person")
    along_axis = (front - light_distance * np.cos(turn)) - head_distance
    up = light_height - (crown_height + chin_height) / 2
    return np.sqrt(across**2 + along_axis**2 + up**2)


@reading(
    "1",
    "light",
    "person",
    formula="disc: 1 / (1 + (a / d)²); rectangle: the on-axis integral",
    source="uniform Lambertian source; IES LS-1 9.1.1 and CIE 17-25-104 for the law far away",
)
def area_factor(light_to_person: Array, modifier_width: Array, modifier_height: Array, modifier_round: Array) -> Array:
    """Light from a modifier with size over what the inverse square alone would give; 1 far away."""
    return area_factor_at(modifier_width, modifier_height, modifier_round, light_to_person)


@reading("stops", "light", "person", formula="2 log2(GN sqrt(ISO / 100) / (d N)) + log2(area factor) - gel, filter and high-speed sync losses", source=NUMBERS,
         uncertainty="0.5 stop between units, modifiers and batteries (common practice, no source)")  # fmt: skip
def flash_at_full(
    guide_number: Array,
    light_to_person: Array,
    aperture: Array,
    iso: Array,
    area_factor: Array,
    gel_loss: Array,
    filter_loss: Array,
    high_speed_sync_loss: Array,
) -> Array:
    """How far a light at full power lies over the camera's setting at a person, metered toward the light."""
    return (
        flash.flash_exposure(guide_number, light_to_person, aperture, iso, 1.0, area_factor)
        - gel_loss
        - filter_loss
        - high_speed_sync_loss
    )


@reading(
    "stops",
    "light",
    "person",
    formula="flash at full power + log2(power)",
    source=NUMBERS,
    uncertainty="0.5 stop between units, modifiers and batteries (common practice, no source)",
    name="flash",
)
def flash_on_person(flash_at_full: Array, power: Array) -> Array:
    """How far a light lies over (+) or under (-) the camera's setting at a person, metered toward the light."""
    return flash_at_full + np.log2(power)


@reading("1", "light", formula="2 to the power of -(mean over people of flash at full power)", source=NUMBERS)
def power_needed(flash_at_full: Array) -> Array:
    """The share of its full power that a light needs to meet the camera's setting at the middle of the group; above 1 it cannot."""
    return flash.power_for_exposure(mean(flash_at_full, "person"))


@reading("stops", "light", formula="mean over people of flash at full power", source=NUMBERS)
def reach(flash_at_full: Array) -> Array:
    """How far over the camera's setting a light would lie at the middle of the group at full power."""
    return mean(flash_at_full, "person")


@given("yes", "light", asks="a light placed as key")
def is_key(scene: Scene) -> Array | Missing | None:
    """Whether a light is a key light."""
    return chosen_lamps(scene, "key")


def together(flash: Array, chosen: Array) -> Array:
    """The flashes of the chosen lights added as light, in stops."""
    total = exposure.add_stops(np.where(chosen > 0, flash, -np.inf), axis=INDEX["light"])
    return np.expand_dims(total, INDEX["light"])


@reading("stops", "person", formula="the key lights' flashes added as light", source="addition of light")
def key_over_setting(flash: Array, is_key: Array) -> Array:
    """How far all key lights together lie over the camera's setting at a person."""
    return together(flash, is_key)


@reading("stops", "person", formula="key over setting - its mean over people", source="definition")
def key_evenness(key_over_setting: Array) -> Array:
    """How much more (+) or less (-) key light a person gets than the group does on the whole."""
    return key_over_setting - mean(key_over_setting, "person")


@reading("stops", "minute", formula="setting + filter loss + mean over people of key over setting - ambient", source="definition")
def ambient_under_key(setting: Array, filter_loss: Array, key_over_setting: Array, ambient: Array) -> Array:
    """How far the daylight on faces lies under the key light; positive where the key is brighter."""
    return setting + filter_loss + mean(key_over_setting, "person") - ambient


@reading(
    "K",
    "light",
    formula="10⁶ / (10⁶ / T + the gels' mired)",
    source="mired: Priest (1932); CIE 15 for colour temperature",
    uncertainty="200 K with power and age of the tube (common practice, no source)",
)
def light_colour(light_colour_bare: Array, gel_shift: Array) -> Array:
    """A light's colour through its gels."""
    return colour.shifted_temperature(light_colour_bare, gel_shift)


@given("K", asks="setup white-balance")
def white_balance(scene: Scene) -> float | None:
    """The colour that is to come out neutral."""
    told = scene.setup.white_balance
    return told.value if told is not None else None


@reading("mired", "light", formula="10⁶ / light colour - 10⁶ / white balance", source="mired: Priest (1932)")
def off_balance(light_colour: Array, white_balance: Array) -> Array:
    """How much warmer (+) or cooler (-) than the white balance a light comes out."""
    return colour.mired(light_colour) - colour.mired(white_balance)


@reading("deg", "light", formula="2 atan(size / 2 / distance), size the square root of width times height", source="geometry")
def softness(
    modifier_width: Array, modifier_height: Array, light_distance: Array, light_height: Array, crown_height: Array
) -> Array:
    """How large a light looks from the middle of the group; the larger, the softer its shadows."""
    away = np.hypot(light_distance, light_height - mean(crown_height, "person"))
    return flash.angular_size(np.sqrt(modifier_width * modifier_height), away)


@reading(
    "m",
    "light",
    formula="mean distance to people × 2^(reach / 2)",
    source=NUMBERS,
    holds_for="modifiers small against the distance",
)
def reaches_to(light_to_person: Array, reach: Array) -> Array:
    """How far from the heads a light could stand and still meet the camera's setting at full power."""
    return mean(light_to_person, "person") * np.exp2(reach / 2)


@reading("stops", formula="mean over people of key over setting", source="definition")
def key_level(key_over_setting: Array) -> Array:
    """How far the key light lies over the camera's setting on the group as a whole."""
    return mean(key_over_setting, "person")


@given("of full power", "light", asks="a light placed in the setup")
def most_power(scene: Scene) -> Array | Missing:
    """The most that a light can be set to."""
    return each_lamp(scene, lambda lamp: lamp.light.most_power.value)


@given("1", asks="a light placed in the setup")
def keys_used(scene: Scene) -> float:
    """How many key lights the setup has."""
    return float(sum(lamp.placement.role == "key" for lamp in scene.lamps))


@given("1", asks="a light placed in the setup")
def rims_used(scene: Scene) -> float:
    """How many rim and hair lights the setup has."""
    return float(sum(lamp.placement.role in ("rim", "hair") for lamp in scene.lamps))


@given("1", asks="light")
def lights_in_kit(scene: Scene) -> float:
    """How many lights the plan's kits hold."""
    return float(len(scene.plan.light))


@given("1", asks="gel")
def gels_in_kit(scene: Scene) -> float:
    """How many gels the plan's kits hold."""
    return float(len(scene.plan.gel))


@reading("stops", formula="the keys' flashes at full power added as light, mean over people", source=NUMBERS)
def key_reach(flash_at_full: Array, is_key: Array) -> Array:
    """How far over the camera's setting all key lights together would lie on the group at full power."""
    return mean(together(flash_at_full, is_key), "person")
