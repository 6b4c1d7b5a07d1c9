"""Stands in the wind: when one tips, and the ballast that holds it."""

from __future__ import annotations

import numpy as np

from shootlint.language.model.kit import MODIFIERS
from shootlint.language.values import Quantity
from shootlint.physics import wind
from shootlint.readings.axes import Array
from shootlint.readings.catalogue import given, reading
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
def stand_mass(scene: Scene) -> Array | None:
    """Mass of the stand alone."""
    return each_lamp(scene, lambda lamp: lamp.stand.mass.value if lamp.stand is not None else np.nan)


@given("m", "light", asks="placement stand")
def stand_spread(scene: Scene) -> Array | None:
    """Diameter of the circle on which the stand's feet stand."""
    return each_lamp(scene, lambda lamp: lamp.stand.spread.value if lamp.stand is not None else np.nan)


@given("kg", "light", asks="light mass")
def light_mass(scene: Scene) -> Array | None:
    """Mass of a light with its modifier, as it sits on the stand."""
    return each_lamp(scene, lambda lamp: lamp.light.mass.value if lamp.light.mass is not None else np.nan)


@given("kg", "light", asks="a light placed in the setup")
def bag(scene: Scene) -> Array | None:
    """Ballast that the stand carries."""
    return each_lamp(scene, lambda lamp: lamp.placement.bag.value if lamp.placement.bag is not None else 0.0)


@given("1", "light", asks="light modifier")
def drag(scene: Scene) -> Array | None:
    """Drag coefficient of a light's modifier."""
    return each_lamp(
        scene, lambda lamp: wind.DRAG_COEFFICIENTS[DRAG[lamp.light.modifier.kind]] if lamp.light.modifier is not None else np.nan
    )


@given("1", "light", asks="light modifier")
def wind_area(scene: Scene) -> Array | None:
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
