"""Levers of the camera: exposure, lens, focus, place and time."""

from __future__ import annotations

import re

import numpy as np

from shootlint.language import clocks
from shootlint.language.values import Clock, ClockSpan
from shootlint.physics import exposure, optics
from shootlint.readings.graph import Graph
from shootlint.readings.time import NAMINGS
from shootlint.readings.wording import exposure_time, number
from shootlint.remedies.levers import (
    EDITORIAL,
    Options,
    crossed,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)
from shootlint.rulebook.finding import Change, Finding


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
        replacing(current.place, texts),
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
        replacing(current.place, texts),
    )


@lever("iso", EDITORIAL)
def iso(graph: Graph, finding: Finding) -> Options | None:
    """The sensitivity, in the third stops that the camera has."""
    span, current = graph.scene.camera.iso.range, graph.scene.setup.iso
    marks = exposure.third_stops_between(span.low.value, span.high.value, exposure.MARKED_ISO)
    exact = exposure.exact_iso(marks)
    marks = nearest_first(marks, np.abs(np.log2(exact / exposure.exact_iso(float(current)))))
    texts = [number(float(mark), 0) for mark in marks]
    return Options({"iso": option(exposure.exact_iso(marks))}, [f"iso {text}" for text in texts], replacing(current.place, texts))


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
    return Options({"focal-length": option(values)}, [f"focal length {text}" for text in texts], replacing(current.place, texts))


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
    return Options({"focus-distance": option(values)}, [f"focus {choice}" for choice in choices], replacing(place, list(choices)))


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
    return Options({"facing": option(values)}, [f"facing {text}" for text in texts], replacing(current.place, texts))


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
        replacing(told.place if scene.setup.time is not None else None, [str(span) for span in spans]),
    )


def _clock(minutes: int) -> Clock:
    return Clock(*divmod(minutes % 1440, 60))


@lever("white-balance", EDITORIAL)
def white_balance(graph: Graph, finding: Finding) -> Options | None:
    """The colour that comes out neutral, in steps of 100 K."""
    current = graph.scene.setup.white_balance
    if current is None:
        return None
    steps = 100.0 * np.arange(25, 101)
    values = nearest_first(steps, np.abs(1e6 / steps - 1e6 / current.value))
    texts = [f"{number(float(value), 0)} K" for value in values]
    return Options(
        {"white-balance": option(values)}, [f"white balance {text}" for text in texts], replacing(current.place, texts)
    )


@lever("camera-height", EDITORIAL)
def camera_height(graph: Graph, finding: Finding) -> Options | None:
    """How high the lens stands, in steps of 5 cm between 0.3 m and 3 m."""
    support = graph.scene.setup.support
    if support is None or support.height is None:
        return None
    steps = np.round(support.height.value + 0.05 * np.arange(-40, 41), 6)
    steps = steps[(steps >= 0.3) & (steps <= 3.0)]
    texts, values = written(nearest_first(steps, np.abs(steps - support.height.value)), support.height, "m", 0.01)
    titles = [f"camera height {text}" for text in texts]
    return Options({"camera-height": option(values)}, titles, replacing(support.height.place, texts))


@lever("camera-tilt", EDITORIAL)
def camera_tilt(graph: Graph, finding: Finding) -> Options | None:
    """How far the camera looks up or down, in whole degrees up to 10."""
    support = graph.scene.setup.support
    if support is None or support.where is None:
        return None
    tilt = support.tilt
    steps = np.arange(-10.0, 11.0)
    values = nearest_first(steps, np.abs(steps - (tilt.value if tilt is not None else 0.0)))
    texts = [f"{number(float(value), 0)} deg" for value in values]
    end = support.where.source.place(support.where.end, support.where.end)
    changes = replacing(tilt.place, texts) if tilt is not None else replacing(end, [f", tilt {text}" for text in texts])
    return Options({"camera-tilt": option(values)}, [f"camera tilt {text}" for text in texts], changes)
