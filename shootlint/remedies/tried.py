"""How a plan would stand with each option of a turn, judged in one broadcast."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from shootlint.readings.axes import INDEX, Array, Mask, along, least, most
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import Scene
from shootlint.remedies.levers import Turn, crossed
from shootlint.remedies.room import numbers_of
from shootlint.remedies.standing import WHOLE_PLAN, Outcome, Standing
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.ready import ReadyRule

NOTE_PRICE = 0.4
"""What a note weighs against a turn of a lever; a choice, not a fault, so less than any turn that would avoid it (a choice, no source)."""


@dataclass(frozen=True)
class Tally:
    """How many things of a plan fail, by level, for each option of a turn."""

    errors: Array
    warnings: Array
    notes: Array

    def order(self, prices: Array) -> NDArray[np.intp]:
        """The options from best to worst: errors count before warnings, those before the price, notes as part of it."""
        return np.lexsort((prices + NOTE_PRICE * self.notes, self.warnings, self.errors))


def effort(turn: Turn, scene: Scene) -> int:
    """About what judging a turn in a setup takes, counted in the numbers of the largest array that it makes, and as many
    more as would take the time that Python takes by itself."""
    return EFFORT_OF_PYTHON + len(turn.titles) * numbers_of(scene)


BATTERIES = "full-flashes-elsewhere"

EFFORT_OF_PYTHON = 100_000

EFFORT_OF_READING = 50
"""What reading a character of a text takes, beside judging one of those numbers, by tests/benchmarks."""


class Tried:
    """A turn in one setup of a plan. What it does not move is taken from how the plan stands."""

    def __init__(self, standing: Standing, turn: Turn, at: int) -> None:
        self.standing, self.turn, self.at = standing, turn, at
        before = standing.graphs[at]
        self.graph = Graph(before.scene, turn.arrays(before), before)
        self._outcomes: dict[tuple[str, int], Outcome] = {}

    @cached_property
    def touched(self) -> dict[int, Graph]:
        """The setup and those that depend on it, as they would be."""
        return {self.at: self.graph, **self._dependents()}

    @cached_property
    def whole(self) -> PlanGraph:
        return PlanGraph([self.touched.get(place, graph) for place, graph in enumerate(self.standing.graphs)])

    @property
    def replaced(self) -> frozenset[str]:
        """The readings that are turned."""
        return self.graph.replaced

    @property
    def count(self) -> int:
        return len(self.turn.titles)

    def moves(self, rule: ReadyRule, place: int) -> bool:
        """Whether a rule's verdict in a setup, or over the plan, rests on what is turned."""
        if place == WHOLE_PLAN:
            return not rule.rests_on.isdisjoint(self.replaced)
        return place in self.touched and not rule.rests_on.isdisjoint(self.touched[place].replaced)

    def outcome(self, rule: ReadyRule, place: int) -> Outcome:
        if not self.moves(rule, place):
            return self.standing.outcome(rule, place)
        key = rule.name, place
        if key not in self._outcomes:
            self._outcomes[key] = self.standing.judged(rule, place, self.whole if place == WHOLE_PLAN else self.touched[place])
        return self._outcomes[key]

    def bad(self, rule: ReadyRule, place: int) -> Array:
        """How many things fail by a rule with each option; what is known now and would not be counts too."""
        after, before = self.outcome(rule, place), (self.standing.first or self.standing).outcome(rule, place)
        return self.standing.over_options(rule, place, after.failing | (after.unsure & ~before.unsure), self.count)

    def mended(self, failing: Sequence[tuple[ReadyRule, int]]) -> frozenset[tuple[str, int]]:
        """Which of the rules that fail would fail less with some option."""
        return frozenset(
            (rule.name, place)
            for rule, place in failing
            if self.moves(rule, place) and self.bad(rule, place).min() < self.standing.count(rule, place)
        )

    def tally(self) -> Tally:
        """What would fail in the whole plan with each option."""
        sums = {level: np.full(self.count, float(number)) for level, number in self.standing.failing.items()}
        for rule, place in self._moved():
            sums[rule.level] += self.bad(rule, place) - self.standing.count(rule, place)
        return Tally(*(sums[level] for level in LEVELS))

    def newly_failing(self, levels: Sequence[str]) -> Iterator[tuple[ReadyRule, Mask]]:
        """The rules of some levels by which something fails with an option that does not fail now, and for which options."""
        for rule, place in self._moved():
            if rule.level in levels:
                after, before = self.outcome(rule, place), self.standing.outcome(rule, place)
                new = (after.failing & ~before.failing) | (after.unsure & ~(before.unsure | before.failing))
                if new.any():
                    yield rule, self.standing.over_options(rule, place, new, self.count) > 0

    def _moved(self) -> Iterator[tuple[ReadyRule, int]]:
        return ((rule, place) for rule, place in self.standing.everywhere() if self.moves(rule, place))

    def _dependents(self) -> dict[int, Graph]:
        """The other setups as they would be with each option: this one begins and ends beside them at other times, and
        takes more or less of the batteries that they share."""
        scenes = self.standing.scenes
        found: dict[int, dict[str, Array]] = {}
        if "instant" in self.graph.replaced:
            for place, arrays in self._beside_in_time():
                found.setdefault(place, {}).update(arrays)
        if not self.graph.replaced.isdisjoint(("frames", "power")):
            for place, arrays in self._on_the_same_batteries():
                found.setdefault(place, {}).update(arrays)
        return {place: Graph(scenes[place], arrays, self.standing.graphs[place]) for place, arrays in found.items()}

    def _beside_in_time(self) -> Iterator[tuple[int, Mapping[str, Array]]]:
        scenes = self.standing.scenes
        instants = self.graph["instant"].array
        edges = [np.squeeze(edge(instants, "minute")).reshape(-1, 1) for edge in (least, most)]
        for place, scene in enumerate(scenes):
            if place == self.at or scene.slot is None:
                continue
            others = [(number, each.slot) for number, each in enumerate(scenes) if number != place and each.slot is not None]
            here = np.array([number == self.at for number, _ in others])
            told = [np.array([slot.start.seconds for _, slot in others]), np.array([slot.end.seconds for _, slot in others])]
            starts, ends = (np.where(here, edge, seconds) for edge, seconds in zip(edges, told, strict=True))
            yield place, {"other-starts": crossed("option", "setup", starts), "other-ends": crossed("option", "setup", ends)}

    def _on_the_same_batteries(self) -> Iterator[tuple[int, Mapping[str, Array]]]:
        scenes = self.standing.scenes
        lights, before = self.graph.scene.names["light"], self.standing.graphs[self.at]
        if not lights or self.graph["frames"].unknown:
            return
        gained = self.graph["frames"].array * self.graph["power"].array - before["frames"].array * before["power"].array
        for place, scene in enumerate(scenes):
            shared = [lights.index(name) if name in lights else -1 for name in scene.names["light"]]
            if place == self.at or max(shared, default=-1) < 0:
                continue
            among = np.where(
                along("light", shared) >= 0, gained.take([max(each, 0) for each in shared], axis=INDEX["light"]), 0.0
            )
            yield place, {BATTERIES: self.standing.graphs[place][BATTERIES].array + among}


class TriedTogether(Tried):
    """Two turns in two setups, their options laid out alike. Setups that depend on both follow what both take together of
    a battery, and else the second one."""

    def __init__(self, standing: Standing, one: Turn, at: int, other: Turn, there: int) -> None:
        super().__init__(standing, one, at)
        self._first, self._second = Tried(standing, one, at), Tried(standing, other, there)

    @property
    def replaced(self) -> frozenset[str]:
        return self._first.graph.replaced | self._second.graph.replaced

    @cached_property
    def touched(self) -> dict[int, Graph]:
        standing, found = self.standing, {}
        for place in {*self._first.touched, *self._second.touched}:
            graphs = [each.touched[place] for each in (self._first, self._second) if place in each.touched]
            arrays = {name: graph[name].array for graph in graphs for name in graph.replaced}
            if len(graphs) == 2 and all(BATTERIES in graph.replaced for graph in graphs):
                taken = [graph[BATTERIES].array for graph in graphs]
                arrays[BATTERIES] = taken[0] + taken[1] - standing.graphs[place][BATTERIES].array
            found[place] = Graph(standing.scenes[place], arrays, standing.graphs[place])
        return found
