"""Stands in the wind: when one tips, and the ballast that holds it."""

from __future__ import annotations

import numpy as np

from shootlint.language.model.kit import MODIFIERS
from shootlint.language.values import Quantity
from shootlint.physics import body, wind
from shootlint.readings.axes import Array, least, most
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.lights import each_lamp
from shootlint.readings.scene import Lamp, Scene

STATICS = "moments about the line between two of three feet; drag coefficients of plates and cups from handbook tables"
CAUTION = "a stiff stand on level ground; real ones go earlier, and their makers' documentation rules"
SAFETY_FACTOR = 1.5

DRAG = dict(
    zip(
        MODIFIERS,
        ("bare", "reflector", "dish", "softbox", "octagon", "strip", "umbrella", "softbox", "lantern", "plate"),
        strict=True,
    )
)
"""Which drag coefficient each modifier has."""


@given("kg", "light", asks="placement stand")
def stand_mass(scene: Scene) -> Array | Missing:
    """Mass of the stand alone."""
    return each_lamp(scene, lambda lamp: lamp.stand.mass.value if lamp.stand is not None else np.nan)


@given("m", "light", asks="placement stand")
def stand_spread(scene: Scene) -> Array | Missing:
    """Diameter of the circle on which the stand's feet stand."""
    return each_lamp(scene, lambda lamp: lamp.stand.spread.value if lamp.stand is not None else np.nan)


@given("kg", "light", asks="light mass")
def light_mass(scene: Scene) -> Array | Missing:
    """Mass of a light with its modifier, as it sits on the stand."""
    return each_lamp(scene, lambda lamp: lamp.light.mass.value if lamp.light.mass is not None else np.nan)


@given("kg", "light", asks="a light placed in the setup")
def bag(scene: Scene) -> Array | Missing:
    """Ballast that the stand carries."""
    return each_lamp(scene, lambda lamp: lamp.placement.bag.value if lamp.placement.bag is not None else 0.0)


@given("1", "light", asks="light modifier")
def drag(scene: Scene) -> Array | Missing:
    """Drag coefficient of a light's modifier."""
    return each_lamp(
        scene, lambda lamp: wind.DRAG_COEFFICIENTS[DRAG[lamp.light.modifier.kind]] if lamp.light.modifier is not None else np.nan
    )


@given("1", "light", asks="light modifier")
def wind_area(scene: Scene) -> Array | Missing:
    """Area in square metres that a light's modifier holds into the wind."""
    return each_lamp(scene, _area)


BARE_AREA = 0.03


def _area(lamp: Lamp) -> float:
    modifier = lamp.light.modifier
    if modifier is None:
        return np.nan
    if modifier.size is None:
        return BARE_AREA
    area = modifier.size.width.value * modifier.size.height.value
    return area * np.pi / 4 if modifier.size.is_round else area


def metres_per_second(speed: Quantity) -> float:
    return float(wind.beaufort_speed(speed.value)) if speed.kind == "wind force" else speed.value


@given("m/s", asks="weather wind")
def wind_mean(scene: Scene) -> float | None:
    """The mean wind."""
    told = scene.plan.weather.wind if scene.plan.weather is not None else None
    return metres_per_second(told.mean) if told is not None else None


@given("m/s", asks="weather wind gusts")
def gusts_told(scene: Scene) -> float | None:
    """The strongest gust that the plan expects."""
    told = scene.plan.weather.wind if scene.plan.weather is not None else None
    return metres_per_second(told.gusts) if told is not None and told.gusts is not None else None


@given("C", asks="weather air")
def air_temperature(scene: Scene) -> float | None:
    """How warm the air is."""
    told = scene.plan.weather.air if scene.plan.weather is not None else None
    return told.value if told is not None else None


USUAL_GUST_FACTOR = 1.5


@reading("m/s", formula="the gusts told, else 1.5 times the mean wind", source="a gust of 3 s over the mean of 10 min in open country: Harper, Kepert & Ginger, WMO guidelines (2008)",
         uncertainty="1.9 times and more among houses")  # fmt: skip
def gust(wind_mean: Array, gusts_told: Array | None = None) -> Array:
    """The strongest gust to reckon with."""
    return gusts_told if gusts_told is not None else USUAL_GUST_FACTOR * wind_mean


@reading("m/s", "light", formula="sqrt(m g arm / (1/2 ρ Cd A h)), arm half the foot radius", source=STATICS, uncertainty=CAUTION)
def stand_tips_at(
    stand_mass: Array, light_mass: Array, bag: Array, stand_spread: Array, wind_area: Array, light_height: Array, drag: Array,
    air_temperature: Array | None = None,
) -> Array:  # fmt: skip
    """The gust at which a stand tips over, toward its worst side, with the bag that it carries."""
    mass = stand_mass + light_mass + bag
    return wind.tipping_speed(mass, wind.lever_arm(stand_spread / 2), wind_area, light_height, drag, _density(air_temperature))


