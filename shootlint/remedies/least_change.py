"""The search for the least change of a whole plan that leaves no error and, where possible, no warning.

Over one lever first: every option of every lever that can move what fails, in one broadcast a turn. Then over two,
their options crossed along the one axis of options. Then several, by best first: the most promising texts are read
anew and searched in their turn. Last, one lever in two setups at once, for what setups do to each other. What is found
is made smaller at the end: each change is taken back, or put as a cheaper one, wherever the plan stands as well without
it. Every step is read from its text and judged anew, where a setup's text is the same as one judged before its verdicts
are taken from there; what is offered is judged once more with nothing taken over (`plan_mend.py`). The number of texts
and of settings is bounded, so every search ends.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, count

import numpy as np

from shootlint.language.edits import Change, Edits
from shootlint.readings.axes import INDEX
from shootlint.remedies.crossing import crossed_turns, laid_out, overlap, shortened_for
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import EDITORIAL, Turn
from shootlint.remedies.standing import OF_OTHER_SETUPS, WHOLE_PLAN, Standing
from shootlint.remedies.tried import EFFORT_OF_READING, Tried, TriedTogether, effort
from shootlint.rulebook.ready import ReadyRule

MOST_SEARCHED = 400
"""So many texts are read and judged while a change is looked for, the plan as it is among them."""
MOST_LESSENED = 800
"""So many by the time that the change has been made smaller."""
MOST_TEXTS = 1000
"""So many in all, with those that tell what each part of the change is for."""
MOST_EFFORT = 1_500_000_000
"""So many numbers are judged, texts that are read included: half a minute's work for plans of hundreds of people."""
MOST_NODES = 12
"""So many texts of one setup are searched from."""
MOST_PAIRS = 80
"""So many pairs of turns are crossed at each of them."""
MOST_MENDING = 12
"""So many of a turn's options that mend everything are crossed with what makes good what they break."""
BRANCHES = 5
"""So many of the best first steps are followed."""

FAULTS = ("error", "warning")

Score = tuple[int, int, float]
"""Errors, warnings, and the price of what was changed."""


@dataclass(frozen=True)
class Step:
    """One change of a plan: what is turned, where, and what it costs."""

    setup: str
    lever: str
    grade: str
    title: str
    cost: str
    price: float


@dataclass(frozen=True)
class Candidate:
    """An option of a turn that may be worth taking, and how the plan would stand."""

    score: Score
    turns: tuple[tuple[int, Turn, int], ...]
    """In which setup, what, and which of its options."""
    mends: frozenset[tuple[str, int]]
    """The rules that some option of the turns mends, and where."""


@dataclass(frozen=True)
class Found:
    """A changed text with how it stands, and the steps that led there."""

    standing: Standing
    edits: Edits
    steps: dict[int, Step] = field(default_factory=dict)

    @property
    def score(self) -> Score:
        failing = self.standing.failing
        price = sum(step.price for step in self.steps.values())
        return failing["error"], failing["warning"], price

    @property
    def text(self) -> str:
        return self.edits.result


Reader = Callable[[str], Standing | None]
"""Reads a changed text and stands it under the rules; None where it is not as sound as the plan was."""


