"""What may be turned to mend a finding, declared once each: the settings to try, least change first.

A lever gives options: arrays in the place of readings, one option after another along the axis of options, so that all
of them are judged in one broadcast. It gives too how each option would be said and written in the plan.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shootlint.language import clocks
from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING
from shootlint.language.values import Clock, ClockSpan, Quantity
from shootlint.physics import exposure, optics
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.graph import Graph
from shootlint.readings.time import NAMINGS
from shootlint.readings.wording import exposure_time, number
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


LEVERS: dict[str, Lever] = {}


def lever(
    name: str, grade: str
) -> Callable[[Callable[[Graph, Finding], Options | None]], Callable[[Graph, Finding], Options | None]]:
    def declare(function: Callable[[Graph, Finding], Options | None]) -> Callable[[Graph, Finding], Options | None]:
        LEVERS[name] = Lever(name, grade, (function.__doc__ or "").strip(), function)
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


def _replace(place: Place | None, texts: Sequence[str]) -> list[tuple[Change, ...]]:
    return [(Change(place, text),) if place is not None else () for text in texts]


@lever("aperture", EDITORIAL)
def aperture(graph: Graph, finding: Finding) -> Options | None:
    """The f-number, in the third stops that the lens has."""
    lens, current = graph.scene.lens.aperture, graph.scene.setup.aperture
    marks = exposure.third_stops_between(lens.low.value, lens.high.value, exposure.MARKED_F_NUMBERS)
    exact = exposure.exact_f_number(marks)
    marks = nearest_first(marks, np.abs(np.log2(exact / exposure.exact_f_number(current.value))))
    texts = [f"f/{number(float(mark), 1)}" for mark in marks]
    return Options(
        {"aperture": option(exposure.exact_f_number(marks))},
        [f"aperture {text}" for text in texts],
        _replace(current.place, texts),
    )


@lever("shutter", EDITORIAL)
def shutter(graph: Graph, finding: Finding) -> Options | None:
    """The exposure time, in the third stops that the camera has."""
    current = graph.scene.setup.shutter.time
    if current is None:
        return None
    shortest, longest = sorted(each.value for each in graph.scene.camera.shutter)
    marks = exposure.third_stops_between(shortest, longest, exposure.MARKED_EXPOSURE_TIMES)
    exact = exposure.exact_exposure_time(marks)
    marks = nearest_first(marks, np.abs(np.log2(exact / exposure.exact_exposure_time(current.value))))
    texts = [exposure_time(float(mark)) for mark in marks]
    return Options(
        {"shutter-set": option(exposure.exact_exposure_time(marks))},
        [f"shutter {text}" for text in texts],
        _replace(current.place, texts),
    )


@lever("iso", EDITORIAL)
def iso(graph: Graph, finding: Finding) -> Options | None:
    """The sensitivity, in the third stops that the camera has."""
    span, current = graph.scene.camera.iso.range, graph.scene.setup.iso
    marks = exposure.third_stops_between(span.low.value, span.high.value, exposure.MARKED_ISO)
    exact = exposure.exact_iso(marks)
    marks = nearest_first(marks, np.abs(np.log2(exact / exposure.exact_iso(float(current)))))
    texts = [number(float(mark), 0) for mark in marks]
    return Options({"iso": option(exposure.exact_iso(marks))}, [f"iso {text}" for text in texts], _replace(current.place, texts))


@lever("focal-length", EDITORIAL)
def focal_length(graph: Graph, finding: Finding) -> Options | None:
    """The focal length, in steps of 5 mm within the lens."""
    lens, current = graph.scene.lens.focal, graph.scene.setup.lens.focal
    if current is None or lens.low.value == lens.high.value:
        return None
    steps = 0.005 * np.arange(np.ceil(lens.low.value / 0.005), np.floor(lens.high.value / 0.005) + 1)
    _, steps = written(steps, current, "mm", 0.005)
    steps = steps[(steps >= lens.low.value) & (steps <= lens.high.value)]
    texts, values = written(nearest_first(steps, np.abs(np.log2(steps / current.value))), current, "mm", 0.005)
    return Options({"focal-length": option(values)}, [f"focal length {text}" for text in texts], _replace(current.place, texts))


@lever("focus", EDITORIAL)
def focus(graph: Graph, finding: Finding) -> Options | None:
    """What the lens is focused on: a row, or shared between the rows."""
    scene, where = graph.scene, graph.scene.setup.focus.where
    rows = [str(row.name) for row in scene.setup.row]
    choices = {"between rows": rows} if len(rows) > 1 else {}
    choices |= {f'row "{name}"': [name] for name in rows}
    depths = np.broadcast_to(graph["distance"].array.ravel(), len(scene.sitters))
    values = []
    for names in choices.values():
        among = depths[[str(sitter.row.name) in names for sitter in scene.sitters]]
        values.append(float(optics.shared_focus(among.min(), among.max())))
    place = None
    if where is not None:
        # The gap between the head word and its value stays as its author laid it out.
        head = re.match(r"\S+\s+", where.text)
        place = where.source.place(where.start + (head.end() if head is not None else 0), where.end)
    return Options({"focus-distance": option(values)}, [f"focus {choice}" for choice in choices], _replace(place, list(choices)))


@lever("row-distance", EDITORIAL)
def row_distance(graph: Graph, finding: Finding) -> Options | None:
    """How far a person's row is from the camera, in steps of 5 cm; it stays behind the row before it and before the next."""
    person = dict(finding.index).get("person")
    if person is None:
        return None
    scene = graph.scene
    row = scene.sitters[person].row
    current = row.distance.value
    others = [each.distance.value for each in scene.setup.row if each is not row]
    nearest = max((each for each in others if each < current), default=0.5) + 0.3
    farthest = min((each for each in others if each > current), default=current + 3.3) - 0.3
    steps = current + 0.05 * np.arange(-60, 61)
    steps = steps[(steps >= nearest) & (steps <= farthest)]
    texts, values = written(nearest_first(steps, np.abs(steps - current)), row.distance, "m", 0.01)
    mine = along("person", [float(sitter.row is row) for sitter in scene.sitters])
    return Options(
        {"row-distance": np.where(mine > 0, option(values), graph["row-distance"].array)},
        [f'row "{row.name}" at {text}' for text in texts],
        _replace(row.distance.place, texts),
    )


