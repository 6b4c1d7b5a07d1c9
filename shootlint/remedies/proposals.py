"""What may be worth turning in a plan as it stands: options of one turn, of two, and of one lever in two setups."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from shootlint.readings.axes import INDEX
from shootlint.remedies.crossing import crossed_turns, laid_out, overlap, shortened_for
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import EDITORIAL, Turn
from shootlint.remedies.standing import WHOLE_PLAN, Standing
from shootlint.remedies.tried import EFFORT_OF_READING, Tried, TriedTogether, effort
from shootlint.rulebook.ready import ReadyRule

MOST_EFFORT = 800_000_000
"""So many numbers are judged, texts that are read included: a minute at most, and that only for plans of many people with many faults."""
MOST_PAIRS = 80
"""So many pairs of turns are crossed for one text."""
MOST_MENDING = 12
"""So many of a turn's options that mend everything are crossed with what makes good what they break."""

FAULTS = ("error", "warning")

Score = tuple[int, int, float]
"""Errors, warnings, and the price of what was changed."""


@dataclass(frozen=True)
class Candidate:
    """Options of turns that may be worth taking, and how the plan would stand."""

    score: Score
    turns: tuple[tuple[int, Turn, int], ...]
    """In which setup, what, and which of its options."""
    mends: frozenset[tuple[str, int]]
    """The rules that some option of the turns mends, and where."""


@dataclass
class Work:
    """What a search has taken so far: numbers judged and texts read, never time, so that it ends alike everywhere."""

    most_texts: int
    most_numbers: int = MOST_EFFORT
    texts: int = 1
    numbers: int = 0
    tell: Callable[[int], None] | None = None
    """Is told how many of the numbers have been taken."""

    @property
    def spent(self) -> bool:
        return self.texts >= self.most_texts or self.numbers >= self.most_numbers

    def read(self, text: str) -> None:
        self.texts += 1
        self._take(EFFORT_OF_READING * len(text))

    def tried(self, standing: Standing, turn: Turn, at: int) -> Tried:
        self._take(effort(turn, standing.scenes[at]))
        return Tried(standing, turn, at)

    def tried_together(self, standing: Standing, one: Turn, at: int, other: Turn, there: int) -> TriedTogether:
        self._take(effort(one, standing.scenes[at]) + effort(other, standing.scenes[there]))
        return TriedTogether(standing, one, at, other, there)

    def _take(self, numbers: int) -> None:
        self.numbers += numbers
        if self.tell is not None:
            self.tell(min(self.numbers, self.most_numbers - 1))


