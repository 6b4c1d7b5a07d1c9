"""The evening minute by minute: what changes while a setup is made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from shootlint.readings.axes import INDEX, RANK, Array, Mask
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import THE_CLOCK, Question
from shootlint.rulebook.judging import has_nothing_to_judge, picked

MINUTE = INDEX["minute"]
MOST_ROWS = 6
STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 240)
COLUMNS = ("sun-altitude", "sun-angle", "ambient", "shutter")
"""What is told of each minute."""


@dataclass(frozen=True)
class Moment:
    """One minute of a setup, and what is no more as it was the minute before."""

    instant: float
    values: dict[str, float]
    """The readings told, in base units; nan where not known."""
    stops: tuple[str, ...]
    """The rules that held the minute before and do not now."""
    holds_again: tuple[str, ...]


def evening(question: Question, book: Book) -> list[Moment]:
    """The minutes of a setup's slot worth a row: so many that they stay few, and each at which a rule, the shutter or the
    sun on the group changes. None where the plan does not say when it is."""
    graph = question.graph
    if graph["instant"].unknown:
        return []
    seconds = graph["instant"].array.ravel()
    failing = {
        rule.name: _by_minute(question.fails(rule, graph), seconds.size)
        for rule in book.rules.values()
        if rule.scope != "plan" and not has_nothing_to_judge(rule, graph.scene) and not THE_CLOCK.isdisjoint(rule.rests_on)
    }
    told = {name: [picked(graph[name], {"minute": place}) for place in range(seconds.size)] for name in COLUMNS}
    watched: list[Mask | Array] = list(failing.values())
    watched += [np.broadcast_to(graph[each].array.ravel(), seconds.size) for each in ("shutter", "sunlit")]
    rows = sorted({*_every(seconds), *(place for each in watched for place in _changes(each))})
    return [
        Moment(
            float(seconds[place]),
            {name: values[place] for name, values in told.items()},
            tuple(name for name, fails in failing.items() if place and fails[place] and not fails[place - 1]),
            tuple(name for name, fails in failing.items() if place and fails[place - 1] and not fails[place]),
        )
        for place in rows
    ]


def _by_minute(failing: Mask, minutes: int) -> Mask:
    others = tuple(axis for axis in range(RANK) if axis != MINUTE)
    found: Mask = np.broadcast_to(failing.any(axis=others), (minutes,))
    return found


def _every(seconds: Array) -> set[int]:
    """The first minute, the last, and those at round times between."""
    step = next((each for each in STEPS if seconds.size <= each * MOST_ROWS), STEPS[-1])
    return {0, seconds.size - 1, *np.flatnonzero(seconds % (60 * step) == 0).tolist()}


def _changes(values: Mask | Array) -> Iterator[int]:
    same = (values[1:] == values[:-1]) | (values[1:] != values[1:])
    yield from (np.flatnonzero(~same) + 1).tolist()
