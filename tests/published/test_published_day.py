"""The day's events against astral, pvlib and computed tables, over the graph of readings."""

from __future__ import annotations

import datetime
import math
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import decode
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes

PLAN = """shootplan 1
date {date}
window 00:30 to 01:00
site "Anywhere" {{
  position {latitude} {north}, {longitude} {east}
  zone "{zone}"
  {shade}
}}
weather {{ sky clear }}
people {{ "A" stature 170 cm }}
camera "B" {{ sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 6400 }}
lens "L" {{ focal 50 mm; aperture f/2 to f/16 }}
setup "S" {{
  camera "B"
  lens "L"
  aperture f/5.6
  shutter 1/125 s
  iso 100
  frame landscape
  focus 4 m
  facing 0 deg
  row "r", 4 m {{ "A" }}
}}
"""


def graph(latitude: float, longitude: float, zone: str, date: datetime.date, shade: str = "") -> Graph:
    text = PLAN.format(
        date=date,
        latitude=abs(latitude),
        north="N" if latitude >= 0 else "S",
        longitude=abs(longitude),
        east="E" if longitude >= 0 else "W",
        zone=zone,
        shade=shade,
    )
    document = Loader().load_source(decode(text.encode(), "day"))
    assert document.plan is not None
    assert not document.complaints, document.complaints
    return Graph(scenes(document.plan)[0])


def seconds(graph: Graph, name: str) -> float:
    return float(graph[name].array.item())


# Sunset and civil dusk worked out apart from this program by the NREL algorithm and by the JPL ephemeris DE421, which
# agree to a second; UTC, level horizon.
TABLE = [
    ("London", 51.507, -0.128, "Europe/London", "2024-06-01", "2024-06-01 20:08:47", "2024-06-01 20:54:29"),
    ("New York", 40.713, -74.006, "America/New_York", "2024-10-12", "2024-10-12 22:19:28", "2024-10-12 22:46:57"),
    ("Los Angeles", 34.052, -118.244, "America/Los_Angeles", "2025-06-21", "2025-06-22 03:07:42", "2025-06-22 03:36:57"),
    ("Sydney", -33.869, 151.209, "Australia/Sydney", "2024-01-20", "2024-01-20 09:07:34", "2024-01-20 09:35:33"),
    ("Singapore", 1.352, 103.82, "Asia/Singapore", "2025-07-04", "2025-07-04 11:15:06", "2025-07-04 11:37:33"),
    ("Tromsø", 69.649, 18.956, "Europe/Oslo", "2025-02-01", "2025-02-01 13:33:50", "2025-02-01 14:56:16"),
]


@pytest.mark.parametrize(("place", "latitude", "longitude", "zone", "date", "sunset", "dusk"), TABLE)
def test_sunset_and_dusk(place: str, latitude: float, longitude: float, zone: str, date: str, sunset: str, dusk: str) -> None:
    day = graph(latitude, longitude, zone, datetime.date.fromisoformat(date))
    for name, expected in (("sunset", sunset), ("civil-dusk", dusk)):
        instant = datetime.datetime.fromisoformat(expected).replace(tzinfo=datetime.UTC).timestamp()
        assert seconds(day, name) == pytest.approx(instant, abs=6), (place, name)


def test_the_published_example_of_the_solar_position_algorithm() -> None:
    # NREL/TP-560-34302: Golden, 2003-10-17; sunrise 06:12:43, transit 11:46:05, sunset 17:20:19 at UTC-7. The example
    # goes by the day of Universal Time, so its sunset is that of the local evening before.
    day = graph(39.742476, -105.1786, "America/Denver", datetime.date(2003, 10, 17))
    midnight = datetime.datetime(2003, 10, 17, 7, tzinfo=datetime.UTC).timestamp()
    assert seconds(day, "sunrise") == pytest.approx(midnight + 6 * 3600 + 12 * 60 + 43, abs=8)
    evening_before = graph(39.742476, -105.1786, "America/Denver", datetime.date(2003, 10, 16))
    assert seconds(evening_before, "sunset") == pytest.approx(midnight - 86400 + 17 * 3600 + 20 * 60 + 19, abs=8)
    assert seconds(day, "solar-noon") == pytest.approx(midnight + 11 * 3600 + 46 * 60 + 5, abs=60)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [(60.17, 24.94, "Europe/Helsinki"), (61.2, -149.9, "America/Anchorage"), (64.15, -21.94, "Atlantic/Reykjavik")],
)
def test_dusk_never_comes_before_its_own_sunset(latitude: float, longitude: float, zone: str) -> None:
    # Libraries that look within one calendar date give a dusk of the night before here, on dozens of days of the year.
    for date in (datetime.date(2025, 5, 1) + datetime.timedelta(days=3 * step) for step in range(40)):
        day = graph(latitude, longitude, zone, date)
        sunset, dusk = seconds(day, "sunset"), seconds(day, "civil-dusk")
        assert dusk > sunset
        assert seconds(day, "sunrise") < seconds(day, "solar-noon") < sunset