@reading(
    "kg",
    "light",
    formula="1.5 × 1/2 ρ Cd A v² h / (g arm) - the masses of stand and light",
    source=f"{STATICS}; the factor of 1.5 is common practice, no source",
    uncertainty=CAUTION,
)
def bag_needed(
    gust: Array, stand_mass: Array, light_mass: Array, stand_spread: Array, wind_area: Array, light_height: Array, drag: Array,
    air_temperature: Array | None = None,
) -> Array:  # fmt: skip
    """The ballast that holds a stand in the gusts with a half to spare."""
    mass = stand_mass + light_mass
    arm = wind.lever_arm(stand_spread / 2)
    return wind.ballast_needed(gust, SAFETY_FACTOR, mass, arm, wind_area, light_height, drag, _density(air_temperature))


def _density(air_temperature: Array | None) -> Array | float:
    return wind.STANDARD_AIR_DENSITY if air_temperature is None else wind.air_density(air_temperature + 273.15)


@given("yes", asks="a light placed in the setup")
def stands_used(scene: Scene) -> float:
    """Whether any light stands on a stand."""
    return float(any(lamp.stand is not None for lamp in scene.lamps))


def _hazard(scene: Scene, kind: str) -> float | None:
    """How far the nearest hazard of a kind is; infinite where the site has none, unknown where there is no site."""
    if scene.plan.site is None:
        return None
    return min((each.away.value for each in scene.plan.site.hazard if each.kind == kind), default=np.inf)


@given("m", asks="site hazard")
def overhead_line_away(scene: Scene) -> float | None:
    """How far the nearest overhead line is; infinite where the plan names none."""
    return _hazard(scene, "overhead line")


@given("m", asks="site hazard")
def water_away(scene: Scene) -> float | None:
    """How far the nearest water is; infinite where the plan names none."""
    return _hazard(scene, "water")


@given("m", asks="site hazard")
def traffic_away(scene: Scene) -> float | None:
    """How far the nearest traffic is; infinite where the plan names none."""
    return _hazard(scene, "traffic")


@given("m", asks="site hazard")
def slope_away(scene: Scene) -> float | None:
    """How far the nearest slope is; infinite where the plan names none."""
    return _hazard(scene, "slope")


@given("m", asks="site hazard")
def crowd_away(scene: Scene) -> float | None:
    """How far the nearest crowd is; infinite where the plan names none."""
    return _hazard(scene, "crowd")


@given("1", asks="a light placed in the setup")
def lights_used(scene: Scene) -> float:
    """How many lights the setup has."""
    return float(len(scene.lamps))


@given("kg", "light", asks="stand carries")
def stand_carries(scene: Scene) -> Array | Missing:
    """The load that the stand's maker allows."""
    return each_lamp(
        scene, lambda lamp: lamp.stand.carries.value if lamp.stand is not None and lamp.stand.carries is not None else np.nan
    )


@given("m", "light", asks="stand highest")
def stand_highest(scene: Scene) -> Array | Missing:
    """How high the stand goes."""
    return each_lamp(
        scene, lambda lamp: lamp.stand.highest.value if lamp.stand is not None and lamp.stand.highest is not None else np.nan
    )


@reading(
    "kg",
    "light",
    formula="the mass of the light with its modifier",
    source="makers' figures are for what sits on top; ballast hangs low and is not counted",
)
def stand_load(light_mass: Array) -> Array:
    """What a stand has to carry on top."""
    return light_mass


@reading(
    "newton",
    "light",
    formula="1/2 ρ Cd A v² in the gusts",
    source="drag coefficients of plates and cups from handbook tables",
    uncertainty="a third either way",
)
def wind_load(gust: Array, wind_area: Array, drag: Array, air_temperature: Array | None = None) -> Array:
    """The push of the gusts on a light's modifier."""
    return wind.wind_force(wind_area, gust, drag, _density(air_temperature))


@reading("m", "light", formula="the height of the light's middle", source="a falling stand turns about its feet; common practice")
def fall_radius(light_height: Array) -> Array:
    """How far from its foot a falling stand strikes."""
    return light_height


@reading("m", "light", formula="the least distance along the ground from the stand to a person", source="geometry")
def nearest_person(light_across: Array, light_away: Array, sideways: Array, row_distance: Array) -> Array:
    """How near to a stand somebody in the picture is."""
    return least(np.hypot(light_across - sideways, light_away - row_distance), "person")


@reading("cm", formula="the greatest support height of those who stand", source="definition")
def highest_support(support_height: Array, pose: Array) -> Array:
    """The height of the highest step, stool or bench that somebody stands on."""
    return most(np.where(pose == body.POSES.index("standing"), support_height, 0.0), "person")
