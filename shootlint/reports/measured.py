"""What a plan measures, as a table that people read and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from shootlint.reports.layout import GAP, WIDTH, cells, padded, side_by_side, wrapped

if TYPE_CHECKING:
    from shootlint.readings.catalogue import Reading
    from shootlint.readings.graph import Graph, Value
    from shootlint.readings.packing import Item


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


def table(readings: list[Reading], graph: Graph, every: int | None = None) -> Iterator[str]:
    """The readings as a person reads them, by subject: those of the setup in a list, the others with their names across.

    Those that change with the minute are shown at the first and the last of them, or in a row every so many minutes.
    """
    yield f'setup "{graph.scene.setup.name}"'
    width = max((len(each.name) for each in readings), default=0)
    for subject in dict.fromkeys(each.subject for each in readings):
        about = [each for each in readings if each.subject == subject]
        yield ""
        yield subject
        for axes in sorted({each.axes for each in about}, key=lambda each: (len(each), each)):
            group = [each for each in about if each.axes == axes]
            if not axes:
                yield from (line for each in group for line in _row(each.name, width, _shown(each, graph, {})))
            elif axes == ("minute",) and every is not None:
                yield from _minute_rows(group, graph, every)
            elif axes == ("minute",):
                yield from _over_time(group, graph, width)
            elif len(axes) == 1:
                yield from _across(group, graph, width, axes[0])
            else:
                for each in group:
                    yield from _matrix(each, graph, width)
    yield ""


def packing(items: list[Item]) -> Iterator[str]:
    """The packing list."""
    if items:
        yield "to pack"
        yield from (f"  {each.count} × {each.kind} {each.name}" for each in items)
        yield ""


def _minute_rows(group: list[Reading], graph: Graph, every: int) -> Iterator[str]:
    """A row for every so many minutes and for the last one, in as many tables as the width asks for."""
    clocks = labels(graph, "minute")
    unknown = [each for each in group if graph[each.name].unknown or not clocks]
    for each in unknown:
        yield from _row(each.name, cells(each.name), _shown(each, graph, {}))
    places = sorted({*range(0, len(clocks), every), len(clocks) - 1}) if clocks else []
    if places:
        known = [each for each in group if each not in unknown]
        rows = {clocks[place]: [_shown(each, graph, {"minute": place}) for each in known] for place in places}
        yield from _tables([each.name for each in known], rows, max(map(cells, rows)))


def _row(name: str, width: int, text: str) -> Iterator[str]:
    yield from wrapped(text, f"  {padded(name, width)}  ", width + 4)


def _tables(heads: list[str], rows: dict[str, list[str]], width: int, corner: str = "") -> Iterator[str]:
    """Rows under heads, the names of the rows before them; as many tables below each other as the width asks for."""
    sizes = [max(map(cells, [head, *(row[place] for row in rows.values())])) for place, head in enumerate(heads)]
    for places in side_by_side(sizes, WIDTH - 2 - width):
        for name, row in {corner: heads, **rows}.items():
            told = (" " * GAP + padded(row[place], sizes[place], right=True) for place in places)
            yield f"  {padded(name, width)}{''.join(told)}".rstrip()


def _shown(reading: Reading, graph: Graph, at: dict[str, int]) -> str:
    from shootlint.rulebook.judging import picked, shown_whole

    value = graph[reading.name]
    if value.unknown:
        return f"unknown; needs {', '.join(sorted(value.needs))}"
    return shown_whole(reading, picked(value, at), graph.scene)


def _across(group: list[Reading], graph: Graph, width: int, axis: str) -> Iterator[str]:
    names = labels(graph, axis)
    known = [each for each in group if not graph[each.name].unknown]
    if names and known:
        rows = {each.name: [_shown(each, graph, {axis: place}) for place in range(len(names))] for each in known}
        yield from _tables(names, rows, width)
    for each in group:
        if each not in known:
            yield from _row(each.name, width, _shown(each, graph, {}))
        elif not names:
            yield from _row(each.name, width, f"for no {axis}: there is none")


def _over_time(group: list[Reading], graph: Graph, width: int) -> Iterator[str]:
    """First and last minute of the slot; all of them stand in the JSON."""
    clocks = labels(graph, "minute")
    shown = [0, len(clocks) - 1] if len(clocks) > 1 else [0]
    if clocks:
        yield f"  {'':{width}}  " + "  ".join(f"{clocks[place]:>12}" for place in shown)
    for each in group:
        if graph[each.name].unknown:
            yield from _row(each.name, width, _shown(each, graph, {}))
        else:
            yield f"  {each.name:{width}}  " + "  ".join(f"{_shown(each, graph, {'minute': place}):>12}" for place in shown)


MOST_CELLS = 10_000
"""A table of more is looked at by nobody (a choice, no source)."""


def _matrix(reading: Reading, graph: Graph, width: int) -> Iterator[str]:
    first, second = reading.axes
    if graph[reading.name].unknown:
        yield from _row(reading.name, width, _shown(reading, graph, {}))
        return
    outer, inner = labels(graph, first) or ["at any time"] * (first == "minute"), labels(graph, second)
    if len(outer) * len(inner) > MOST_CELLS:
        yield from _row(reading.name, width, f"{len(outer)} times {len(inner)} values, which stand in the JSON")
        return
    rows = {
        padded(name, width, right=True): [_shown(reading, graph, {first: row, second: column}) for column in range(len(inner))]
        for row, name in enumerate(outer)
    }
    yield from _tables(inner, rows, width, reading.name)
