"""Changes made one after another are told as edits of the first text, and any of them can be taken back."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from shootlint.language.edits import Change, Edits, changed, unified
from shootlint.language.source import Source


def change(text: str, start: int, end: int, new: str) -> Change:
    return Change(Source("x", text).place(start, end), new)


@given(st.text("abc\n", max_size=14), st.data())
def test_edits_are_what_was_changed_one_after_another(text, data):
    edits, now = Edits(text), text
    for by in range(5):
        start = data.draw(st.integers(0, len(now)))
        end = data.draw(st.integers(start, len(now)))
        new = data.draw(st.text("XYZ", max_size=3))
        edits, now = edits.then([change(now, start, end, new)], by), now[:start] + new + now[end:]
        assert edits.result == now
        spans = [(edit.start, edit.end) for edit in edits.edits]
        assert all(before[1] <= after[0] for before, after in pairwise(spans))
    # Taken back one group after another, in any order, nothing of the changes is left.
    for group in data.draw(st.permutations(edits.groups())):
        edits = edits.without(group)
    assert edits.result == text


def test_a_change_within_a_change_cannot_be_taken_back_alone():
    edits = Edits("iso 100\n").then([change("iso 100\n", 4, 7, "12800")], 1)
    edits = edits.then([change(edits.result, 4, 9, "6400")], 2).then([change("iso 6400\n", 8, 8, " # grainy")], 3)
    assert edits.result == "iso 6400 # grainy\n"
    assert edits.groups() == [frozenset({1, 2}), frozenset({3})]
    assert edits.without(frozenset({3})).result == "iso 6400\n"
    assert edits.without(frozenset({1, 2})).result == "iso 100 # grainy\n"


def test_two_changes_at_one_end_keep_their_order_and_stay_apart():
    text = "place x"
    edits = Edits(text).then([change(text, 7, 7, ", bag 5 kg")], 1)
    edits = edits.then([change(edits.result, 17, 17, ", stand y")], 2)
    assert edits.result == "place x, bag 5 kg, stand y"
    assert edits.without(frozenset({1})).result == "place x, stand y"


def test_several_places_in_one_go_are_those_of_the_text_as_it_stands():
    assert changed("a b c", [change("a b c", 0, 1, "long"), change("a b c", 4, 5, ""), change("a b c", 2, 3, "B")]) == "long B "


def test_the_diff_is_unified():
    # The form is POSIX diff -u: two header lines, a hunk's lines told by - and +, the others by a blank.
    told = list(unified("a\nb\nc\n", "a\nB\nc\n", "plan.shoot"))
    assert told == ["--- plan.shoot", "+++ plan.shoot", "@@ -1,3 +1,3 @@", " a", "-b", "+B", " c"]
