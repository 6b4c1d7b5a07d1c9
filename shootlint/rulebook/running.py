"""What a checked expression is made of: functions that take the readings of a scene and give an array.

Truth is a number: 1 holds, 0 fails, 1/2 is not known, so that `and` is the smaller, `or` the larger and `not` the
difference from 1 (Kleene's three values).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from shootlint.language import clocks
from shootlint.language.units import Unit
from shootlint.language.values import Clock
from shootlint.readings.axes import AXES, INDEX, UNKNOWN, Array, Mask, over, single
from shootlint.readings.catalogue import NAME as NAME_UNIT
from shootlint.readings.catalogue import TRUTH, Reading
from shootlint.readings.graph import Graph, Value
from shootlint.rulebook import dimensions as d

UNSURE = 0.5
NOTHING: Any = None
"""What an expression without a reading runs on."""
DAY = "day-start"
"""The reading that tells which day a clock time is on."""
SAME = 1e-9
MOST_NUMBERS = 10_000_000
"""Numbers in the largest array that an expression may make: 80 MB, of which it may hold several. A group of sixty over a day is
a quarter of it; what a rule file joins that has no axis in common grows past any memory."""
Run = Callable[[Graph], Value]


@dataclass(frozen=True)
class Ready:
    """A checked expression."""

    run: Run
    dimension: d.Dimension
    axes: frozenset[str]
    unit: Unit
    text: str
    readings: frozenset[str] = frozenset()
    words: tuple[str, ...] = ()
    comparisons: tuple[Compared, ...] = ()
    """The comparisons inside a condition, in the order written."""
    reading: Reading | None = None
    """The reading that it is, where it is one and nothing more."""
    joined: str = "and"
    """How its comparisons are joined: "or" where any of them may do."""


@dataclass(frozen=True)
class Compared:
    """A comparison inside a condition, for telling what was measured and against what."""

    left: Ready
    sign: str
    right: Ready
    truth: Run


def decision(ready: Ready) -> str | None:
    """What can be told of a condition without a plan: that it always or never holds. None where that is open.

    Told are conditions without a reading, and conditions joined by `and` that ask a reading to be in two spans at once.
    """
    if not ready.readings:
        return {1.0: "always holds", 0.0: "can never hold"}.get(float(ready.run(NOTHING).array.flat[0]))
    low: dict[str, float] = {}
    high: dict[str, float] = {}
    for compared in ready.comparisons if ready.joined != "or" else ():
        if compared.left.reading is None or compared.right.readings:
            continue
        limit = float(compared.right.run(NOTHING).array.flat[0])
        name = compared.left.text
        if compared.sign in (">", ">=", "="):
            low[name] = max(low.get(name, -np.inf), limit)
        if compared.sign in ("<", "<=", "="):
            high[name] = min(high.get(name, np.inf), limit)
    return "can never hold" if any(low[name] > high[name] for name in low.keys() & high.keys()) else None


def of_reading(reading: Reading) -> Ready:
    """A reading as an expression."""
    name = reading.name
    if reading.words:
        dimension = d.WORD
    elif reading.unit is TRUTH:
        dimension = d.TRUTH
    elif reading.unit is NAME_UNIT:
        dimension = d.NAME
    else:
        dimension = d.of_kind(reading.unit.kind)
    run: Run = truth_of(name) if dimension == d.TRUTH else lambda graph: graph[name]
    return Ready(run, dimension, frozenset(reading.axes), reading.unit, name, frozenset({name}), reading.words, reading=reading)


def on_the_day(clock: Clock) -> Run:
    """What the clock at the site shows at a time on the day of the shoot, or on each of the days asked of."""

    def run(graph: Graph) -> Value:
        midnight, zone = graph[DAY], graph.scene.zone
        if zone is None or np.isnan(midnight.array).any():
            return Value(UNKNOWN, midnight.needs)
        # The setups of a plan have one day.
        days = np.take(midnight.array, [0], axis=INDEX["setup"])
        found = [clocks.instant(clocks.date_at(each, zone), clock, zone).seconds for each in days.flat]
        return Value(np.reshape(np.array(found), days.shape), midnight.needs)

    return run


def truth_of(name: str) -> Run:
    def run(graph: Graph) -> Value:
        value = graph[name]
        return Value(np.where(np.isnan(value.array), UNSURE, value.array), value.needs)

    return run


def comparison_holds(sign: str, left: Array, right: Array) -> Mask:
    """A comparison, in which values that differ by rounding alone are equal: 12 in is 1 ft, and a light that just
    reaches the setting reaches it."""
    # The smaller side, mostly a limit, takes the slack, so that the other is gone through once: it may be thousands of
    # trials long. numpy's own isclose takes many times as long.
    if left.size < right.size:
        return comparison_holds(_TURNED[sign], right, left)
    slack = SAME * (1.0 + np.abs(right))
    if np.isinf(right).any():
        slack = np.where(np.isinf(right), 0.0, slack)
    holds: Mask
    match sign:
        case "<=":
            holds = left <= right + slack
        case "<":
            holds = left < right - slack
        case ">=":
            holds = left >= right - slack
        case ">":
            holds = left > right + slack
        case _:
            holds = (left <= right + slack) & (left >= right - slack)
            holds = holds if sign == "=" else ~holds
    return holds


_TURNED = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "!=": "!="}


def too_many(*shapes: tuple[int, ...]) -> frozenset[str]:
    """What an expression lacks that would take arrays of these shapes together; nothing where there is room."""
    count = math.prod(np.broadcast_shapes(*shapes))
    return frozenset(
        {f"a rule that takes less together; this one makes {count:,} numbers at once"} if count > MOST_NUMBERS else ()
    )


def unknown(as_truth: bool, needs: frozenset[str]) -> Value:
    """What is not known at all, as a truth or as a number, and why."""
    return Value(single(UNSURE) if as_truth else UNKNOWN, needs)


def mapped(operation: Callable[[Array], Array], of: Run) -> Run:
    def run(graph: Graph) -> Value:
        value = of(graph)
        return Value(operation(value.array), value.needs)

    return run


def combined(operation: Callable[[Array, Array], Array], left: Run, right: Run, truths: bool = False) -> Run:
    """Two values, or two truths, taken together."""

    def run(graph: Graph) -> Value:
        one, two = left(graph), right(graph)
        refused = too_many(one.array.shape, two.array.shape)
        if refused:
            return unknown(truths, one.needs | two.needs | refused)
        # Division by nought gives an infinity or nan, and nan is judged as not known.
        with np.errstate(all="ignore"):
            return Value(operation(one.array, two.array), one.needs | two.needs)

    return run


def reduced(reduce: Callable[..., Array], axes: frozenset[str], of: Run, truths: bool = False) -> Run:
    """A value, or a truth, with axes taken together; one that is alike along an axis counts there as often as it is long."""
    numbers = over(sorted(axes))

    def run(graph: Graph) -> Value:
        value = of(graph)
        sizes = [
            size if size > 1 else _length(axis, graph) if axis in axes else 1
            for axis, size in zip(AXES, value.array.shape, strict=True)
        ]
        refused = too_many(tuple(sizes))
        if refused:
            return unknown(truths, value.needs | refused)
        return Value(reduce(np.broadcast_to(value.array, sizes), axis=numbers, keepdims=True), value.needs)

    return run


def reduced_where(function: str, axes: frozenset[str], of: Run, where: Run, truths: bool) -> Run:
    """A value, or a truth, with axes taken together as far as a condition holds.

    What the condition leaves out counts for nothing. Where it is not known whether something is to be left out, the result
    is known only if it is the same with it and without it. The least of nothing is without end and so is the most, so that
    both may be compared as `all` and `any` of nothing are; a mean of nothing is not known.
    """
    numbers = over(sorted(axes))

    def run(graph: Graph) -> Value:
        value, narrowed = of(graph), where(graph)
        shape = np.broadcast_shapes(value.array.shape, narrowed.array.shape)
        sizes = tuple(
            size if size > 1 else _length(axis, graph) if axis in axes else 1 for axis, size in zip(AXES, shape, strict=True)
        )
        needs = value.needs | narrowed.needs
        refused = too_many(sizes)
        if refused:
            return unknown(truths, needs | refused)
        array, inside = np.broadcast_to(value.array, sizes), np.broadcast_to(narrowed.array, sizes)
        return Value(NARROWED[function](array, inside, numbers), needs)

    return run


def _length(axis: str, graph: Graph) -> int:
    """How many things there are along an axis; 1 where that is not known."""
    if axis == "minute":
        return int(graph["instant"].array.shape[INDEX["minute"]])
    return max(len(graph.scene.names.get(axis, ())), 1)


def _count(truth: Array, axis: tuple[int, ...], keepdims: bool) -> Array:
    total = np.sum(truth == 1.0, axis=axis, keepdims=keepdims, dtype=np.float64)
    return np.where(np.any(truth == UNSURE, axis=axis, keepdims=keepdims), np.nan, total)


def _sure(inside: Array, axis: tuple[int, ...], found: Array, matters: Array) -> Array:
    """What was found, but where something may be left out or not and that matters."""
    open_ = np.any((inside == UNSURE) & (matters != 0.0), axis=axis, keepdims=True)
    return np.where(open_, np.nan, found)


def _sum_where(array: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    found = np.sum(np.where(inside == 1.0, array, 0.0), axis=axis, keepdims=True)
    return _sure(inside, axis, found, array)


def _mean_where(array: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    count = np.sum(inside == 1.0, axis=axis, keepdims=True)
    # Of nothing there is no mean.
    with np.errstate(all="ignore"):
        found = np.sum(np.where(inside == 1.0, array, 0.0), axis=axis, keepdims=True) / count
    return _sure(inside, axis, found, array - found)


def _count_where(truth: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    return _count(np.minimum(truth, inside), axis, keepdims=True)


def _any_where(truth: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    found: Array = np.max(np.minimum(truth, inside), axis=axis, keepdims=True)
    return found


def _all_where(truth: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    found: Array = np.min(np.maximum(truth, 1.0 - inside), axis=axis, keepdims=True)
    return found


def _least_where(array: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    least = np.min(np.where(inside == 1.0, array, np.inf), axis=axis, keepdims=True)
    # What may be inside matters only where it is less than what certainly is, or is not known itself.
    return _sure(inside, axis, least, np.where(array >= least, 0.0, 1.0))


def _most_where(array: Array, inside: Array, axis: tuple[int, ...]) -> Array:
    return -_least_where(-array, inside, axis)


NARROWED: dict[str, Callable[[Array, Array, tuple[int, ...]], Array]] = {
    "min": _least_where, "max": _most_where, "mean": _mean_where, "sum": _sum_where, "count": _count_where, "any": _any_where, "all": _all_where,
}  # fmt: skip
"""The same as far as a condition holds."""
REDUCTIONS: dict[str, Callable[..., Array]] = {
    "min": np.min, "max": np.max, "mean": np.mean, "sum": np.sum, "count": _count, "any": np.max, "all": np.min,
}  # fmt: skip
