"""The order of the evening: the slots are the plan's, the sun is astral's, and the lead times are said once."""

from __future__ import annotations

import datetime
import itertools
import math
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings import order
from shootlint.readings.order import Order, Step, order_of_evening

OTHER = """setup "{}" {{
  time {}
  camera "Body"; lens "Zoom", 50 mm; aperture f/8; shutter 1/125 s; iso 100; frame landscape; focus 5 m
  {}
  row "front", 5 m {{ {} }}
}}"""
BEN = '"Ben" standing'
LAMP = 'place "Lamp" as key, right 30 deg, distance 3 m, height 2 m, power 1/2'


def ordered(shot) -> Order:
    return order_of_evening(shot.graph.scene.plan)


def told(found: Order) -> list[tuple[str, str, str]]:
    return [(found.clock(step.start), step.kind, step.setup) for step in found.steps if step.kind not in order.SUN]


def test_an_evening_of_two_setups(shoot):
    found = ordered(
        shoot(people="Ada 170, Ben 180", time="18:00 to 18:20", place=LAMP, more=OTHER.format("Two", "18:30 to 18:50", "", BEN))
    )
    assert told(found) == [
        ("17:05", "arrive", ""),
        ("17:20", "rig", "One"),
        ("17:45", "call", "One"),
        ("18:00", "setup", "One"),
        ("18:15", "call", "Two"),
        ("18:20", "change", "Two"),
        ("18:30", "setup", "Two"),
        ("18:50", "pack", ""),
    ]
    steps = {(step.kind, step.setup): step for step in found.steps}
    assert steps["call", "One"].who == ("Ada",) and steps["call", "Two"].who == ("Ben",)
    assert steps["setup", "Two"].minutes == 20 and steps["change", "Two"].minutes == 10
    assert steps["rig", "One"].minutes * 60 == order.RIGGING + order.RIGGING_EACH_LIGHT
    assert steps["pack", ""].minutes * 60 == order.PACKING + order.PACKING_EACH_LIGHT
    assert found.needs == ()


def test_who_has_been_called_is_not_called_again(shoot):
    found = ordered(
        shoot(
            people="Ada 170, Ben 180",
            time="18:00 to 18:20",
            more=OTHER.format("Two", "18:30 to 18:50", "", BEN + '; "Ada" standing'),
        )
    )
    assert [step.who for step in found.steps if step.kind == "call"] == [("Ada",), ("Ben",)]
    assert [step.who for step in found.steps if step.kind == "setup"] == [("Ada",), ("Ben", "Ada")]


def test_setups_come_by_the_clock_and_not_as_written(shoot):
    found = ordered(shoot(time="19:00 to 19:10", people="Ada 170, Ben 180", more=OTHER.format("Two", "18:00 to 18:30", "", BEN)))
    assert [step.setup for step in found.steps if step.kind == "setup"] == ["Two", "One"]
    assert [step.setup for step in found.steps if step.kind == "change"] == ["One"]


@pytest.mark.parametrize("second", ["18:20 to 18:50", "18:10 to 18:50", "18:05 to 18:10"])
def test_setups_without_time_between_them_have_no_changeover(shoot, second):
    found = ordered(shoot(time="18:00 to 18:20", people="Ada 170, Ben 180", more=OTHER.format("Two", second, "", BEN)))
    assert "change" not in {step.kind for step in found.steps}
    last = max(step.end for step in found.steps if step.kind == "setup")
    assert [step.start for step in found.steps if step.kind == "pack"] == [last]


def test_a_change_begins_when_all_before_it_have_ended(shoot):
    more = OTHER.format("Two", "18:05 to 18:10", "", BEN) + "\n" + OTHER.format("Three", "18:30 to 18:40", "", BEN)
    found = ordered(shoot(time="18:00 to 18:20", people="Ada 170, Ben 180", more=more))
    assert [(found.clock(step.start), found.clock(step.end)) for step in found.steps if step.kind == "change"] == [
        ("18:20", "18:30")
    ]


def by_astral(date: datetime.date, latitude: float, longitude: float, name: str) -> float:
    place = astral.Observer(latitude, longitude, 0.0)
    return getattr(astral.sun, name)(place, date).timestamp()


