"""Rule files as they come: damaged, random, huge, endless. Nothing raises, nothing hangs, every complaint has a place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fuzzing.damage import damaged
from fuzzing.promises import SHIPPED, told_well
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.language.source import Source
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook import expression
from shootlint.rulebook.book import Book, book_of

ROOT = Path(__file__).parents[2]
FILES = [path.read_text(encoding="utf-8") for path in sorted((ROOT / "rules").glob("*/*.rules"))]
HOUSE = 'rulebook "House"\nuse shipped\nadjust focus.person-soft { allowance 100 % }\nlevel light.uneven error\nretire sun.on-faces because "x"\n'
QUICKLY = settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])


def checked(text: str) -> Book:
    """The book of a text, every complaint inside it."""
    source = Source("test.rules", text)
    book = book_of([source])
    told_well(book.complaints, {source.name, *SHIPPED})
    return book


def test_the_sound_files_are_sound():
    assert len(FILES) > 20
    for text in FILES:
        assert not checked(text).complaints


@QUICKLY
@given(st.sampled_from([*FILES, HOUSE]), st.randoms(use_true_random=False))
def test_damaged_files(text, draw):
    checked(damaged(text, FILES, draw))


@QUICKLY
@given(st.text(max_size=200))
def test_random_text(text):
    checked(text.replace("\0", ""))


WORDS = st.sampled_from(
    [
        *sorted(catalogue())[::5],
        "iso",
        "blur",
        "role",
        "flash",
        "setting",
        "sunlit",
        "key",
        "nought",
        "min",
        "max",
        "sum",
        "count",
        "any",
        "all",
        "abs",
    ]
)
LEAVES = st.one_of(WORDS, st.sampled_from(["3", "-2", "1/3", "2 mm", "1.5 stops", "9 EV", "50 %", "f/8", "4 furlongs", "200 K"]))


def _grown(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    signs = st.sampled_from(["<", "<=", "=", "!=", ">=", ">", "+", "-", "*", "/", "and", "or"])
    return st.one_of(
        st.tuples(inner, signs, inner).map(" ".join),
        inner.map("({})".format),
        inner.map("not {}".format),
        inner.map("- {}".format),
        st.tuples(inner, WORDS).map(lambda pair: f"{pair[0]} is {pair[1]}"),
        st.tuples(inner, inner, inner).map(lambda three: "{} between {} and {}".format(*three)),
        st.tuples(WORDS, inner).map(lambda pair: f"{pair[0]}({pair[1]})"),
        st.tuples(WORDS, inner, st.sampled_from(["people", "lights", "minutes", "setups", "folk"])).map(
            lambda it: "{}({} over {})".format(*it)
        ),
    )


@QUICKLY
@given(
    st.recursive(LEAVES, _grown, max_leaves=12),
    st.sampled_from(["plan", "each setup", "each person", "each light", "each pair of neighbours", "each minute", "each print"]),
    st.sampled_from(["x", "{iso}", "{blur} {person}", "{light} {nope}", "{"]),
)
def test_random_conditions(require, scope, say):
    book = checked(f'rule a.b {{ title "t"; level error; for {scope}\nrequire {require}\nsay "{say}"; because "b" }}\n')
    assert bool(book.rules) != bool(book.complaints)


def rule(require: str, say: str = "x") -> str:
    return f'rule a.b {{ title "t"; level error; for each setup\nrequire {require}\nsay "{say}"; because "b" }}\n'


def test_many_parentheses_mean_nothing():
    assert "a.b" in checked(rule("(" * 900 + "iso" + ")" * 900 + " <= 2")).rules


@pytest.mark.parametrize(
    "require",
    [
        "not " * 10_000 + "sunlit",
        "iso" + " + iso" * 10_000 + " <= 2",
        "- " * 10_000 + "iso <= 2",
        "max(" * 5_000 + "iso" + ")" * 5_000 + " <= 2",
        "iso" + " * (iso" * 5_000 + ")" * 5_000 + " <= 2",
    ],
    ids=["not", "sum", "minus", "calls", "products"],
)
def test_what_nests_without_end_is_refused(require):
    (complaint,) = checked(rule(require)).complaints
    assert re.fullmatch(rf"this condition nests \d+ deep; the most is {expression.DEEPEST}", complaint.message)


def test_what_nests_as_deep_as_it_may():
    # Each `not` is one deeper, and so is the reading inside.
    assert "a.b" in checked(rule("not " * (expression.DEEPEST - 1) + "sunlit")).rules
    assert checked(rule("not " * expression.DEEPEST + "sunlit")).complaints


def test_a_long_list_of_conditions_is_not_deep():
    assert "a.b" in checked(rule(" and ".join(["iso <= 2"] * 150))).rules


@pytest.mark.parametrize("condition", ["(" * 10_000 + "iso" + ")" * 10_000 + " <= 2", " and ".join(["iso <= 2"] * 2_000)])
def test_a_condition_without_end_is_refused(condition):
    (complaint,) = checked(rule(condition)).complaints
    assert complaint.message.startswith("this condition is ") and complaint.message.endswith(
        " characters long; the most is 2,000"
    )


@pytest.mark.parametrize(
    "text",
    [
        "(" * 10_000,
        rule("(" * 10_000),
        "rule x {" * 10_000,
        "rule x {\n" * 10_000,
        "}" * 10_000,
        '"' * 10_001,
        "iso <= " * 10_000,
    ],
)
def test_endless_beginnings(text):
    assert checked(text).complaints


def test_a_huge_file():
    many = "".join(rule("iso <= 200").replace("a.b", f"a.b{place}") for place in range(2_000))
    assert len(checked(many).rules) == 2_000
    holes = "{iso}" * 3_000
    assert "a.b" in checked(rule("iso <= 200", holes)).rules
    # Of very many mistakes a part is told.
    broken = checked(many.replace("iso <=", "isoo <="))
    assert 100 <= len(broken.complaints) <= 200 and not broken.rules


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n", ";;;"])
def test_an_empty_file_says_nothing(text):
    book = checked(text)
    assert not book.rules and not book.complaints


def test_windows_line_ends_change_nothing():
    for text in FILES:
        made = checked(text.replace("\n", "\r\n"))
        assert not made.complaints and [*made.rules, *made.cautions] == [*checked(text).rules, *checked(text).cautions]
