"""The search for a plan's mend: what it looks at, what it counts, and how it makes a mend smaller."""

from __future__ import annotations

import datetime
from itertools import pairwise
from pathlib import Path

import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.least_change import Search
from shootlint.remedies.levers import levers
from shootlint.remedies.proposals import MOST_EFFORT, Candidate, Proposals, Work
from shootlint.remedies.reading import Rereader
from shootlint.remedies.standing import Standing
from shootlint.rulebook.book import book_of

EXAMPLE = Path(__file__).parents[2] / "plans/family-and-infant.shoot"
TEXT = EXAMPLE.read_text("utf-8")
RULE = 'rule a.b {{ title "t"; level error; for {}; require {}; say "x"; because "b" }}\n'


def rereader(*rules: tuple[str, str]) -> Rereader:
    made = book_of([Source("t.rules", "".join(RULE.replace("a.b", f"a.b{at}").format(*each) for at, each in enumerate(rules)))])
    assert not made.complaints, [str(each) for each in made.complaints]
    loader = Loader()
    return Rereader(loader.load_source(Source("plan.shoot", TEXT, EXAMPLE)), loader, made, datetime.date(2026, 1, 1))


def test_two_setups_are_turned_together_only_by_what_moves_the_fault():
    standing = rereader(("plan", "sum(frames) <= 3")).start
    proposals = Proposals(HouseLevers(), False, Work(100))
    turned = [turn for candidate in proposals.together(standing, 0.0, [0, 1]) for _, turn, _ in candidate.turns]
    assert {turn.lever.name for turn in turned} >= {"frames", "power"}
    for turn in turned:
        assert turn.axis != "person" and not {"instant", "frames", "power"}.isdisjoint(turn.replaced), turn.lever.name


def test_work_ends_with_the_last_text():
    work = Work(3)
    assert not work.spent, "the plan as it is has been read"
    for spent in (False, True):
        work.read("text")
        assert work.spent is spent


def test_work_ends_with_the_last_number_and_is_never_told_to_be_over_before():
    told: list[int] = []
    work = Work(1000, tell=told.append)
    text = "x" * (MOST_EFFORT // 1000)
    while not work.spent:
        work.read(text)
    assert work.texts < 1000
    assert all(one <= other for one, other in pairwise(told)) and told[0] > 0
    assert max(told) < MOST_EFFORT


@pytest.mark.parametrize("kept", [0, 1])
def test_a_change_that_cannot_be_taken_back_keeps_no_other_one(kept):
    """Two changes mend nothing. One has to stay, since without it the text is not as sound; the other one goes."""
    reader = rereader(("plan", "sum(frames) <= 3"))

    def sound(text: str) -> Standing | None:
        standing = reader.read(text)
        told = standing.plan.setup[kept].iso if standing is not None else None
        return standing if told is not None and told.value != 200 else None

    search = Search(reader.start, TEXT, reader.read, HouseLevers())
    changed = search.start
    for at in (0, 1):
        turn = next(iter(levers()["iso"].turns(changed.standing.graphs[at])))
        found = search.take(changed, Candidate((0, 0, 0.0), ((at, turn, 0),), frozenset()))
        assert found is not None
        changed = found
    assert [len(each) for each in (changed.steps, changed.edits.groups())] == [2, 2]
    strict = Search(changed.standing, changed.text, sound, HouseLevers())
    smaller = strict.smaller(changed)
    isos = [int(line.split()[1]) for line in smaller.text.splitlines() if line.strip().startswith("iso ")]
    assert [iso != 200 for iso in isos] == [at == kept for at in (0, 1)]
    assert len(smaller.steps) == 1 and smaller.score < changed.score


def test_texts_that_were_read_are_counted_once():
    reader = rereader(("plan", "sum(frames) <= 20"), ("each setup", "iso = 100"))
    texts: list[str] = []

    def read(text: str) -> Standing | None:
        texts.append(text)
        return reader.read(text)

    search = Search(reader.start, TEXT, read, HouseLevers())
    found = search.run()
    assert found.score[:2] == (0, 0) and len(texts) > 3
    assert len(texts) == len(set(texts)) == search.texts_judged - 1, "the plan as it is was read before"
