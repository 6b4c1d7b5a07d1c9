"""Daylight on the faces: the sun's place, what shades the group, and the light that a meter toward the camera would read."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import ReferenceType, ref

import numpy as np

from shootlint.language.model.place import SKIES
from shootlint.physics import daylight, exposure, sun
from shootlint.physics.arrays import look_up
from shootlint.physics.sky_condition import DIRECT_KEPT
from shootlint.readings.axes import INDEX, Array, Mask, along, truth
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

SUN = "Meeus, Astronomical Algorithms (2nd ed. 1998), chapter 25; checked against the NREL solar position algorithm"
SKY = "twilight polynomial of the Explanatory Supplement to the Astronomical Almanac (1992); split into sun and sky by USNO Circular 171 (1987)"
USUAL_REFLECTANCE = 0.2
OBSTRUCTION = INDEX["obstruction"]
METER = INDEX["meter"]


@given("deg", asks="site position")
def latitude(scene: Scene) -> float | None:
    """Latitude of the site, north positive."""
    position = scene.plan.site.position if scene.plan.site is not None else None
    return position.latitude if position is not None else None


@given("deg", asks="site position")
def longitude(scene: Scene) -> float | None:
    """Longitude of the site, east positive."""
    position = scene.plan.site.position if scene.plan.site is not None else None
    return position.longitude if position is not None else None


@given("deg", asks="setup facing")
def facing(scene: Scene) -> float | None:
    """Where the lens points."""
    return scene.setup.facing.value if scene.setup.facing is not None else None


@given("1", asks="weather sky", words=SKIES)
def sky(scene: Scene) -> float | None:
    """What covers the sky."""
    told = scene.plan.weather.sky if scene.plan.weather is not None else None
    return float(SKIES.index(told)) if told is not None else None


@given("%", asks="site ground")
def ground_reflectance(scene: Scene) -> float | None:
    """Share of the light that the ground throws back."""
    ground = scene.plan.site.ground if scene.plan.site is not None else None
    return daylight.GROUND_REFLECTANCE[ground] if ground is not None else None


@given("deg", "obstruction", asks="site shade")
def shade_from(scene: Scene) -> Array | None:
    """Bearing at which each thing that casts shade begins, clockwise."""
    shades = scene.plan.site.shade if scene.plan.site is not None else ()
    return along("obstruction", [each.bearing.low.value for each in shades]) if shades else None


@given("deg", "obstruction", asks="site shade")
def shade_to(scene: Scene) -> Array | None:
    """Bearing at which each thing that casts shade ends."""
    shades = scene.plan.site.shade if scene.plan.site is not None else ()
    return along("obstruction", [each.bearing.high.value for each in shades]) if shades else None


@given("deg", "obstruction", asks="site shade")
def shade_top(scene: Scene) -> Array | None:
    """How high above the horizon each thing that casts shade reaches."""
    shades = scene.plan.site.shade if scene.plan.site is not None else ()
    return along("obstruction", [each.up_to.value for each in shades]) if shades else None


@dataclass(frozen=True)
class _Places:
    """Places of the sun, kept as long as the instants for which they were worked out."""

    instant: ReferenceType[Array]
    latitude: Array
    longitude: Array
    found: tuple[Array, Array]


_last: _Places | None = None


def _place_of_the_sun(instant: Array, latitude: Array, longitude: Array) -> tuple[Array, Array]:
    """Altitude and bearing. Nearly all that they take is the same, and a graph asks for one right after the other."""
    global _last
    last = _last
    if last is None or last.instant() is not instant or last.latitude is not latitude or last.longitude is not longitude:
        last = _last = _Places(ref(instant), latitude, longitude, sun.sun_position(instant, latitude, longitude))
    return last.found


@reading("deg", "minute", formula="the sun's ecliptic longitude turned to the site's horizon", source=SUN,
         holds_for="the years 1900 to 2100", uncertainty="0.02 deg, far less than refraction near the horizon varies")  # fmt: skip
def sun_altitude(instant: Array, latitude: Array, longitude: Array) -> Array:
    """Height of the sun's centre above a level horizon, geometric, without refraction."""
    return _place_of_the_sun(instant, latitude, longitude)[0]


@reading("deg", "minute", formula="the sun's ecliptic longitude turned to the site's horizon", source=SUN,
         holds_for="the years 1900 to 2100", uncertainty="0.02 deg, more with the sun near the zenith")  # fmt: skip
def sun_bearing(instant: Array, latitude: Array, longitude: Array) -> Array:
    """Where the sun stands, clockwise from true north."""
    return _place_of_the_sun(instant, latitude, longitude)[1]


