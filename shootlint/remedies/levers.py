"""What may be turned to mend a plan, declared once each: what it is, what a turn of it costs, and which settings to try.

A lever gives turns, one for each thing that it can be turned at: a setup, a light, a person, a row. A turn gives
options: arrays in the place of readings, one option after another along the axis of options, so that all of them are
judged in one broadcast. It gives too how each option would be said and written in the plan. Levers turn choices, never
facts: nothing of the kit, of the people, of the place or of the prints.

The price of a turn is the trade's preference among mends that do the same: how little anybody minds it. Ballast is
cheaper than power, power than aperture, aperture than moving people, and a little of one thing is cheaper than a
little of two. The prices are common practice, no source; a house may have others.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from shootlint.language.edits import Change
from shootlint.language.model import Setup
from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING, FOOT, Kind, Unit
from shootlint.language.values import Quantity
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Scene
from shootlint.readings.wording import feet_and_inches, in_plans_units, in_words, number

MECHANICAL, EDITORIAL = "mechanical", "editorial"
OPTION = INDEX["option"]


class Setting(NamedTuple):
    """What a turn puts in the place of a reading, and for which of its elements; for all of them where it is not said."""

    values: Array
    where: Mask | None = None


Number = TypeVar("Number", np.float64, np.bool_)


@dataclass(frozen=True)
class Turn:
    """One lever at one thing of a setup."""

    replaced: dict[str, Setting]
    titles: Sequence[str]
    changes: Sequence[tuple[Change, ...]]
    sizes: Array
    """How far each option goes from what the plan says, up or down, in the lever's measure."""
    axis: str = ""
    """What it is turned at: "light", "person", or nothing for the setup as a whole."""
    members: frozenset[int] = frozenset()
    """Which lights or people."""
    subject: str = ""
    """Whom or what it turns, in words; nothing for the setup as a whole."""
    values: Array | None = None
    """What a house may bound, in base units; how far the lever goes where there is no such value."""
    lever: Lever = field(default_factory=lambda: no_lever())
    in_feet: bool = False
    """Whether sizes are told in feet, as its plan is written."""

    @property
    def prices(self) -> Array:
        return self.lever.first + self.lever.each * np.abs(self.sizes)

    def arrays(self, graph: Graph) -> dict[str, Array]:
        """The arrays to judge a graph's scene with."""
        return {
            name: setting.values if setting.where is None else np.where(setting.where, setting.values, graph[name].array)
            for name, setting in self.replaced.items()
        }

    def only(self, places: NDArray[np.integer]) -> Turn:
        """The turn with these of its options, in this order."""
        return replace(
            self,
            replaced={
                name: Setting(_taken(values, places), _taken(where, places) if where is not None else None)
                for name, (values, where) in self.replaced.items()
            },
            titles=[self.titles[place] for place in places],
            changes=[self.changes[place] for place in places],
            sizes=self.sizes[places],
            values=self.values[places] if self.values is not None else None,
        )

    def cost(self, place: int) -> str:
        """What an option costs or gives back, in words; nothing where the title says it all."""
        size = float(self.sizes[place])
        words = self.lever.more if size > 0 else self.lever.less
        return words.format(in_steps(abs(size), self.lever.measure, self.in_feet)) if words else ""


def _taken(array: NDArray[Number], places: NDArray[np.integer]) -> NDArray[Number]:
    return array.take(places, axis=OPTION) if array.shape[OPTION] > 1 else array


Turns = Callable[[Graph], Iterator[Turn]]


@dataclass(frozen=True)
class Lever:
    name: str
    grade: str
    """Mechanical keeps the picture; editorial changes it."""
    meaning: str
    first: float
    """The price of turning it at all."""
    each: float
    """The price of each further unit of its measure."""
    measure: Unit
    more: str
    """What a turn up costs or gives; {} stands for how far."""
    less: str
    """What a turn down costs or gives."""
    bounded: Kind
    """The kind of value by which a house bounds it."""
    ways: tuple[str, str]
    """How a drift up and one down are called."""
    function: Turns

    def turns(self, graph: Graph) -> Iterator[Turn]:
        """Where it can be turned in a setup, and how far; only options of which there are any."""
        for turn in self.function(graph):
            if len(turn.titles):
                yield replace(turn, lever=self, in_feet=graph.scene.in_feet)


NO_MEASURE = Unit("number", 1.0, ("",))
_LEVERS: dict[str, Lever] = {}


def no_lever() -> Lever:
    """The lever of a turn that none has given: its sizes are prices."""
    return Lever("", MECHANICAL, "", 0.0, 1.0, NO_MEASURE, "", "", "number", ("", ""), lambda graph: iter(()))


@cache
def levers() -> dict[str, Lever]:
    """Every lever by its name, the cheapest first."""
    from shootlint import remedies

    for module in sorted(each.name for each in iter_modules(remedies.__path__)):
        if module.endswith("_levers"):
            import_module(f"shootlint.remedies.{module}")
    return dict(sorted(_LEVERS.items(), key=lambda each: (each[1].first, each[0])))