def test_the_sun_in_the_order_is_that_of_astral(shoot):
    """Reference: astral 3.2; the longitude is one where the day there is the day in UTC."""
    day = datetime.date(2026, 9, 5)
    found = ordered(shoot(date="2026-09-05", position="55.6 N, 9.3 E", zone="Europe/Copenhagen", time="18:40 to 18:55"))
    sun = {step.kind: step.start for step in found.steps if step.kind in order.SUN}
    assert sun == {
        "sunset": pytest.approx(by_astral(day, 55.6, 9.3, "sunset"), abs=90),
        "dusk": pytest.approx(by_astral(day, 55.6, 9.3, "dusk"), abs=90),
    }
    assert all(instant % 60 == 0 for instant in sun.values())
    early = ordered(shoot(date="2026-09-05", position="55.6 N, 9.3 E", zone="Europe/Copenhagen", time="07:10 to 07:30"))
    sun = {step.kind: step.start for step in early.steps if step.kind in order.SUN}
    assert sun == {
        "dawn": pytest.approx(by_astral(day, 55.6, 9.3, "dawn"), abs=90),
        "sunrise": pytest.approx(by_astral(day, 55.6, 9.3, "sunrise"), abs=90),
    }


def test_over_noon_both_halves_of_the_day_count(shoot):
    found = ordered(shoot(time="10:00 to 16:00"))
    assert [step.kind for step in found.steps if step.kind in order.SUN] == ["dawn", "sunrise", "sunset", "dusk"]


def test_what_the_sun_does_not_do_is_left_out(shoot):
    north = ordered(shoot(position="69 N, 19 E", time="20:00 to 20:20"))
    assert not order.SUN.keys() & {step.kind for step in north.steps} and north.needs == ()


def test_steps_stand_by_their_time_and_none_ends_before_it_begins(shoot):
    found = ordered(shoot(time="23:50 to 00:10", position="60 N, 5 E"))
    assert all(earlier.start <= later.start for earlier, later in itertools.pairwise(found.steps))
    assert all(step.start <= step.end and math.isfinite(step.end) for step in found.steps)
    dates = {found.wall(step.end).date() for step in found.steps if step.kind == "setup"}
    assert dates == {datetime.date(2026, 6, 11)}


def test_what_the_clocks_show_twice_is_told_apart(shoot):
    found = ordered(shoot(date="2026-10-25", zone="Europe/Copenhagen", time="02:50 to 03:10"))
    (slot,) = [step for step in found.steps if step.kind == "setup"]
    assert (found.clock(slot.start), slot.minutes) == ("02:50", 80)
    assert found.clock(slot.start + 3600) == "02:50 again"
    assert found.wall(slot.start) == datetime.datetime(2026, 10, 25, 2, 50, tzinfo=ZoneInfo("Europe/Copenhagen"))


BARE = """shootplan 1
{}
people {{ "Ada" stature 170 cm }}
camera "Body" {{ sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 12800 }}
lens "Zoom" {{ focal 20 mm to 200 mm; aperture f/2 to f/22 }}
setup "One" {{
  camera "Body"; lens "Zoom", 50 mm; aperture f/8; shutter 1/125 s; iso 100; frame landscape; focus 5 m
  row "front", 5 m {{ "Ada" standing }}
}}
"""


@pytest.mark.parametrize(
    ("head", "needs", "steps"),
    [
        ("", {"date, site zone, and the setup's time or the plan's window"}, 0),
        ("date 2026-06-10", {"date, site zone, and the setup's time or the plan's window"}, 0),
        ('date 2026-06-10; window 18:00 to 19:00; site { zone "Etc/UTC" }', {"site position"}, 5),
    ],
)
def test_what_the_plan_does_not_say_is_asked_for(head, needs, steps):
    document = Loader().load_source(Source("plan.shoot", BARE.format(head.replace("; ", "\n", 2))))
    assert document.plan is not None and not document.complaints, document.complaints
    found = order_of_evening(document.plan)
    assert set(found.needs) == needs and len(found.steps) == steps
    assert all(isinstance(step, Step) for step in found.steps)
