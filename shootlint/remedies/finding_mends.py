"""The mends of single findings: the least turn of each lever that its rule names, proven on the changed text."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from shootlint.language.edits import changed
from shootlint.language.units import BY_SPELLING
from shootlint.language.values import F_NUMBER, POWER
from shootlint.readings.axes import INDEX, Mask
from shootlint.readings.graph import Graph
from shootlint.readings.wording import in_plans_units, in_words, number
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import Turn
from shootlint.remedies.reading import Rereader
from shootlint.remedies.standing import Thing, at_any_minute, things
from shootlint.remedies.tried import EFFORT_OF_READING, Tried, effort
from shootlint.rulebook.finding import Finding, Mend, Verdict
from shootlint.rulebook.judging import picked
from shootlint.rulebook.model import LEVELS

OPTION, MINUTE = INDEX["option"], INDEX["minute"]
STOP = BY_SPELLING["stops"]
MOST_MENDS = 3
MOST_EFFORT = 100_000_000
"""So many numbers are judged for all findings of a plan, texts that are read included: a few seconds' work."""
MOST_PROOFS = 3
"""So many options of a turn are tried on the text before the turn is given up."""


def add_mends(verdict: Verdict, rereader: Rereader, house: HouseLevers) -> None:
    """Gives each finding the least turn of each of its rule's levers that makes it hold and breaks nothing as bad."""
    offers = Offers(rereader, house)
    # The worst ones first, as the search ends where it has taken long enough.
    found = {
        id(finding): offers.added(finding) for finding in sorted(verdict.findings, key=lambda each: LEVELS.index(each.level))
    }
    verdict.findings = [found[id(finding)] for finding in verdict.findings]


class _After(NamedTuple):
    """How a plan stands once it is changed."""

    bad: frozenset[Thing]
    """What fails in it, or is not known where it was."""
    failing: frozenset[Thing]


class Offers:
    """What mends the findings of one plan, found for one finding after the other."""

    def __init__(self, rereader: Rereader, house: HouseLevers) -> None:
        self.rereader = rereader
        self.house = house
        self.standing = rereader.start
        self._numbers = {str(scene.setup.name): at for at, scene in enumerate(self.standing.scenes)}
        self._read: dict[str, _After | None] = {}
        self._failing = things(self.standing)
        self._effort = 0

    def added(self, finding: Finding) -> Finding:
        """A finding with its mends, or as one for which none were looked for."""
        if self._effort >= MOST_EFFORT:
            return replace(finding, searched=False)
        mends = (*finding.mends, *self.mends_for(finding))
        return replace(finding, mends=mends, searched=bool(mends) or self._effort < MOST_EFFORT)

    def mends_for(self, finding: Finding) -> list[Mend]:
        if finding.rule.scope == "plan":
            return []
        at = self._numbers[finding.setup]
        found: list[tuple[int, float, Mend]] = []
        for word in finding.rule.rule.remedy:
            turns = [turn for turn in self.house.turns_of(word, self.standing.graphs[at]) if self._concerns(turn, finding, at)]
            mends = [
                mend for turn in turns if self._effort < MOST_EFFORT and (mend := self._least(turn, finding, at)) is not None
            ]
            # Of what a lever could be turned at the cheapest is offered.
            found += sorted(mends, key=lambda each: each[:2])[:1]
        # A mend that breaks nothing else comes first, one after which something fails last; the rule's own order decides
        # among equals.
        found.sort(key=lambda each: each[0])
        return [mend for *_, mend in found[:MOST_MENDS]]

    def _concerns(self, turn: Turn, finding: Finding, at: int) -> bool:
        """Whether a turn is at what the finding is about; for people's findings at the only key light, and for a finding
        about the whole setup at any light, and at the person whom its message names or at anybody."""
        index = dict(finding.index)
        if not turn.axis:
            return True
        if turn.axis == "light":
            light = index.get("light", self._only_key(at) if "person" in index else None)
            return light in turn.members if light is not None else "person" not in index
        person = index.get("person", self._person_named(finding, at))
        return person is None or person in turn.members

    def _only_key(self, at: int) -> int | None:
        lamps = self.standing.scenes[at].lamps
        keys = [index for index, lamp in enumerate(lamps) if lamp.placement.role == "key"]
        return keys[0] if len(keys) == 1 else None

    def _person_named(self, finding: Finding, at: int) -> int | None:
        for piece in finding.rule.message.readings:
            if piece.reading is not None and piece.reading.of == "person":
                place = float(piece.run(self.standing.graphs[at]).array.flat[0])
                return int(place) if np.isfinite(place) else None
        return None

    def _least(self, turn: Turn, finding: Finding, at: int) -> tuple[int, float, Mend] | None:
        """The cheapest option with which the finding is gone and nothing as bad is new, of those that break nothing else
        if there is one; only what holds when the changed text is read and judged."""
        tried = Tried(self.standing, turn, at)
        # Setups that share minutes or batteries with this one are judged along with it.
        self._effort += sum(effort(turn, self.standing.scenes[place]) for place in tried.touched)
        holds = ~_over_options(fails_here(finding, tried), len(turn.titles))
        lesser = np.zeros(len(turn.titles), dtype=bool)
        as_bad = LEVELS[: LEVELS.index(finding.level) + 1]
        if holds.any():
            for rule, broken in tried.newly_failing([level for level in LEVELS if level != "note" or level in as_bad]):
                if rule.level in as_bad:
                    holds &= ~broken
                else:
                    lesser |= broken
        order = np.lexsort((turn.prices, lesser))
        for place in order[holds[order]][:MOST_PROOFS].tolist():
            after = self._after(turn, place)
            if (
                after is None
                or _thing(finding) in after.bad
                or any(self._level(each) in as_bad for each in after.bad - self._failing)
            ):
                continue
            worse, words = self._though(after)
            title = turn.titles[place] + spare(finding, tried.graph, place) + words
            return worse, float(turn.prices[place]), Mend(title, turn.lever.grade, tuple(turn.changes[place]), turn.cost(place))
        return None

    def _though(self, after: _After) -> tuple[int, str]:
        """The worst that a mend brings besides, notes left out: nothing, something no longer known, something that fails."""
        new = [each for each in sorted(after.bad - self._failing) if self._level(each) != "note"]
        for name, *_ in (each for each in new if each in after.failing):
            return 2, f", though then {name} fails"
        return (1, f", though then {new[0][0]} cannot be judged") if new else (0, "")

    def _level(self, thing: Thing) -> str:
        return self.standing.book.rules[thing[0]].level

    def _after(self, turn: Turn, place: int) -> _After | None:
        """How the changed text stands; None where it cannot be written or read."""
        if not turn.changes[place]:
            return None
        text = changed(self.rereader.document.source.text, turn.changes[place])
        if text not in self._read:
            self._effort += EFFORT_OF_READING * len(text)
            standing = self.rereader.read(text)
            self._read[text] = _After(things(standing), things(standing, surely=True)) if standing is not None else None
        return self._read[text]


