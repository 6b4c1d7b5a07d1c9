"""Figures as told: a measured value and its limit read differently wherever they differ."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shootlint.commands.why import values_in_words
from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.language.values import CLOCK
from shootlint.readings.catalogue import TRUTH, catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.readings.uncertainty import UNCERTAINTIES
from shootlint.readings.wording import in_words, least_bit, told_apart
from shootlint.rulebook.book import book_of
from shootlint.rulebook.draws import Input
from shootlint.rulebook.judging import judge
from shootlint.rulebook.watching import amount

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


def test_shares_of_a_whole_are_told_as_per_cent():
    # "Ines hides 1 of Lou's head" meant all of it, and "only 0.63 of the frame" meant 63 % (2 to the power of -2/3, as the
    # shutter is two thirds of a stop beyond the sync speed).
    short = TWO_ROWS.replace("1/125 s", "1/320 s")
    assert messages(short, "each setup", "sync-share >= 100 %", "{sync-share} of the frame") == ["63 % of the frame"]
    hidden = TWO_ROWS.replace('"Lou"   standing, at 26 cm', '"Lou" seated on 30 cm, at 0 cm')
    assert "86 % of Lou's head" in " ".join(
        messages(hidden, "each person", "face-hidden <= 10 %", "{face-hidden} of {person}'s head")
    )
    # Programs get what they always got.
    assert catalogue()["sync-share"].unit.name == "1" and catalogue()["sync-share"].unit.from_base(0.5) == 0.5


@pytest.mark.parametrize(
    ("reading", "old", "new", "told"),
    [
        ("latitude", "position", None, None),
        ("stature", "184 cm", "184.25 cm", "184.25 cm"),
        ("light-height", "height 2.3 m", "height 2.375 m", "2.375 m"),
        ("aperture", "f/5.6", "f/7.1", "f/7.1"),
        ("white-balance", "5600 K", "5555 K", "5555 K"),
    ],
)
def test_what_the_plan_says_is_told_as_it_is_written(reading, old, new, told):
    # The latitude of 46.3630 was told as 46 deg, from which nobody could see whether it had been read right.
    text = TWO_ROWS
    if reading == "latitude":
        new = "position 46.3630 N, 14.0938 E"
        old, told = next(line.strip() for line in text.splitlines() if line.split()[:1] == ["position"]), "46.363 deg"
    assert old in text
    document = Loader().load_source(Source("plan.shoot", text.replace(old, new)))
    assert document.plan is not None and not document.complaints
    graph = Graph(scenes(document.plan)[0])
    assert told in values_in_words(catalogue()[reading], graph)


def test_what_must_be_off_by_next_to_nothing_is_not_off_by_0():
    # "0 stops brighter loses it" and "1 times as fast" said nothing.
    assert least_bit("0 stops") == least_bit("0 cm") == "the least bit" and least_bit("0.1 stops") == "0.1 stops"
    (scene,) = scenes(Loader().load_source(Source("plan.shoot", TWO_ROWS)).plan)
    for meaning, step, told in (
        ("brighter", 0.01, "the least bit brighter"),
        ("brighter", -0.3, "0.3 stops weaker"),
        ("as fast", 0.004, "1.004 times as fast"),
    ):
        found = next(each for each in UNCERTAINTIES.values() if each.more == meaning)
        assert amount(Input(found, 1.0, "", ""), step, scene) == told


@pytest.mark.parametrize(
    ("reading", "value", "text"),
    [
        ("iso", 101.0, "100"),
        ("iso", 12_699.2, "12800"),
        ("shutter", 0.2, "1/5 s"),
        ("shutter", 1 / 6.3, "1/6 s"),
        ("shutter", 1 / 3.52, "1/3.5 s"),
        ("shutter", 1 / 12.4, "1/12 s"),
        ("white-balance", 4712.0, "4710 K"),
        ("white-balance", 5000.0, "5000 K"),
        ("row-distance", 0.0, "0 m"),
    ],
)
def test_marks_and_digits(reading, value, text):
    """Marks of cameras are those of ISO 2720's and ISO 12232's series; how many digits a person wants is common practice."""
    assert in_words(value, catalogue()[reading].unit) == text