class Search:
    """The search for the least change of one plan."""

    def __init__(self, standing: Standing, text: str, read: Reader, house: HouseLevers, only_mechanical: bool = False) -> None:
        self.start = Found(standing, Edits(text))
        self.house = house
        self.only_mechanical = only_mechanical
        self._read = read
        self._texts: dict[str, Standing | None] = {text: standing}
        self._most = MOST_SEARCHED
        self._effort = 0
        self._numbers = count()

    @property
    def texts_judged(self) -> int:
        return len(self._texts)

    def run(self, setups: Sequence[int] | None = None) -> Found:
        """The best that was found; the plan as it was where nothing betters it."""
        best = self.start
        chosen = range(len(best.standing.scenes)) if setups is None else setups
        better = True
        while better and not self.spent:
            better = False
            for at in chosen:
                if self._own_faults(best.standing, at) and not self.spent:
                    found = self.in_setup(best, at)
                    if found.score[:2] < best.score[:2]:
                        best, better = found, True
            if not better:
                found = self.together(best, chosen)
                if found.score[:2] < best.score[:2]:
                    best, better = found, True
        self._most = MOST_LESSENED
        if best is not self.start:
            best = self.smaller(best)
        self._most = MOST_TEXTS
        return best

    @property
    def spent(self) -> bool:
        return len(self._texts) >= self._most or self._effort >= MOST_EFFORT

    def _tried(self, standing: Standing, turn: Turn, at: int) -> Tried:
        self._effort += effort(turn, standing.scenes[at])
        return Tried(standing, turn, at)

    def _own_faults(self, standing: Standing, at: int) -> bool:
        return bool(standing.failing_rules(FAULTS, at))

    def in_setup(self, start: Found, at: int) -> Found:
        """The best that turns in one setup make of a plan: the first text found from which nothing more can be mended."""
        best = start
        heap = [(start.score, next(self._numbers), start)]
        for _ in range(MOST_NODES):
            if not heap or self.spent:
                break
            _, _, node = heapq.heappop(heap)
            goal = self._goal(node.standing, at)
            singles = self.candidates(node, at, goal)
            solved = self._taken(node, singles, goal)
            if solved is None:
                if singles and singles[0].score[:2] <= goal:
                    # One seemed to do and did not when its text was read, so nothing may be passed over.
                    singles = self.candidates(node, at)
                pairs = self.pairs(node, at, singles, goal)
                solved = self._taken(node, pairs, goal)
                singles += pairs[:2]
            if solved is not None:
                return solved
            for child in self._children(node, singles):
                if child.score < best.score:
                    best = child
                heapq.heappush(heap, (child.score, next(self._numbers), child))
        return best

    def together(self, node: Found, chosen: Sequence[int]) -> Found:
        """The best that two turns in two setups make of a plan, for what setups do to each other: batteries that they share,
        minutes, and rules over the plan. A bounded number of pairs, the cheapest first."""
        standing = node.standing
        failing = [
            (rule, place)
            for rule, place in standing.failing_rules(FAULTS)
            if place == WHOLE_PLAN or not rule.rests_on.isdisjoint(OF_OTHER_SETUPS)
        ]
        if not failing or len(chosen) < 2:
            return node
        moves = frozenset().union(*(rule.rests_on for rule, _ in failing)) | {"instant", "frames", "power"}
        turns = {
            at: [each for each in self._allowed(standing, at) if each.axis != "person" and not moves.isdisjoint(each.replaced)]
            for at in chosen
        }
        couples = [
            (float(one.prices.min() + other.prices.min()), at, one, there, other)
            for at, there in combinations(chosen, 2)
            for one in turns[at]
            for other in turns[there]
            if one.lever is other.lever
        ]
        best = node
        for _, at, one, there, other in sorted(couples, key=lambda each: each[0])[:MOST_PAIRS]:
            if self.spent:
                break
            scenes = [standing.scenes[at], standing.scenes[there]]
            one, other = shortened_for(one, other, scenes)
            first, second = laid_out(one, other)
            self._effort += sum(effort(first, scene) for scene in scenes)
            tally = TriedTogether(standing, first, at, second, there).tally()
            prices = first.prices + second.prices
            place = int(tally.order(prices)[0])
            score = (int(tally.errors[place]), int(tally.warnings[place]), node.score[2] + float(prices[place]))
            if score < best.score:
                taken = self.take(node, Candidate(score, ((at, first, place), (there, second, place)), frozenset()))
                if taken is not None and taken.score < best.score:
                    best = taken
        return best

    def _goal(self, standing: Standing, at: int) -> tuple[int, int]:
        """What would be left if nothing failed in this setup and over the plan."""
        here = standing.failing_rules(FAULTS, at)
        mine = {level: sum(standing.count(rule, place) for rule, place in here if rule.level == level) for level in FAULTS}
        return standing.failing["error"] - mine["error"], standing.failing["warning"] - mine["warning"]

    def _taken(self, node: Found, candidates: Sequence[Candidate], goal: tuple[int, int]) -> Found | None:
        """The cheapest candidate that reaches the goal and does so when its text is read."""
        for candidate in candidates:
            if candidate.score[:2] > goal:
                return None
            found = self.take(node, candidate)
            if found is not None and found.score[:2] <= goal:
                return found
        return None

    def _children(self, node: Found, candidates: Sequence[Candidate]) -> Iterator[Found]:
        levers: set[tuple[str, ...]] = set()
        for candidate in sorted(candidates, key=lambda each: each.score):
            kinds = tuple(turn.lever.name for _, turn, _ in candidate.turns)
            if kinds in levers:
                continue
            levers.add(kinds)
            found = self.take(node, candidate)
            if found is not None and found.score[:2] < node.score[:2]:
                yield found
            if len(levers) >= BRANCHES:
                return

    def turns(self, standing: Standing, at: int) -> Iterator[Turn]:
        """The turns in a setup that may move what fails there."""
        failing = standing.failing_rules(FAULTS, at)
        moves = frozenset().union(*(rule.rests_on for rule, _ in failing))
        people = self._people(standing, failing)
        for turn in self._allowed(standing, at):
            of_others = turn.axis == "person" and people is not None and people.isdisjoint(turn.members)
            if not moves.isdisjoint(turn.replaced) and not of_others:
                yield turn

    def _allowed(self, standing: Standing, at: int) -> Iterator[Turn]:
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

    def candidates(self, node: Found, at: int, goal: tuple[int, int] | None = None) -> list[Candidate]:
        """The best options of each turn in a setup that mends something, best first. With a goal, turns that cost more
        than one that reaches it are not looked at."""
        standing, found = node.standing, []
        failing = standing.failing_rules(FAULTS, at)
        enough = np.inf
        for turn in sorted(self.turns(standing, at), key=lambda each: float(each.prices.min())):
            if turn.prices.min() >= enough or self.spent:
                break
            tried = self._tried(standing, turn, at)
            mends = tried.mended(failing)
            if mends:
                tally = tried.tally()
                for place in tally.order(turn.prices)[:2].tolist():
                    price = float(turn.prices[place])
                    score = (int(tally.errors[place]), int(tally.warnings[place]), node.score[2] + price)
                    found.append(Candidate(score, ((at, turn, place),), mends))
                    if goal is not None and score[:2] <= goal:
                        enough = min(enough, price)
        return sorted(found, key=lambda each: each.score)

    def pairs(self, node: Found, at: int, singles: Sequence[Candidate], goal: tuple[int, int]) -> list[Candidate]:
        """The best options of two turns at once: of turns that each mend what the other one does not, and of a turn that
        mends it all with another that makes good what the first one breaks. Pairs that cost more than one that reaches the
        goal are not looked at."""
        standing = node.standing
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
            if least >= enough or self.spent:
                break
            both, parts = crossed_turns(one, other, standing.scenes[at])
            tally = self._tried(standing, both, at).tally()
            place = int(tally.order(both.prices)[0])
            price = float(both.prices[place])
            score = (int(tally.errors[place]), int(tally.warnings[place]), node.score[2] + price)
            found.append(Candidate(score, tuple((at, *each) for each in parts(place)), frozenset(whole)))
            if score[:2] <= goal:
                enough = min(enough, price)
        return sorted(found, key=lambda each: each.score)

    def _made_good(
        self, standing: Standing, at: int, turn: Turn, failing: Sequence[tuple[ReadyRule, int]]
    ) -> Iterator[tuple[Turn, Turn]]:
        """A turn's options that mend all that fails, with each turn that may move what they break instead."""
        tried = self._tried(standing, turn, at)
        mends = np.flatnonzero(np.all([tried.bad(rule, place) == 0 for rule, place in failing], axis=0))
        if not len(mends):
            return
        least = turn.only(mends[:MOST_MENDING])
        broken = [rule for rule, _ in Tried(standing, least, at).newly_failing(FAULTS)]
        if broken:
            moves = frozenset().union(*(rule.rests_on for rule in broken))
            for other in self._allowed(standing, at):
                if other.axis != "person" and not moves.isdisjoint(other.replaced):
                    yield least, other

    def take(self, node: Found, candidate: Candidate) -> Found | None:
        """A plan with a candidate's changes in its text, read and judged anew."""
        edits, steps = node.edits, dict(node.steps)
        changes: list[tuple[Change, int]] = []
        for at, turn, place in candidate.turns:
            number = next(self._numbers)
            changes += [(change, number) for change in turn.changes[place]]
            steps[number] = self.step(node.standing, at, turn, place)
        for change, number in sorted(changes, key=lambda each: each[0].place.start, reverse=True):
            edits = edits.then([change], number)
        return self.read(edits, steps)

    def step(self, standing: Standing, at: int, turn: Turn, place: int) -> Step:
        name = str(standing.scenes[at].setup.name)
        lever = turn.lever
        return Step(name, lever.name, lever.grade, turn.titles[place], turn.cost(place), float(turn.prices[place]))

    def read(self, edits: Edits, steps: dict[int, Step]) -> Found | None:
        """How a changed text stands; None where it is not as sound as the plan was, or no more texts may be read."""
        text = edits.result
        if text not in self._texts and not self.spent:
            self._effort += EFFORT_OF_READING * len(text)
            self._texts[text] = self._read(text)
        standing = self._texts.get(text)
        return Found(standing, edits, steps) if standing is not None else None

    def smaller(self, found: Found) -> Found:
        """The same with less: each change taken back, or put as a cheaper one, where the plan stands as well."""
        best = found
        for _ in range(2):
            before = best.score
            for group in best.edits.groups():
                if not all(number in best.steps for number in group) or self.spent:
                    continue
                rest = self.read(
                    best.edits.without(group), {number: step for number, step in best.steps.items() if number not in group}
                )
                if rest is None:
                    continue
                best = min((best, rest, *self._instead(rest, best, group)), key=lambda each: each.score)
            if best.score == before:
                break
        return best

    def _instead(self, rest: Found, best: Found, group: frozenset[int]) -> Iterator[Found]:
        """Other single changes in the place of some that were taken back."""
        names = {step.setup for number, step in best.steps.items() if number in group}
        for at, scene in enumerate(rest.standing.scenes):
            if str(scene.setup.name) in names:
                for candidate in self.candidates(rest, at, best.score[:2]):
                    if candidate.score >= best.score:
                        break
                    taken = self.take(rest, candidate)
                    if taken is not None and taken.score < best.score:
                        yield taken
                        break