@reading("deg", "minute", formula="the angle between sun bearing and facing, 0 to 180", source="definition")
def sun_angle(sun_bearing: Array, facing: Array) -> Array:
    """How far to the side of the camera's axis the sun stands, along the horizon: 0 is ahead, 180 behind the camera."""
    return sun.separation_of_bearings(sun_bearing, facing)


def lit_by_sun(
    altitude: Array, bearing: Array, shade_from: Array | None, shade_to: Array | None, shade_top: Array | None
) -> Array:
    """Whether the sun's centre, as refraction lifts it, stands clear of the horizon and of everything that casts shade."""
    apparent = sun.apparent_altitude(altitude)
    clear = apparent > 0
    if shade_from is None or shade_to is None or shade_top is None:
        return truth(clear)
    hidden = sun.bearing_in_sector(bearing, shade_from, shade_to) & (apparent <= shade_top)
    return truth(clear & ~hidden.any(axis=OBSTRUCTION, keepdims=True))


@reading("yes", "minute", formula="the sun is above the horizon and above every declared thing at its bearing", source="geometry; refraction by Saemundsson's formula",
         uncertainty="trees let light through and grow; a skyline read by eye is good to about 2 deg (common practice, no source)")  # fmt: skip
def sunlit(
    sun_altitude: Array,
    sun_bearing: Array,
    shade_from: Array | None = None,
    shade_to: Array | None = None,
    shade_top: Array | None = None,
) -> Array:
    """Whether the sun reaches the group."""
    return lit_by_sun(sun_altitude, sun_bearing, shade_from, shade_to, shade_top)


def behind_cloud(sky: Array | None) -> Mask | bool:
    """Whether the sky lets no sunlight through. Where the plan does not tell the sky the sun is reckoned with."""
    return False if sky is None else look_up(DIRECT_KEPT, sky) == 0


@reading(
    "yes",
    "minute",
    formula="sunlit, no closed cloud before the sun, and the sun more than 90 deg from the camera's axis",
    source="definition",
)
def sun_on_faces(sunlit: Array, sun_angle: Array, sky: Array | None = None) -> Array:
    """Whether the sun shines on faces that are turned to the camera."""
    return truth((sunlit > 0) & (sun_angle > 90) & ~np.asarray(behind_cloud(sky)))


@reading("lx", "minute", formula="twilight polynomial of the sun's altitude, divided by what the sky's cover takes", source=SKY,
         uncertainty="0.5 stop under a clear sky, 1 stop under cloud")  # fmt: skip
def level_light(sun_altitude: Array, sky: Array) -> Array:
    """Light of sun and sky together on open level ground."""
    return daylight.horizontal_illuminance(daylight.daylight_altitude(sun_altitude), sky)


@reading("lx", "minute", formula="level light, less the share of it that comes straight from the sun", source=SKY,
         uncertainty="0.5 stop above 10 deg, 1 stop below")  # fmt: skip
def level_skylight(sun_altitude: Array, sky: Array) -> Array:
    """Light of the sky alone on open level ground."""
    return daylight.sky_illuminance_horizontal(daylight.daylight_altitude(sun_altitude), sky)


@reading("lx", "minute", formula="level light × the sun's share of it / sine of the sun's altitude", source=SKY,
         uncertainty="0.5 stop above 10 deg, 1 stop below")  # fmt: skip
def sun_beam(sun_altitude: Array, sky: Array) -> Array:
    """Light straight from the sun on a plane that faces it, where nothing but the sky stands before it."""
    return daylight.direct_normal_illuminance(daylight.daylight_altitude(sun_altitude), sky)


def sky_on_faces(
    level: Array, facing: Array, sky: Array, shade_from: Array | None, shade_to: Array | None, shade_top: Array | None
) -> Array:
    """Skylight on an upright plane at the group that faces the camera, less what stands before the sky, in lux."""
    share = daylight.vertical_sky_share(sky)
    if shade_from is not None and shade_to is not None and shade_top is not None:
        blocked = daylight.skyline_blocked_share(shade_from, shade_to, shade_top, facing + 180)
        share = share * (1 - np.minimum(blocked.sum(axis=OBSTRUCTION, keepdims=True), 1))
    return level * share


def ground_on_faces(light: Array, skylight: Array, lit: Array, reflectance: Array | None) -> Array:
    """Light that the ground throws up at an upright plane, in lux; sunlit ground only where the sun reaches the group."""
    level = skylight + lit * (light - skylight)
    return daylight.ground_illuminance_on_vertical(level, USUAL_REFLECTANCE if reflectance is None else reflectance)


