"""The spans of `shootlint hours` through a whole year at ten places, against pvlib's solar position algorithm.

The reference is I. Reda and A. Andreas, NREL/TP-560-34302 (2008 revision), as pvlib has it, with a root search of its own:
a coarse grid over the year, and bisection to a second in each of its cells in which the answer changes. Both sides ask
the same question: the geometric altitude of the sun's middle against -50 arcminutes and -6 degrees (USNO's sunrise and
civil twilight), and for the skyline its apparent altitude in air of 1010 hPa and 10 C.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from pvlib import spa

from shootlint.language.loading import Loader
from shootlint.language.source import decode
from shootlint.rulebook.book import book_of
from shootlint.rulebook.hours import DayHours, hours

PLAN = """shootplan 1
site "Anywhere" {{
  position {latitude} {north}, {longitude} {east}
  zone "{zone}"
  shade "ridge", bearing 60 deg to 130 deg, up to 9 deg
  shade "roof", bearing 240 deg to 265 deg, up to 14 deg
  shade "firs", bearing 320 deg to 20 deg, up to 6 deg
}}
people {{ "A" stature 170 cm }}
camera "B" {{ sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 6400 }}
lens "L" {{ focal 50 mm; aperture f/2 to f/16 }}
setup "S" {{ camera "B"; lens "L"; aperture f/5.6; shutter 1/125 s; iso 100; frame landscape; focus 4 m; row "r", 4 m {{ "A" }} }}
"""
RULE = """rule house.sun {{
  title "The sun"
  level error
  for each setup
  require {require}
  say "no"
  because "it is asked here"
}}
"""
SHADES = ((60.0, 130.0, 9.0), (240.0, 265.0, 14.0), (320.0, 20.0, 6.0))
PLACES = [
    (70.0, 25.0, "Europe/Oslo"),
    (64.15, -21.94, "Atlantic/Reykjavik"),
    (55.64, 9.29, "Europe/Copenhagen"),
    (47.5, -111.3, "America/Denver"),
    (35.68, 139.69, "Asia/Tokyo"),
    (1.35, 103.82, "Asia/Singapore"),
    (-16.8, 179.99, "Pacific/Fiji"),
    (-31.55, 159.08, "Australia/Lord_Howe"),
    (-43.95, -176.55, "Pacific/Chatham"),
    (-54.0, -68.3, "America/Argentina/Ushuaia"),
]
YEAR = [datetime.date(2028, 1, 1) + datetime.timedelta(days=day) for day in range(366)]
"""A leap year."""
NEW_YEAR = datetime.date(2029, 1, 1)
GRID = 300.0
"""Seconds of the coarse grid."""


def days_of(latitude: float, longitude: float, zone: str, require: str) -> list[DayHours]:
    plan = PLAN.format(
        latitude=abs(latitude),
        north="N" if latitude >= 0 else "S",
        longitude=abs(longitude),
        east="E" if longitude >= 0 else "W",
        zone=zone,
    )
    document = Loader().load_source(decode(plan.encode(), "hours"))
    assert document.plan is not None and not document.complaints, document.complaints
    book = book_of([decode(RULE.format(require=require).encode(), "house")])
    assert not book.complaints, book.complaints
    (setup,) = hours(document.plan, book, YEAR[0], YEAR).setups
    assert [day.date for day in setup.days] == YEAR
    return setup.days


def risen(altitude: np.ndarray, apparent: np.ndarray, bearing: np.ndarray) -> np.ndarray:
    return altitude > -50 / 60


def in_twilight(altitude: np.ndarray, apparent: np.ndarray, bearing: np.ndarray) -> np.ndarray:
    return altitude > -6


def in_sun(altitude: np.ndarray, apparent: np.ndarray, bearing: np.ndarray) -> np.ndarray:
    lit = apparent > 0
    for start, end, top in SHADES:
        lit = lit & ~(((bearing - start) % 360 <= (end - start) % 360) & (apparent <= top))
    return lit


QUESTIONS = (("sun-altitude > -0.8333333 deg", risen), ("sun-altitude > -6 deg", in_twilight), ("sunlit", in_sun))


class Reference:
    """The sun over one place between two instants."""

    def __init__(self, latitude: float, longitude: float, start: float, end: float) -> None:
        self.latitude, self.longitude = latitude, longitude
        grid = np.arange(start, end + GRID, GRID)
        altitude, apparent, bearing = self.position(grid)
        # Between points of the grid a straight line is good to 0.005 degrees, enough to find where to look; how far the air
        # lifts the sun is no straight line near the horizon, but goes by the altitude alone.
        self.fine = np.arange(start, end, 20.0)
        fine, turned = (np.interp(self.fine, grid, each) for each in (altitude, np.unwrap(bearing, period=360)))
        order = np.argsort(altitude)
        self.found = fine, fine + np.interp(fine, altitude[order], (apparent - altitude)[order]), turned

    def position(self, seconds: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Geometric and apparent altitude, and bearing, by pvlib, in air of 1010 hPa and 10 C."""
        found = spa.solar_position(seconds, self.latitude, self.longitude, 0.0, 1010.0, 10.0, 73.0, 0.5667, numthreads=1)
        return found[3], found[2], found[4]

    def changes(self, state: Callable[..., np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        """When a state begins and when it ends, to a second, by bisection."""
        found = state(*self.found)
        cells = np.flatnonzero(found[1:] != found[:-1])
        low, high, after = self.fine[cells] - 60, self.fine[cells + 1] + 60, found[cells + 1]
        while len(low) and (high - low).max() > 1:
            middle = (low + high) / 2
            turned = state(*self.position(middle)) == after
            low, high = np.where(turned, low, middle), np.where(turned, middle, high)
        return high[after], high[~after]


def joined(days: list[DayHours]) -> tuple[np.ndarray, np.ndarray]:
    """First and last minutes of spans, those that meet at midnight taken together."""
    spans = [span for day in days for span in day.spans]
    starts, ends = (np.array([getattr(span, edge) for span in spans]) for edge in ("start", "end"))
    apart = starts[1:] - ends[:-1] > 90
    return starts[np.concatenate([[True], apart])], ends[np.concatenate([apart, [True]])]


def distances(of: np.ndarray, to: np.ndarray) -> np.ndarray:
    """How far each of some instants is from the nearest of others, in seconds."""
    places = np.clip(np.searchsorted(to, of), 1, len(to) - 1)
    return np.minimum(np.abs(of - to[places - 1]), np.abs(of - to[places]))


def lasting(begin: np.ndarray, end: np.ndarray) -> np.ndarray:
    """The edges of what lasts, and of what is missing, for two minutes or more."""
    turns = np.sort(np.concatenate([begin, end]))
    apart = np.concatenate([[np.inf], np.diff(turns), [np.inf]])
    return turns[(apart[:-1] >= 120) & (apart[1:] >= 120)]


@pytest.mark.parametrize(("latitude", "longitude", "zone"), PLACES)
def test_spans_of_the_sun_through_a_year(latitude: float, longitude: float, zone: str) -> None:
    place = ZoneInfo(zone)
    midnights = [datetime.datetime(each.year, each.month, each.day, tzinfo=place).timestamp() for each in [*YEAR, NEW_YEAR]]
    reference = Reference(latitude, longitude, midnights[0], midnights[-1])
    for require, state in QUESTIONS:
        days = days_of(latitude, longitude, zone, require)
        assert [day.minutes for day in days] == [round((after - before) / 60) for before, after in pairwise(midnights)]
        starts, ends = joined(days)
        begin, stop = reference.changes(state)
        # An edge lies between the minute that does not hold and the one that does; the year's own ends are none.
        opens, closes = starts[starts > midnights[0]] - 30, ends[ends < midnights[-1] - 60] + 30
        for ours, theirs in ((opens, begin), (closes, stop)):
            assert len(ours) == pytest.approx(len(theirs), abs=4)
            assert np.quantile(distances(ours, theirs), 0.99) <= 35
        # Whatever lasts for two minutes or more is found on both sides, each edge within a minute.
        ours, theirs = lasting(opens, closes), lasting(begin, stop)
        assert len(ours) > 400
        assert distances(ours, np.sort(np.concatenate([begin, stop]))).max() <= 60
        assert distances(theirs, np.sort(np.concatenate([opens, closes]))).max() <= 60


def test_the_sun_neither_rises_nor_sets_in_the_far_north() -> None:
    # USNO, for 70 N: the sun stays up from the middle of May to the end of July and down from late November to the middle
    # of January; the days themselves by the search above.
    days = {day.date: day for day in days_of(70.0, 25.0, "Europe/Oslo", "sun-altitude > -0.8333333 deg")}
    summer, winter = days[datetime.date(2028, 6, 21)], days[datetime.date(2028, 12, 21)]
    (span,) = summer.spans
    assert (span.minutes, span.opened_by, span.closed_by) == (1439, (), ())
    assert winter.spans == ()
    assert days[datetime.date(2028, 2, 29)].spans != ()
