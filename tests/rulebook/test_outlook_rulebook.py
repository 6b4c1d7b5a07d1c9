"""What a plan loses first, and what its slot's minutes tell."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.rulebook.book import Book, book_of
from shootlint.rulebook.evening import evening
from shootlint.rulebook.hours import Question, Span
from shootlint.rulebook.outlook import _nearest, loses

PLAN = Path(__file__).parents[2] / "plans" / "family-and-infant.shoot"
TODAY = datetime.date(2026, 1, 1)


def book(require: str) -> Book:
    made = book_of(
        [Source("t.rules", f'rule a.b {{ title "t"; level error; for each setup\n{require}\nsay "x"; because "b" }}\n')]
    )
    assert not made.complaints, [str(each) for each in made.complaints]
    return made


def plan():
    document = Loader().load_source(Source("plan.shoot", PLAN.read_text("utf-8"), PLAN))
    assert document.plan is not None and not document.complaints
    return document.plan


@pytest.mark.parametrize(
    ("start", "end", "rules"),
    [
        # By hand: two spans, 100 to 200 and 500 to 600; the slot stands out of the nearer, at its end or at its beginning.
        (190, 240, ("closed first",)),
        (480, 550, ("opened second",)),
        (590, 640, ("closed second",)),
        (50, 90, ("opened first",)),
    ],
)
def test_what_keeps_a_slot_out_is_told_of_the_span_nearest_to_it(start, end, rules):
    spans = [Span(100, 200, ("opened first",), ("closed first",)), Span(500, 600, ("opened second",), ("closed second",))]
    assert _nearest(spans, start, end) == rules
    assert _nearest([], start, end) == ()


def test_the_first_evening_that_is_lost_is_that_on_which_the_sun_leaves_the_bounds():
    made = plan()
    graphs = [Graph(scene) for scene in scenes(made)]
    # On the day itself the first setup's sun is well inside, so a bound just above what it is holds then, and not for long.
    highest = float(graphs[0]["sun-altitude"].array.max())
    found = loses(made, book(f"require sun-altitude <= {highest + 0.2:.2f} deg"), TODAY)
    assert found is not None and found.rules == ("a.b",)
    # Until the sun stands highest, in the week after the solstice, it is higher each evening at the same time.
    assert made.date.date < found.date <= made.date.date + datetime.timedelta(days=21)


def test_the_minutes_of_a_slot_tell_where_a_rule_stops_to_hold_and_only_rules_that_rest_on_the_clock():
    made = plan()
    graph = Graph(scenes(made)[0])
    altitudes = graph["sun-altitude"].array.ravel()
    middle = len(altitudes) // 2
    asked = book(f"require sun-altitude >= {(altitudes[middle - 1] + altitudes[middle]) / 2:.4f} deg")
    moments = evening(Question(made, asked, TODAY, graph), asked)
    seconds = graph["instant"].array.ravel()
    assert [each.instant for each in moments if each.stops] == [seconds[middle]]
    assert [each.stops for each in moments if each.stops] == [("a.b",)]
    still = book("require iso > 100")
    assert not any(each.stops or each.holds_again for each in evening(Question(made, still, TODAY, graph), still))
