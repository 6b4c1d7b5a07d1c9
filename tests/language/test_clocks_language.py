"""Clock times at a place: the hours that a change of the clocks skips or repeats, midnight, and zones."""

from __future__ import annotations

import datetime

import pytest

from shootlint.language import clocks
from shootlint.language.values import Clock, ClockSpan

SPRING, AUTUMN = datetime.date(2026, 3, 29), datetime.date(2026, 10, 25)
COPENHAGEN = clocks.zone("Europe/Copenhagen")
LORD_HOWE = clocks.zone("Australia/Lord_Howe")


def utc(*moment):
    return datetime.datetime(*moment, tzinfo=datetime.UTC).timestamp()


@pytest.mark.parametrize(
    ("date", "clock", "place", "naming", "moment"),
    [
        (SPRING, Clock(1, 59), COPENHAGEN, "once", (2026, 3, 29, 0, 59)),
        (SPRING, Clock(2, 0), COPENHAGEN, "skipped", (2026, 3, 29, 1, 0)),
        (SPRING, Clock(2, 30), COPENHAGEN, "skipped", (2026, 3, 29, 1, 30)),
        (SPRING, Clock(3, 0), COPENHAGEN, "once", (2026, 3, 29, 1, 0)),
        (AUTUMN, Clock(1, 59), COPENHAGEN, "once", (2026, 10, 24, 23, 59)),
        (AUTUMN, Clock(2, 30), COPENHAGEN, "repeated", (2026, 10, 25, 0, 30)),
        (AUTUMN, Clock(3, 0), COPENHAGEN, "once", (2026, 10, 25, 2, 0)),
        # Lord Howe Island moves its clocks by half an hour: 10:30 ahead of UTC in winter, 11:00 in summer.
        (datetime.date(2026, 10, 4), Clock(2, 15), LORD_HOWE, "skipped", (2026, 10, 3, 15, 45)),
        (datetime.date(2026, 10, 4), Clock(2, 30), LORD_HOWE, "once", (2026, 10, 3, 15, 30)),
        (datetime.date(2026, 4, 5), Clock(1, 45), LORD_HOWE, "repeated", (2026, 4, 4, 14, 45)),
        (datetime.date(2026, 4, 5), Clock(2, 0), LORD_HOWE, "once", (2026, 4, 4, 15, 30)),
        (datetime.date(2026, 9, 5), Clock(18, 40), COPENHAGEN, "once", (2026, 9, 5, 16, 40)),
        # Samoa had no 30 December 2011: it changed sides of the date line.
        (datetime.date(2011, 12, 31), Clock(0, 0), clocks.zone("Pacific/Apia"), "once", (2011, 12, 30, 10, 0)),
        (datetime.date(2011, 12, 30), Clock(12, 0), clocks.zone("Pacific/Apia"), "skipped", (2011, 12, 30, 22, 0)),
    ],
)
def test_an_instant(date, clock, place, naming, moment):
    found = clocks.instant(date, clock, place)
    assert (found.naming, found.seconds) == (naming, utc(*moment))


@pytest.mark.parametrize(
    ("date", "span", "place", "minutes"),
    [
        (datetime.date(2026, 9, 5), ClockSpan(Clock(18, 40), Clock(18, 55)), COPENHAGEN, 15),
        (datetime.date(2026, 9, 5), ClockSpan(Clock(23, 50), Clock(0, 10)), COPENHAGEN, 20),
        (datetime.date(2026, 12, 31), ClockSpan(Clock(23, 50), Clock(0, 10)), COPENHAGEN, 20),
        (SPRING, ClockSpan(Clock(1, 0), Clock(4, 0)), COPENHAGEN, 120),
        (AUTUMN, ClockSpan(Clock(1, 0), Clock(4, 0)), COPENHAGEN, 240),
        (SPRING - datetime.timedelta(days=1), ClockSpan(Clock(23, 0), Clock(4, 0)), COPENHAGEN, 240),
        (datetime.date(2026, 4, 5), ClockSpan(Clock(1, 0), Clock(3, 0)), LORD_HOWE, 150),
    ],
)
def test_a_span_lasts_as_long_as_it_does_on_no_wall(date, span, place, minutes):
    assert clocks.slot(date, span, place).minutes == minutes


def test_a_span_over_midnight_by_the_wall():
    assert ClockSpan(Clock(23, 50), Clock(0, 10)).minutes == 20


@pytest.mark.parametrize("clock", [Clock(0, 0), Clock(12, 34), Clock(23, 59)])
def test_the_wall_shows_what_was_said(clock):
    assert clocks.wall_clock(clocks.instant(datetime.date(2026, 9, 5), clock, COPENHAGEN).seconds, COPENHAGEN) == str(clock)


@pytest.mark.parametrize(
    "name",
    ["Europe/Kopenhagen", "europe/copenhagen", "", "Europe", "../etc/passwd", "/etc/localtime", "x" * 5000, "Europe/", "é"],
)
def test_what_is_no_zone(name):
    assert clocks.zone(name) is None or name == "europe/copenhagen"


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("Europe/Kopenhagen", 'Europe/Kopenhagen is not a time zone; did you mean "Europe/Copenhagen"?'),
        ("Europ/Copenhagen", 'did you mean "Europe/Copenhagen"?'),
        ("../../etc/passwd", "../../etc/passwd is not a time zone"),
        ("Europe", "Europe is not a time zone"),
        ("CEST+2", "CEST+2 is not a time zone"),
    ],
)
def test_a_zone_that_is_not_known(evening, told, written, words):
    ((line, column, message),) = told(evening.replace("Europe/Copenhagen", written))
    assert (line, column) == (8, 14)
    assert words in message


@pytest.mark.parametrize("position", ["0 N, 180 E", "0 S, 180 W", "90 N, 0 E", "90 S, 0 W", "13.8 S, 171.8 W", "0 N, 0 E"])
def test_the_ends_of_the_earth_are_on_it(evening, load, position):
    document = load(evening.replace("55.6412 N, 9.2871 E", position))
    assert document.complaints == []
    found = document.plan.site.position
    assert (abs(found.latitude), abs(found.longitude)) == tuple(float(each.split()[0]) for each in position.split(","))
    assert (found.latitude < 0) == (position.split()[1] == "S," and found.latitude != 0)


def test_every_zone_that_is_offered_can_be_used():
    assert "Europe/Copenhagen" in clocks.zone_names()
    assert all(clocks.zone(name) is not None for name in sorted(clocks.zone_names())[::25])


def test_a_damaged_record_without_a_file_of_the_system_is_that_of_the_package(evening, told, monkeypatch):
    monkeypatch.setattr(clocks, "zone", lambda _: None)
    monkeypatch.setattr("zoneinfo.TZPATH", ())
    words = "this computer's record of the time zone Europe/Copenhagen is damaged; install the Python package tzdata anew"
    assert words in [message for _, _, message in told(evening)]