class Proposals:
    """What may be worth turning, of what the house allows. `spent` is the price of what has been turned before."""

    def __init__(self, house: HouseLevers, only_mechanical: bool, work: Work) -> None:
        self.house, self.only_mechanical, self.work = house, only_mechanical, work

    def candidates(self, standing: Standing, spent: float, at: int, goal: tuple[int, int] | None = None) -> list[Candidate]:
        """The best options of each turn in a setup that mends something, best first. With a goal, turns that cost more
        than one that reaches it are not looked at."""
        found: list[Candidate] = []
        failing = standing.failing_rules(FAULTS, at)
        enough = np.inf
        for turn in sorted(self._turns(standing, at), key=lambda each: float(each.prices.min())):
            if turn.prices.min() >= enough or self.work.spent:
                break
            tried = self.work.tried(standing, turn, at)
            mends = tried.mended(failing)
            if mends:
                tally = tried.tally()
                for place in tally.order(turn.prices)[:2].tolist():
                    price = float(turn.prices[place])
                    score = (int(tally.errors[place]), int(tally.warnings[place]), spent + price)
                    found.append(Candidate(score, ((at, turn, place),), mends))
                    if goal is not None and score[:2] <= goal:
                        enough = min(enough, price)
        return sorted(found, key=lambda each: each.score)

    def pairs(
        self, standing: Standing, spent: float, at: int, singles: Sequence[Candidate], goal: tuple[int, int]
    ) -> list[Candidate]:
        """The best options of two turns at once: of turns that each mend what the other one does not, and of a turn that
        mends it all with another that makes good what the first one breaks. Pairs that cost more than one that reaches the
        goal are not looked at."""
        failing = standing.failing_rules(FAULTS, at)
        whole = {(rule.name, place) for rule, place in failing}
        turns = list({id(each.turns[0][1]): (each.turns[0][1], each.mends) for each in singles}.values())
        couples = [(one, other) for (one, mended), (other, mended_too) in combinations(turns, 2) if mended | mended_too >= whole]
        couples += [
            couple for turn, mended in turns if mended >= whole for couple in self._made_good(standing, at, turn, failing)
        ]
        priced = [(float(one.prices.min() + other.prices.min()), one, other) for one, other in couples if not overlap(one, other)]
        priced.sort(key=lambda each: each[0])
        found, enough = [], np.inf
        for least, one, other in priced[:MOST_PAIRS]:
            if least >= enough or self.work.spent:
                break
            both, parts = crossed_turns(one, other, standing.scenes[at])
            tally = self.work.tried(standing, both, at).tally()
            place = int(tally.order(both.prices)[0])
            price = float(both.prices[place])
            score = (int(tally.errors[place]), int(tally.warnings[place]), spent + price)
            found.append(Candidate(score, tuple((at, *each) for each in parts(place)), frozenset(whole)))
            if score[:2] <= goal:
                enough = min(enough, price)
        return sorted(found, key=lambda each: each.score)

    def together(self, standing: Standing, spent: float, chosen: Sequence[int]) -> Iterator[Candidate]:
        """The best options of one lever in two setups at once, for what setups do to each other: batteries that they share,
        minutes, and rules over the plan. A bounded number of pairs, the cheapest first."""
        failing = [(rule, place) for rule, place in standing.failing_rules(FAULTS) if place == WHOLE_PLAN or rule.looks_at_others]
        if not failing or len(chosen) < 2:
            return
        moves = frozenset().union(*(rule.rests_on for rule, _ in failing)) | {"instant", "frames", "power"}
        turns = {
            at: [each for each in self.allowed(standing, at) if each.axis != "person" and not moves.isdisjoint(each.replaced)]
            for at in chosen
        }
        couples = [
            (float(one.prices.min() + other.prices.min()), at, one, there, other)
            for at, there in combinations(chosen, 2)
            for one in turns[at]
            for other in turns[there]
            if one.lever is other.lever
        ]
        for _, at, one, there, other in sorted(couples, key=lambda each: each[0])[:MOST_PAIRS]:
            if self.work.spent:
                return
            one, other = shortened_for(one, other, [standing.scenes[at], standing.scenes[there]])
            first, second = laid_out(one, other)
            tally = self.work.tried_together(standing, first, at, second, there).tally()
            prices = first.prices + second.prices
            place = int(tally.order(prices)[0])
            score = (int(tally.errors[place]), int(tally.warnings[place]), spent + float(prices[place]))
            yield Candidate(score, ((at, first, place), (there, second, place)), frozenset())

    def _turns(self, standing: Standing, at: int) -> Iterator[Turn]:
        """The turns in a setup that may move what fails there."""
        failing = standing.failing_rules(FAULTS, at)
        moves = frozenset().union(*(rule.rests_on for rule, _ in failing))
        people = self._people(standing, failing)
        for turn in self.allowed(standing, at):
            of_others = turn.axis == "person" and people is not None and people.isdisjoint(turn.members)
            if not moves.isdisjoint(turn.replaced) and not of_others:
                yield turn

    def allowed(self, standing: Standing, at: int) -> Iterator[Turn]:
        """The turns in a setup that can be written, of the grades that are asked for."""
        for turn in self.house.turns(standing.graphs[at]):
            if all(turn.changes) and not (self.only_mechanical and turn.lever.grade == EDITORIAL):
                yield turn

    def _people(self, standing: Standing, failing: Sequence[tuple[ReadyRule, int]]) -> frozenset[int] | None:
        """The people whom what fails is about; None where some of it is about all of them."""
        found: set[int] = set()
        for rule, place in failing:
            if "person" not in rule.axes or place == WHOLE_PLAN:
                return None
            failing_at = standing.outcome(rule, place).failing
            for axis in rule.axes:
                found |= set(np.argwhere(failing_at)[:, INDEX[axis]].tolist())
        return frozenset(found)

    def _made_good(
        self, standing: Standing, at: int, turn: Turn, failing: Sequence[tuple[ReadyRule, int]]
    ) -> Iterator[tuple[Turn, Turn]]:
        """A turn's options that mend all that fails, with each turn that may move what they break instead."""
        tried = self.work.tried(standing, turn, at)
        mends = np.flatnonzero(np.all([tried.bad(rule, place) == 0 for rule, place in failing], axis=0))
        if not len(mends):
            return
        least = turn.only(mends[:MOST_MENDING])
        broken = [rule for rule, _ in Tried(standing, least, at).newly_failing(FAULTS)]
        if broken:
            moves = frozenset().union(*(rule.rests_on for rule in broken))
            for other in self.allowed(standing, at):
                if other.axis != "person" and not moves.isdisjoint(other.replaced):
                    yield least, other
