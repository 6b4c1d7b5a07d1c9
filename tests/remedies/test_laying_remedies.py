"""Slots laid where a plan holds: on the example plans, by the shipped rules."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from shootlint.language import clocks
from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.laying import Laid, Layout, lay, slot_minutes
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.judging import judge
from shootlint.rulebook.model import LEVELS

PLANS = Path(__file__).parents[2] / "plans"
TODAY = datetime.date(2026, 1, 1)
SOUND = [
    "choir-on-steps",
    "evening",
    "family-and-infant",
    "southern-shearers",
    "starter/plan",
    "team-in-rain-gear",
    "wheelchair-on-the-promenade",
]


def plan_of(name: str, text: str):
    document = Loader().load_source(Source(name, text, PLANS / f"{name}.shoot"))
    assert document.plan is not None and not document.complaints, document.complaints
    return document.plan


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", SOUND)
def test_the_slots_as_laid_written_into_the_plan_are_judged_no_worse(name: str, level: str) -> None:
    text = (PLANS / f"{name}.shoot").read_text("utf-8")
    plan = plan_of(name, text)
    layout = lay(plan, shipped_book(), TODAY, plan.date.date, level)
    assert layout is not None and layout.failing == [] and layout.homeless == []
    assert [str(each.scene.setup.name) for each in layout.laid] == [str(setup.name) for setup in plan.setup]
    for each in layout.laid:
        start, end = (clocks.wall_clock(instant, each.scene.zone) for instant in (each.start, each.end))
        assert text.count(str(each.scene.setup.time)) == 1
        text = text.replace(str(each.scene.setup.time), f"{start} to {end}")
        assert each.end - each.start == 60 * slot_minutes(each.scene)
    before, after = (judge(each, shipped_book(), TODAY) for each in (plan, plan_of(name, text)))
    bad = LEVELS[: LEVELS.index(level) + 1]
    assert [finding for finding in after.findings if finding.level in bad] == []
    assert {finding.rule.name for finding in after.findings} <= {finding.rule.name for finding in before.findings}


def test_the_least_margin_is_not_less_than_that_of_the_plan() -> None:
    plan = plan_of("family-and-infant", (PLANS / "family-and-infant.shoot").read_text("utf-8"))
    layout = lay(plan, shipped_book(), TODAY, plan.date.date)
    assert layout is not None
    margin = min(min(each.earlier, each.later) for each in layout.laid)
    # Anywhere else the one that is tightest would be tighter: a minute more at both its ends does not fit with the other.
    first, second = layout.laid
    assert margin == min(first.earlier, second.later)
    assert abs(first.earlier - second.later) <= 1
    gap = (second.start - first.end) / 60
    assert gap == 5, "the changeover that the shipped rules want"


def test_without_lengths_a_zone_or_a_position_nothing_is_laid() -> None:
    text = (PLANS / "evening.shoot").read_text("utf-8")
    timeless = text.replace("  time        18:40 to 18:55\n", "").replace("  frames      30\n", "")
    assert lay(plan_of("evening", timeless), shipped_book(), TODAY, datetime.date(2026, 9, 5)) is None
    for line in ('  zone       "Europe/Copenhagen"\n', "  position   55.6412 N, 9.2871 E\n"):
        assert line in text
        assert lay(plan_of("evening", text.replace(line, "")), shipped_book(), TODAY, datetime.date(2026, 9, 5)) is None


def test_a_setup_without_a_time_is_as_long_as_its_pictures_take() -> None:
    text = (PLANS / "evening.shoot").read_text("utf-8").replace("  time        18:40 to 18:55\n", "")
    (scene,) = scenes(plan_of("evening", text))
    # Thirty pictures, a light at half power that takes 0.9 s for a full flash: 2 s each at the usual pace.
    assert slot_minutes(scene) == 1


def evening_in(window: str) -> str:
    """The evening plan without a time of its own: thirty pictures, one minute's worth, in a window."""
    text = (PLANS / "evening.shoot").read_text("utf-8").replace("  time        18:40 to 18:55\n", "")
    return text.replace("date  2026-09-05\n", f"date  2026-09-05\nwindow {window}\n")


def laid_in(window: str, book: Book | None = None) -> Layout:
    plan = plan_of("evening", evening_in(window))
    layout = lay(plan, book or shipped_book(), TODAY, plan.date.date)
    assert layout is not None
    return layout


def on_the_clock(laid: Laid) -> list[str]:
    return [clocks.wall_clock(each, laid.scene.zone) for each in (laid.start, laid.end)]


def test_a_window_as_long_as_the_slot_has_room_for_it() -> None:
    (laid,) = laid_in("18:45 to 18:46").laid
    assert on_the_clock(laid) == ["18:45", "18:46"] and (laid.earlier, laid.later) == (0, 0)


def test_a_longer_window_leaves_room_to_both_its_ends() -> None:
    (laid,) = laid_in("18:40 to 18:51").laid
    # Eleven minutes for a slot of one: five before it, five after.
    assert on_the_clock(laid) == ["18:45", "18:46"] and (laid.earlier, laid.later) == (5, 5)


def test_a_setup_that_holds_at_no_minute_is_laid_nowhere() -> None:
    # At noon the sun is high and on the faces, at one at night there is no daylight to follow.
    layout = laid_in("12:00 to 12:10")
    assert [str(each.setup.name) for each in layout.homeless] == ["Everyone, full length"]
    assert layout.laid == []


def test_what_holds_at_one_minute_only_is_laid_at_that_minute() -> None:
    (scene,) = scenes(plan_of("evening", evening_in("18:45 to 18:46")))
    low, high = sorted(Graph(scene)["sun-altitude"].array.ravel())
    assert 0.05 < high - low < 0.2, "the sun sinks by about a seventh of a degree in a minute"
    book = book_of(
        [
            Source(
                "sun.rules",
                f'rule a.b {{ title "t"; level error; for each setup; require sun-altitude between {low - 0.01:.4f} deg and '
                f'{high + 0.01:.4f} deg\nsay "x"; because "b" }}\n',
            )
        ]
    )
    assert not book.complaints, [str(each) for each in book.complaints]
    (laid,) = laid_in("12:00 to 20:00", book).laid
    assert on_the_clock(laid) == ["18:45", "18:46"] and (laid.earlier, laid.later) == (0, 0)