@lever("camera-distance", EDITORIAL)
def camera_distance(graph: Graph, finding: Finding) -> Options | None:
    """How far the camera stands back, in steps of 10 cm: every row is that much farther away, the lights stay where they are."""
    setup = graph.scene.setup
    steps = np.round(0.1 * np.arange(-30, 61), 6)
    steps = steps[setup.front_distance.value + steps >= 1.0]
    steps = nearest_first(steps, np.abs(steps))
    rows = {str(row.name): written(row.distance.value + steps, row.distance, "m", 0.01) for row in setup.row}
    moved = np.stack([rows[str(sitter.row.name)][1] for sitter in graph.scene.sitters], axis=-1)
    changes = [
        tuple(Change(row.distance.place, rows[str(row.name)][0][place]) for row in setup.row if row.distance.place is not None)
        for place in range(len(steps))
    ]
    titles = [f"camera {number(abs(float(step)), 1)} m {'back' if step > 0 else 'nearer'}" for step in steps]
    return Options({"row-distance": crossed("option", "person", moved)}, titles, changes)


ELBOW_ROOM = 0.3
"""Metres from the middle of one person to the next, who turn in with overlapping shoulders: common practice, no source."""


@lever("sideways", EDITORIAL)
def sideways(graph: Graph, finding: Finding) -> Options | None:
    """Where a person stands to the side, in steps of 5 cm; between the same two people as before."""
    person = dict(finding.index).get("person")
    if person is None:
        return None
    sitters = graph.scene.sitters
    at = sitters[person].posed.at
    places = graph["sideways"].array.ravel()
    here = places[person]
    beside = [place for place, sitter in zip(places, sitters, strict=True) if sitter.row is sitters[person].row]
    leftmost = max((each for each in beside if each < here), default=-np.inf) + ELBOW_ROOM
    rightmost = min((each for each in beside if each > here), default=np.inf) - ELBOW_ROOM
    steps = np.round(0.05 * np.arange(-20, 21), 6)
    steps = steps[(here + steps >= min(leftmost, here)) & (here + steps <= max(rightmost, here))]
    steps = nearest_first(steps, np.abs(steps))
    texts, values = written(here + steps, at, "cm", 0.01)
    titles = [
        f"{finding.about[0]} {number(abs(float(step)) * 100, 0)} cm to the camera's {'right' if step > 0 else 'left'}"
        for step in steps
    ]
    return Options(
        {"sideways": np.where(chosen("person", person, graph), option(values), graph["sideways"].array)},
        titles,
        _replace(at.place if at is not None else None, texts),
    )