def lever(
    name: str,
    grade: str,
    first: float,
    each: float = 0.0,
    measure: str = "",
    more: str = "",
    less: str | None = None,
    bounded: Kind | None = None,
    ways: tuple[str, str] = ("", ""),
) -> Callable[[Turns], Turns]:
    """Declares a lever: its price, in the measure of its sizes, and what a turn costs, in words."""
    unit = BY_SPELLING[measure] if measure else NO_MEASURE

    def declare(function: Turns) -> Turns:
        meaning = " ".join((function.__doc__ or "").split())
        _LEVERS[name] = Lever(
            name, grade, meaning, first, each, unit, more, more if less is None else less, bounded or unit.kind, ways, function
        )
        return function

    return declare


_THIRDS = {1: "a third of a stop", 2: "two thirds of a stop", 3: "one stop"}


def in_steps(size: float, unit: Unit, in_feet: bool = False) -> str:
    """How far a lever goes, in words: exposure in thirds of a stop, as cameras do, and what is short in the smaller unit."""
    thirds = size * 3
    if unit.kind == "stops" and abs(thirds - round(thirds)) < 0.11 and round(thirds) in _THIRDS:
        return _THIRDS[round(thirds)]
    metres_or_feet = in_plans_units(unit, in_feet)
    if unit.kind == "length" and size < metres_or_feet.size:
        return in_words(size, in_plans_units(BY_SPELLING["cm"], in_feet))
    return in_words(unit.to_base(size), metres_or_feet).strip()


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


def written(values: Array, like: Quantity | None, unit: str, fineness: float, in_feet: bool = False) -> tuple[list[str], Array]:
    """Measures in the unit of the one that they replace, or where there is none in the plan's own for this unit, as fine as
    wanted, and the values that these texts stand for, so that what is tried is what would be read. Feet have inches, but
    where their author wrote a fraction of a foot."""
    shown = like.unit if like is not None else in_plans_units(BY_SPELLING[unit], in_feet)
    if shown is FOOT and not (like is not None and re.fullmatch(r"[+-]?\d*[.,]\d+ *\w+", like.written)):
        told = [feet_and_inches(float(value)) for value in values]
        return [text for text, _ in told], np.array([metres for _, metres in told])
    digits = max(0, math.ceil(-math.log10(fineness / shown.size) - 1e-9))
    numbers = [number(shown.from_base(float(value)), digits) for value in values]
    return [f"{each} {shown.name}" for each in numbers], np.array([shown.to_base(float(each)) for each in numbers])


def replacing(place: Place | None, texts: Sequence[str]) -> list[tuple[Change, ...]]:
    return [(Change(place, text),) if place is not None else () for text in texts]


def before_setting(value: Place | None, lines: Sequence[str]) -> list[tuple[Change, ...]]:
    """Settings put before the one whose value stands at a place: on lines of their own where it stands on one, their
    values under its own; in its line, before a semicolon, where its block is written on one."""
    if value is None:
        return [() for _ in lines]
    text = value.source.text
    start = text.rfind("\n", 0, value.start) + 1
    alone = re.fullmatch(r"([ \t]*)(\S+[ \t]+)", text[start : value.start])
    if alone is None:
        at = _before_head(value)
        return [(Change(at, f"{line}; "),) for line in lines]
    indent, head = alone[1], alone[2]
    at = value.source.place(start + len(indent), start + len(indent))
    ending = "\r\n" if text[start:].partition("\n")[0].endswith("\r") else "\n"
    parts = [line.split(" ", 1) for line in lines]
    return [(Change(at, f"{word:<{len(head) - 1}} {rest}{ending}{indent}"),) for word, rest in parts]


def _before_head(value: Place) -> Place:
    """Where the line of a value begins in a block that is written on one."""
    text = value.source.text
    start = max(text.rfind(each, 0, value.start) for each in "{;\n") + 1
    start += len(text[start : value.start]) - len(text[start : value.start].lstrip())
    return value.source.place(start, start)


def restaged(graph: Graph, setups: Sequence[Setup]) -> dict[str, Setting]:
    """What other ways to write a setup would put in the place of readings, for levers whose settings are no numbers:
    every reading that the plan gives is looked up in each of them, and those that differ are laid along the options."""
    scene = graph.scene
    others = [
        Graph(
            Scene(
                scene.plan.model_copy(update={"setup": tuple(new if old is scene.setup else old for old in scene.plan.setup)}),
                new,
            )
        )
        for new in setups
    ]
    found = {}
    for name, reading in catalogue().items():
        if reading.given:
            arrays = [graph[name].array, *(other[name].array for other in others)]
            if any(
                array.shape != arrays[0].shape or not np.array_equal(array, arrays[0], equal_nan=True) for array in arrays[1:]
            ):
                found[name] = Setting(np.concatenate(np.broadcast_arrays(*arrays[1:]), axis=OPTION))
    return found