@reading("lx", "minute", formula="sun's light at right angles to it × cosine to a plane toward the camera, while the sun reaches the group", source=SKY,
         uncertainty="0.5 stop under a clear sky")  # fmt: skip
def direct_light(sun_beam: Array, sun_altitude: Array, sun_bearing: Array, sunlit: Array, facing: Array) -> Array:
    """Sunlight on faces that are turned to the camera."""
    return sunlit * daylight.direct_on_plane(sun_beam, sun_altitude, sun_bearing, facing + 180)


@reading("lx", "minute", formula="level skylight × the share that an upright plane sees, less what stands before it", source=SKY,
         uncertainty="0.5 stop low to 1.5 stops high at dusk, when the sky is uneven (from memory)")  # fmt: skip
def sky_light(
    level_skylight: Array,
    facing: Array,
    sky: Array,
    shade_from: Array | None = None,
    shade_to: Array | None = None,
    shade_top: Array | None = None,
) -> Array:
    """Skylight on faces that are turned to the camera. Walls and trees are taken as dark."""
    return sky_on_faces(level_skylight, facing, sky, shade_from, shade_to, shade_top)


@reading(
    "lx",
    "minute",
    formula="half the level light × the ground's reflectance",
    source="an endless even ground; reflectances from handbooks and memory",
)
def ground_light(level_light: Array, level_skylight: Array, sunlit: Array, ground_reflectance: Array | None = None) -> Array:
    """Light from the ground on faces."""
    return ground_on_faces(level_light, level_skylight, sunlit, ground_reflectance)


@given("EV", "meter", asks="meter")
def meter_reading(scene: Scene) -> Array | None:
    """What the scout's meter read, toward the camera."""
    return along("meter", [meter.reading.value for meter in scene.plan.meter]) if scene.plan.meter else None


@reading("stops", "meter", formula="meter reading - the model at that minute", source="definition")
def meter_excess(
    meter_instant: Array,
    meter_reading: Array,
    latitude: Array,
    longitude: Array,
    facing: Array,
    sky: Array,
    ground_reflectance: Array | None = None,
    shade_from: Array | None = None,
    shade_to: Array | None = None,
    shade_top: Array | None = None,
) -> Array:
    """How much more light the scout's meter read than the model has at that minute."""
    altitude, bearing = sun.sun_position(meter_instant, latitude, longitude)
    lit = lit_by_sun(altitude, bearing, shade_from, shade_to, shade_top)
    skylight = level_skylight(altitude, sky)
    light = (
        direct_light(sun_beam(altitude, sky), altitude, bearing, lit, facing)
        + sky_on_faces(skylight, facing, sky, shade_from, shade_to, shade_top)
        + ground_on_faces(level_light(altitude, sky), skylight, lit, ground_reflectance)
    )
    return meter_reading - exposure.illuminance_to_ev(light)


@reading(
    "stops",
    "minute",
    formula="meter excess, in a straight line between readings and level beyond the first and the last",
    source="common practice, no source",
)
def meter_correction(instant: Array, meter_instant: Array, meter_excess: Array) -> Array:
    """What the scout's readings add to the model at each minute."""
    times = meter_instant.ravel()
    order = np.argsort(times)
    total = np.zeros_like(instant)
    for place in range(times.size):
        weight = np.interp(instant, times[order], (order == place).astype(np.float64))
        total = total + weight * np.take(meter_excess, [place], axis=METER)
    return total


@reading("EV", "minute", formula="log2(100 E / 250) of sun, sky and ground together, plus the meter's correction", source=f"{SKY}; incident constant C = 250 lx s, ISO 2720:1974",
         uncertainty="0.7 stop without a meter reading, 0.3 stop near one (common practice, no source)")  # fmt: skip
def ambient(direct_light: Array, sky_light: Array, ground_light: Array, meter_correction: Array | None = None) -> Array:
    """The daylight on faces that are turned to the camera, as EV at ISO 100."""
    modelled = exposure.illuminance_to_ev(direct_light + sky_light + ground_light)
    return modelled if meter_correction is None else modelled + meter_correction


@reading("stops", "minute", formula="ambient - setting - filter loss", source="definition")
def ambient_over_setting(ambient: Array, setting: Array, filter_loss: Array) -> Array:
    """How far the daylight on faces lies over the camera's setting; negative where it is darker."""
    return ambient - setting - filter_loss
