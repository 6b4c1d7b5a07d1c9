"""Levers of the evening: when a setup is shot, and how many pictures it takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from shootlint.language import clocks
from shootlint.language.values import Clock, ClockSpan
from shootlint.readings.axes import Array
from shootlint.readings.graph import Graph
from shootlint.readings.time import NAMINGS
from shootlint.remedies.levers import (
    EDITORIAL,
    MECHANICAL,
    Setting,
    Turn,
    before_setting,
    crossed,
    lever,
    nearest_first,
    option,
    replacing,
)

DAY = 1440


@lever(
    "time", EDITORIAL, 3.0, 0.02, "min", "the setup is shot {} later", "the setup is shot {} earlier", ways=("later", "earlier")
)
def time(graph: Graph) -> Iterator[Turn]:
    """When the setup is shot, in steps of 5 minutes, its length by the clock kept; it stays on its day."""
    told = graph.scene.time
    if told is not None:
        steps = 5.0 * np.arange(-288, 289)
        shifts = nearest_first(steps, np.abs(steps)).astype(int)
        starts = told.start.minutes + shifts
        shifts = shifts[(starts >= 0) & (starts < DAY)][:MOST_SHIFTS]
        length = told.end.minutes - told.start.minutes
        spans = [_span(told.start.minutes + shift, told.start.minutes + shift + length) for shift in shifts.tolist()]
        yield from _slots(graph, spans, shifts.astype(np.float64))


MOST_SHIFTS = 72
"""So many starts are tried, the nearest ones: six hours' worth."""


@lever("slot-start", EDITORIAL, 3.0, 0.05, "min", "{} less for the setup", "{} more for the setup", ways=("later", "earlier"))
def slot_start(graph: Graph) -> Iterator[Turn]:
    """When the setup begins, in steps of a minute up to 20 and of 5 minutes up to 90; it ends as planned."""
    told = graph.scene.time
    if told is not None:
        shifts = _shifts()
        shifts = shifts[(shifts < told.minutes) & (told.start.minutes + shifts >= 0) & (told.start.minutes + shifts < DAY)]
        spans = [_span(told.start.minutes + shift, told.end.minutes) for shift in shifts.tolist()]
        yield from _slots(graph, spans, shifts.astype(np.float64))


@lever("slot-end", EDITORIAL, 3.0, 0.05, "min", "{} more for the setup", "{} less for the setup", ways=("later", "earlier"))
def slot_end(graph: Graph) -> Iterator[Turn]:
    """When the setup ends, in steps of a minute up to 20 and of 5 minutes up to 90; it begins as planned."""
    told = graph.scene.time
    if told is not None:
        shifts = _shifts()
        shifts = shifts[(told.minutes + shifts > 0) & (told.minutes + shifts < DAY)]
        spans = [_span(told.start.minutes, told.end.minutes + shift) for shift in shifts.tolist()]
        yield from _slots(graph, spans, shifts.astype(np.float64))


def _shifts() -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    near, far = np.arange(1, 21), np.arange(25, 91, 5)
    steps = np.concatenate([-far, -near, near, far])
    return steps[np.argsort(np.abs(steps), kind="stable")]


def _slots(graph: Graph, spans: Sequence[ClockSpan], shifts: Array) -> Iterator[Turn]:
    scene = graph.scene
    told, date, zone = scene.time, scene.plan.date, scene.zone
    if told is None or date is None or zone is None or not spans:
        return
    slots = [clocks.slot(date.date, span, zone) for span in spans]
    # A slot that is shorter than another stays at its last minute.
    lengths = np.array([max(slot.minutes, 0) for slot in slots])[:, np.newaxis]
    minutes = np.minimum(np.arange(lengths.max() + 1), lengths)
    first = np.array([slot.start.seconds for slot in slots])[:, np.newaxis]
    texts = [str(span) for span in spans]
    here = scene.setup.time is not None
    yield Turn(
        {
            "instant": Setting(crossed("option", "minute", first + 60.0 * minutes)),
            "start-on-the-clock": Setting(option([NAMINGS.index(slot.start.naming) for slot in slots])),
            "end-on-the-clock": Setting(option([NAMINGS.index(slot.end.naming) for slot in slots])),
        },
        [f"time {text}" for text in texts],
        # A setup that takes the plan's window is given a time of its own.
        replacing(told.place, texts) if here else before_setting(scene.setup.camera.place, [f"time {text}" for text in texts]),
        shifts,
    )


def _span(start: int, end: int) -> ClockSpan:
    return ClockSpan(_clock(start), _clock(end))


def _clock(minutes: int) -> Clock:
    return Clock(*divmod(minutes % DAY, 60))


@lever("frames", MECHANICAL, 1.0, 0.01, "", "{} more to take", "{} fewer to take", ways=("more", "fewer"))
def frames(graph: Graph) -> Iterator[Turn]:
    """How many pictures the setup takes, up to 60 more or fewer."""
    told = graph.scene.setup.frames
    now = told.value if told is not None else 0
    steps = np.concatenate([np.arange(1, 61), -np.arange(1, min(61, now))]) if told is not None else 10 * np.arange(1, 11)
    steps = steps[np.argsort(np.abs(steps), kind="stable")]
    texts = [str(now + step) for step in steps.tolist()]
    changes = (
        replacing(told.place, texts)
        if told is not None
        else before_setting(graph.scene.setup.aperture.place, [f"frames {text}" for text in texts])
    )
    yield Turn(
        {"frames": Setting(option(now + steps.astype(np.float64)))},
        [f"frames {text}" for text in texts],
        changes,
        steps.astype(np.float64),
        values=now + steps.astype(np.float64),
    )
