"""However a text is damaged, the reader neither fails nor hangs, and says where in the text something is wrong."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fuzzing.damage import PIECES, WORDS, damaged
from fuzzing.promises import told_well
from hypothesis import given
from hypothesis import strategies as st

from shootlint.language.complaint import Complaints
from shootlint.language.loading import Loader
from shootlint.language.parsing import Parser
from shootlint.language.source import Source
from shootlint.language.syntax import TreeBuilder

PLANS = Path(__file__).parent / "plans"
TEXTS = [PLANS.joinpath(name).read_text("utf-8") for name in ("evening.shoot", "kit/belfry.shoot")]


def read(text):
    document = Loader().load_source(Source("test", text, PLANS / "test.shoot"))
    told_well(document.complaints, {"test", "kit/belfry.shoot"})
    return document


RANDOMS = st.randoms(use_true_random=False)


@given(st.sampled_from(TEXTS), RANDOMS)
def test_a_damaged_plan_is_survived(text, draw):
    document = read(damaged(text, TEXTS, draw))
    if document.plan is None:
        assert document.complaints


@given(st.text(max_size=300))
def test_any_text_is_survived(text):
    assert read(text).complaints or text.lstrip().startswith("shootplan")


@given(st.lists(st.sampled_from([*PIECES, *sorted(set(WORDS.findall(TEXTS[0])))]), max_size=60))
def test_any_row_of_words_is_survived(words):
    read("shootplan 1\n" + " ".join(words))


@given(st.integers(0, 10_000))
def test_a_plan_that_breaks_off_is_survived(at):
    text = TEXTS[0][: at % len(TEXTS[0])]
    document = read(text)
    assert len(document.complaints) <= 30


@given(st.integers(0, 10_000), st.sampled_from(["{", "}"]))
def test_one_brace_too_many_or_too_few_spoils_little(at, brace):
    text = TEXTS[0]
    braces = [match.start() for match in re.finditer(r"[{}]", text)]
    start = braces[at % len(braces)]
    assert 1 <= len(read(text[:start] + text[start + 1 :]).complaints) <= 2
    lines = [match.start() for match in re.finditer(r"\n", text)]
    end = lines[at % len(lines)]
    document = read(text[:end] + f"\n{brace}" + text[end:])
    assert document.complaints


@pytest.mark.parametrize("text", TEXTS, ids=["plan", "kit"])
def test_leaving_out_any_line_is_told_or_harmless(text):
    lines = text.splitlines(keepends=True)
    for at, line in enumerate(lines):
        document = read("".join(lines[:at] + lines[at + 1 :]))
        if line.strip() in ("}", "") or line.lstrip().startswith("#"):
            continue
        # A setup that has lost its first line still holds words that stand outside every block too, such as camera.
        assert len(document.complaints) <= (12 if line.startswith("setup") else 7), line
        assert document.plan is not None or line.startswith("shootplan")


RULE = """rule house.base-iso {
  title   "Large prints are shot at base ISO"
  for     each setup where print-width >= 60 cm and not (iso = 100)
  require max(iso, 3 * (2 - 1)) <= 200 or lens is "zoom"
  say     "{setup} is at ISO {iso}"
}
level light.uneven error
"""
RULE_PIECES = ["(", ")", "<=", "{", "}", '"', "\n", ",", " require ", " is ", "°", "*", "over", "}}", "{{", "} ° {", ";"]


@given(st.lists(st.tuples(st.integers(0, 10_000), st.booleans(), st.sampled_from(RULE_PIECES)), min_size=1, max_size=4))
def test_a_damaged_rule_file_is_survived(damages):
    text = RULE
    for at, leave_out, piece in damages:
        at %= len(text)
        text = text[:at] + (text[at + 1 :] if leave_out else piece + text[at:])
    complaints = Complaints()
    Parser("rule", TreeBuilder(), ["rule", "level"]).parse(Source("test", text), complaints)
    assert len(complaints) <= 20
    for each in complaints:
        assert 0 <= each.place.start <= each.place.end <= len(text)
        assert "\0" not in each.message


@pytest.mark.parametrize(
    "broken", ["require (blur <= ", "require blur <= <= 3", "require", "for", "require a b c", "require a is", "for each where"]
)
def test_a_broken_condition_is_told_once(broken):
    text = RULE.replace("  say ", f"  {broken}\n  say ")
    complaints = Complaints()
    lines = Parser("rule", TreeBuilder(), ["rule", "level"]).parse(Source("test", text), complaints)
    assert [each.place.line for each in complaints] == [5]
    assert len(lines) == 2
    assert len(lines[0].block.lines) == 5


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("require a <", "the line breaks off after <"),
        ("for each person where a and", "the line breaks off after and"),
        ('title "x",', "something belongs after this comma"),
        ('title "x", # and no more', "something belongs after this comma"),
    ],
)
@pytest.mark.parametrize("end", ["", "\n", "  "])
def test_a_text_that_breaks_off_in_its_last_line_is_told_once_with_or_without_a_line_end(text, told, end):
    complaints = Complaints()
    Parser("rule", TreeBuilder(), ["rule", "level"]).parse(Source("test", text + end), complaints)
    assert [each.message for each in complaints] == [told]
    complaints = Complaints()
    Parser("rule", TreeBuilder(), ["rule", "level"]).parse(Source("test", "rule a.b {\n" + text + end), complaints)
    assert [each.message for each in complaints] == [told, "this block is not closed; a } is missing"]
