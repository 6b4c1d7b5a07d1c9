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
from itertools import count

from shootlint.language.edits import Change, Edits
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import Turn
from shootlint.remedies.proposals import FAULTS, Candidate, Proposals, Score, Work
from shootlint.remedies.standing import Standing

MOST_SEARCHED = 400
"""So many texts are read and judged while a change is looked for, the plan as it is among them."""
MOST_LESSENED = 800
"""So many by the time that the change has been made smaller."""
MOST_TEXTS = 1000
"""So many in all, with those that tell what each part of the change is for."""
MOST_NODES = 12
"""So many texts of one setup are searched from."""
BRANCHES = 5
"""So many of the best first steps are followed."""


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

    def __init__(
        self,
        standing: Standing,
        text: str,
        read: Reader,
        house: HouseLevers,
        only_mechanical: bool = False,
        tell: Callable[[int], None] | None = None,
    ) -> None:
        self.start = Found(standing, Edits(text))
        self.work = Work(MOST_SEARCHED, tell=tell)
        self.proposals = Proposals(house, only_mechanical, self.work)
        self._read = read
        self._texts: dict[str, Standing | None] = {text: standing}
        self._numbers = count()

    @property
    def texts_judged(self) -> int:
        return self.work.texts

    def run(self, setups: Sequence[int] | None = None) -> Found:
        """The best that was found; the plan as it was where nothing betters it."""
        best = self.start
        chosen = range(len(best.standing.scenes)) if setups is None else setups
        better = True
        while better and not self.work.spent:
            better = False
            for at in chosen:
                if self._own_faults(best.standing, at) and not self.work.spent:
                    found = self.in_setup(best, at)
                    if found.score[:2] < best.score[:2]:
                        best, better = found, True
            if not better:
                found = self.together(best, chosen)
                if found.score[:2] < best.score[:2]:
                    best, better = found, True
        self.work.most_texts = MOST_LESSENED
        if best is not self.start:
            best = self.smaller(best)
        self.work.most_texts = MOST_TEXTS
        return best

    def _own_faults(self, standing: Standing, at: int) -> bool:
        return bool(standing.failing_rules(FAULTS, at))

    def in_setup(self, start: Found, at: int) -> Found:
        """The best that turns in one setup make of a plan: the first text found from which nothing more can be mended."""
        best = start
        heap = [(start.score, next(self._numbers), start)]
        for _ in range(MOST_NODES):
            if not heap or self.work.spent:
                break
            _, _, node = heapq.heappop(heap)
            goal = self._goal(node.standing, at)
            singles = self.proposals.candidates(node.standing, node.score[2], at, goal)
            solved = self._taken(node, singles, goal)
            if solved is None:
                if singles and singles[0].score[:2] <= goal:
                    # One seemed to do and did not when its text was read, so nothing may be passed over.
                    singles = self.proposals.candidates(node.standing, node.score[2], at)
                pairs = self.proposals.pairs(node.standing, node.score[2], at, singles, goal)
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
        """The best that one lever in two setups at once makes of a plan."""
        best = node
        for candidate in self.proposals.together(node.standing, node.score[2], chosen):
            if candidate.score < best.score:
                taken = self.take(node, candidate)
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
        if text not in self._texts and not self.work.spent:
            self.work.read(text)
            self._texts[text] = self._read(text)
        standing = self._texts.get(text)
        return Found(standing, edits, steps) if standing is not None else None

    def smaller(self, found: Found) -> Found:
        """The same with less: each change taken back, or put as a cheaper one, where the plan stands as well."""
        best = found
        for _ in range(2):
            before = best.score
            for group in best.edits.groups():
                if not all(number in best.steps for number in group) or self.work.spent:
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
                for candidate in self.proposals.candidates(rest.standing, rest.score[2], at, best.score[:2]):
                    if candidate.score >= best.score:
                        break
                    taken = self.take(rest, candidate)
                    if taken is not None and taken.score < best.score:
                        yield taken
                        break
