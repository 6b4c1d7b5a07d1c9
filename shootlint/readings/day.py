"""The day around the setup: when the sun rises and sets, golden and blue hour, and when the sun finds the group.

Evening events are looked for in the half day after the sun's highest point and morning events in the half day before
it, so that dusk never comes before its own sunset, wherever on earth and whatever the clock says. What never happens
is without end: later than any time while the sun stays above, earlier than any while it stays below.
"""

from __future__ import annotations

import numpy as np

from shootlint.language import clocks
from shootlint.physics import sun
from shootlint.readings.axes import Array, least, truth
from shootlint.readings.catalogue import given, reading
from shootlint.readings.daylight import SUN, behind_cloud, lit_by_sun
from shootlint.readings.scene import Scene

HALF_DAY = 720
COARSE = 15.0
"""Minutes between the first places at which the day's highest sun is looked for; it rises and sinks once a day."""
GOLDEN_FROM, GOLDEN_TO, BLUE_TO = 6.0, -4.0, -6.0
"""Altitudes of the sun in degrees between which the trade speaks of golden and blue hour (common practice, no source)."""

ON_THE_SUN = f"{SUN}; each minute, and a straight line between"


@given("clock", asks="date and site zone")
def day_start(scene: Scene) -> float | None:
    """Midnight at the site on the morning of the shoot."""
    if scene.plan.date is None or scene.zone is None:
        return None
    return clocks.day(scene.plan.date.date, scene.zone)[0]


@given("clock", asks="date and site zone")
def day_end(scene: Scene) -> float | None:
    """Midnight at the site after the shoot."""
    if scene.plan.date is None or scene.zone is None:
        return None
    return clocks.day(scene.plan.date.date, scene.zone)[1]


@reading("clock", formula="when the sun stands highest between the two midnights", source=ON_THE_SUN)
def solar_noon(day_start: Array, day_end: Array, latitude: Array, longitude: Array) -> Array:
    """When the sun stands highest on the day of the shoot; not known of a day that the calendar there leaves out."""
    minutes = np.arange(0.0, float(((day_end - day_start) / 60).max()) + COARSE, COARSE)
    rough = _highest(np.broadcast_to(minutes, (*day_start.shape, minutes.size)), day_start, day_end, latitude, longitude)
    near = rough[..., None] + np.arange(-COARSE, COARSE + 1.0)
    highest: Array = day_start + 60.0 * _highest(near, day_start, day_end, latitude, longitude)
    return np.where(day_end > day_start, highest, np.nan)


def _highest(minutes: Array, day_start: Array, day_end: Array, latitude: Array, longitude: Array) -> Array:
    """The minute of the day, of those tried, at which the sun stands highest."""
    times = day_start[..., None] + 60.0 * minutes
    altitude = sun.sun_position(times, latitude[..., None], longitude[..., None])[0]
    altitude = np.where((times < day_end[..., None]) & (minutes >= 0), altitude, -np.inf)
    place = np.argmax(altitude, axis=-1)[..., None]
    found: Array = np.take_along_axis(np.broadcast_to(minutes, altitude.shape), place, axis=-1)[..., 0]
    return found


def crossing(solar_noon: Array, latitude: Array, longitude: Array, level: float, evening: bool) -> Array:
    """When the sun passes an altitude in the half day after its highest point, or before it.

    Infinite where it stays above all the while, minus infinite where it stays below.
    """
    way = 60.0 if evening else -60.0

    def over(minutes: Array) -> Array:
        times = solar_noon[..., None] + way * minutes
        return np.asarray(sun.sun_position(times, latitude[..., None], longitude[..., None])[0] - level)

    # Away from noon the sun only sinks, so the minute is looked for in the first of the coarse steps that ends below.
    rough = np.arange(0.0, HALF_DAY + 1, COARSE)
    below = over(rough) < 0
    step = np.maximum(np.argmax(below, axis=-1) - 1, 0)
    minutes = rough[step][..., None] + np.arange(COARSE + 1)
    altitude = over(minutes)
    first = np.maximum(np.argmax(altitude < 0, axis=-1), 1)[..., None]
    here, there = (np.take_along_axis(altitude, place, axis=-1)[..., 0] for place in (first, first - 1))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = there / (there - here)
    found = solar_noon + way * (minutes[..., 0] + first[..., 0] - 1 + share)
    found = np.where(below[..., 0], -np.inf, np.where(below.any(axis=-1), found, np.inf))
    unknown: Array = np.where(np.isnan(altitude[..., 0]), np.nan, found)
    return unknown


@reading("clock", formula="when the sun's altitude rises through -50 arcminutes", source=f"{ON_THE_SUN}; 34' of refraction and 16' of radius: USNO",
         uncertainty="refraction near the horizon moves it by a minute, and by more in the far north and south")  # fmt: skip
