"""Trials: every rule judged over and over with what is uncertain drawn, as one more axis of the same arrays."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shootlint.readings.axes import AXES, INDEX, Array, Mask
from shootlint.readings.catalogue import behind
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.rulebook.book import Book
from shootlint.rulebook.draws import Drawn, Input, Streams, largest
from shootlint.rulebook.judging import failing, has_nothing_to_judge, outcome
from shootlint.rulebook.ready import ReadyRule

MOST_TRIALS = 1_000_000
SEED = 1
"""Which trials are drawn where nobody says."""
BLOCK = 1 << 18
"""How many numbers the largest array of a block of trials has at most: 2 MiB, so that most of them stay in the cache."""
KEPT_TRIALS = 10_000
"""So many trials are kept one by one, to tell what decides; of the others only the counts are."""
KEPT_NUMBERS = 4_000_000
MINUTE = INDEX["minute"]


@dataclass(frozen=True)
class Trials:
    """How many trials, and which: one seed always gives the same ones."""

    count: int
    seed: int = SEED
    block: int = BLOCK
    progress: Callable[[int], None] | None = field(default=None, compare=False)
    """Called with the number of trials done, after each block."""


@dataclass(frozen=True)
class Part:
    """One rule in one setup (or in the plan as a whole), over the elements of its scope."""

    rule: ReadyRule
    drawn: Drawn | None
    """The setup; None for a rule over the whole plan."""
    standing: Graph
    elements: NDArray[np.intp]
    """For each element its place along the axes of the rule's scope, one row an element."""
    failing: Mask
    """Which elements fail as planned, at any minute."""
    holding: Mask
    """Which hold as planned; one that is not known does neither."""

    def index(self, element: int) -> tuple[tuple[str, int], ...]:
        return tuple(zip(self.rule.axes, self.elements[element].tolist(), strict=True))

    def about(self, element: int) -> tuple[str, ...]:
        return tuple(self.standing.scene.names[axis][place] for axis, place in self.index(element))

    def judged(self, graph: Graph) -> Mask:
        """Where it fails at any minute: one row a trial, or a single one where trials make no difference."""
        return self._picked(failing(self.rule, graph))

    def _picked(self, where: Mask) -> Mask:
        anywhen: Mask = np.any(where, axis=MINUTE, keepdims=True)
        places: list[Any] = [0] * len(AXES)
        places[INDEX["trial"]] = slice(None)
        for column, axis in enumerate(self.rule.axes):
            if anywhen.shape[INDEX[axis]] > 1:
                places[INDEX[axis]] = self.elements[:, column]
        picked: Mask = np.asarray(anywhen[tuple(places)])
        return np.broadcast_to(picked.reshape(anywhen.shape[0], -1), (anywhen.shape[0], len(self.elements)))


def part_of(rule: ReadyRule, drawn: Drawn | None, standing: Graph) -> Part:
    """A rule in a setup as planned."""
    sizes = [max(len(standing.scene.names.get(axis, ())), 1) for axis in rule.axes]
    elements = np.argwhere(np.ones(sizes, dtype=bool))
    if rule.axes == ("person", "other"):
        elements = np.argwhere(standing["neighbours"].array.reshape(sizes) == 1.0)
    part = Part(rule, drawn, standing, elements, np.zeros(0, dtype=bool), np.zeros(0, dtype=bool))
    failed, unsure, _ = outcome(rule, standing)
    fails = part._picked(failed)[0]
    return Part(rule, drawn, standing, elements, fails, ~fails & ~part._picked(unsure)[0])


@dataclass
class Tally:
    """What came of all trials."""

    trials: Trials
    parts: list[Part]
    drawn: list[Drawn]
    failed: list[NDArray[np.int64]]
    """For each part, in how many trials each element failed."""
    anybody: NDArray[np.int64]
    """For each part, in how many trials an element failed that holds as planned."""
    whole: int
    """In how many trials nothing failed that holds as planned, notes left out."""
    kept: dict[Input, Array]
    """The draws of the first trials."""
    answers: list[Mask]
    """For each part, where it failed in those trials."""
    size: int = 1
    """How many trials are worked out at once."""

    def share(self, part: int) -> Array:
        share: Array = self.failed[part] / self.trials.count
        return share


