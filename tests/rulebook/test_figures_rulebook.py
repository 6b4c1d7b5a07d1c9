"""Figures as told: a measured value and its limit read differently wherever they differ."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.catalogue import CLOCK, TRUTH, catalogue
from shootlint.readings.wording import in_words, told_apart
from shootlint.rulebook.book import book_of
from shootlint.rulebook.judging import judge

ROOT = Path(__file__).parents[2]
TWO_ROWS = (ROOT / "rules/examples/two-rows.shoot").read_text(encoding="utf-8")
UNITS = sorted(
    {each.unit for each in catalogue().values() if each.unit not in (CLOCK, TRUTH) and not each.words}, key=lambda unit: unit.name
)


def messages(plan: str, scope: str, require: str, say: str, sets: str = "") -> list[str]:
    document = Loader().load_source(Source("plan.shoot", plan))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    rule = f'rule a.b {{ title "t"; level error; for {scope}\n{sets}\nrequire {require}\nsay "{say}"; because "b" }}\n'
    book = book_of([Source("test.rules", rule)])
    assert not book.complaints, [str(each) for each in book.complaints]
    return [each.message for each in judge(document.plan, book, datetime.date(2026, 8, 22)).findings]


@given(st.sampled_from(UNITS), st.floats(1e-4, 1e4), st.floats(1e-7, 1.0), st.booleans())
def test_two_values_of_any_unit_that_differ_read_differently(unit, value, share, negative):
    value, other = (-value, -value * (1 + share)) if negative and unit.name != "f/" else (value, value * (1 + share))
    if unit.kind == "power":
        # A share of full power lies above 0; what has none reads as none.
        value, other = abs(value) / 1e4, abs(other) / 1e4
    # Nearer than this a rule takes two values for one.
    assume(abs(value - other) > 1.1e-9 * (1 + abs(value)))
    pair = (value, other)
    finer = told_apart(lambda digits: [(each, in_words(each, unit, digits)) for each in pair])
    assert in_words(value, unit, finer) != in_words(other, unit, finer)
    if finer:
        # No more digits than it takes.
        assert in_words(value, unit, finer - 1) == in_words(other, unit, finer - 1)
    # What is one but for rounding takes no digit more.
    same = (value, value * (1 + 1e-13))
    assert told_apart(lambda digits: [(each, in_words(each, unit, digits)) for each in same]) == 0


@given(st.integers(1000, 1999), st.integers(1, 9))
def test_a_message_tells_the_measured_value_from_its_limit(tenths, more):
    limit, stature = tenths / 10, (tenths + more) / 10
    plan = TWO_ROWS.replace("stature 184 cm", f"stature {stature} cm")
    assert plan != TWO_ROWS
    found = messages(plan, "each person", "stature <= most", "{stature}, up to {most}", f"set most {limit} cm")
    told = [each.split(", up to ") for each in found]
    assert told and all(left != right for left, right in told)
    # And to what each is rounded lies near it.
    assert any(abs(float(left.removesuffix(" cm")) - stature) <= 0.5 for left, _ in told)
    assert all(abs(float(right.removesuffix(" cm")) - limit) <= 0.5 for _, right in told)


@pytest.mark.parametrize(
    ("old", "new", "scope", "require", "say", "told"),
    [
        # The limit stands in the message as written.
        (
            "184 cm",
            "184.04 cm",
            "each person",
            "stature <= 184 cm",
            "{stature}; 184 cm is the most",
            "184.04 cm; 184 cm is the most",
        ),
        # A sign hides behind abs(…).
        ("184 cm", "184.04 cm", "each person", "abs(stature) <= 184 cm", "{stature}; 184 cm", "184.04 cm; 184 cm"),
        # A limit between two marks of the scale.
        ("f/7.1", "f/7.3", "each setup", "aperture <= f/7.1", "{aperture}; f/7.1", "f/7.3; f/7.1"),
        # What differs reads as it always did.
        ("184 cm", "184.4 cm", "each person", "stature <= 183 cm", "{stature}; 183 cm", "184 cm; 183 cm"),
    ],
)
def test_limits_as_written(old, new, scope, require, say, told):
    plan = TWO_ROWS.replace("aperture    f/5.6", "aperture    f/7.1").replace(old, new)
    assert plan != TWO_ROWS and new in plan
    assert told in messages(plan, scope, require, say)