def sunrise(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When the sun rises over a level horizon."""
    return crossing(solar_noon, latitude, longitude, sun.SUNRISE_ALTITUDE, evening=False)


@reading("clock", formula="when the sun's altitude falls through -50 arcminutes", source=f"{ON_THE_SUN}; 34' of refraction and 16' of radius: USNO",
         uncertainty="refraction near the horizon moves it by a minute, and by more in the far north and south")  # fmt: skip
def sunset(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When the sun sets under a level horizon."""
    return crossing(solar_noon, latitude, longitude, sun.SUNRISE_ALTITUDE, evening=True)


@reading("clock", formula="when the sun's altitude rises through -6 deg", source=f"{ON_THE_SUN}; civil twilight: USNO")
def civil_dawn(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When civil twilight begins in the morning."""
    return crossing(solar_noon, latitude, longitude, sun.CIVIL_TWILIGHT_ALTITUDE, evening=False)


@reading("clock", formula="when the sun's altitude falls through -6 deg", source=f"{ON_THE_SUN}; civil twilight: USNO")
def civil_dusk(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When civil twilight ends in the evening; it may be after midnight."""
    return crossing(solar_noon, latitude, longitude, sun.CIVIL_TWILIGHT_ALTITUDE, evening=True)


@reading(
    "clock",
    formula="when the sun's altitude falls through 6 deg",
    source=f"{ON_THE_SUN}; the 6 deg are common practice, no source",
)
def golden_hour_starts(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When the evening's golden hour begins."""
    return crossing(solar_noon, latitude, longitude, GOLDEN_FROM, evening=True)


@reading(
    "clock",
    formula="when the sun's altitude falls through -4 deg",
    source=f"{ON_THE_SUN}; the -4 deg are common practice, no source",
)
def golden_hour_ends(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When the evening's golden hour ends and its blue hour begins."""
    return crossing(solar_noon, latitude, longitude, GOLDEN_TO, evening=True)


@reading(
    "clock",
    formula="when the sun's altitude falls through -6 deg",
    source=f"{ON_THE_SUN}; the -6 deg are common practice, no source",
)
def blue_hour_ends(solar_noon: Array, latitude: Array, longitude: Array) -> Array:
    """When the evening's blue hour ends."""
    return crossing(solar_noon, latitude, longitude, BLUE_TO, evening=True)


def _first_minute(
    wanted: bool, instant: Array, latitude: Array, longitude: Array, shades: tuple[Array | None, Array | None, Array | None]
) -> Array:
    """The first minute from the setup's start on at which the group is sunlit, or is not; infinite where none comes in half a day."""
    start = least(instant, "minute")
    first, last = float(np.nanmin(start)), float(np.nanmax(start))
    # Starts that lie whole minutes apart, as they always do within one zone, ask of the same minutes.
    times = first + 60.0 * np.arange((last - first) // 60 + HALF_DAY + 1)
    altitude, bearing = sun.sun_position(times, latitude[..., None], longitude[..., None])
    lit = lit_by_sun(altitude, bearing, *(each[..., None] if each is not None else None for each in shades)) > 0
    places = np.where(lit if wanted else ~lit, np.arange(times.size), 2 * times.size)
    following = np.minimum.accumulate(places[..., ::-1], axis=-1)[..., ::-1]
    shape = np.broadcast_shapes(start.shape, following.shape[:-1])
    here = np.broadcast_to(np.round((start - first) / 60).astype(np.intp), shape)
    found = np.take_along_axis(np.broadcast_to(following, (*shape, times.size)), here[..., None], axis=-1)[..., 0]
    return np.where(found - here <= HALF_DAY, start + 60.0 * (found - here), np.inf)


@reading("clock", formula="the first minute from the setup's start on that is not sunlit", source="geometry")
def sun_leaves_group(
    instant: Array,
    latitude: Array,
    longitude: Array,
    shade_from: Array | None = None,
    shade_to: Array | None = None,
    shade_top: Array | None = None,
) -> Array:
    """When the sun next leaves the group, from the setup's start on; the start itself where it is in the shade already."""
    return _first_minute(False, instant, latitude, longitude, (shade_from, shade_to, shade_top))


@reading("clock", formula="the first minute from the setup's start on that is sunlit", source="geometry")
def sun_meets_group(
    instant: Array,
    latitude: Array,
    longitude: Array,
    shade_from: Array | None = None,
    shade_to: Array | None = None,
    shade_top: Array | None = None,
) -> Array:
    """When the sun next reaches the group, from the setup's start on; never where it does not within half a day."""
    return _first_minute(True, instant, latitude, longitude, (shade_from, shade_to, shade_top))


@reading(
    "yes",
    "minute",
    formula="the sun's direction, projected as heads are, falls inside the frame and neither shade nor closed cloud hides the sun",
    source="central projection; sunlit",
)
def sun_in_frame(
    sun_altitude: Array,
    sun_bearing: Array,
    facing: Array,
    camera_tilt: Array,
    sunlit: Array,
    image_distance: Array,
    sensor_width: Array,
    sensor_height: Array,
    sky: Array | None = None,
) -> Array:
    """Whether the sun stands in the picture."""
    altitude, turn, tilt = np.radians(sun_altitude), np.radians(sun_bearing - facing), np.radians(camera_tilt)
    level = np.cos(altitude) * np.cos(turn)
    forward = level * np.cos(tilt) + np.sin(altitude) * np.sin(tilt)
    up = np.sin(altitude) * np.cos(tilt) - level * np.sin(tilt)
    side = np.cos(altitude) * np.sin(turn)
    inside = (np.abs(side) * image_distance < forward * sensor_width / 2) & (
        np.abs(up) * image_distance < forward * sensor_height / 2
    )
    return truth(inside & (forward > 0) & (sunlit > 0) & ~np.asarray(behind_cloud(sky)))
