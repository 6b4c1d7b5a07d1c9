"""Whole plans and rule files, generated sound: each keeps every promise, is judged, and goes through every report."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from generated import house_rules, plans
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzzing import promises
from fuzzing.damage import damaged
from fuzzing.whole import answers

QUICKLY = settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow])
SLOWLY = settings(QUICKLY, max_examples=6)
"""Each example is judged and written in every kind of report: seconds."""


@SLOWLY
@given(plans())
def test_a_sound_plan_goes_through_the_whole_program(generated: tuple[str, list[object]]) -> None:
    text, _ = generated
    with TemporaryDirectory() as made:
        (Path(made) / ".git").mkdir()
        said = answers(text, Path(made))
    assert said["errors"] == ""
    assert {"check.text", "check.json", "check.html", "hours.calendar", "measure.json", "sheet.html"} <= said.keys()


@QUICKLY
@given(house_rules())
def test_a_sound_rule_file_is_understood_whole_and_judges(text: str) -> None:
    book = promises.rules(text.encode())
    assert book is not None
    assert [f"{each} in {each.place.text}" for each in book.complaints] == []
    assert any(name.startswith("house.made-") for name in book.rules)
    assert "house.care" in book.cautions and len(book.retired) == 1


@QUICKLY
@given(plans(), st.randoms(use_true_random=False))
def test_a_sound_plan_damaged_keeps_every_promise(generated: tuple[str, list[object]], draw) -> None:  # type: ignore[no-untyped-def]
    text, _ = generated
    with promises.bounded():
        promises.plan(damaged(text, [text], draw).encode())


@QUICKLY
@given(house_rules(), house_rules(), st.randoms(use_true_random=False))
def test_a_sound_rule_file_damaged_keeps_every_promise(text: str, other: str, draw) -> None:  # type: ignore[no-untyped-def]
    with promises.bounded():
        promises.rules(damaged(text, [other], draw).encode())
