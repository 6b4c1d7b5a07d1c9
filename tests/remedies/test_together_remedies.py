"""What setups do to each other is mended by turns in two of them at once."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.edits import changed
from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import INDEX
from shootlint.remedies.crossing import laid_out, shortened_for
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import levers
from shootlint.remedies.plan_mend import mend_plan
from shootlint.remedies.reading import Rereader
from shootlint.remedies.tried import Tried, TriedTogether
from shootlint.rulebook.book import Book, book_of

EXAMPLE = Path(__file__).parents[2] / "plans/family-and-infant.shoot"
TEXT = EXAMPLE.read_text("utf-8")
DAY = datetime.date(2026, 1, 1)
OPTION = INDEX["option"]


def book(require: str, scope: str = "plan") -> Book:
    made = book_of(
        [Source("t.rules", f'rule a.b {{ title "t"; level error; for {scope}\nrequire {require}\nsay "x"; because "b" }}\n')]
    )
    assert not made.complaints, [str(each) for each in made.complaints]
    return made


def rereader(rules: Book, text: str = TEXT) -> Rereader:
    loader = Loader()
    document = loader.load_source(Source("plan.shoot", text, EXAMPLE))
    assert document.plan is not None and len(document.plan.setup) > 1
    return Rereader(document, loader, rules, DAY)


def frames_in(text: str) -> list[int]:
    return [int(line.split()[1]) for line in text.splitlines() if line.strip().startswith("frames ")]


def test_a_rule_over_the_plan_that_no_one_setup_can_mend():
    # Forty and thirty pictures: whichever setup takes one alone, the other still takes more than twenty.
    told = frames_in(TEXT)
    assert len(told) == 2 and min(told) > 2
    found = mend_plan(rereader(book("sum(frames) <= 20")), HouseLevers())
    assert found.failing_after["error"] == 0 and len(found.changes) == 2
    assert sum(frames_in(found.after)) <= 20


@pytest.mark.parametrize("name", ["frames", "power", "time"])
def test_two_turns_at_once_are_what_their_texts_say(name):
    rules = book_of([Source("t.rules", "use shipped\n")])
    reader = rereader(rules)
    standing = reader.start
    one, other = (next(iter(levers()[name].turns(graph))) for graph in standing.graphs)
    first, second = laid_out(*shortened_for(one, other, standing.scenes))
    tried = TriedTogether(standing, first, 0, second, 1).tally()
    count = len(first.titles)
    for place in sorted({0, 1, count // 3, count // 2, count - 1}):
        text = changed(TEXT, [*first.changes[place], *second.changes[place]])
        anew = rereader(rules, text).start.failing
        assert (tried.errors[place], tried.warnings[place]) == (anew["error"], anew["warning"]), first.titles[place]


def test_a_third_setup_has_what_two_turns_leave_of_the_batteries():
    """Its lamp is the one that both turned setups flash."""
    start = TEXT.index('setup "Parents and baby"')
    third = TEXT[start:].replace('"Parents and baby"', '"Last"').replace("20:50 to 21:05", "21:15 to 21:20")
    text = f"{TEXT}\n{third}"
    rules = book("sum(frames) <= 3")
    standing = rereader(rules, text).start
    one, other = (next(iter(levers()["frames"].turns(graph))).only(np.arange(3)) for graph in standing.graphs[:2])
    first, second = laid_out(one, other)
    left = TriedTogether(standing, first, 0, second, 1).touched[2]["full-flashes-elsewhere"].array.squeeze()
    assert left.shape == (len(first.titles),)
    for place in range(len(first.titles)):
        anew = rereader(rules, changed(text, [*first.changes[place], *second.changes[place]])).start.graphs[2]
        assert left[place] == pytest.approx(anew["full-flashes-elsewhere"].array.item()), first.titles[place]


@pytest.mark.parametrize("name", ["time", "slot-end"])
def test_the_other_setups_see_when_a_turned_one_begins_and_ends(name):
    rules = book("sum(frames) <= 3")
    standing = rereader(rules).start
    turn = next(iter(levers()[name].turns(standing.graphs[0])))
    beside = Tried(standing, turn, 0).touched[1]
    for place in {0, 1, len(turn.titles) - 1}:
        anew = rereader(rules, changed(TEXT, turn.changes[place])).start.graphs[1]
        for edge in ("other-starts", "other-ends"):
            told = beside[edge].array
            told = told.take([place], axis=OPTION) if told.shape[OPTION] > 1 else told
            assert told.ravel().tolist() == anew[edge].array.ravel().tolist(), turn.titles[place]


@pytest.mark.parametrize("counts", [(4, 4), (1, 1), (2, 2), (1, 3), (3, 1), (2, 3)])
def test_all_pairs_are_laid_out_once(counts):
    graphs = rereader(book("sum(frames) <= 3")).start.graphs
    turns = (next(iter(levers()["frames"].turns(graph))) for graph in graphs)
    one, other = (turn.only(np.arange(count)) for turn, count in zip(turns, counts, strict=True))
    first, second = laid_out(one, other)
    pairs = list(zip(first.titles, second.titles, strict=True))
    assert pairs == [(a, b) for a in one.titles for b in other.titles]
    values = [each.replaced["frames"].values.ravel().tolist() for each in (first, second)]
    assert list(zip(*values, strict=True)) == [
        (float(a.split()[1]), float(b.split()[1])) for a, b in pairs
    ]  # fmt: skip
