"""The ends of the earth, of the calendar and of what a plan may say, through the whole program: answers or complaints, and
where the sun stands against pvlib (NREL's SPA), astral and the IANA database of time zones."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas
import pytest
from astral import Observer, SunDirection
from astral.sun import time_at_elevation
from fuzzing.whole import answers
from pvlib.solarposition import get_solarposition

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes

PLAN = """\
# Two people, one light, everything in one file.
shootplan 1
title "Two on the jetty path"
date  2026-06-20

site "Boathouse, shaded side" {
  position   59.3290 N, 18.0640 E
  zone       "Europe/Stockholm"
  ground     gravel
  background 12 m behind, shaded
  shade      "boathouse", bearing 250 deg to 330 deg, up to 40 deg
  hazard     "water", 15 m away
}

weather {
  sky  hazy
  wind 2 m/s, gusts 4 m/s
  air  17 C
}

people {
  "Nora" stature 5 ft 6 in
  "Otto" stature 5 ft 11 in
}

print "Bedroom piece" {
  size        40 cm x 30 cm
  at least    200 ppi
}

camera "Body" {
  sensor  23.5 mm x 15.6 mm
  pixels  6000 px x 4000 px
  sync    1/180 s
  shutter 1/4000 s to 30 s
  iso     100 to 6400, base 100
}
lens "Fifty" {
  focal    50 mm
  aperture f/1.8 to f/16
  closest  45 cm
}
light "Umbrella light" {
  energy   200 J
  metered  f/8 at 2 m
  power    1/1 to 1/64
  colour   5500 K
  duration 1/700 s
  recycle  1.8 s
  flashes  350
  modifier umbrella, 80 cm
  mass     1.6 kg
}
light "Small flash" {                                # the spare; it stays in the bag
  energy   70 J
  guide    36 m
  power    1/1 to 1/64
  modifier bare
}
stand "Stand" { mass 2.4 kg; spread 100 cm; highest 2.6 m; carries 5 kg }
gel "quarter CTO" { shift +42 mired; loses 0.3 stops }

setup "Side by side" {
  time        20:30 to 20:50
  camera      "Body"
  lens        "Fifty"
  aperture    f/4
  shutter     1/125 s
  iso         200
  white-balance 5500 K
  support     handheld, height 1.4 m
  facing      300 deg
  frame       portrait, three-quarter
  focus       "Nora"
  print       "Bedroom piece"
  frames      15

  place "Umbrella light" as key, left 40 deg, distance 2.4 m, height 2.1 m, power 1/4, stand "Stand", bag 7 kg

  row "pair", 3.7 m {
    "Nora" standing, at -23 cm
    "Otto" standing, at 21 cm
  }
}
"""


def changed(text: str = PLAN, **pairs: str) -> str:
    """The plan with other values of the words named; its site's place, zone, date and time by those names."""
    was = {
        "position": "59.3290 N, 18.0640 E",
        "zone": "Europe/Stockholm",
        "date": "2026-06-20",
        "time": "20:30 to 20:50",
        "focal": "focal    50 mm",
        "openings": "f/1.8 to f/16",
        "aperture": "f/4\n",
        "sensitivities": "100 to 6400",
        "iso": "iso         200",
        "times": "1/4000 s to 30 s",
        "shutter": "1/125 s",
        "small": "5 ft 6 in",
        "tall": "5 ft 11 in",
        "print": "40 cm x 30 cm",
        "row": 'row "pair", 3.7 m',
        "focus": 'focus       "Nora"',
    }
    for name, new in pairs.items():
        assert text.count(was[name]) == 1, name
        text = text.replace(was[name], new)
    return text


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def readings(said: dict[str, str]) -> dict[str, dict[str, object]]:
    (setup,) = json.loads(said["measure.json"])["setups"].values()
    return setup["readings"]


