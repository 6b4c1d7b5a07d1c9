"""hours: the spans of a day and of a season, the slots laid into them, and the calendar."""

from __future__ import annotations

import datetime
import json
from importlib.resources import files

import pytest
from astral import Observer, SunDirection
from astral.sun import time_at_elevation
from icalendar import Calendar
from jsonschema import Draft202012Validator, FormatChecker

SCHEMA = json.loads(files("shootlint.reports.hours").joinpath("hours.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=FormatChecker())

RULE = """rule {name} {{
  title   "A rule of the test"
  level   {level}
  for     each setup
  require {require}
  say     "no"
  because "the test asks it"
}}
"""


def rule(name, require, level="error"):
    return RULE.format(name=name, require=require, level=level)


@pytest.fixture
def ask(studio):
    """The JSON of a call, judged by rules of the test, once it is known to fit its schema."""

    def run(rules, *arguments, plan=None):
        studio.write("house.rules", rules)
        if plan is not None:
            studio.write("plan.shoot", plan)
        found = studio.json("hours", "plan.shoot", *arguments)
        VALIDATOR.validate(found)
        return found

    return run


def spans(found, setup=0):
    return {
        day["date"]: [(span["start"][11:16], span["end"][11:16]) for span in day["spans"]]
        for day in found["setups"][setup]["days"]
    }


UP = rule("sun.up", "sun-altitude > -0.8333 deg")
LOW = rule("sun.low", "sun-altitude < 10 deg")


def test_the_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


def test_a_day_with_what_opens_and_closes_each_span(ask):
    found = ask(UP + LOW)
    (day,) = found["setups"][0]["days"]
    assert day["minutes"] == 1440
    morning, evening = day["spans"]
    # astral 3.2, without its refraction: the sun's middle at -50 arcminutes, USNO's sunrise and sunset.
    for direction, edge, within in (
        (SunDirection.RISING, morning["start"], (0, 61)),
        (SunDirection.SETTING, evening["end"], (-61, 0)),
    ):
        event = time_at_elevation(
            Observer(56.15, 10.2), -50 / 60, datetime.date(2026, 6, 20), direction, datetime.UTC, with_refraction=False
        )
        after = (datetime.datetime.fromisoformat(edge) - event).total_seconds()
        assert within[0] - 20 <= after <= within[1] + 20
    assert (morning["opened-by"], morning["closed-by"]) == (["sun.up"], ["sun.low"])
    assert (evening["opened-by"], evening["closed-by"]) == (["sun.low"], ["sun.up"])
    assert found["longest"] == "2026-06-20"


def test_the_levels_asked_are_those_of_check(ask):
    rules = UP + rule("sun.low", "sun-altitude < 10 deg", "warning")
    assert len(spans(ask(rules, "--fail-on", "error"))["2026-06-20"]) == 1
    assert len(spans(ask(rules))["2026-06-20"]) == 2


def test_days_on_which_the_clocks_change_and_leap_days(ask):
    found = ask(UP, "--from", "2028-02-28", "--to", "2028-10-30")
    minutes = {day["date"]: day["minutes"] for day in found["setups"][0]["days"]}
    assert minutes["2028-02-29"] == 1440
    assert [date for date, length in minutes.items() if length == 1380] == ["2028-03-26"]
    assert [date for date, length in minutes.items() if length == 1500] == ["2028-10-29"]
    assert len(minutes) == 246
    always = ask(rule("iso.any", "iso > 0 and sun-altitude > -90 deg"), "--from", "2028-10-29", "--to", "2028-10-29")
    (span,) = always["setups"][0]["days"][0]["spans"]
    assert span["minutes"] == 1499
    assert span["start"].endswith("T00:00+02:00") and span["end"].endswith("T23:59+01:00")


def test_the_hour_that_comes_twice_is_told_apart(ask, studio):
    ask(rule("sun.deep", "sun-altitude < -40 deg"), "--from", "2028-10-29", "--to", "2028-10-29")
    text = studio.run(
        "hours", "plan.shoot", "--from", "2028-10-29", "--to", "2028-10-29", "--after", "02:30", "--before", "02:45"
    ).out
    # The part of the day asked of begins at the first of the two times of that name.
    assert "holds 02:30 to 02:45, 15 min" in text
    always = studio.run("hours", "plan.shoot", "--from", "2028-10-29", "--to", "2028-10-29").out
    assert "25 h long, as the clocks change" in always


def test_a_day_that_the_calendar_leaves_out(ask, plan):
    # Samoa went over the date line: its calendar goes from 29 to 31 December 2011 (IANA time zone database).
    samoa = plan.replace("56.1500 N, 10.2000 E", "13.8300 S, 171.7600 W").replace("Europe/Copenhagen", "Pacific/Apia")
    found = ask(UP, "--from", "2011-12-29", "--to", "2011-12-31", plan=samoa)
    assert [day["minutes"] for day in found["setups"][0]["days"]] == [1440, 0, 1440]
    assert spans(found)["2011-12-30"] == []
    alone = ask(UP, "--from", "2011-12-30", "--to", "2011-12-30")
    assert (alone["setups"][0]["never"], alone["setups"][0]["never-together"], alone["slots"]["laid"]) == ([], [], [])
    # The sun stood nearly the same above the same sea the day after; the clock was moved by a whole day and no more.
    before, after = spans(found)["2011-12-29"], spans(found)["2011-12-31"]
    assert len(before) == len(after) == 1 and before[0][0][:4] == after[0][0][:4]


def test_polar_day_and_night(ask, plan):
    north = plan.replace("56.1500 N, 10.2000 E", "69.6500 N, 18.9600 E").replace("Europe/Copenhagen", "Europe/Oslo")
    found = ask(UP, "--from", "2026-06-20", "--to", "2026-06-21", plan=north)
    assert spans(found) == {"2026-06-20": [("00:00", "23:59")], "2026-06-21": [("00:00", "23:59")]}
    night = ask(UP, "--from", "2026-12-20", "--to", "2026-12-22", plan=north)
    assert (night["setups"][0]["never"], night["longest"]) == (["sun.up"], None)


def test_the_sun_that_stays_up_or_down_is_said_so(ask, studio, plan):
    north = plan.replace("56.1500 N, 10.2000 E", "69.6500 N, 18.9600 E").replace("Europe/Copenhagen", "Europe/Oslo")
    ask(UP, plan=north)
    for date, line in (
        ("2026-06-20", "the sun stays up; civil twilight lasts all day"),
        ("2026-12-20", "the sun stays down; civil twilight begins 09:30 and ends 13:52"),
    ):
        assert studio.run("hours", "plan.shoot", "--from", date, "--to", date).lines[1] == line
    antarctic = north.replace("69.6500 N", "85.0000 S")
    studio.write("plan.shoot", antarctic)
    told = studio.run("hours", "plan.shoot", "--from", "2026-06-20", "--to", "2026-06-20").lines[1]
    assert told == "the sun stays down; no civil twilight"


def test_accepted_findings_do_not_count(ask, plan):
    rules = rule("sun.up", "sun-altitude > -0.8333 deg") + rule("house.iso", "iso <= 200")
    assert ask(rules)["setups"][0]["never"] == ["house.iso"]
    accepted = plan + 'accept house.iso for "Both", because "it is dark", until 2026-12-31\n'
    assert ask(rules, plan=accepted)["setups"][0]["holds"]


def test_an_acceptance_that_has_run_out_counts_for_nothing(ask, plan, monkeypatch):
    monkeypatch.setenv("SHOOTLINT_TODAY", "2027-01-01")
    accepted = plan + 'accept house.iso for "Both", because "it is dark", until 2026-12-31\n'
    assert ask(rule("house.iso", "iso <= 200"), plan=accepted)["setups"][0]["never"] == ["house.iso"]


def test_why_no_minute_holds(ask, studio):
    never = ask(rule("house.iso", "iso <= 200") + UP, "--from", "2026-01-01", "--to", "2026-12-31")
    assert never["setups"][0]["never"] == ["house.iso"]
    rules = UP + rule("sun.down", "sun-altitude < -1 deg") + rule("sun.high", "sun-altitude > -70 deg")
    together = ask(rules, "--from", "2026-01-01", "--to", "2026-12-31")
    assert together["setups"][0]["never"] == []
    assert together["setups"][0]["never-together"] == ["sun.down", "sun.up"]
    told = studio.run("hours", "plan.shoot", "--from", "2026-01-01", "--to", "2026-12-31")
    assert told.status == 1
    assert "  never holds: at every minute one or another of sun.down and sun.up fails" in told.lines


def test_rules_about_slots_are_not_asked_of_minutes(ask):
    rules = (
        UP
        + rule("slot.long", "slot-length >= 5 min")
        + rule("slot.gap", "changeover >= 5 min")
        + rule("slot.apart", "overlap <= 0 min")
        + rule("slot.clock", "start-on-the-clock is once")
        # This one reduces over minutes and is still about moments.
        + rule("sun.all-in", "min(sun-altitude over minutes) > -1 deg")
    )
    found = ask(rules)
    assert sorted(found["not-asked"]) == ["slot.apart", "slot.clock", "slot.gap", "slot.long"]
    assert spans(found)["2026-06-20"]


def test_what_is_taken_over_a_slot_is_never_taken_over_a_day(ask):
    # Over the whole day as one slot the sun is not always up; at each minute it is or is not.
    all_in = ask(rule("sun.all-in", "min(sun-altitude over minutes) > -0.8333 deg"))
    assert spans(all_in) == spans(ask(UP))


def two(plan, first="20:00 to 20:10", second="20:30 to 20:45"):
    """The plan with a second setup."""
    again = plan[plan.index("setup ") :].replace('"Both"', '"Later"').replace("20:00 to 20:10", second)
    return plan.replace("20:00 to 20:10", first) + again


def minutes(text):
    return int(text[11:13]) * 60 + int(text[14:16])


def test_slots_are_laid_with_the_longest_margins_and_changeovers_kept(ask, plan):
    window = rule("sun.window", "sun-altitude < 12 deg and sun-altitude > 4 deg")
    gap = rule("slot.gap", "changeover >= 20 min or changeover < 0 min", "warning")
    # By the reading's definition a slot that runs into the next one is below 0 and is another rule's.
    found = ask(window + gap + rule("slot.apart", "overlap <= 0 min"), plan=two(plan))
    (span,) = [each for each in found["setups"][0]["days"][0]["spans"] if each["start"][11:13] > "12"]
    first, second = found["slots"]["laid"]
    assert (first["setup"], second["setup"]) == ("Both", "Later")
    assert found["slots"]["failing"] == []
    assert minutes(second["start"]) - minutes(first["end"]) == 20
    # The two slots with 20 minutes between them lie in the middle of the span: nothing leaves more room at both ends.
    before, after = minutes(first["start"]) - minutes(span["start"]), minutes(span["end"]) - minutes(second["end"])
    assert abs(before - after) <= 1
    assert first["earlier"] == before and second["later"] == after


def test_slots_that_fit_in_another_order_only_are_laid_in_it(ask, plan):
    swapped = two(plan).replace("facing   300 deg", "facing   310 deg", 1)
    late = rule("sun.late", "sun-altitude < 5 deg or facing < 305 deg") + rule(
        "sun.early", "sun-altitude > 5 deg or facing > 305 deg"
    )
    found = ask(late + UP + rule("slot.apart", "overlap <= 0 min"), "--after", "20:00", plan=swapped)
    assert [each["setup"] for each in found["slots"]["laid"]] == ["Later", "Both"]
    assert found["slots"]["in-planned-order"] is False


def test_slots_that_do_not_fit_are_told(ask, plan, studio):
    brief = rule("sun.brief", "sun-altitude < 5 deg and sun-altitude > 3.5 deg") + rule("slot.apart", "overlap <= 0 min")
    found = ask(brief, plan=two(plan, "20:00 to 20:08", "20:30 to 20:38"))
    assert found["setups"][0]["holds"]
    assert found["slots"]["laid"] == [] and found["slots"]["without-a-slot"] == []
    assert "the slots do not fit one after another" in studio.run("hours", "plan.shoot").out
    homeless = ask(rule("sun.brief", "sun-altitude < 5 deg and sun-altitude > 4.7 deg"), plan=plan)
    assert homeless["slots"]["without-a-slot"] == ["Both"]


def test_a_slot_as_laid_holds_in_check(ask, studio, plan):
    window = rule(
        "sun.window", "sun-altitude < 12 deg and max(sun-altitude over minutes) - min(sun-altitude over minutes) < 1.2 deg"
    )
    found = ask(window + UP)
    (laid,) = found["slots"]["laid"]
    for start, status in ((laid["start"], 0), (found["setups"][0]["days"][0]["spans"][-1]["start"], None)):
        at = minutes(start)
        text = f"{at // 60:02}:{at % 60:02} to {(at + 10) // 60:02}:{(at + 10) % 60:02}"
        studio.write("laid.shoot", plan.replace("20:00 to 20:10", text))
        if status is not None:
            assert studio.run("check", "laid.shoot").status == status


def test_a_window_across_midnight(ask, plan):
    late = plan.replace("  time     20:00 to 20:10\n", "  frames 60\n").replace(
        "date  2026-06-20\n", "date  2026-06-20\nwindow 23:30 to 01:30\n"
    )
    dark = rule("sun.dark", "sun-altitude < -8 deg and sun-altitude > -10.3 deg")
    found = ask(dark, plan=late)
    (laid,) = found["slots"]["laid"]
    # Sixty pictures without lights take two minutes at the usual pace.
    assert laid["start"][:10] in ("2026-06-20", "2026-06-21")
    assert minutes(laid["end"]) - minutes(laid["start"]) == 2
    assert laid["start"][11:13] in ("23", "00", "01")


def test_the_longest_evening_is_one_command(ask, studio):
    rules = UP + LOW
    found = ask(rules, "--from", "2026-06-01", "--to", "2026-06-30", "--after", "15:00", "--longest")
    whole = ask(rules, "--from", "2026-06-01", "--to", "2026-06-30", "--after", "15:00")
    lengths = {day["date"]: max(span["minutes"] for span in day["spans"]) for day in whole["setups"][0]["days"]}
    assert lengths[found["longest"]] == max(lengths.values())
    assert [day["date"] for day in found["setups"][0]["days"]] == [found["longest"]]
    assert all(span["start"][11:13] >= "15" for day in whole["setups"][0]["days"] for span in day["spans"])
    assert found["slots"]["date"] == found["longest"]


def test_a_plan_without_a_place_is_judged_by_what_needs_none(ask, studio, plan):
    placeless = plan.replace("  position   56.1500 N, 10.2000 E\n", "")
    found = ask(UP + rule("house.iso", "iso <= 800"), plan=placeless)
    assert found["setups"][0]["holds"]
    assert found["setups"][0]["not-judged"] == [{"rule": "sun.up", "needs": ["site position"]}]
    assert 'plan.shoot: not judged: sun.up in setup "Both"; it needs site position' in studio.run("hours", "plan.shoot").lines


@pytest.mark.parametrize(("line", "needs"), [("date  2026-06-20\n", "date"), ('  zone       "Europe/Copenhagen"\n', "site zone")])
def test_a_plan_without_date_or_zone_has_no_minutes(ask, studio, plan, line, needs):
    found = ask(UP, plan=plan.replace(line, ""))
    assert found["needs"] == [needs]
    assert found["setups"][0]["not-judged"] == [{"rule": "sun.up", "needs": [needs]}]
    told = studio.run("hours", "plan.shoot")
    assert told.status == 1
    assert told.lines[0] == f"plan.shoot: no minute can be named; it needs {needs}"


def test_days_need_no_date_in_the_plan(ask, plan):
    found = ask(UP, "--from", "2026-06-20", "--to", "2026-06-20", plan=plan.replace("date  2026-06-20\n", ""))
    assert spans(found)["2026-06-20"]
    assert found["evenings"] == []


def test_a_setup_without_a_time_is_asked_all_the_same(ask, plan):
    assert spans(ask(UP, plan=plan.replace("  time     20:00 to 20:10\n", "")))["2026-06-20"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--from", "2026-10-31", "--to", "2026-10-01"], "--from 2026-10-31 is later than --to 2026-10-01; the first day comes first"),
        (["--from", "2026-10-31"], "--from and --to go together: the first and the last of the days"),
        (["--to", "2026-10-31"], "--from and --to go together: the first and the last of the days"),
        (["--from", "2026-02-29", "--to", "2026-03-01"], "--from: there is no day 2026-02-29"),
        (["--from", "next week", "--to", "2026-03-01"], "--from takes a date such as 2026-10-01, not next week"),
        (["--from", "2026-W10", "--to", "2026-03-01"], "--from takes a date such as 2026-10-01, not 2026-W10"),
        (["--from", "1850-01-01", "--to", "1850-03-01"], "--from: the sun's place is worked out for the years 1900 to 2100 only, not for 1850-01-01"),
        (["--from", "2020-01-01", "--to", "2026-03-01"], "from 2020-01-01 to 2026-03-01 are 2,252 days; the most is 1,100"),
        (["--after", "22:00", "--before", "01:00"], "--after 22:00 is later than --before 01:00; both lie in one day, which ends at midnight"),
        (["--after", "25:00"], "--after takes a time of day such as 18:45, not 25:00"),
        (["--report", "ical=x"], "no report is called ical; there are calendar, json and text"),
        (["--report", "json"], "--report takes KIND=PATH, such as json=report.json, not json"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_told(studio, arguments, message):
    told = studio.run("hours", "plan.shoot", *arguments)
    assert (told.status, told.out, told.err) == (2, "", f"shootlint: {message}\n")


def test_a_broken_plan_is_told(studio, broken):
    studio.write("plan.shoot", broken)
    told = studio.run("hours", "plan.shoot")
    assert told.status == 2
    assert "there is no setup without a mistake in it" in told.err
    assert studio.run("hours", "none.shoot").status == 2


def calendar(studio, *arguments):
    done = studio.start("hours", "plan.shoot", *arguments, "--report", "calendar=hours.ics", SHOOTLINT_TODAY="2026-05-01")
    return done, (studio.folder / "hours.ics").read_bytes()


def test_the_calendar_can_be_read_by_a_library_and_holds_the_same_spans(ask, studio, plan):
    title = 'title "Rowing club; jetty, by the old boathouse\\\\slip and the long quay of the northern harbour at Ærøsund"'
    found = ask(UP + LOW, "--from", "2026-10-20", "--to", "2026-10-28", plan=plan.replace('title "Rowing club, jetty"', title))
    done, content = calendar(studio, "--from", "2026-10-20", "--to", "2026-10-28")
    assert done.status == 0
    assert content.count(b"\n") == content.count(b"\r\n")
    assert max(map(len, content.split(b"\r\n"))) <= 75
    read = Calendar.from_ical(content)
    assert read.get("version") == "2.0"
    events = read.walk("VEVENT")
    expected = [
        (datetime.datetime.fromisoformat(span["start"]), datetime.datetime.fromisoformat(span["end"]))
        for day in found["setups"][0]["days"]
        for span in day["spans"]
    ]
    assert [(event.decoded("dtstart"), event.decoded("dtend")) for event in events] == expected
    assert len({event["uid"] for event in events}) == len(events) > 9
    assert (
        events[0]["summary"]
        == "Rowing club; jetty, by the old boathouse\\slip and the long quay of the northern harbour at Ærøsund: Both"
    )
    assert events[0]["location"] == "Jetty"
    assert events[0].decoded("dtstamp") == datetime.datetime(2026, 5, 1, tzinfo=datetime.UTC)
    assert not any(event.errors for event in events)
    again = calendar(studio, "--from", "2026-10-20", "--to", "2026-10-28")[1]
    assert again == content


def test_a_single_minute_is_an_event_without_an_end(ask, studio):
    ask(rule("sun.once", "sun-altitude < 5.05 deg and sun-altitude > 4.97 deg"))
    content = calendar(studio)[1]
    events = Calendar.from_ical(content).walk("VEVENT")
    assert events and all("dtend" not in event or event.decoded("dtend") > event.decoded("dtstart") for event in events)


def test_a_calendar_of_nothing_holds_one_entry_that_says_so(ask, studio):
    # RFC 5545, 3.6: an iCalendar object has at least one component beside its properties.
    ask(rule("sun.never", "sun-altitude > 89 deg"))
    done, content = calendar(studio)
    assert done.status == 1
    read = Calendar.from_ical(content)
    assert not read.walk("VEVENT") and not read.errors
    (entry,) = read.walk("VJOURNAL")
    assert entry["summary"] == "Rowing club, jetty: no setup holds at any minute asked of"


def test_the_longest_of_no_days_is_refused(studio, plan):
    studio.write("plan.shoot", plan)
    told = studio.run("hours", "plan.shoot", "--longest")
    assert told.status == 2 and "--longest asks which of several days" in told.err


def test_a_mistake_in_an_acceptance_is_one_for_hours_too(studio, plan):
    studio.write("plan.shoot", plan + 'accept no.such-rule for "Both", because "x"\n')
    told = studio.run("hours", "plan.shoot")
    assert told.status == 2 and "no rule is called no.such-rule" in told.err


def test_a_control_character_does_nothing_in_a_calendar(ask, studio, plan):
    ask(UP, plan=plan.replace("Rowing club, jetty", "Row\u2028ing\u0085club"))
    content = calendar(studio)[1].decode()
    assert "SUMMARY:Rowingclub: Both" in content


def test_the_evening_as_planned_is_told_minute_by_minute(ask, studio):
    rules = rule("sun.low", "sun-altitude < 13.5 deg", "warning")
    found = ask(rules)
    (evening,) = found["evenings"]
    first, *_, last = evening["moments"]
    assert (first["at"][11:16], last["at"][11:16]) == ("20:00", "20:10")
    (change,) = [each for each in evening["moments"] if each["holds-again"] or each["stops-holding"]]
    assert change["holds-again"] == ["sun.low"] and change["readings"]["sun-altitude"] < 13.5
    measured = studio.json("measure", "plan.shoot", "--reading", "sun-altitude")["setups"]["Both"]["readings"]["sun-altitude"][
        "value"
    ]
    for each in evening["moments"]:
        assert each["readings"]["sun-altitude"] == pytest.approx(measured[each["at"][11:16]])
    before = min(clock for clock, altitude in measured.items() if altitude < 13.5)
    assert change["at"][11:16] == before


def test_the_same_call_gives_the_same_bytes(ask, studio):
    ask(UP + LOW)
    arguments = ("hours", "plan.shoot", "--from", "2026-03-01", "--to", "2026-04-30", "--report", "json=-")
    assert studio.start(*arguments, PYTHONHASHSEED="1").out == studio.start(*arguments, PYTHONHASHSEED="2").out
