"""Levers of the exposure: aperture, shutter, sensitivity, filter and white balance."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from shootlint.language.edits import Change
from shootlint.language.source import Place
from shootlint.language.values import Quantity
from shootlint.physics import exposure
from shootlint.readings.axes import Array
from shootlint.readings.graph import Graph
from shootlint.readings.wording import exposure_time, number
from shootlint.remedies.levers import (
    EDITORIAL,
    Setting,
    Turn,
    before_setting,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)


@lever(
    "aperture",
    EDITORIAL,
    2.0,
    0.8,
    "stops",
    "{} less light, and more in focus",
    "{} more light, and less in focus",
    "aperture",
    ways=("smaller", "wider"),
)
def aperture(graph: Graph) -> Iterator[Turn]:
    """The f-number, in the third stops that the lens has."""
    lens, current = graph.scene.lens.aperture, graph.scene.setup.aperture
    now = exposure.exact_f_number(current.value)
    marks = exposure.third_stops_between(lens.low.value, lens.high.value, exposure.MARKED_F_NUMBERS)
    marks = nearest_first(marks, np.abs(np.log2(exposure.exact_f_number(marks) / now)))
    exact = exposure.exact_f_number(marks)
    texts = [f"f/{number(float(mark), 1)}" for mark in marks]
    yield Turn(
        {"aperture": Setting(option(exact))},
        [f"aperture {text}" for text in texts],
        replacing(current.place, texts),
        2 * np.log2(exact / now),
        values=marks,
    )


@lever("shutter", EDITORIAL, 2.0, 0.6, "stops", "{} more daylight", "{} less daylight", "time", ways=("longer", "shorter"))
def shutter(graph: Graph) -> Iterator[Turn]:
    """The exposure time, in the third stops that the camera has; with lights, down to the sync speed. Of a shutter that
    follows the daylight: how far behind the key it keeps it, and the first and the last time that it may take."""
    told = graph.scene.setup.shutter
    if told.time is not None:
        marks = _times(graph)
        fits = marks >= graph.scene.camera.sync.value * (1 - 1e-9) if graph.scene.lamps else marks > 0
        yield _time(marks[fits], told.time, "shutter-set", "shutter")
        return
    if told.limits is not None and told.follows is not None:
        marks = _times(graph)
        shorter, longer = sorted(told.limits, key=lambda each: each.value)
        words = {id(each): text for each, text in zip(told.limits, ("shutter from", "shutter up to"), strict=True)}
        # The one stays on its side of the other, or each would be taken for the other.
        yield _time(marks[marks >= shorter.value], longer, "shutter-longest", words[id(longer)])
        yield _time(marks[marks <= longer.value], shorter, "shutter-shortest", words[id(shorter)])
        now = told.follows.value
        values = nearest_first(np.arange(-12, 7) / 3, np.abs(np.arange(-12, 7) / 3 - now))
        texts, values = written(values, told.follows, "stops", 0.1)
        yield Turn(
            {"shutter-follows": Setting(option(values))},
            [f"shutter follows ambient at {text}" for text in texts],
            replacing(told.follows.place, texts),
            values - now,
        )


@lever(
    "high-speed-sync",
    EDITORIAL,
    4.0,
    0.6,
    "stops",
    "",
    "{} less daylight, and more than that of the flash",
    "time",
    ways=("longer", "shorter"),
)
def high_speed_sync(graph: Graph) -> Iterator[Turn]:
    """An exposure time beyond the sync speed, where every light of the setup can fire there."""
    told, lamps = graph.scene.setup.shutter, graph.scene.lamps
    if told.time is not None and lamps and all(lamp.light.high_speed_sync is not None for lamp in lamps):
        marks = _times(graph)
        yield _time(marks[marks < graph.scene.camera.sync.value * (1 - 1e-9)], told.time, "shutter-set", "shutter")


def _times(graph: Graph) -> Array:
    shortest, longest = sorted(each.value for each in graph.scene.camera.shutter)
    return exposure.third_stops_between(shortest, longest, exposure.MARKED_EXPOSURE_TIMES)


def _time(marks: Array, told: Quantity, reading: str, words: str) -> Turn:
    now = exposure.exact_exposure_time(told.value)
    marks = nearest_first(marks, np.abs(np.log2(exposure.exact_exposure_time(marks) / now)))
    exact = exposure.exact_exposure_time(marks)
    texts = [exposure_time(float(mark)) for mark in marks]
    return Turn(
        # Limits are read as they are marked; the time that is set, as the third of a stop that its mark stands for.
        {reading: Setting(option(exact if reading == "shutter-set" else marks))},
        [f"{words} {text}" for text in texts],
        replacing(told.place, texts),
        np.log2(exact / now),
        values=marks,
    )


@lever("iso", EDITORIAL, 2.0, 0.9, "stops", "{} more noise", "{} less noise", "number", ways=("up", "down"))
def iso(graph: Graph) -> Iterator[Turn]:
    """The sensitivity, in the third stops that the camera has."""
    span, current = graph.scene.camera.iso.range, graph.scene.setup.iso
    now = exposure.exact_iso(float(current))
    marks = exposure.third_stops_between(span.low.value, span.high.value, exposure.MARKED_ISO)
    marks = nearest_first(marks, np.abs(np.log2(exposure.exact_iso(marks) / now)))
    exact = exposure.exact_iso(marks)
    texts = [number(float(mark), 0) for mark in marks]
    yield Turn(
        {"iso": Setting(option(exact))},
        [f"iso {text}" for text in texts],
        replacing(current.place, texts),
        np.log2(exact / now),
        values=marks,
    )


@lever(
    "filter",
    EDITORIAL,
    4.0,
    0.5,
    "stops",
    "{} less light from flash and day",
    "{} more light from flash and day",
    ways=("denser", "lighter"),
)
def grey_filter(graph: Graph) -> Iterator[Turn]:
    """The grey filter on the lens: none, or another one of the kit."""
    setup, worn = graph.scene.setup, graph.scene.filters
    choices = [
        *([None] if worn else []),
        *(each for each in graph.scene.plan.filter if [each.name] != [own.name for own in worn]),
    ]
    losses = np.array([each.loses.value if each is not None else 0.0 for each in choices])
    texts = [f'filter "{each.name}"' if each is not None else "no filter" for each in choices]
    if not worn:
        changes = before_setting(setup.aperture.place, texts)
    elif len(worn) == 1:
        changes = [_for_filter(setup.filter[0].place, str(each.name) if each is not None else None) for each in choices]
    else:
        return
    yield Turn({"filter-loss": Setting(option(losses))}, texts, changes, losses - sum(each.loses.value for each in worn))


def _for_filter(place: Place | None, name: str | None) -> tuple[Change, ...]:
    if place is None or name is not None:
        return (Change(place, f'"{name}"'),) if place is not None else ()
    text = place.source.text
    start, end = text.rfind("\n", 0, place.start) + 1, text.find("\n", place.end)
    alone = re.fullmatch(r"\s*filter\s+", text[start : place.start]) is not None and end >= 0
    return (Change(place.source.place(start, end + 1), ""),) if alone else ()


@lever(
    "white-balance",
    EDITORIAL,
    2.0,
    0.01,
    "mired",
    "the picture comes out {} cooler",
    "the picture comes out {} warmer",
    "colour temperature",
)
def white_balance(graph: Graph) -> Iterator[Turn]:
    """The colour that comes out neutral, in steps of 100 K."""
    current = graph.scene.setup.white_balance
    if current is None:
        return
    steps = 100.0 * np.arange(25, 101)
    values = nearest_first(steps, np.abs(1e6 / steps - 1e6 / current.value))
    texts = [f"{number(float(value), 0)} K" for value in values]
    yield Turn(
        {"white-balance": Setting(option(values))},
        [f"white balance {text}" for text in texts],
        replacing(current.place, texts),
        1e6 / values - 1e6 / current.value,
        values=values,
    )