PLACES = [
    ("90.0000 N, 0.0000 E", "Etc/UTC", "2026-06-21", "12:00 to 12:10"),
    ("90.0000 S, 0.0000 E", "Antarctica/McMurdo", "2026-12-21", "00:00 to 00:10"),
    ("0.0000 N, 180.0000 E", "Pacific/Fiji", "2026-03-20", "12:00 to 12:10"),
    ("0.0000 N, 180.0000 W", "Pacific/Kiritimati", "2016-12-31", "23:55 to 00:05"),
    ("69.6500 N, 18.9600 E", "Europe/Oslo", "2026-12-21", "11:30 to 11:40"),
    ("52.3700 N, 4.9000 E", "Europe/Amsterdam", "1900-01-01", "12:00 to 12:10"),
    ("14.6000 N, 121.0000 E", "Asia/Manila", "2100-12-31", "23:55 to 00:05"),
    ("31.5500 S, 159.0800 E", "Australia/Lord_Howe", "2026-04-05", "01:45 to 01:55"),
    ("31.5500 S, 159.0800 E", "Australia/Lord_Howe", "2026-10-04", "01:55 to 02:35"),
    ("13.8300 S, 171.7600 W", "Pacific/Apia", "2011-12-30", "12:00 to 12:10"),
]


@pytest.mark.parametrize(("position", "zone", "date", "time"), PLACES, ids=[f"{zone} {date}" for _, zone, date, _ in PLACES])
def test_everything_is_answered_and_the_sun_stands_where_it_does(
    position: str, zone: str, date: str, time: str, folder: Path
) -> None:
    said = answers(changed(position=position, zone=zone, date=date, time=time), folder)
    assert said["errors"] == ""
    measured = readings(said)
    altitudes, bearings = (measured[name]["value"] for name in ("sun-altitude", "sun-bearing"))
    # PEP 495: of a time that comes twice the first is meant, one that is skipped is what the clock would have shown.
    day = datetime.date.fromisoformat(date)
    start = datetime.datetime.combine(day, datetime.time.fromisoformat(time[:5]), ZoneInfo(zone)).timestamp()
    latitude, longitude = (
        float(number) * (-1 if side in "SW" else 1) for number, side in re.findall(r"([\d.]+) ([NSEW])", position)
    )
    instants = pandas.to_datetime(start + 60.0 * np.arange(len(altitudes)), unit="s", utc=True)
    reference = get_solarposition(instants, latitude, longitude, method="nrel_numpy", delta_t=None)
    assert list(altitudes.values()) == pytest.approx(reference["elevation"].tolist(), abs=0.011)
    turns = np.abs((np.array(list(bearings.values())) - reference["azimuth"].to_numpy() + 180) % 360 - 180)
    assert (turns * np.cos(np.radians(reference["elevation"].to_numpy()))).max() < 0.011
    # What the sheet tells of the first minute is the same.
    height = re.search(r"""data-label="sun(?:'|&#39;)s height"[^>]*><bdi>(-?[\d.]+) deg""", said["sheet.html"])
    assert height is not None and float(height[1]) == pytest.approx(reference["elevation"].iloc[0], abs=0.51)


def test_what_never_happens_at_the_pole_is_said_so(folder: Path) -> None:
    said = answers(changed(position="90 N, 0 E", zone="Etc/UTC", date="2026-06-21", time="12:00 to 12:10"), folder)
    assert "the sun stays up; civil twilight lasts all day" in said["hours.text"]
    # The June solstice of 2026 falls on 21 June, 8:24 UT (Astronomical Applications Department, USNO; from memory): at the
    # pole nothing but the declination moves the sun up and down, by seconds of arc on that day.
    noon = re.search(r"solar-noon +(\d\d):(\d\d)", said["measure.text"])
    assert noon is not None
    assert abs(int(noon[1]) * 60 + int(noon[2]) - (8 * 60 + 24)) <= 15