@lever("facing", EDITORIAL)
def facing(graph: Graph, finding: Finding) -> Options | None:
    """Where the lens points, in steps of 5 deg; camera, group and lights turn together."""
    current = graph.scene.setup.facing
    if current is None:
        return None
    steps = 5.0 * np.arange(-35, 37)
    turns = nearest_first(steps, np.abs(steps))
    values = np.mod(current.value + turns, 360)
    texts = [f"{number(float(value), 0)} deg" for value in values]
    return Options({"facing": option(values)}, [f"facing {text}" for text in texts], _replace(current.place, texts))


@lever("time", EDITORIAL)
def time(graph: Graph, finding: Finding) -> Options | None:
    """When the setup is shot, in steps of 5 minutes, its length by the clock kept; it stays on its day."""
    scene = graph.scene
    told, date, zone = scene.time, scene.plan.date, scene.zone
    if told is None or date is None or zone is None:
        return None
    steps = 5.0 * np.arange(-36, 37)
    starts = told.start.minutes + nearest_first(steps, np.abs(steps)).astype(int)
    spans = [
        ClockSpan(_clock(start), _clock(start + told.end.minutes - told.start.minutes))
        for start in starts.tolist()
        if 0 <= start < 1440
    ]
    slots = [clocks.slot(date.date, span, zone) for span in spans]
    # A slot that the change of the clocks makes shorter than another stays at its last minute.
    lengths = np.array([max(slot.minutes, 0) for slot in slots])[:, np.newaxis]
    minutes = np.minimum(np.arange(lengths.max() + 1), lengths)
    first = np.array([slot.start.seconds for slot in slots])[:, np.newaxis]
    return Options(
        {
            "instant": crossed("option", "minute", first + 60.0 * minutes),
            "start-on-the-clock": option([NAMINGS.index(slot.start.naming) for slot in slots]),
            "end-on-the-clock": option([NAMINGS.index(slot.end.naming) for slot in slots]),
        },
        [f"time {span}" for span in spans],
        _replace(told.place if scene.setup.time is not None else None, [str(span) for span in spans]),
    )


def _clock(minutes: int) -> Clock:
    return Clock(*divmod(minutes % 1440, 60))


