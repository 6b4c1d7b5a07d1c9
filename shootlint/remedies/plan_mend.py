"""The mend of a whole plan: what to change, what each change is for, and what no change of choices can mend."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from shootlint.language.edits import Edits
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.least_change import MOST_TEXTS, Found, Search, Step
from shootlint.remedies.levers import EDITORIAL, Turn
from shootlint.remedies.margins import TIGHT, Margin, margins
from shootlint.remedies.proposals import FAULTS, MOST_EFFORT, Work
from shootlint.remedies.reading import Rereader
from shootlint.remedies.standing import WHOLE_PLAN, Standing, Thing, things
from shootlint.remedies.tried import Tried
from shootlint.rulebook.ready import ReadyRule


@dataclass(frozen=True)
class Conflict:
    """A rule that no mend makes hold, and what is nearest to it."""

    rule: ReadyRule
    setup: str
    about: tuple[str, ...]
    """For whom or what it fails."""
    nearest: str
    """The cheapest turn that makes it hold, with what it costs; nothing where there is none."""
    breaks: tuple[str, ...]
    """The rules that fail with that turn."""
    of_another_grade: bool = False
    """Whether that turn changes the picture, and only such were asked for as do not."""

    def in_words(self) -> str:
        about = f" for {' and '.join(self.about)}" if self.about else ""
        where = f'{self.rule.name}{about} in setup "{self.setup}"' if self.setup else self.rule.name
        if not self.nearest:
            return f"{where}: no single change makes it hold"
        if not self.breaks:
            why = "changes the picture" if self.of_another_grade else "the search ended before it"
            return f"{where}: {self.nearest} would do it, and {why}"
        return f"{where} cannot hold together with {' and '.join(self.breaks)}; nearest is {self.nearest}"


@dataclass(frozen=True)
class Change:
    """One change of a mended plan."""

    step: Step
    mends: tuple[str, ...]
    """The rules that would fail again without it."""


@dataclass(frozen=True)
class PlanMend:
    """What a search gave. The changed text has been read and judged from scratch."""

    before: str
    after: str
    edits: Edits
    changes: tuple[Change, ...]
    failing_before: dict[str, int]
    failing_after: dict[str, int]
    left: frozenset[Thing]
    """What fails all the same, of what was to be mended."""
    conflicts: tuple[Conflict, ...]
    more_conflicts: int
    """How many more rules fail of which that was not worked out."""
    holds: bool
    """Whether the changed plan has no error at all, also of what was not to be mended."""
    setups: tuple[str, ...]
    """The plan's setups, to which margins are told by number."""
    margins: tuple[Margin, ...]
    """The tightest margins of the rules that were mended, where they hold by little."""


def mend_plan(
    rereader: Rereader,
    house: HouseLevers,
    setups: Sequence[int] | None = None,
    only_mechanical: bool = False,
    tell: Callable[[int], None] | None = None,
) -> PlanMend:
    """Searches for the least change of a plan, and proves it: what is told of the changed plan was found by reading its
    text and judging it with nothing taken over. `tell` is told how much of MOST_EFFORT is done."""
    text = rereader.document.source.text
    search = Search(rereader.start, text, rereader.read, house, only_mechanical, tell)
    found = search.run(setups)
    proven = rereader.read(found.text, afresh=True)
    if proven is None or proven.failing != found.standing.failing:
        # What was taken over while searching was not what judging anew gives: then nothing is offered.
        found, proven = search.start, rereader.start
    changes = tuple(_ordered(search, found))
    conflicts = tuple(_conflicts(proven, house, only_mechanical))
    return PlanMend(
        text,
        found.text,
        found.edits,
        changes,
        rereader.start.failing,
        proven.failing,
        frozenset(each for each in things(proven) if proven.book.rules[each[0]].level in FAULTS),
        conflicts,
        len(proven.failing_rules(FAULTS)) - len(conflicts),
        not Standing(proven.plan, proven.book, proven.today).failing["error"],
        tuple(str(scene.setup.name) for scene in proven.scenes),
        tuple(_tightest(proven, changes)),
    )


