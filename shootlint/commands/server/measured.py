"""Which readings belong to a value: those that the plan gives otherwise when the value is another.

No list is kept of what belongs to what. The value is put otherwise in a copy of the plan; the given readings that then
differ are its own, the people or lights for which they differ are whom it is about, and what is worked out from one of
them in one step is what it decides first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from shootlint.commands.server.session import Checked
from shootlint.commands.why import values_in_words
from shootlint.language.entry import Entry
from shootlint.language.model import Plan
from shootlint.language.source import Place
from shootlint.language.values import Clock, Count, Day, Name, Position, Quantity, Side, Size, Span
from shootlint.readings.axes import AXES, INDEX
from shootlint.readings.catalogue import Reading, catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.rulebook.book import Book

MOST_SHOWN = 14
"""So many readings are shown in one setup; those that rules ask about come first."""
NAMED = ("person", "other", "light")
"""Axes whose elements have names of their own."""


@dataclass(frozen=True)
class Shown:
    """A reading in a setup, in words."""

    setup: str
    name: str
    words: str
    given: bool


def readings_of(checked: Checked, start: int, end: int) -> list[Shown]:
    """The readings that rest on the value that stands in a stretch of the text, setup by setup."""
    plan = checked.document.plan if checked.document is not None else None
    if plan is None or checked.source is None:
        return []
    other = _otherwise_at(plan, Place(checked.source, start, end))
    if other is None:
        return []
    shown: list[Shown] = []
    for graph, scene in zip(checked.graphs, scenes(other), strict=True):
        about = _differing(graph, Graph(scene))
        if about:
            shown += _of_setup(graph, about, checked.book)
    return shown


def readings_about(checked: Checked, kind: str, name: str) -> list[Shown]:
    """What the rules in force ask of a person or of a light, setup by setup."""
    asked = asked_by(checked.book)
    shown: list[Shown] = []
    for graph in checked.graphs:
        names = graph.scene.names.get(kind, [])
        if name not in names:
            continue
        only = {kind: {names.index(name)}}
        readings = [each for each in catalogue().values() if each.axes == (kind,) and each.name in asked]
        shown += _in_words(graph, readings, only, asked)
    return shown


def asked_by(book: Book | None) -> dict[str, int]:
    """How many rules compare a reading with something, by the reading."""
    found: dict[str, int] = {}
    for rule in book.rules.values() if book is not None else ():
        sides = {side.text for each in rule.require.comparisons for side in (each.left, each.right) if side.reading is not None}
        for name in sides:
            found[name] = found.get(name, 0) + 1
    return found


def _of_setup(graph: Graph, about: dict[str, dict[str, set[int]]], book: Book | None) -> Iterator[Shown]:
    """The given readings of a value and those one step from them, for whom the value is about."""
    readings = catalogue()
    only: dict[str, set[int]] = {}
    for places in about.values():
        for axis, elements in places.items():
            only.setdefault(axis, set()).update(elements)
    yield from _in_words(graph, [readings[name] for name in about], only, {})
    found = _resting_on(set(about))
    # What the plan says is at times only passed on, as a gust is that nobody has to work out.
    found += _resting_on({found[0].name}) if len(found) == 1 else []
    yield from _in_words(graph, found, only, asked_by(book))


def _resting_on(names: set[str]) -> list[Reading]:
    """The readings that are worked out from some of these in one step."""
    return [each for each in catalogue().values() if any(need in names for need, _ in each.needs) and not each.package]


def _in_words(graph: Graph, readings: list[Reading], only: dict[str, set[int]], asked: dict[str, int]) -> Iterator[Shown]:
    """Readings of a setup that are known, those that rules ask about first. One over pairs is for one of them."""
    ranked = sorted(readings, key=lambda each: (-asked.get(each.name, 0), each.name))
    known = [each for each in ranked if not graph[each.name].unknown and each.axes != ("person", "other")]
    for each in known[:MOST_SHOWN]:
        places: dict[str, Collection[int]] = {axis: elements for axis, elements in only.items() if axis in each.axes}
        yield Shown(str(graph.scene.setup.name), each.name, values_in_words(each, graph, places), each.given)


def _differing(one: Graph, other: Graph) -> dict[str, dict[str, set[int]]]:
    """The given readings that differ between two variants of a setup, and at which of the named things along its axes."""
    found: dict[str, dict[str, set[int]]] = {}
    for name, reading in catalogue().items():
        if not reading.given or reading.package:
            continue
        mine, yours = one[name].array, other[name].array
        if mine.shape != yours.shape:
            found[name] = {}
            continue
        differ = ~((mine == yours) | (np.isnan(mine) & np.isnan(yours)))
        if differ.any():
            places = np.argwhere(differ)
            axes = [axis for axis in NAMED if differ.shape[INDEX[axis]] > 1 or axis in reading.axes]
            found[name] = {axis: set(places[:, AXES.index(axis)].tolist()) for axis in axes}
    return found


def _otherwise_at(plan: Plan, place: Place) -> Plan | None:
    """The plan with the value at a place put otherwise; None where there is none, or none that can be."""
    changed = _changed(plan, place)
    return changed if isinstance(changed, Plan) else None


def _changed(value: Any, place: Place) -> Any:
    """A value with the part of it at a place put otherwise; None where it has none there."""
    if isinstance(value, Entry):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            if isinstance(inner, Place):
                continue
            changed = _changed(inner, place)
            if changed is not None:
                return value.model_copy(update={name: changed})
        return None
    if isinstance(value, tuple):
        for at, each in enumerate(value):
            changed = _changed(each, place)
            if changed is not None:
                return (*value[:at], changed, *value[at + 1 :])
        return None
    where = getattr(value, "place", None)
    if not isinstance(where, Place) or where.source is not place.source:
        return None
    if (where.start, where.end) == (place.start, place.end):
        return otherwise(value)
    if where.start <= place.start and place.end <= where.end and is_dataclass(value) and not isinstance(value, type):
        for each in fields(value):
            changed = _changed(getattr(value, each.name), place)
            if changed is not None:
                return replace(value, **{each.name: changed})
    return None


def otherwise(value: Any) -> Any:
    """Another value of the same kind, farther off than anything that is rounded; None for what has no other."""
    match value:
        case Quantity():
            # Shares of power and angles have ends, so half of it is as good as twice.
            return replace(value, value=value.value * 0.41 if value.value else 0.41)
        case Count():
            return replace(value, value=value.value * 2 + 1)
        case Span():
            return replace(value, low=otherwise(value.low), high=otherwise(value.high))
        case Size():
            return replace(value, width=otherwise(value.width), height=otherwise(value.height))
        case Side():
            return replace(value, angle=value.angle * 0.41 + 11)
        case Position():
            return replace(value, latitude=value.latitude * 0.41 + 1, longitude=value.longitude * 0.41 + 1)
        case Clock():
            return replace(value, hour=(value.hour + 2) % 24)
        case Day():
            return replace(value, date=value.date.replace(day=1, month=value.date.month % 12 + 1))
    if isinstance(value, Name) or not is_dataclass(value) or isinstance(value, type):
        return None
    inner = {each.name: otherwise(getattr(value, each.name)) for each in fields(value) if each.name != "place"}
    changed = {name: each for name, each in inner.items() if each is not None}
    return replace(value, **changed) if changed else None
