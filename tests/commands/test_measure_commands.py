"""measure: the table that people read and the object that programs read."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest

from shootlint.readings.catalogue import catalogue

LIGHTS = """
light "Box" { energy 300 J; metered f/11 at 2 m; power 1/1 to 1/64; colour 5600 K; modifier softbox, 60 cm x 60 cm; mass 2 kg }
light "Bare" { energy 300 J; guide 40 m; power 1/1 to 1/64; colour 5600 K; modifier reflector, 18 cm; mass 2 kg }
"""
PLACED = """  place "Box" as key, right 35 deg, distance 3 m, height 2.2 m, power 1/4
  place "Bare" as rim, left 140 deg, distance 3 m, height 2.2 m, power 1/8
"""


@pytest.fixture
def lit(studio, plan):
    """The plan with two lights and a second setup at another time."""
    plan = plan.replace("setup ", LIGHTS + "setup ", 1).replace('  row "only", ', PLACED + '  row "only", ')
    second = plan[plan.index("setup ") :].replace('"Both"', '"Later"').replace("20:00 to 20:10", "21:00 to 21:05")
    studio.write("plan.shoot", plan + "\n" + second)
    return studio


def measured(studio, *arguments):
    found = studio.json("measure", "plan.shoot", *arguments)
    assert list(found) == ["shootlint", "report", "setups", "packing"]
    return found["setups"]


def test_every_reading_of_every_setup_is_told_with_unit_and_axes(lit):
    setups = measured(lit)
    assert list(setups) == ["Both", "Later"]
    for readings in setups.values():
        assert set(readings["readings"]) == set(catalogue())
        for name, found in readings["readings"].items():
            assert found["unit"] == catalogue()[name].unit.name
            assert found["axes"] == list(catalogue()[name].axes)


def test_a_quantity_without_axes_is_a_plain_number(lit):
    assert measured(lit)["Both"]["readings"]["iso"] == {"unit": "1", "axes": [], "value": 400.0}


def test_people_and_lights_go_by_their_declared_names(lit):
    readings = measured(lit)["Both"]["readings"]
    assert list(readings["distance"]["value"]) == ["Asta", "Bent"]
    assert list(readings["light-distance"]["value"]) == ["Box", "Bare"]
    assert readings["light-distance"]["value"]["Box"] == 3.0


def test_two_axes_nest_in_the_order_of_axes(lit):
    flash = measured(lit)["Both"]["readings"]["flash"]
    assert flash["axes"] == ["light", "person"]
    assert list(flash["value"]) == ["Box", "Bare"]
    assert all(list(each) == ["Asta", "Bent"] for each in flash["value"].values())
    assert all(isinstance(each, float) for row in flash["value"].values() for each in row.values())


def test_a_minute_axis_goes_by_the_clock(lit):
    altitude = measured(lit)["Both"]["readings"]["sun-altitude"]["value"]
    assert list(altitude) == [f"20:{minute:02}" for minute in range(11)]
    # In the evening the sun goes down, by 0.25 degrees a minute at most.
    assert 1.0 < altitude["20:00"] - altitude["20:10"] < 2.5


def test_an_hour_that_comes_twice_is_told_apart(studio, plan):
    plan = plan.replace("2026-06-20", "2026-10-25").replace("20:00 to 20:10", "01:30 to 03:30")
    studio.write("plan.shoot", plan)
    times = list(measured(studio)["Both"]["readings"]["instant"]["value"].items())
    # Two hours by the wall, three in truth.
    assert len(times) == 181
    assert [name for name, _ in times][120] == "02:30 again"
    assert [second - first for (_, first), (_, second) in pairwise(times)] == [60.0] * 180


def test_what_does_not_vary_is_a_plain_number_where_no_time_is_told(studio, plan):
    studio.write("plan.shoot", plan.replace("  time     20:00 to 20:10\n", ""))
    found = measured(studio, "--reading", "shutter", "--reading", "sun-altitude")["Both"]["readings"]
    # A camera's 1/125 s is truly 1/128 s.
    assert found["shutter"]["value"] == 2.0**-7
    assert found["sun-altitude"]["value"] is None
    text = studio.run("measure", "plan.shoot", "--reading", "shutter").out
    assert [line.split() for line in text.splitlines() if "shutter" in line] == [["shutter", "1/125", "s"]]


def test_the_unknown_is_null_with_what_it_needs(studio):
    found = measured(studio, "--reading", "blur", "--reading", "flash", "--reading", "background-distance")["Both"]["readings"]
    for name in ("blur", "background-distance"):
        assert found[name]["value"] is None
        assert found[name]["needs"]
    assert found["blur"]["needs"] == ["setup print"]
    assert found["background-distance"]["needs"] == ["site background"]
    text = studio.run("measure", "plan.shoot", "--reading", "blur").out
    assert "  blur  unknown; needs setup print\n" in text


def test_a_setup_without_lights_can_be_measured(studio):
    setups = measured(studio)
    assert setups["Both"]["readings"]["power"]["value"] in (None, {})
    assert studio.run("measure", "plan.shoot").status == 0


def test_setup_narrows(lit):
    assert list(measured(lit, "--setup", "Later")) == ["Later"]
    text = lit.run("measure", "plan.shoot", "--setup", "Later").out
    assert 'setup "Later"' in text and 'setup "Both"' not in text


def test_reading_narrows_and_may_repeat(lit):
    found = measured(lit, "--reading", "iso", "--reading", "aperture")
    assert [set(each["readings"]) for each in found.values()] == [{"iso", "aperture"}] * 2


@pytest.mark.parametrize(("clock", "lower", "upper"), [("20:05", 12.0, 15.0), ("9:00", 30.0, 50.0), ("00:00", -12.0, -7.0)])
def test_at_measures_at_one_time_inside_and_outside_the_slot(studio, clock, lower, upper):
    altitude = measured(studio, "--at", clock, "--reading", "sun-altitude")["Both"]["readings"]["sun-altitude"]["value"]
    assert list(altitude) == [f"{clock:0>5}"]
    assert lower < altitude[f"{clock:0>5}"] < upper


def test_at_inside_the_slot_measures_what_the_slot_measures(studio):
    alone = measured(studio, "--at", "20:07", "--reading", "sun-bearing")["Both"]["readings"]["sun-bearing"]["value"]
    among = measured(studio, "--reading", "sun-bearing")["Both"]["readings"]["sun-bearing"]["value"]
    assert alone["20:07"] == among["20:07"]


def test_at_after_midnight_in_a_slot_that_goes_past_it_is_the_next_day(studio, plan):
    studio.write("plan.shoot", plan.replace("20:00 to 20:10", "23:30 to 00:30"))
    among = measured(studio, "--reading", "instant")["Both"]["readings"]["instant"]["value"]
    for clock in ("23:45", "00:15"):
        alone = measured(studio, "--reading", "instant", "--at", clock)["Both"]["readings"]["instant"]["value"]
        assert alone[clock] == among[clock]


@pytest.mark.parametrize("clock", ["24:00", "20.15", "20:5", "20", "noon", "²0:15", "20:15:00", "-1:00", ""])
def test_at_takes_a_time_of_day_only(studio, clock):
    found = studio.run("measure", "plan.shoot", f"--at={clock}")
    assert (found.status, found.out) == (2, "")
    assert "--at takes a time of day such as 18:45" in found.err


def test_at_needs_a_date_and_a_zone(studio, plan):
    studio.write("plan.shoot", plan.replace("date  2026-06-20\n", ""))
    found = studio.run("measure", "plan.shoot", "--at", "20:05")
    assert found.status == 2
    assert "--at needs the plan's date and the site's zone" in found.err


def test_the_table_lines_up_names_and_values(lit):
    text = lit.run("measure", "plan.shoot", "--setup", "Both", "--reading", "distance", "--reading", "stature").out
    lines = [line.split() for line in text.splitlines() if line]
    people = ["Asta", "Bent"]
    told = [["stature", "168", "cm", "182", "cm"], ["distance", "4", "m", "4", "m"]]
    assert lines == [["setup", '"Both"'], ["people"], people, told[0], ["framing"], people, told[1]]
    rows = [line for line in text.splitlines() if line.startswith("  ")]
    # Names and values end in one column, in both tables.
    assert {len(row) for row in rows[:2]} == {len(rows[0])}
    assert {len(row) for row in rows[2:]} == {len(rows[2])}


def test_minutes_come_as_rows_when_asked(lit):
    text = lit.run("measure", "plan.shoot", "--setup", "Both", "--reading", "shutter", "--reading", "setting", "--every", "4").out
    rows = [line.split() for line in text.splitlines() if line.startswith("  20:")]
    assert [row[0] for row in rows] == ["20:00", "20:04", "20:08", "20:10"]
    assert {row[1] for row in rows} == {"1/125"}
    assert lit.run("measure", "plan.shoot", "--every", "0").status == 2


def test_the_packing_list_counts_what_one_setup_uses_at_once(lit):
    packed = lit.json("measure", "plan.shoot")["packing"]
    assert {"kind": "camera", "name": "Body", "count": 1} in packed
    assert [each["count"] for each in packed if each["kind"] == "light"] == [1, 1]
    assert "to pack" in lit.run("measure", "plan.shoot").out
    assert "to pack" not in lit.run("measure", "plan.shoot", "--reading", "iso").out


def test_the_table_of_lights_and_people_lines_up(lit):
    text = lit.run("measure", "plan.shoot", "--setup", "Both", "--reading", "flash").out
    lines = [line for line in text.splitlines() if line.startswith("  ")]
    assert lines[0].split() == ["flash", "Asta", "Bent"]
    assert [line.split()[0] for line in lines[1:]] == ["Box", "Bare"]
    assert len(set(map(len, lines))) == 1


def test_a_plan_with_a_mistake_is_measured_as_far_as_it_is_sound(studio, plan, broken):
    setup = broken[broken.index("setup ") :].replace('"Both"', '"Again"')
    studio.write("plan.shoot", plan + setup)
    found = studio.run("measure", "plan.shoot", "--reading", "iso", "--report", "json=-")
    assert found.status == 2
    assert list(json.loads(found.out)["setups"]) == ["Both"]
    assert "expected a whole number" in found.err


@pytest.mark.parametrize("command", [["measure", "plan.shoot"], ["why", "plan.shoot", "focus.person-soft"]])
def test_where_no_setup_is_sound_that_is_told(studio, broken, command):
    studio.write("plan.shoot", broken)
    found = studio.run(*command)
    assert (found.status, found.out) == (2, "")
    assert "there is no setup without a mistake in it" in found.err


def test_no_number_in_the_json_is_nan_or_infinite(lit, plan):
    text = lit.run("measure", "plan.shoot", "--report", "json=-").out
    lit.write("plan.shoot", plan)
    text += lit.run("measure", "plan.shoot", "--report", "json=-").out
    assert "NaN" not in text
    assert "Infinity" not in text
    # Without a hazard its distance has no end, which is a word.
    assert '"infinity"' in text


def test_the_report_goes_to_a_file(studio):
    assert studio.run("measure", "plan.shoot", "--report", "json=m.json").out == ""
    assert "Both" in json.loads((studio.folder / "m.json").read_text())["setups"]


@pytest.mark.parametrize(("count", "shown"), [(100, True), (101, False)])
def test_a_table_that_nobody_would_look_at_is_named_and_not_printed(studio, plan, count, shown):
    people = "".join(f'  "P{each}" stature 170 cm\n' for each in range(count))
    row = "".join(f'    "P{each}", at {each * 50} cm\n' for each in range(count))
    text = plan.replace('  "Asta" stature 168 cm\n  "Bent" stature 182 cm\n', people)
    text = text.replace('    "Asta" standing, at -30 cm\n    "Bent" standing, at 30 cm\n', row)
    studio.write("plan.shoot", text)
    found = studio.run("measure", "plan.shoot")
    assert found.status == 0
    assert (f"{count} times {count} values, which stand in the JSON" not in found.out) is shown
