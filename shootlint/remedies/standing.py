"""How a plan stands under all rules: where each fails, and how often."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from shootlint.language.model import Plan
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import scenes
from shootlint.rulebook.acceptances import accepted
from shootlint.rulebook.book import Book
from shootlint.rulebook.judging import has_nothing_to_judge, outcome
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.ready import ReadyRule

OPTION, MINUTE = INDEX["option"], INDEX["minute"]
WHOLE_PLAN = -1
"""In the place of a setup's number, for rules over the plan."""

Thing = tuple[str, str, tuple[str, ...]]
"""A rule, a setup and who or what it is about, by name; no setup for the whole plan."""


@dataclass(frozen=True)
class Outcome:
    """Where a rule fails at some minute, and where it is not known, over its axes and the options."""

    failing: Mask
    unsure: Mask


class Standing:
    """One plan under a rulebook. What is worked out of how it stands serves all that is tried of it."""

    def __init__(
        self, plan: Plan, book: Book, today: datetime.date, first: Standing | None = None, left: frozenset[Thing] = frozenset()
    ) -> None:
        """`first` is how the plan stood before it was changed: what was known then and is not now counts as failing.
        `left` is what may fail and is left as it is."""
        self.plan = plan
        self.first = first
        self.left = left
        self.book = book
        self.today = today
        self.scenes = scenes(plan)
        self.graphs = [Graph(scene) for scene in self.scenes]
        self.own: list[dict[str, Outcome]] = [{} for _ in self.scenes]
        """How rules stand in each setup that do not look at the others. Shared by plans in which a setup is the same."""
        self._others: dict[tuple[str, int], Outcome] = {}

    def outcome(self, rule: ReadyRule, at: int) -> Outcome:
        """How a rule stands in a setup, or over the plan."""
        alone = at != WHOLE_PLAN and not rule.looks_at_others
        known: dict[Any, Outcome] = self.own[at] if alone else self._others
        key = rule.name if alone else (rule.name, at)
        if key not in known:
            known[key] = self.judged(rule, at, self.whole if at == WHOLE_PLAN else self.graphs[at])
        return known[key]

    @cached_property
    def whole(self) -> PlanGraph:
        return PlanGraph(self.graphs)

    @cached_property
    def failing(self) -> dict[str, int]:
        """How many things fail, by level."""
        sums = dict.fromkeys(LEVELS, 0)
        for rule, place in self.everywhere():
            sums[rule.level] += self.count(rule, place)
        return sums

    def everywhere(self) -> Iterator[tuple[ReadyRule, int]]:
        """Each rule with each place where it is judged."""
        for rule in self.book.rules.values():
            for place in [WHOLE_PLAN] if rule.scope == "plan" else range(len(self.scenes)):
                yield rule, place

    def failing_rules(self, levels: tuple[str, ...], at: int | None = None) -> list[tuple[ReadyRule, int]]:
        """The rules of some levels that fail, and where; everywhere, or in one setup and over the plan."""
        return [
            (rule, place)
            for rule, place in self.everywhere()
            if rule.level in levels and (at is None or place in (at, WHOLE_PLAN)) and self.count(rule, place)
        ]

    def bad(self, rule: ReadyRule, at: int) -> Mask:
        """Where a rule fails, or is not known where it was."""
        now = self.outcome(rule, at)
        if self.first is None or not now.unsure.any():
            return now.failing
        before = self.first.outcome(rule, at)
        return now.failing | (now.unsure & ~before.unsure)

    def count(self, rule: ReadyRule, at: int) -> int:
        failing = self.bad(rule, at)
        return int(self.over_options(rule, at, failing, 1)[0]) if failing.any() else 0

    def over_options(self, rule: ReadyRule, at: int, bad: Mask, count: int) -> Array:
        """How many of the things that a rule is for are bad, for each option."""
        sizes = list(bad.shape)
        if at != WHOLE_PLAN:
            for axis in rule.axes:
                sizes[INDEX[axis]] = max(len(self.scenes[at].names.get(axis, ())), 1)
        others = tuple(axis for axis in range(RANK) if axis != OPTION)
        return np.broadcast_to(np.broadcast_to(bad, sizes).sum(axis=others), (count,)).astype(np.float64)

    def judged(self, rule: ReadyRule, at: int, graph: Graph) -> Outcome:
        if at != WHOLE_PLAN and has_nothing_to_judge(rule, graph.scene):
            return NOTHING
        failing, unsure, _ = outcome(rule, graph)
        failing, unsure = at_any_minute(failing), at_any_minute(unsure)
        for lived_with in self._lived_with(rule, at):
            failing, unsure = failing & ~lived_with, unsure & ~lived_with
        return Outcome(failing, unsure & ~failing)

    def _lived_with(self, rule: ReadyRule, at: int) -> Iterator[Mask]:
        scene = self.scenes[max(at, 0)]
        if self.plan.accept:
            found = accepted(rule, scene, self.plan, self.book, self.today)
            if found is not None:
                yield found
        setup = str(scene.setup.name) if at != WHOLE_PLAN else ""
        for name, where, about in self.left:
            if name == rule.name and where == setup:
                mask = np.ones((1,) * RANK, dtype=bool)
                for axis, one in zip(rule.axes, about, strict=True):
                    mask = mask & (along(axis, [each == one for each in scene.names[axis]]) > 0)
                yield mask


NOTHING = Outcome(np.zeros((1,) * RANK, dtype=bool), np.zeros((1,) * RANK, dtype=bool))


def at_any_minute(mask: Mask) -> Mask:
    found: Mask = np.any(mask, axis=MINUTE, keepdims=True)
    return found


def things(standing: Standing, surely: bool = False) -> frozenset[Thing]:
    """All that fails in a plan, by rule, setup and name; what is not known where it was is left out of what surely does."""
    found = set()
    for rule, place in standing.everywhere():
        failing = standing.outcome(rule, place).failing if surely else standing.bad(rule, place)
        if failing.any():
            setup = str(standing.scenes[place].setup.name) if place != WHOLE_PLAN else ""
            names = standing.scenes[place].names
            sizes = [len(names[axis]) for axis in rule.axes]
            over = np.broadcast_to(failing, _widened(failing, rule.axes, sizes))
            for position in np.argwhere(over):
                found.add((rule.name, setup, tuple(names[axis][position[INDEX[axis]]] for axis in rule.axes)))
    return frozenset(found)


def _widened(mask: Mask, axes: Iterable[str], sizes: Iterable[int]) -> list[int]:
    shape = list(mask.shape)
    for axis, size in zip(axes, sizes, strict=True):
        shape[INDEX[axis]] = size
    return shape