def test_the_sun_may_stand_highest_at_midnight() -> None:
    # Half a turn from the meridian of its zone. The equation of time passes through nought in the middle of June (Meeus,
    # Astronomical Algorithms, chapter 28; value from memory), and in the south the sun of that morning stands higher than
    # that of the midnight after.
    midnight = datetime.datetime(2025, 6, 13, tzinfo=datetime.UTC).timestamp()
    noons = [
        seconds(graph(-35.0, 180.0 - west, "Etc/UTC", datetime.date(2025, 6, 13)), "solar-noon") for west in (0, 0.25, 0.5, 1)
    ]
    # A degree of longitude is four minutes.
    assert [noon - midnight for noon in noons] == [0, 60, 120, 240]


def test_what_never_happens_is_told_as_such() -> None:
    # Tromsø has no sunset at midsummer and no sunrise at midwinter, when civil twilight still comes.
    summer = graph(69.649, 18.956, "Europe/Oslo", datetime.date(2025, 6, 21))
    assert seconds(summer, "sunset") == math.inf
    assert seconds(summer, "sunrise") == math.inf
    winter = graph(69.649, 18.956, "Europe/Oslo", datetime.date(2025, 12, 21))
    assert seconds(winter, "sunset") == -math.inf
    assert seconds(winter, "sunrise") == -math.inf
    dusk = datetime.datetime.fromtimestamp(seconds(winter, "civil-dusk"), ZoneInfo("Europe/Oslo"))
    # astral 3.2 gives 13:54 on that day.
    assert abs((dusk.hour * 60 + dusk.minute) - (13 * 60 + 54)) <= 2
    # Southern polar day, and a place on the date line, without a complaint.
    assert seconds(graph(-77.85, 166.67, "Antarctica/McMurdo", datetime.date(2025, 12, 21)), "sunset") == math.inf
    assert np.isfinite(seconds(graph(-16.8, 179.99, "Pacific/Fiji", datetime.date(2025, 3, 21)), "sunset"))


def test_astral_agrees_through_a_year() -> None:
    # astral 3.2, asked in the place's own zone and without its refraction, which it would add to the -6 degrees too.
    from astral import Observer, SunDirection
    from astral.sun import time_at_elevation

    for latitude, longitude, zone in ((55.64, 9.29, "Europe/Copenhagen"), (-34.6, -58.4, "America/Argentina/Buenos_Aires")):
        observer = Observer(latitude, longitude)
        for month in range(1, 13):
            date = datetime.date(2026, month, 11)
            day = graph(latitude, longitude, zone, date)
            for name, altitude in (("sunset", -50 / 60), ("civil-dusk", -6.0)):
                expected = time_at_elevation(
                    observer, altitude, date, SunDirection.SETTING, tzinfo=ZoneInfo(zone), with_refraction=False
                )
                assert seconds(day, name) == pytest.approx(expected.timestamp(), abs=20), (zone, date, name)


def test_the_sun_leaves_and_meets_the_group_where_the_skyline_says() -> None:
    # A wall to the west, 10 deg high: by pvlib's SPA the sun drops behind it when its apparent altitude passes 10 deg.
    import pandas
    from pvlib.solarposition import get_solarposition

    date = datetime.date(2026, 9, 5)
    day = graph(55.6412, 9.2871, "Europe/Copenhagen", date, 'shade "wall", bearing 200 deg to 340 deg, up to 10 deg')
    leaves = datetime.datetime.fromtimestamp(seconds(day, "sun-leaves-group"), datetime.UTC)
    # The slot is in the small hours, so the group is in the dark at once; it is met at sunrise.
    assert leaves == datetime.datetime(2026, 9, 4, 22, 30, tzinfo=datetime.UTC)
    meets = seconds(day, "sun-meets-group")
    times = pandas.date_range("2026-09-05 02:00", "2026-09-05 08:00", freq="min", tz="UTC")
    altitude = get_solarposition(times, 55.6412, 9.2871)["apparent_elevation"].to_numpy()
    first = times[int(np.argmax(altitude > 0))].timestamp()
    assert meets == pytest.approx(first, abs=60)


def test_golden_and_blue_hour_lie_in_order() -> None:
    day = graph(55.6412, 9.2871, "Europe/Copenhagen", datetime.date(2026, 9, 5))
    names = ["golden-hour-starts", "sunset", "golden-hour-ends", "blue-hour-ends"]
    values = [seconds(day, name) for name in names]
    assert values == sorted(values)
    assert seconds(day, "blue-hour-ends") == seconds(day, "civil-dusk")
