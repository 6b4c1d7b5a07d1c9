"""What may be turned to mend a finding, declared once each: the settings to try, least change first.

A lever gives options: arrays in the place of readings, one option after another along the axis of options, so that all
of them are judged in one broadcast. It gives too how each option would be said and written in the plan.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module

import numpy as np
from numpy.typing import NDArray

from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING
from shootlint.language.values import Quantity
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.graph import Graph
from shootlint.readings.wording import number
from shootlint.rulebook.finding import Change, Finding

MECHANICAL, EDITORIAL = "mechanical", "editorial"


@dataclass(frozen=True)
class Options:
    """Settings to try, least change first."""

    replaced: dict[str, Array]
    titles: Sequence[str]
    changes: Sequence[tuple[Change, ...]]


@dataclass(frozen=True)
class Lever:
    name: str
    grade: str
    """Mechanical keeps the picture; editorial changes it."""
    meaning: str
    options: Callable[[Graph, Finding], Options | None]


MODULES = ("camera_levers", "people_levers", "light_levers")
_LEVERS: dict[str, Lever] = {}


@cache
def levers() -> dict[str, Lever]:
    """Every lever by its name."""
    for module in MODULES:
        import_module(f"shootlint.remedies.{module}")
    return _LEVERS


def lever(
    name: str, grade: str
) -> Callable[[Callable[[Graph, Finding], Options | None]], Callable[[Graph, Finding], Options | None]]:
    def declare(function: Callable[[Graph, Finding], Options | None]) -> Callable[[Graph, Finding], Options | None]:
        _LEVERS[name] = Lever(name, grade, (function.__doc__ or "").strip(), function)
        return function

    return declare


def nearest_first(values: NDArray[np.floating], cost: NDArray[np.floating]) -> Array:
    """The values in the order of their cost, the one in force left out."""
    order = np.argsort(cost, kind="stable")
    ordered: Array = np.asarray(values[order][cost[order] > 1e-6], dtype=np.float64)
    return ordered


def option(values: Sequence[float] | Array) -> Array:
    return along("option", values)


def chosen(axis: str, index: int, graph: Graph) -> Mask:
    """Which one along an axis is meant."""
    found: Mask = along(axis, np.arange(len(graph.scene.names[axis]))) == index
    return found


def crossed(outer: str, inner: str, table: Array) -> Array:
    """A table of numbers laid along two axes, the one that comes first in their order named first."""
    shape = [1] * RANK
    shape[INDEX[outer]], shape[INDEX[inner]] = table.shape
    return table.reshape(shape)


def written(values: Array, like: Quantity | None, unit: str, fineness: float) -> tuple[list[str], Array]:
    """Measures in the unit of the one that they replace, as fine as wanted, and the values that these texts stand for,
    so that what is tried is what would be read."""
    shown = like.unit if like is not None else BY_SPELLING[unit]
    digits = max(0, math.ceil(-math.log10(fineness / shown.size) - 1e-9))
    numbers = [number(shown.from_base(float(value)), digits) for value in values]
    return [f"{each} {shown.name}" for each in numbers], np.array([shown.to_base(float(each)) for each in numbers])


def replacing(place: Place | None, texts: Sequence[str]) -> list[tuple[Change, ...]]:
    return [(Change(place, text),) if place is not None else () for text in texts]
