"""The hours of a plan are what judging it minute by minute gives."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from shootlint.language import clocks
from shootlint.language.loading import Loader
from shootlint.language.source import Source, decode
from shootlint.readings.axes import along, single
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.rulebook.book import book_of, shipped_book
from shootlint.rulebook.hours import Block, Question, hours, is_about_slots, speaks_of_slots
from shootlint.rulebook.judging import has_nothing_to_judge, outcome

PLANS = Path(__file__).parents[2] / "plans"
TODAY = datetime.date(2026, 1, 1)


def plan_of(name, **changes):
    text = (PLANS / f"{name}.shoot").read_text("utf-8")
    for before, after in changes.items():
        line = next(line for line in text.splitlines() if line.split()[:1] == [before])
        text = text.replace(f"{line}\n", after)
    document = Loader().load_source(Source(str(PLANS / f"{name}.shoot"), text, PLANS / f"{name}.shoot"))
    assert document.plan is not None and not document.complaints, document.complaints
    return document.plan


@pytest.mark.parametrize("name", ["evening", "family-and-infant", "team-in-rain-gear", "southern-shearers"])
def test_each_minute_is_judged_as_a_slot_of_its_own_would_be(name):
    # A scout's reading belongs to the day of the plan, which is moved here.
    text = (PLANS / f"{name}.shoot").read_text("utf-8")
    changes = {"meter": ""} if any(line.startswith("meter") for line in text.splitlines()) else {}
    book = shipped_book()
    dates = [datetime.date(2026, 3, 29), datetime.date(2026, 6, 3), datetime.date(2026, 12, 24)]
    found = hours(plan_of(name, **changes), book, TODAY, dates, "note")
    random = np.random.default_rng(6)
    for place, date in enumerate(dates):
        for setup, scene in zip(found.setups, scenes(plan_of(name, **changes, date=f"date {date}\n")), strict=True):
            start, _ = clocks.day(date, scene.zone)
            day = setup.days[place]
            edges = [edge + step for span in day.spans for edge in (span.start, span.end) for step in (-60, 0, 60)]
            minutes = [(edge - start) / 60 for edge in edges] + random.integers(0, 1380, 8).tolist()
            for minute in minutes:
                if not 0 <= minute < day.minutes:
                    continue
                instant = start + 60 * minute
                graph = Graph(scene, {"instant": single(instant)})
                fails = {
                    rule.name
                    for rule in book.rules.values()
                    if rule.scope != "plan" and not speaks_of_slots(rule) and not has_nothing_to_judge(rule, scene)
                    if outcome(rule, graph)[0].any()
                }
                held = any(span.start <= instant <= span.end for span in day.spans)
                assert held == (not fails), (name, date, minute, fails)
                for span in day.spans:
                    if instant == span.start - 60:
                        assert set(span.opened_by) == fails
                    if instant == span.end + 60:
                        assert set(span.closed_by) == fails


def test_what_speaks_of_slots_is_known_by_what_it_rests_on():
    book = shipped_book()
    names = {rule.name for rule in book.rules.values() if speaks_of_slots(rule)}
    assert {"time.overlap", "time.changeover", "time.too-short", "time.clock-skipped"} <= names
    assert names.isdisjoint({"time.outside-daylight", "sun.leaves-shade", "sun.on-faces", "exposure.flash-tail-cut"})
    slots = {name for name in catalogue() if is_about_slots(name)}
    assert {"slot-length", "overlap", "changeover", "other-starts", "end-on-the-clock"} <= slots
    assert slots.isdisjoint({"instant", "sun-altitude", "day-start", "sunset", "frames", "frames-take", "aperture"})


def test_a_rule_over_the_whole_plan_that_rests_on_the_clock_is_about_slots():
    text = """rule house.{name} {{
  title "T"
  level error
  for plan
  require {require}
  say "s"
  because "b"
}}
"""
    rules = text.format(name="length", require="max(slot-length) <= 20 min") + text.format(name="iso", require="max(iso) <= 100")
    book = book_of([decode(rules.encode(), "house")])
    assert not book.complaints
    found = hours(plan_of("evening"), book, TODAY, [datetime.date(2026, 9, 5)])
    assert found.left_out == ["house.length"]
    assert found.setups[0].days[0].spans[0].minutes == 1439
    stricter = book_of([decode(rules.replace("<= 100", "< 100").encode(), "house")])
    assert hours(plan_of("evening"), stricter, TODAY, [datetime.date(2026, 9, 5)]).setups[0].never == ["house.iso"]


def test_blocks_of_days_give_what_one_block_gives(monkeypatch):
    plan, book = plan_of("evening"), shipped_book()
    dates = [datetime.date(2026, 10, 1) + datetime.timedelta(days=day) for day in range(40)]
    whole = hours(plan, book, TODAY, dates, "note").setups[0].days
    monkeypatch.setattr("shootlint.rulebook.hours.LARGEST_BLOCK", 1)
    assert hours(plan, book, TODAY, dates, "note").setups[0].days == whole


def test_what_does_not_rest_on_what_is_replaced_is_worked_out_once():
    scene = scenes(plan_of("evening"))[0]
    base = Graph(scene)
    block = Block.of([datetime.date(2026, 9, 5)], scene, None)
    assert block.graph(base)["blur"] is block.graph(base)["blur"] is base["blur"]
    assert block.graph(base)["sun-altitude"].array.size == 1440
    tried = Graph(scene, {"aperture": along("option", [4.0, 8.0])}, base)
    assert np.array_equal(tried["blur"].array, Graph(scene, {"aperture": along("option", [4.0, 8.0])})["blur"].array)


def test_the_scouts_reading_corrects_every_day_alike():
    plan = plan_of("evening")
    scene = scenes(plan)[0]
    base = Graph(scene)
    other = Block.of([datetime.date(2026, 8, 1)], scene, None).graph(base)
    assert np.ptp(other["meter-correction"].array) == pytest.approx(0, abs=1e-12)
    assert float(other["meter-correction"].array.flat[0]) == pytest.approx(float(base["meter-excess"].array.flat[0]))


def test_a_question_lets_what_is_accepted_fail():
    text = 'accept focus.person-soft for "Emil", because "he moves", until 2027-01-01\n'
    document = Loader().load_source(
        Source("p", (PLANS / "first-draft.shoot").read_text("utf-8") + text, PLANS / "first-draft.shoot")
    )
    plan, book = document.plan, shipped_book()
    graph = Graph(scenes(plan)[0])
    rule = book.rules["focus.person-soft"]
    bare = outcome(rule, graph)[0].ravel()
    spared = Question(plan, book, TODAY, graph).fails(rule, graph).ravel()
    emil = graph.scene.names["person"].index("Emil")
    assert bare[emil] and not spared[emil]
    assert bare.sum() == spared.sum() + 1
    later = Question(plan, book, datetime.date(2027, 1, 2), graph).fails(rule, graph).ravel()
    assert np.array_equal(later, bare)


def test_when_the_sun_next_comes_is_asked_of_every_minute_at_once():
    import tracemalloc

    scene = scenes(plan_of("evening"))[0]
    base = Graph(scene)
    dates = [datetime.date(2026, 6, 1) + datetime.timedelta(days=day) for day in range(15)]
    block = Block.of(dates, scene, None)
    tracemalloc.start()
    graph = block.graph(base)
    for name in ("sun-leaves-group", "sun-meets-group"):
        values = graph[name].array
        for day, minute in ((0, 0), (3, 700), (14, 1439)):
            alone = Graph(scene, {"instant": single(block.instants[day, minute])}, base)[name].array.item()
            assert values[0, minute, day].item() == alone
    assert tracemalloc.get_traced_memory()[1] < 100e6
    tracemalloc.stop()