def _thing(finding: Finding) -> Thing:
    return finding.rule.name, finding.setup, finding.about


def fails_here(finding: Finding, tried: Tried) -> Mask:
    """Where what the rule requires does not surely hold, for the one that the finding is about.

    An option that only takes the finding out of what the rule is for mends nothing, so the rule's guard counts as it
    stood before as well as after.
    """
    rule, index = finding.rule, dict(finding.index)
    bad: Mask = rule.require.run(tried.graph).array < 1.0
    if rule.where is not None:
        applied = at_any_minute(rule.where.run(tried.standing.graphs[tried.at]).array > 0.0)
        bad = bad & (applied | (rule.where.run(tried.graph).array > 0.0))
    for axis, place in index.items():
        bad = bad.take([min(place, bad.shape[INDEX[axis]] - 1)], axis=INDEX[axis])
    return bad


def _over_options(array: Mask, count: int) -> Mask:
    """Whether anything is true, for each option."""
    others = tuple(axis for axis in range(array.ndim) if axis != OPTION)
    return np.broadcast_to(array.any(axis=others), (count,))


def spare(finding: Finding, tried: Graph, place: int) -> str:
    """What the deciding comparison leaves to spare with an option at the worst minute, in words; nothing where the rule
    holds without it."""
    measured = finding.measured
    comparisons = finding.rule.require.comparisons
    alike = (each for each in comparisons if measured and (each.left.text, each.sign) == (measured.reading, measured.sign))
    compared = next(alike, None)
    if compared is None or compared.sign in ("=", "!="):
        return ""
    left, right = compared.left.run(tried), compared.right.run(tried)
    at = {**dict(finding.index), "option": place}
    more = 1 if compared.sign in (">", ">=") else -1
    minutes = range(max(left.array.shape[MINUTE], right.array.shape[MINUTE]))
    left_over = min(more * (picked(left, {**at, "minute": each}) - picked(right, {**at, "minute": each})) for each in minutes)
    if not (np.isfinite(left_over) and left_over > 0):
        return ""
    unit = STOP if compared.left.unit.kind == "exposure" else compared.left.unit
    if unit in (F_NUMBER, POWER):
        return ""
    text = f"{number(left_over, 1)} s" if unit.name == "s" else in_words(left_over, in_plans_units(unit, tried.scene.in_feet))
    return "" if text.split()[0] == "0" else f" (leaves {text} to spare)"
