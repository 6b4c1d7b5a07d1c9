"""The evening on paper: the order and the packing list, for people, spreadsheets and calendars."""

from __future__ import annotations

import csv
import datetime
import io

import icalendar
import pytest

RULE = """rule sun.up {
  title   "The sun is down"
  level   error
  for     each minute
  require sun-altitude >= 0 deg
  say     "no"
  because "the test asks it"
}
"""


def calendar(text: str) -> list[icalendar.Event]:
    """The events as icalendar, a reference implementation of RFC 5545, reads them."""
    found = icalendar.Calendar.from_ical(text)
    assert not found.errors
    return [component for component in found.walk() if component.name == "VEVENT"]


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_order_and_what_to_pack_as_text(studio):
    told = studio.run("evening", "plan.shoot")
    assert (told.status, told.err) == (0, "")
    assert told.lines[:6] == [
        "plan.shoot on Sat 2026-06-20",
        "  19:15 to 19:30  arrive, unload and walk the site",
        "  19:30 to 19:45  put the camera up and try it",
        "  19:45 to 20:00  people come: Asta and Bent",
        '  20:00 to 20:10  "Both"',
        "  20:10 to 20:25  pack up",
    ]
    assert told.lines[-5:] == ["to pack", "  1 × camera Body", "  1 × lens Fifty", "  1 × support tripod", ""]


def test_the_order_as_a_table(studio):
    told = studio.start("evening", "plan.shoot", "--report", "csv=-")
    assert told.status == 0
    found = rows(told.out)
    assert list(found[0]) == ["date", "start", "end", "minutes", "kind", "what", "setup", "who"]
    assert [(each["start"], each["end"], each["minutes"], each["kind"]) for each in found[:5]] == [
        ("19:15", "19:30", "15", "arrive"),
        ("19:30", "19:45", "15", "rig"),
        ("19:45", "20:00", "15", "call"),
        ("20:00", "20:10", "10", "setup"),
        ("20:10", "20:25", "15", "pack"),
    ]
    assert [each["kind"] for each in found[5:]] == ["sunset", "dusk"]
    assert found[2]["who"] == "Asta, Bent" and {each["date"] for each in found} == {"2026-06-20"}
    # RFC 4180: each line ends with CR and LF.
    assert told.out.count("\r\n") == told.out.count("\n") == len(found) + 1


def test_the_packing_list_as_a_table(studio):
    assert rows(studio.run("evening", "plan.shoot", "--report", "packing=-").out) == [
        {"count": "1", "kind": "camera", "name": "Body"},
        {"count": "1", "kind": "lens", "name": "Fifty"},
        {"count": "1", "kind": "support", "name": "tripod"},
    ]


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_a_name_that_a_spreadsheet_would_reckon_with_is_a_text(studio, plan, start):
    studio.write("plan.shoot", plan.replace('"Fifty"', f'"{start}HYPERLINK(A1)"').replace('"Asta"', f'"{start}1"'))
    told = studio.run("evening", "plan.shoot", "--report", "packing=-", "--report", "csv=-")
    assert told.status == 0
    cells = [cell for row in csv.reader(io.StringIO(told.out, newline="")) for cell in row]
    assert f"'{start}HYPERLINK(A1)" in cells and f"'{start}1, Bent" in cells
    assert not [cell for cell in cells if cell[:1] in tuple("=+-@\t\r")]


def test_the_order_as_a_calendar(studio):
    told = studio.start("evening", "plan.shoot", "--report", "calendar=-")
    assert told.status == 0
    events = calendar(told.out)
    setup = next(each for each in events if str(each["SUMMARY"]) == 'Rowing club, jetty: "Both"')
    # Summer time in Copenhagen is two hours ahead of UTC.
    assert setup.start == datetime.datetime(2026, 6, 20, 18, 0, tzinfo=datetime.UTC)
    assert setup.duration == datetime.timedelta(minutes=10)
    assert str(setup["DESCRIPTION"]) == "Asta and Bent" and str(setup["LOCATION"]) == "Jetty"
    assert len({str(each["UID"]) for each in events}) == len(events) == 7
    sunset = next(each for each in events if str(each["SUMMARY"]).endswith("the sun sets"))
    assert "DTEND" not in sunset and str(sunset["TRANSP"]) == "TRANSPARENT"
    assert all(len(line.encode()) <= 75 for line in told.out.split("\r\n"))


def test_a_plan_that_moves_moves_its_events(studio, plan):
    before = calendar(studio.run("evening", "plan.shoot", "--report", "calendar=-").out)
    studio.write("plan.shoot", plan.replace("20:00 to 20:10", "20:30 to 20:40").replace("2026-06-20", "2026-06-27"))
    after = calendar(studio.run("evening", "plan.shoot", "--report", "calendar=-").out)
    assert {str(each["UID"]) for each in before} == {str(each["UID"]) for each in after}
    assert all(
        one.start < other.start
        for one, other in zip(*(sorted(each, key=lambda event: str(event["UID"])) for each in (before, after)), strict=True)
    )


def test_a_plan_without_a_day_can_still_be_packed_for(studio, plan):
    studio.write("plan.shoot", plan.replace("date  2026-06-20\n", ""))
    told = studio.run("evening", "plan.shoot", *(f"--report={kind}=-" for kind in ("text", "packing", "csv", "calendar")))
    assert told.status == 0
    assert told.err == (
        "plan.shoot: note: the order of the evening lacks something; it needs date, site zone, and the setup's time or the "
        "plan's window\n"
    )
    assert told.lines[0] == "plan.shoot: the order of the evening cannot be told"
    assert "1,lens,Fifty" in told.out and "BEGIN:VJOURNAL" in told.out
    assert icalendar.Calendar.from_ical(told.out[told.out.index("BEGIN:VCALENDAR") :]).walk()[1].name == "VJOURNAL"


def test_what_cannot_be_read_is_told(studio, broken):
    studio.write("broken.shoot", broken)
    assert studio.run("evening", "none.shoot").err == "shootlint: none.shoot: there is no such file\n"
    told = studio.run("evening", "broken.shoot")
    assert told.status == 2 and "there is no setup without a mistake in it" in told.err
    assert "did you mean calendar?" in studio.run("evening", "plan.shoot", "--report", "calender=-").err
    assert studio.run("evening", "plan.shoot", "--report", "csv=none/order.csv").status == 2


def test_a_site_without_a_name_is_no_place_called_none(studio, plan):
    """Regression: the calendar of `hours` gave such a site as the place None."""
    studio.write("plan.shoot", plan.replace('site "Jetty" {', "site {"))
    studio.write("sun.rules", RULE)
    for command in (["evening"], ["hours", "--rules", "sun.rules"]):
        text = studio.run(*command, "plan.shoot", "--report", "calendar=-").out
        assert "BEGIN:VEVENT" in text and "GEO:" in text
        assert "LOCATION" not in text