def _ordered(search: Search, found: Found) -> Iterator[Change]:
    """The steps with what each of them mends, setup by setup, those that mend most first."""
    after = things(found.standing)
    changes = []
    for group in found.edits.groups():
        steps = {number: step for number, step in found.steps.items() if number not in group}
        without = search.read(found.edits.without(group), steps)
        again = things(without.standing) - after if without is not None else frozenset()
        names = tuple(sorted({name for name, *_ in again if found.standing.book.rules[name].level in FAULTS}))
        changes += [Change(found.steps[number], names) for number in sorted(group) if number in found.steps]
    order = {str(scene.setup.name): at for at, scene in enumerate(found.standing.scenes)}
    yield from sorted(changes, key=lambda each: (order[each.step.setup], -len(each.mends), each.step.price, each.step.title))


MOST_CONFLICTS = 8
MOST_EFFORT_OF_CONFLICTS = MOST_EFFORT // 4
"""So many numbers are judged for them all."""


def _conflicts(standing: Standing, house: HouseLevers, only_mechanical: bool) -> Iterator[Conflict]:
    """Of each rule that still fails, the cheapest single turn that makes it hold, and which rules that breaks; of as many
    as that can be worked out of."""
    work = Work(MOST_TEXTS, MOST_EFFORT_OF_CONFLICTS)
    failing_things = things(standing)
    failing = sorted(standing.failing_rules(FAULTS), key=lambda each: FAULTS.index(each[0].level))
    for rule, at in failing[:MOST_CONFLICTS]:
        whole = at == WHOLE_PLAN
        setup = "" if whole else str(standing.scenes[at].setup.name)
        about = tuple(
            sorted({name for other, where, names in failing_things if (other, where) == (rule.name, setup) for name in names})
        )
        setups = range(len(standing.scenes)) if whole else [at]
        # One after another, and only the best is kept: what was tried is large.
        found = (each for place in setups for each in _making_good(rule, at, place, standing, house, work))
        nearest = min(found, key=lambda each: each.score, default=None)
        if work.spent:
            return
        if nearest is None:
            yield Conflict(rule, setup, about, "", ())
            continue
        turn, place = nearest.turn, nearest.place
        cost = turn.cost(place)
        where = f' in setup "{standing.scenes[nearest.at].setup.name}"' if whole else ""
        broken = tuple(dict.fromkeys(other.name for other, worse in nearest.tried.newly_failing(FAULTS) if worse[place]))
        words = turn.titles[place] + where + (f" ({cost})" if cost else "")
        yield Conflict(rule, setup, about, words, broken, only_mechanical and turn.lever.grade == EDITORIAL)


@dataclass(frozen=True)
class _Nearest:
    """The best option of a turn that makes a rule hold."""

    score: tuple[float, float, float]
    at: int
    turn: Turn
    place: int
    tried: Tried


def _making_good(rule: ReadyRule, at: int, setup: int, standing: Standing, house: HouseLevers, work: Work) -> Iterator[_Nearest]:
    """The turns in a setup that make a rule hold there or over the plan."""
    for turn in house.turns(standing.graphs[setup]):
        if rule.rests_on.isdisjoint(turn.replaced):
            continue
        if work.spent:
            return
        tried = work.tried(standing, turn, setup)
        holds = np.flatnonzero(tried.bad(rule, at) == 0)
        if len(holds):
            tally = tried.tally()
            order = np.lexsort((turn.prices[holds], tally.warnings[holds], tally.errors[holds]))
            place = int(holds[order[0]])
            score = float(tally.errors[place]), float(tally.warnings[place]), float(turn.prices[place])
            yield _Nearest(score, setup, turn, place, tried)


def _tightest(standing: Standing, changes: Sequence[Change]) -> Iterator[Margin]:
    mended = {(name, change.step.setup) for change in changes for name in change.mends}
    for margin in margins(standing):
        if margin.share < TIGHT and (margin.rule.name, str(standing.scenes[margin.at].setup.name)) in mended:
            yield margin
