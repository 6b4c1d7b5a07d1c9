"""The evening's chart: the sun's height, the daylight beside what the camera is set for, and the setups with the spans in
which they would hold, one below the other against the same clock."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from shootlint.readings.axes import along
from shootlint.readings.graph import Graph
from shootlint.readings.wording import exposure_time
from shootlint.reports.counting import plural
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.shapes import LETTER, Box, Drawing, Point, shortened, width_of

WIDTH = 480.0
LEFT, RIGHT, TOP = 44.0, 24.0, 18.0
SUN, LIGHT, BAR, AIR = 84.0, 132.0, 30.0, 26.0
"""Heights of the panels, of the bar of a setup, and of the room between panels."""
AROUND = 45 * 60.0
"""So many seconds are shown before the first setup and after the last."""
APART = 3 * 3600.0
"""Setups with so many seconds between them stand in charts of their own."""
STEPS = (15, 30, 60, 120, 180)
"""Minutes between the lines of the clock."""
MOST_LINES = 7


@dataclass(frozen=True)
class Timed:
    """A setup with its slot, and the spans of the day in which it would hold."""

    measures: Measures
    start: float
    end: float
    holds: Sequence[tuple[float, float]]
    """Instants of the first and the last minute of each; empty where at none."""

    @property
    def name(self) -> str:
        return str(self.measures.scene.setup.name)


@dataclass(frozen=True)
class Clock:
    """Where instants lie on the sheet."""

    start: float
    end: float

    def x(self, instant: float) -> float:
        return LEFT + (instant - self.start) / (self.end - self.start) * (WIDTH - LEFT - RIGHT)

    @property
    def minutes(self) -> list[float]:
        return np.arange(self.start, self.end + 1, 60.0).tolist()


class Axis:
    """Where values lie on a panel's height."""

    def __init__(self, panel: Box, low: float, high: float) -> None:
        self.panel, self.low, self.high = panel, low, high

    def __call__(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.panel.bottom - share * (self.panel.bottom - self.panel.top)


def evening_charts(setups: Sequence[Timed], name: str) -> list[Drawing]:
    """A chart of all setups that the plan gives a time, or one for each part of the day where they lie hours apart."""
    parts: list[list[Timed]] = []
    for each in sorted(setups, key=lambda each: each.start):
        if not parts or each.start - max(before.end for before in parts[-1]) > APART:
            parts.append([])
        parts[-1].append(each)
    return [_chart(part, f"{name}-{number}") for number, part in enumerate(parts, 1)]


def _chart(setups: Sequence[Timed], name: str) -> Drawing:
    clock = Clock(min(each.start for each in setups) - AROUND, max(each.end for each in setups) + AROUND)
    height = TOP + SUN + AIR + LIGHT + AIR + BAR * len(setups) + AIR
    drawing = Drawing(name, "The evening's light", _in_words(setups), WIDTH, height)
    drawing.box("sheet", Box(0, 0, WIDTH, height))
    sun = Box(LEFT, TOP, WIDTH - RIGHT, TOP + SUN)
    light = Box(LEFT, sun.bottom + AIR, WIDTH - RIGHT, sun.bottom + AIR + LIGHT)
    bars = Box(LEFT, light.bottom + AIR, WIDTH - RIGHT, light.bottom + AIR + BAR * len(setups))
    _lines_of_clock(drawing, clock, [sun, light, bars], setups[0].measures)
    _sun(drawing, clock, sun, setups[0].measures)
    _light(drawing, clock, light, setups)
    _bars(drawing, clock, bars, setups)
    return drawing


def through(measures: Measures, instants: Sequence[float]) -> Measures:
    """The readings of a setup were it shot at each of these instants."""
    return Measures(Graph(measures.scene, {"instant": along("minute", instants)}))


def _lines_of_clock(drawing: Drawing, clock: Clock, panels: Sequence[Box], measures: Measures) -> None:
    zone = measures.scene.zone
    assert zone is not None
    step = next((each for each in STEPS if (clock.end - clock.start) / 60 / each <= MOST_LINES), STEPS[-1]) * 60
    # Zones lie whole quarters of an hour apart, so the marks of the clock fall on round times of the wall.
    first = math.ceil(clock.start / step) * step
    for instant in np.arange(first, clock.end + 1, step).tolist():
        x = clock.x(instant)
        for panel in panels:
            drawing.line("clock-line", (x, panel.top), (x, panel.bottom))
        drawing.words("clock", x, panels[-1].bottom + LETTER + 4, measures.clock(instant))


def _sun(drawing: Drawing, clock: Clock, panel: Box, measures: Measures) -> None:
    """How high the sun stands; below the horizon it is night's side of the panel."""
    drawing.words("panel-name", panel.left, panel.top - 5, "height of the sun", "start")
    altitudes = through(measures, clock.minutes).of_minutes("sun-altitude")
    if not all(map(math.isfinite, altitudes)):
        drawing.words("remark", (panel.left + panel.right) / 2, panel.top + 30, "not known: the plan does not say where")
        return
    low, high = min(-6.0, *altitudes), max(6.0, *altitudes)
    axis = Axis(panel, low, high)
    drawing.area("night", (panel.left, axis(0)), (panel.right, axis(0)), (panel.right, panel.bottom), (panel.left, panel.bottom))
    drawing.box("panel", panel)
    for angle in (-6.0, 0.0, *_round_between(low, high, 3)):
        if low <= angle <= high:
            drawing.line("clock-line" if angle else "level", (panel.left, axis(angle)), (panel.right, axis(angle)))
            drawing.label("clock", f"{angle:g}°", [(panel.left - 4, axis(angle) + LETTER / 3, "end")])
    drawing.line(
        "sun-curve", *((clock.x(instant), axis(altitude)) for instant, altitude in zip(clock.minutes, altitudes, strict=True))
    )


def _light(drawing: Drawing, clock: Clock, panel: Box, setups: Sequence[Timed]) -> None:
    """Daylight on the faces through the evening; over each slot what the camera is set for and where the key lies."""
    drawing.words("panel-name", panel.left, panel.top - 5, "light on the faces, EV at ISO 100", "start")
    curves = [_ambient(each, clock) for each in setups]
    keys = [_key_level(each.measures) for each in setups]
    settings = [each.measures.of_minutes("setting") for each in setups]
    known = [each for numbers in (*curves, keys, *settings) for each in numbers if math.isfinite(each)]
    drawing.box("panel", panel)
    if not known:
        drawing.words("remark", (panel.left + panel.right) / 2, panel.top + 30, "not known: the plan does not say enough")
        return
    low, high = math.floor(min(known)) - 1.0, math.ceil(max(known)) + 1.0
    axis = Axis(panel, low, high)
    for ev in _round_between(low, high, 5):
        drawing.line("clock-line", (panel.left, axis(ev)), (panel.right, axis(ev)))
        drawing.label("clock", f"{ev:g}", [(panel.left - 4, axis(ev) + LETTER / 3, "end")])
    drawn: list[list[float]] = []
    for curve in curves:
        if curve not in drawn and all(map(math.isfinite, curve)):
            drawn.append(curve)
            drawing.line("ambient", *((clock.x(instant), axis(ev)) for instant, ev in zip(clock.minutes, curve, strict=True)))
    if drawn:
        ends = [(clock.x(clock.minutes[place]), axis(drawn[0][place])) for place in (len(drawn[0]) // 8, len(drawn[0]) // 2, -1)]
        drawing.label(
            "ambient-name",
            "daylight",
            [(x, y + up, anchor) for (x, y), anchor in zip(ends, ("middle", "middle", "end"), strict=True) for up in (-5, 14)],
            panel,
        )
    for each, setting, key in zip(setups, settings, keys, strict=True):
        instants = each.measures.of_minutes("instant")
        drawing.line("setting", *_steps(clock, axis, instants, setting))
        left, right = clock.x(each.start), clock.x(each.end)
        drawing.line("key-level", (left, axis(key)), (right, axis(key)))
        if math.isfinite(key):
            drawing.label(
                "key-name",
                "key",
                [
                    ((left + right) / 2, axis(key) - 4, "middle"),
                    ((left + right) / 2, axis(key) + LETTER + 2, "middle"),
                    (right + 3, axis(key) + 4, "start"),
                ],
                panel,
            )
        drawing.label(
            "setting-name",
            "set for",
            [
                ((left + right) / 2, axis(setting[0]) + LETTER + 2, "middle"),
                ((left + right) / 2, axis(setting[0]) - 4, "middle"),
                (left - 3, axis(setting[0]) + 4, "end"),
                (right + 3, axis(setting[0]) + 4, "start"),
            ],
            panel,
        )


def _ambient(setup: Timed, clock: Clock) -> list[float]:
    return through(setup.measures, clock.minutes).of_minutes("ambient")


def _key_level(measures: Measures) -> float:
    """The light of the keys on the group, as EV at ISO 100; nan without a key."""
    # A shutter that follows the light changes the setting and the key's distance from it by as much: their sum stands.
    return measures.one("setting") + measures.one("filter-loss") + measures.one("key-level")


def _steps(clock: Clock, axis: Axis, instants: Sequence[float], values: Sequence[float]) -> Iterator[Point]:
    """A line with steps where a value changes from one minute to the next."""
    for place, (instant, value) in enumerate(zip(instants, values, strict=True)):
        if place and values[place - 1] != value:
            yield clock.x(instant), axis(values[place - 1])
        yield clock.x(instant), axis(value)


def _bars(drawing: Drawing, clock: Clock, panel: Box, setups: Sequence[Timed]) -> None:
    """A bar for each setup: its slot, hatched where it does not hold; a thin line where it would; and its shutter."""
    drawing.words("panel-name", panel.left, panel.top - 5, "setups: slot and shutter; line: when it would hold", "start")
    drawing.box("panel", panel)
    for row, each in enumerate(setups):
        top = panel.top + row * BAR
        y = top + BAR - 5
        for start, end in each.holds:
            first, last = max(start, clock.start), min(end, clock.end)
            if first <= last:
                drawing.line("would-hold", (clock.x(first), y), (clock.x(last), y))
        slot = Box(clock.x(each.start), top + 4, clock.x(each.end), top + BAR - 9)
        drawing.box("slot", slot)
        for left, right in _not_holding(each):
            drawing.box("fails", Box(clock.x(left), slot.top, clock.x(right), slot.bottom))
        drawing.words("slot-name", *_beside(slot, each, panel))


def _beside(slot: Box, setup: Timed, panel: Box) -> tuple[float, float, str, str]:
    """A setup's name and shutter on the side of its slot that has more room, the name as long as fits."""
    y, shutter = slot.bottom - 3, f", {shutter_in_words(setup.measures)}"
    to_the_left = slot.left - panel.left > panel.right - slot.right
    room = slot.left - panel.left if to_the_left else panel.right - slot.right
    name = setup.name
    while len(name) > 2 and width_of(name + shutter) > room - 8:
        name = shortened(name, len(name) - 1)
    return (slot.left - 5, y, name + shutter, "end") if to_the_left else (slot.right + 5, y, name + shutter, "start")


def _not_holding(setup: Timed) -> Iterator[tuple[float, float]]:
    """The parts of a slot that lie in no span in which it would hold."""
    at = setup.start
    for start, end in sorted(setup.holds):
        if start > at and start <= setup.end:
            yield at, start
        at = max(at, end)
    if at < setup.end:
        yield at, setup.end


def shutter_in_words(measures: Measures) -> str:
    """The exposure time, or its first and last where it follows the light."""
    times = [each for each in measures.of_minutes("shutter") if math.isfinite(each)]
    if not times:
        return "shutter not known"
    first, last = exposure_time(times[0]), exposure_time(times[-1])
    return first if first == last else f"{first} to {last}"


def _round_between(low: float, high: float, most: int) -> list[float]:
    """Round numbers between two, at most so many."""
    step = next(each for each in (1, 2, 5, 10, 20, 50) if (high - low) / each <= most)
    return [float(each) for each in range(math.ceil(low / step) * step, math.floor(high) + 1, step)]


def _in_words(setups: Sequence[Timed]) -> str:
    told = [f"{plural(len(setups), 'setup').capitalize()} against the clock."]
    for each in setups:
        measures = each.measures
        last = measures.size("minute") - 1
        text = f"{each.name}, {measures.clock(each.start)} to {measures.clock(each.end)}, shutter {shutter_in_words(measures)}"
        if math.isfinite(measures.one("sun-altitude", minute=0)):
            text += f", sun from {measures.said('sun-altitude', minute=0)} to {measures.said('sun-altitude', minute=last)}"
        if math.isfinite(measures.one("ambient", minute=0)):
            text += f", daylight from {measures.said('ambient', minute=0)} to {measures.said('ambient', minute=last)}"
        told.append(f"{text}; {'it holds' if not list(_not_holding(each)) else 'it does not hold throughout'}.")
    return " ".join(told)