@lever("power", MECHANICAL)
def power(graph: Graph, finding: Finding) -> Options | None:
    """What a light is set to, in third stops down from full."""
    index = dict(finding.index).get("light")
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    current, least = lamp.placement.power.value, lamp.light.least_power.value
    stops = np.arange(0, int(np.round(-3 * np.log2(least))) + 1)
    values = np.array([1 / 2 ** (step // 3) if step % 3 == 0 else 2 ** -round(step / 3, 1) for step in stops])
    texts = np.array([f"1/{2 ** (step // 3)}" if step % 3 == 0 else f"-{number(step / 3, 1)} stops" for step in stops])
    keep = (values <= lamp.light.most_power.value) & (values >= least)
    cost = np.abs(np.log2(values / current))[keep]
    order = np.argsort(cost, kind="stable")
    order = order[cost[order] > 1e-6]
    values, texts = values[keep][order], texts[keep][order]
    return Options(
        {"power": np.where(chosen("light", index, graph), option(values), graph["power"].array)},
        [f"power {text}" for text in texts],
        _replace(lamp.placement.power.place, [str(text) for text in texts]),
    )


@lever("light-distance", EDITORIAL)
def light_distance(graph: Graph, finding: Finding) -> Options | None:
    """How far a light stands from the group, in steps of 10 cm."""
    index = dict(finding.index).get("light", _key_index(graph))
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    current = lamp.placement.distance
    steps = np.round(current.value + 0.1 * np.arange(-60, 61), 6)
    steps = steps[(steps >= 1.0) & (steps <= 12.0)]
    texts, values = written(nearest_first(steps, np.abs(steps - current.value)), current, "m", 0.01)
    return Options(
        {"light-distance": np.where(chosen("light", index, graph), option(values), graph["light-distance"].array)},
        [f"{lamp.name} at {text}" for text in texts],
        _replace(current.place, texts),
    )


def _key_index(graph: Graph) -> int | None:
    """The only key light, for findings that are about people rather than a light."""
    keys = [index for index, lamp in enumerate(graph.scene.lamps) if lamp.placement.role == "key"]
    return keys[0] if len(keys) == 1 else None


@lever("gel", MECHANICAL)
def gel(graph: Graph, finding: Finding) -> Options | None:
    """The gel on a light: none, or another one of the kit."""
    index = dict(finding.index).get("light")
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    worn = [str(name) for name in lamp.placement.gel]
    kit = sorted(graph.scene.plan.gel, key=lambda each: abs(each.shift.value))
    choices = [*([None] if worn else []), *(each for each in kit if [str(each.name)] != worn)]
    if not choices:
        return None
    shift = along("option", [each.shift.value if each is not None else 0.0 for each in choices])
    loss = along("option", [each.loses.value if each is not None else 0.0 for each in choices])
    here = chosen("light", index, graph)
    titles = [f'gel "{each.name}" on {lamp.name}' if each is not None else f"no gel on {lamp.name}" for each in choices]
    return Options(
        {
            "gel-shift": np.where(here, shift, graph["gel-shift"].array),
            "gel-loss": np.where(here, loss, graph["gel-loss"].array),
        },
        titles,
        [
            _gel_change(
                lamp.placement.where, [name.place for name in lamp.placement.gel], str(each.name) if each is not None else None
            )
            for each in choices
        ],
    )


def _gel_change(line: Place | None, worn: list[Place | None], name: str | None) -> tuple[Change, ...]:
    """Puts one gel in the place of those worn, or takes them off with the clauses that name them."""
    if line is None:
        return ()
    places = [place for place in worn if place is not None]
    text = line.source.text
    clauses = [line.source.place(text.rindex(",", line.start, place.start), place.end) for place in places]
    if name is None:
        return tuple(Change(clause, "") for clause in clauses)
    if not places:
        return (Change(line.source.place(line.end, line.end), f', gel "{name}"'),)
    return (Change(places[0], f'"{name}"'), *(Change(clause, "") for clause in clauses[1:]))


@lever("white-balance", EDITORIAL)
def white_balance(graph: Graph, finding: Finding) -> Options | None:
    """The colour that comes out neutral, in steps of 100 K."""
    current = graph.scene.setup.white_balance
    if current is None:
        return None
    steps = 100.0 * np.arange(25, 101)
    values = nearest_first(steps, np.abs(1e6 / steps - 1e6 / current.value))
    texts = [f"{number(float(value), 0)} K" for value in values]
    return Options({"white-balance": option(values)}, [f"white balance {text}" for text in texts], _replace(current.place, texts))


@lever("bag", MECHANICAL)
def bag(graph: Graph, finding: Finding) -> Options | None:
    """The ballast that a stand carries, in whole kilograms; no more than 40 kg, which few stands bear."""
    index = dict(finding.index).get("light")
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    told, line = lamp.placement.bag, lamp.placement.where
    current = told.value if told is not None else 0.0
    _, steps = written(np.arange(0.0, 41.0), told, "kg", 1.0)
    texts, values = written(steps[steps > current], told, "kg", 1.0)
    if told is not None and told.place is not None:
        changes = _replace(told.place, texts)
    else:
        end = line.source.place(line.end, line.end) if line is not None else None
        changes = _replace(end, [f", bag {text}" for text in texts])
    return Options(
        {"bag": np.where(chosen("light", index, graph), option(values), graph["bag"].array)},
        [f"bag {text} on {lamp.name}" for text in texts],
        changes,
    )