def tallied(graphs: Sequence[Graph], book: Book, trials: Trials) -> Tally:
    """Judges the setups of a plan in trials. Rules that rest on nothing uncertain are judged once for all of them."""
    needed = frozenset().union(*(rule.rests_on for rule in book.rules.values()))
    drawn = [Drawn(graph, book.uncertain, needed) for graph in graphs]
    parts = [part_of(*each) for each in _judged(graphs, drawn, book)]
    inputs = list(dict.fromkeys(each for setup in drawn for each in setup.inputs))
    moved = frozenset().union(*(setup.readings for setup in drawn))
    touched = [place for place, part in enumerate(parts) if not part.rule.rests_on.isdisjoint(moved)]
    keep = min(trials.count, KEPT_TRIALS, max(KEPT_NUMBERS // max(len(inputs), 1), 500))
    tally = Tally(
        trials, parts, drawn, [part.failing * np.int64(trials.count) for part in parts],
        np.zeros(len(parts), dtype=np.int64), trials.count, {}, [part.failing[np.newaxis] for part in parts],
    )  # fmt: skip
    if not touched:
        return tally
    resting = frozenset().union(*(parts[place].rule.rests_on for place in touched))
    resting = frozenset(name for name in resting if not behind(name).isdisjoint(moved))
    tally.size = max(trials.block // max(largest(graph, resting) for graph in graphs), 1)
    _run(tally, inputs, touched, keep)
    return tally


def _judged(graphs: Sequence[Graph], drawn: Sequence[Drawn], book: Book) -> Iterator[tuple[ReadyRule, Drawn | None, Graph]]:
    """Every rule with each setup that has what it is for, and those for the plan with the plan as a whole."""
    whole = PlanGraph(graphs)
    for setup, graph in [*zip(drawn, graphs, strict=True), (None, whole)]:
        for rule in book.rules.values():
            if (rule.scope == "plan") == (setup is None) and not has_nothing_to_judge(rule, graph.scene):
                yield rule, setup, graph


def _run(tally: Tally, inputs: Sequence[Input], touched: Sequence[int], keep: int) -> None:
    """Works through all trials in blocks and adds up what failed."""
    trials, streams = tally.trials, Streams(tally.trials.seed, inputs)
    for place in touched:
        tally.failed[place] = np.zeros_like(tally.failed[place])
    tally.whole = 0
    kept_draws: list[Mapping[Input, Array]] = []
    kept: dict[int, list[Mask]] = {place: [] for place in touched}
    done = 0
    while done < trials.count:
        count = min(tally.size, trials.count - done)
        draws = streams.next(count)
        graphs = varied(tally.drawn, draws)
        lost = np.zeros(count, dtype=bool)
        for place in touched:
            part = tally.parts[place]
            answers = np.broadcast_to(part.judged(graphs[part.drawn]), (count, len(part.elements)))
            tally.failed[place] += answers.sum(axis=0)
            anybody = answers[:, part.holding].any(axis=1)
            tally.anybody[place] += int(anybody.sum())
            if part.rule.level != "note":
                lost |= anybody
            if done < keep:
                kept[place].append(answers[: keep - done].copy())
        if done < keep:
            kept_draws.append({each: numbers[: keep - done] for each, numbers in draws.items()})
        tally.whole += int((~lost).sum())
        done += count
        if trials.progress is not None:
            trials.progress(done)
    tally.kept = {each: np.concatenate([draws[each] for draws in kept_draws]) for each in inputs}
    for place, blocks in kept.items():
        tally.answers[place] = np.concatenate(blocks)


def varied(drawn: Sequence[Drawn], draws: Mapping[Input, Array]) -> dict[Drawn | None, Graph]:
    """The readings of each setup, and of the plan as a whole, with inputs drawn."""
    graphs: dict[Drawn | None, Graph] = {setup: setup.graph(draws) for setup in drawn}
    return graphs | {None: PlanGraph(list(graphs.values()))}