@pytest.mark.parametrize(
    ("date", "time"),
    [("2016-12-31", "23:50 to 00:10"), ("2015-06-30", "23:50 to 00:10"), ("2016-12-30", "23:50 to 00:10")],
)
def test_a_leap_second_makes_no_minute_longer(date: str, time: str) -> None:
    # POSIX time counts 86,400 s in every day; seconds were put in at the ends of 2015-06-30 and 2016-12-31 (IERS
    # Bulletins C 49 and C 52).
    text = changed(position="51.4779 N, 0 E", zone="Etc/UTC", date=date, time=time)
    plan = Loader().load_source(Source("plan.shoot", text)).plan
    assert plan is not None
    instants = Graph(scenes(plan)[0])["instant"].array.ravel()
    first = datetime.datetime.fromisoformat(f"{date}T23:50").replace(tzinfo=ZoneInfo("Etc/UTC"))
    assert instants.tolist() == [first.timestamp() + 60 * minute for minute in range(21)]


@pytest.mark.parametrize(("date", "hours"), [("2026-04-05", 24.5), ("2026-10-04", 23.5), ("2026-10-05", 24.0)])
def test_clocks_that_change_by_half_an_hour(date: str, hours: float) -> None:
    text = changed(position="31.55 S, 159.08 E", zone="Australia/Lord_Howe", date=date, time="12:00 to 12:10")
    plan = Loader().load_source(Source("plan.shoot", text)).plan
    assert plan is not None
    graph = Graph(scenes(plan)[0])
    length = graph["day-end"].array.item() - graph["day-start"].array.item()
    assert length == hours * 3600
    observer = Observer(-31.55, 159.08)
    zone = ZoneInfo("Australia/Lord_Howe")
    sunset = time_at_elevation(
        observer, -50 / 60, datetime.date.fromisoformat(date), SunDirection.SETTING, tzinfo=zone, with_refraction=False
    )
    assert graph["sunset"].array.item() == pytest.approx(sunset.timestamp(), abs=20)


@pytest.mark.parametrize("date", ["1899-12-31", "2101-01-01", "0001-01-01", "9999-12-31"])
def test_of_other_years_it_is_said_that_they_are_not_known(date: str, folder: Path) -> None:
    said = answers(changed(date=date), folder)
    assert "plan.shoot:4:7: error: the sun's place is worked out for the years 1900 to 2100 only" in said["check.text"]
    assert "sun-altitude" not in said["check.text"]


EXTREMES = {
    "all at once": changed(
        focal="focal    1 mm",
        openings="f/0.5 to f/16",
        aperture="f/0.5\n",
        sensitivities="100 to 1000000",
        iso="iso         1000000",
        times="1/4000 s to 3600 s",
        shutter="60 min",
        small="25 cm",
        tall="2.75 m",
        print="100 m x 75 m",
    ),
    "a focus inside the focal length": changed(focal="focal    5 m"),
    "a row at the lens": changed(row='row "pair", 0.001 mm'),
    "a focus at the lens": changed(focus="focus 0.001 mm"),
    "as far as may be": changed(row='row "pair", 100 km', small="275 cm", tall="250 mm"),
    "a print of a thousandth": changed(print="0.001 mm x 0.001 mm"),
    "the longest and the least": changed(
        openings="f/0.001 to f/1000",
        aperture="f/1000\n",
        times="0.000001 s to 99999 s",
        shutter="0.000001 s",
        sensitivities="1 to 10000000",
        iso="iso         1",
    ),
}


@pytest.mark.parametrize("text", EXTREMES.values(), ids=EXTREMES)
def test_what_is_extreme_and_legal_is_answered(text: str, folder: Path) -> None:
    said = answers(text, folder)
    assert said["errors"] == ""
    assert "sheet.html" in said and "plan.shoot" in said["check.text"]


@pytest.mark.parametrize(
    "number", ["1" + "0" * 308, "0." + "0" * 299 + "1", "1e308", "1e-300", "9" * 30, "0.0000001", "1/0", "-1"]
)
def test_what_is_no_measure_of_anything_is_told_once_where_it_stands(number: str) -> None:
    text = changed(row=f'row "pair", {number} m')
    complaints = Loader().load_source(Source("plan.shoot", text)).complaints
    assert [each.place.line for each in complaints] == [80]
    at = text.splitlines()[79].index(number) + 1
    assert at <= complaints[0].place.column <= at + len(number)
