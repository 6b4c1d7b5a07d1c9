"""Prints what a plan measures, without judging it."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from shootlint.reports.visible import visible

if TYPE_CHECKING:
    from shootlint.language.loading import Document
    from shootlint.readings.catalogue import Reading
    from shootlint.readings.graph import Graph, Value
    from shootlint.readings.scene import Scene

KINDS = ("text", "json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--setup", metavar="NAME", help="only this setup")
    parser.add_argument("--at", metavar="CLOCK", help="at this time of day instead of the whole slot")
    parser.add_argument("--reading", action="append", default=[], metavar="NAME", help="only this reading; may be repeated")
    parser.add_argument("--report", default="text=-", metavar="KIND=PATH", help="text or json, and where it goes")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import one_document
    from shootlint.language.complaint import did_you_mean
    from shootlint.language.loading import Loader
    from shootlint.language.source import Unreadable
    from shootlint.readings.catalogue import catalogue
    from shootlint.reports.json import heading, written

    kind, equals, path = call.report.partition("=")
    if kind not in KINDS or not equals or not path:
        return trouble(f"--report takes text=PATH or json=PATH, not {call.report}")
    for name in call.reading:
        if name not in catalogue():
            return trouble(f"no reading is called {name}{did_you_mean(name, catalogue())}")
    name, document = one_document(call.plan, Loader())
    if isinstance(document, Unreadable):
        return trouble(f"{name}: {document}")
    for complaint in document.complaints:
        output.complain(complaint)
    try:
        graphs = [graph_at(scene, call.at) for scene in chosen_scenes(document, call.setup)]
    except ValueError as error:
        return trouble(str(error))
    readings = [each for each in catalogue().values() if not call.reading or each.name in call.reading]
    try:
        if kind == "json":
            setups = {str(graph.scene.setup.name): {"readings": as_json_all(readings, graph)} for graph in graphs}
            output.write(path, written({**heading(), "setups": setups}))
        else:
            lines = (visible(line) for graph in graphs for line in table(readings, graph))
            output.write(path, "".join(f"{line}\n" for line in lines))
    except OSError as error:
        return trouble(f"the report cannot be written to {path}: {error.strerror}")
    return 2 if document.complaints else 0


def chosen_scenes(document: Document, setup: str | None) -> list[Scene]:
    """The sound setups of a plan, or the one of that name; raises ValueError with a reason where there is none."""
    from shootlint.language.complaint import did_you_mean
    from shootlint.readings.scene import scenes

    found = scenes(document.plan) if document.plan is not None else []
    if not found:
        raise ValueError(f"{document.source.name}: there is no setup without a mistake in it")
    if setup is None:
        return found
    chosen = [scene for scene in found if str(scene.setup.name) == setup]
    if not chosen:
        sound = [str(scene.setup.name) for scene in found]
        raise ValueError(f'no sound setup is called "{setup}"{did_you_mean(setup, sound, quoted=True)}')
    return chosen


def graph_at(scene: Scene, clock: str | None) -> Graph:
    """The readings of a scene over its slot, or at one time of its day; raises ValueError with a reason."""
    import datetime
    import re

    from shootlint.language import clocks
    from shootlint.language.values import Clock
    from shootlint.readings.axes import single
    from shootlint.readings.graph import Graph

    if clock is None:
        return Graph(scene)
    if not re.fullmatch("([01]?[0-9]|2[0-3]):[0-5][0-9]", clock):
        raise ValueError(f"--at takes a time of day such as 18:45, not {clock}")
    if scene.plan.date is None or scene.zone is None:
        raise ValueError("--at needs the plan's date and the site's zone")
    hour, minute = clock.split(":")
    at, date = Clock(int(hour), int(minute)), scene.plan.date.date
    if scene.time is not None and at <= scene.time.end <= scene.time.start:
        # The slot goes past midnight, and this is the part of it that lies on the next day.
        date += datetime.timedelta(days=1)
    return Graph(scene, {"instant": single(clocks.instant(date, at, scene.zone).seconds)})


def labels(graph: Graph, axis: str) -> list[str]:
    """The names along an axis: people, lights, shades, or clock times; each but once."""
    if axis in graph.scene.names:
        return graph.scene.names[axis]
    if axis == "minute":
        return _told_apart(_clock_times(graph))
    if axis == "obstruction" and graph.scene.plan.site is not None:
        return _told_apart([str(each.name) for each in graph.scene.plan.site.shade])
    if axis == "meter":
        return _told_apart([str(each.at) for each in graph.scene.plan.meter])
    return []


def _clock_times(graph: Graph) -> list[str]:
    from shootlint.language import clocks

    if graph.scene.zone is None or graph["instant"].unknown:
        return []
    return [clocks.wall_clock(each, graph.scene.zone) for each in graph["instant"].array.ravel()]


def _told_apart(names: list[str]) -> list[str]:
    """Names of which no two are the same: when the clocks are put back, an hour of them comes twice."""
    found: dict[str, None] = {}
    for name in names:
        while name in found:
            name += " again"
        found[name] = None
    return list(found)


def as_json_all(readings: list[Reading], graph: Graph) -> dict[str, Any]:
    return {each.name: as_json(each, graph) for each in readings}


def as_json(reading: Reading, graph: Graph) -> dict[str, Any]:
    """A reading as JSON: axes by name, outer ones first, and values by the names along them."""
    value = graph[reading.name]
    if value.unknown:
        return {"unit": reading.unit.name, "axes": list(reading.axes), "value": None, "needs": sorted(value.needs)}
    found: dict[str, Any] = {
        "unit": reading.unit.name,
        "axes": list(reading.axes),
        "value": _nested(reading, graph, value, reading.axes, {}),
    }
    if value.needs:
        found["needs"] = sorted(value.needs)
    return found


def _nested(reading: Reading, graph: Graph, value: Value, axes: tuple[str, ...], at: dict[str, int]) -> Any:
    from shootlint.reports.json import plain
    from shootlint.rulebook.judging import picked

    if not axes:
        number = picked(value, at)
        if reading.words:
            return None if number != number else reading.words[int(number)]
        if reading.of:
            return None if number != number else graph.scene.names[reading.of][int(number)]
        if reading.unit.name == "yes":
            return None if number != number else bool(number)
        return plain(reading.unit.from_base(number))
    names = labels(graph, axes[0])
    if not names and axes[0] == "minute":
        # The plan does not say when, so this does not vary with the time.
        return _nested(reading, graph, value, axes[1:], at)
    return {name: _nested(reading, graph, value, axes[1:], {**at, axes[0]: place}) for place, name in enumerate(names)}


def table(readings: list[Reading], graph: Graph) -> Iterator[str]:
    """The readings as a person reads them: those of the setup in a list, the others with their names across."""
    yield f'setup "{graph.scene.setup.name}"'
    width = max((len(each.name) for each in readings), default=0)
    for axes in sorted({each.axes for each in readings}, key=lambda each: (len(each), each)):
        group = [each for each in readings if each.axes == axes]
        yield ""
        if not axes:
            yield from (f"  {each.name:{width}}  {_shown(each, graph, {})}" for each in group)
        elif axes == ("minute",):
            yield from _over_time(group, graph, width)
        elif len(axes) == 1:
            yield from _across(group, graph, width, axes[0], {})
        else:
            for each in group:
                yield from _matrix(each, graph, width)
    yield ""


def _shown(reading: Reading, graph: Graph, at: dict[str, int]) -> str:
    from shootlint.rulebook.compiling import of_reading
    from shootlint.rulebook.judging import picked, shown

    value = graph[reading.name]
    if value.unknown:
        return f"unknown; needs {', '.join(sorted(value.needs))}"
    ready = of_reading(reading)
    return shown(ready, picked(value, at), graph.scene)


def _across(group: list[Reading], graph: Graph, width: int, axis: str, at: dict[str, int]) -> Iterator[str]:
    names = labels(graph, axis)
    cells = [[_shown(each, graph, {**at, axis: place}) for place in range(len(names))] for each in group]
    known = [row for each, row in zip(group, cells, strict=True) if not graph[each.name].unknown]
    columns = [max(map(len, [name, *(row[place] for row in known)])) for place, name in enumerate(names)]
    if names:
        yield f"  {'':{width}}  " + "  ".join(f"{name:>{column}}" for name, column in zip(names, columns, strict=True))
    for each, row in zip(group, cells, strict=True):
        if graph[each.name].unknown:
            yield f"  {each.name:{width}}  {_shown(each, graph, {})}"
        elif not names:
            yield f"  {each.name:{width}}  for no {axis}: there is none"
        else:
            yield f"  {each.name:{width}}  " + "  ".join(f"{cell:>{column}}" for cell, column in zip(row, columns, strict=True))


def _over_time(group: list[Reading], graph: Graph, width: int) -> Iterator[str]:
    """First and last minute of the slot; all of them stand in the JSON."""
    clocks = labels(graph, "minute")
    shown = [0, len(clocks) - 1] if len(clocks) > 1 else [0]
    if clocks:
        yield f"  {'':{width}}  " + "  ".join(f"{clocks[place]:>12}" for place in shown)
    for each in group:
        if graph[each.name].unknown:
            yield f"  {each.name:{width}}  {_shown(each, graph, {})}"
        else:
            yield f"  {each.name:{width}}  " + "  ".join(f"{_shown(each, graph, {'minute': place}):>12}" for place in shown)


def _matrix(reading: Reading, graph: Graph, width: int) -> Iterator[str]:
    first, second = reading.axes
    if graph[reading.name].unknown:
        yield f"  {reading.name:{width}}  {_shown(reading, graph, {})}"
        return
    rows, names = labels(graph, first) or ["at any time"] * (first == "minute"), labels(graph, second)
    cells = [[_shown(reading, graph, {first: row, second: column}) for column in range(len(names))] for row in range(len(rows))]
    columns = [max(map(len, [name, *(row[place] for row in cells)])) for place, name in enumerate(names)]
    yield f"  {reading.name:{width}}  " + "  ".join(f"{name:>{column}}" for name, column in zip(names, columns, strict=True))
    for name, row in zip(rows, cells, strict=True):
        yield f"  {name:>{width}}  " + "  ".join(f"{cell:>{column}}" for cell, column in zip(row, columns, strict=True))
