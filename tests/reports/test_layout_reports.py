"""Text at 80 columns: nothing is wider but a finding's first line, which editors read, and what a plan itself says."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.commands.main import main
from shootlint.reports.layout import WIDTH, cells, columns, padded, side_by_side, wrapped

ROOT = Path(__file__).parents[2]
FIRST_LINE = re.compile(r"[^ ].*:(\d+:\d+: )?(error|warning|note|accepted|not judged)\b")
WORDS = st.text(st.sampled_from("abÅæ-|9.,é\u0301日本"), min_size=1, max_size=30)


def words_of(lines):
    return " ".join(" ".join(lines).split()).replace(" ", "")


@given(st.lists(WORDS, min_size=1, max_size=30), st.integers(0, 30), st.integers(0, 30))
def test_wrapping_loses_nothing_and_keeps_to_the_width(words, first, rest):
    lines = list(wrapped(" ".join(words), first, rest))
    assert words_of(lines) == words_of(words)
    assert lines[0].startswith(" " * first) and all(line.startswith(" " * rest) for line in lines[1:])
    for line in lines:
        # A word with its unit is what cannot be parted.
        assert cells(line) <= WIDTH or line.strip().count(" ") <= 1


def test_a_number_is_not_parted_from_its_unit():
    text = "x" * 70 + " at 1/160 s, then 9.7 kg of it, and (+ 0.5 stops) more"
    assert list(wrapped(text, 0, 2, 76)) == ["x" * 70 + " at", "  1/160 s, then 9.7 kg of it, and (+ 0.5 stops) more"]
    assert list(wrapped("a" * 73 + " 9.7 kg", width=WIDTH)) == ["a" * 73 + " 9.7 kg"]
    assert list(wrapped("a" * 74 + " 9.7 kg", width=WIDTH)) == ["a" * 74, "9.7 kg"]


def test_long_choices_are_parted_at_their_bars_and_long_names_stay_whole():
    assert list(wrapped("one|two|three", width=9)) == ["one|two|", "three"]
    assert list(wrapped("see " + "n" * 90)) == ["see", "n" * 90]


@pytest.mark.parametrize(("text", "width"), [("Bent", 4), ("Bjørn", 5), ("Rene\u0301", 4), ("日本", 4), ("", 0)])
def test_columns_of_a_terminal_are_counted(text, width):
    """Wide letters take two (Unicode Standard Annex #11), marks on a letter none."""
    assert cells(text) == width
    assert unicodedata.normalize("NFC", padded(text, 8)) == unicodedata.normalize("NFC", text) + " " * (8 - width)


def test_columns_stand_under_each_other_and_the_last_is_wrapped():
    rows = [("a", "1 %", "word " * 20), ("日本", "100 %", "short")]
    assert list(columns(rows, 2, right=[1], width=40)) == [
        "  a       1 %  word word word word word",
        *["               word word word word word"] * 3,
        "  日本  100 %  short",
    ]
    assert list(columns([("a" * 30, "b" * 20, "what it is")])) == ["a" * 30 + "  " + "b" * 20, "    what it is"]


@given(st.lists(st.integers(1, 40), max_size=30), st.integers(10, 80))
def test_tables_side_by_side_hold_every_column_once(sizes, room):
    groups = list(side_by_side(sizes, room))
    assert [place for group in groups for place in group] == list(range(len(sizes)))
    assert all(len(group) == 1 or sum(sizes[place] + 2 for place in group) <= room for group in groups)


PLANS = ["first-draft", "choir-on-steps", "family-and-infant", "team-in-rain-gear"]
CALLS = [
    *(f"{command} plans/{plan}.shoot" for plan in PLANS for command in ("check", "measure", "measure --every 4", "hours")),
    "check plans/evening.shoot --trials 300",
    "check plans/hurried-draft.shoot plans/house-style",
    "hours plans/evening.shoot --from 2026-10-24 --to 2026-10-26",
    "why plans/first-draft.shoot light.uneven",
    "why plans/first-draft.shoot light.glasses-glare",
    "why plans/choir-on-steps.shoot posing.heads-stacked",
    "mend plans/first-draft.shoot",
    *("rules", "rules --uncertain", "readings", "levers", "words", "rules light.uneven", "readings blur", "levers bag"),
]


@pytest.mark.parametrize("call", CALLS)
def test_what_is_said_keeps_to_80_columns(call, monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    main(call.split())
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 3
    if call.startswith("mend"):
        lines = lines[lines.index("") :]
    assert [line for line in lines if cells(line) > WIDTH and not FIRST_LINE.match(line)] == []
    assert [line for line in lines if line != line.rstrip()] == []
