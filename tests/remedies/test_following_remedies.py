"""What to turn when a shutter that follows the light is at its end, each step judged by the rules."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from shootlint.language import clocks
from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.physics import exposure
from shootlint.readings.axes import along
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.following import ROUNDING, ends_of_following
from shootlint.rulebook.book import book_of, shipped_book
from shootlint.rulebook.evening import evening
from shootlint.rulebook.hours import Question
from shootlint.rulebook.judging import outcome

PLAN = Path(__file__).parents[2] / "plans" / "team-in-rain-gear.shoot"
TODAY = datetime.date(2026, 1, 1)


def question(*, of: str | None = None, **changes: str) -> Question:
    text = PLAN.read_text("utf-8") if of is None else of
    for before, after in changes.items():
        line = next(line for line in text.splitlines() if line.split()[:1] == [before])
        text = text.replace(line, f"  {before} {after}")
    document = Loader().load_source(Source(str(PLAN), text, PLAN))
    assert document.plan is not None and not document.complaints, document.complaints
    return Question(document.plan, shipped_book(), TODAY, Graph(scenes(document.plan)[0]))


def wall(asked: Question, instant: float) -> str:
    return clocks.wall_clock(instant, asked.graph.scene.zone)


SHORT = {"shutter": "follows ambient at -1.5 stops, from 1/160 s to 1/50 s", "time": "18:05 to 18:40"}


def test_a_shutter_that_reaches_to_the_last_minute_needs_nothing():
    asked = question()
    assert ends_of_following(asked, shipped_book()) == []
    assert np.abs(asked.graph["follow-error"].array).max() <= ROUNDING


def test_the_end_begins_where_the_light_has_gone_beyond_the_longest_time():
    asked = question(**SHORT)
    (end,) = ends_of_following(asked, shipped_book())
    assert end.too_dark
    seconds = asked.graph["instant"].array.ravel()
    shutter, error = (np.broadcast_to(asked.graph[name].array.ravel(), seconds.size) for name in ("shutter", "follow-error"))
    after = seconds >= end.start
    assert np.allclose(shutter[after], asked.graph["shutter-longest"].array.item(), rtol=0.02)
    assert (error[after] < -ROUNDING).all() and (np.abs(error[~after]) <= ROUNDING).all()
    assert end.end == seconds[-1]


def test_each_step_written_into_the_plan_keeps_what_held():
    # Told by the program: ISO 1600 with every light one stop down. Written by hand into the plan and judged as any plan is.
    asked = question(**SHORT)
    (end,) = ends_of_following(asked, shipped_book())
    best = end.steps[0]
    assert (best.title, best.breaks) == ("ISO 1600, every light 1 stop down", ())
    text = PLAN.read_text("utf-8")
    assert "power -4.6 stops" in text and "power 1/128" in text and "iso         800" in text
    start, until = wall(asked, end.start), wall(asked, best.until)
    changed = {**SHORT, "time": f"{start} to {until}", "iso": "1600"}
    held = {rule.name for rule in shipped_book().rules.values() if rule.scope != "plan" and rule.level != "note"}
    before = question(**{**SHORT, "time": f"18:05 to {wall(asked, end.start - 60)}"})
    held = {name for name in held if not outcome(shipped_book().rules[name], before.graph)[0].any()}
    after = question(**changed)
    lamps = [lamp.placement.power.value / 2 for lamp in after.graph.scene.lamps]
    turned = Graph(after.graph.scene, {"power": Graph(after.graph.scene)["power"].array / 2})
    assert np.allclose(np.squeeze(turned["power"].array), lamps)
    assert not [name for name in held if outcome(shipped_book().rules[name], turned)[0].any()]
    assert np.abs(turned["follow-error"].array).max() <= ROUNDING


def test_too_much_light_is_turned_the_other_way():
    asked = question(shutter="follows ambient at -1.5 stops, from 1/60 s to 1/15 s", time="17:20 to 18:15", iso="800")
    ends = ends_of_following(asked, shipped_book())
    assert ends and not ends[0].too_dark
    assert all("up" in step.title or "light" not in step.title for step in ends[0].steps)
    isos = [int(step.title.split()[1].rstrip(",")) for step in ends[0].steps if step.title.startswith("ISO")]
    assert all(iso < 800 for iso in isos)


def test_a_fixed_shutter_follows_nothing():
    assert ends_of_following(question(shutter="1/100 s"), shipped_book()) == []


def test_the_schedule_has_a_row_for_each_change_of_the_shutter():
    asked = question(**SHORT)
    rows = evening(asked, shipped_book())
    seconds = asked.graph["instant"].array.ravel()
    shutter = np.broadcast_to(asked.graph["shutter"].array.ravel(), seconds.size)
    changes = seconds[1:][shutter[1:] != shutter[:-1]]
    assert len(changes) >= 2
    told = {row.instant: row.values["shutter"] for row in rows}
    for change in changes:
        assert told[change] == shutter[seconds == change][0]
    # The marks come in steps of a third of a stop.
    marks = list(dict.fromkeys(told.values()))
    assert np.log2(np.array(marks[1:]) / np.array(marks[:-1])) == pytest.approx(1 / 3)


def test_no_light_is_turned_below_its_least():
    text = PLAN.read_text("utf-8")
    assert text.count("power 1/128") == 1
    dim = question(**SHORT, of=text.replace("power 1/128", "power 1/256"))
    assert min(lamp.light.least_power.value for lamp in dim.graph.scene.lamps) == 1 / 256
    for asked, turned in ((question(**SHORT), True), (dim, False)):
        titles = [step.title for end in ends_of_following(asked, shipped_book()) for step in end.steps]
        assert any("every light" in title for title in titles) is turned


def test_no_light_is_turned_below_its_least_where_no_rule_minds():
    text = PLAN.read_text("utf-8").replace("power 1/128", "power 1/256")
    careless = book_of([Source("house.rules", 'use shipped\nretire light.power-out-of-range because "so"\n')])
    assert not careless.complaints, [str(each) for each in careless.complaints]
    ends = ends_of_following(question(**SHORT, of=text), careless)
    assert ends and not any("every light" in step.title for end in ends for step in end.steps)


def test_where_every_step_breaks_something_the_least_that_follows_to_the_end_says_what():
    strict = book_of([Source("house.rules", KEPT)])
    assert not strict.complaints, [str(each) for each in strict.complaints]
    asked = question(**SHORT)
    (end,) = ends_of_following(asked, strict)
    # Turned down as far as that, the rim light would be below its least: one step is left.
    (step,) = end.steps
    assert (step.until, step.breaks) == (end.end, ("a.grain",))
    dark = asked.graph["instant"].array[asked.graph["instant"].array >= end.start]
    marks = exposure.MARKED_ISO.tolist()
    place = marks.index(int(step.title.removeprefix("ISO ")))
    for iso, reaches in ((marks[place - 1], False), (marks[place], True)):
        changed = question(**SHORT, iso=f"{iso:.0f}").graph
        follows = Graph(changed.scene, {"instant": along("minute", dark)}, changed)["follow-error"].array
        assert bool((np.abs(follows) <= ROUNDING).all()) is reaches, iso


KEPT = """
rule a.grain { title "t"; level error; for each setup; require iso <= 800; say "x"; because "b" }
forbid aperture because "the look stays"
"""
