"""Levers of the lights: power, place, gel and ballast."""

from __future__ import annotations

import numpy as np

from shootlint.language.source import Place
from shootlint.readings.axes import along
from shootlint.readings.graph import Graph
from shootlint.readings.wording import number
from shootlint.remedies.levers import (
    EDITORIAL,
    MECHANICAL,
    Options,
    chosen,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)
from shootlint.rulebook.finding import Change, Finding


@lever("power", MECHANICAL)
def power(graph: Graph, finding: Finding) -> Options | None:
    """What a light is set to, in third stops down from full."""
    index = dict(finding.index).get("light", _key_index(graph))
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
        replacing(lamp.placement.power.place, [str(text) for text in texts]),
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
        replacing(current.place, texts),
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
        changes = replacing(told.place, texts)
    else:
        end = line.source.place(line.end, line.end) if line is not None else None
        changes = replacing(end, [f", bag {text}" for text in texts])
    return Options(
        {"bag": np.where(chosen("light", index, graph), option(values), graph["bag"].array)},
        [f"bag {text} on {lamp.name}" for text in texts],
        changes,
    )


@lever("light-height", EDITORIAL)
def light_height(graph: Graph, finding: Finding) -> Options | None:
    """How high a light stands, in steps of 10 cm, no higher than its stand goes."""
    index = dict(finding.index).get("light", _key_index(graph))
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    current = lamp.placement.height
    highest = lamp.stand.highest.value if lamp.stand is not None and lamp.stand.highest is not None else 3.0
    steps = np.round(current.value + 0.1 * np.arange(-25, 26), 6)
    steps = steps[(steps >= 0.5) & (steps <= highest)]
    texts, values = written(nearest_first(steps, np.abs(steps - current.value)), current, "m", 0.01)
    return Options(
        {"light-height": np.where(chosen("light", index, graph), option(values), graph["light-height"].array)},
        [f"{lamp.name} {text} high" for text in texts],
        replacing(current.place, texts),
    )


@lever("light-angle", EDITORIAL)
def light_angle(graph: Graph, finding: Finding) -> Options | None:
    """Where a light stands around the group, in steps of 5 deg on the side where it is."""
    index = dict(finding.index).get("light", _key_index(graph))
    if index is None:
        return None
    lamp = graph.scene.lamps[index]
    angle = lamp.placement.angle
    side = "left" if angle.angle < 0 or angle.written.startswith("left") else "right"
    steps = 5.0 * np.arange(0, 37)
    sizes = nearest_first(steps, np.abs(steps - abs(angle.angle)))
    values = -sizes if side == "left" else sizes
    texts = [f"{side} {number(float(size), 0)} deg" for size in sizes]
    return Options(
        {"light-angle": np.where(chosen("light", index, graph), option(values), graph["light-angle"].array)},
        [f"{lamp.name} {text}" for text in texts],
        replacing(angle.place, texts),
    )
