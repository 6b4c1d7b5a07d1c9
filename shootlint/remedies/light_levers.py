"""Levers of the lights: power, place, gel, stand and ballast."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from shootlint.language.edits import Change
from shootlint.language.model import Stand
from shootlint.language.source import Place
from shootlint.readings.axes import Array
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Lamp
from shootlint.readings.wording import number
from shootlint.remedies.levers import (
    EDITORIAL,
    MECHANICAL,
    Setting,
    Turn,
    chosen,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)


def _at_light(
    graph: Graph,
    index: int,
    replaced: dict[str, Array],
    titles: Sequence[str],
    changes: Sequence[tuple[Change, ...]],
    sizes: Array,
    values: Array | None = None,
) -> Turn:
    here = chosen("light", index, graph)
    settings = {name: Setting(option(numbers), here) for name, numbers in replaced.items()}
    return Turn(settings, titles, changes, sizes, "light", frozenset({index}), graph.scene.lamps[index].name, values)


@lever(
    "power", MECHANICAL, 1.0, 0.3, "stops", "{} more from the battery", "{} less from the battery", "number", ways=("up", "down")
)
def power(graph: Graph) -> Iterator[Turn]:
    """What a light is set to, in third stops down from full, or in tenths where the plan sets a light in tenths."""
    tenths = any(_in_tenths(each.power.value) for setup in graph.scene.plan.setup for each in setup.place)
    for index, lamp in enumerate(graph.scene.lamps):
        now, least = lamp.placement.power.value, lamp.light.least_power.value
        steps = np.arange(0, int(np.round(-3 * np.log2(least))) + 1)
        downs = np.round(steps / 3, 1)
        if tenths:
            downs = np.unique(np.round(np.concatenate([downs, np.arange(0, int(downs[-1] * 10) + 1) / 10]), 1))
        values = np.exp2(-downs)
        texts = [f"1/{2 ** int(down)}" if down == int(down) else f"-{number(float(down), 1)} stops" for down in downs]
        keep = (values <= lamp.light.most_power.value * (1 + 1e-9)) & (values >= least * (1 - 1e-9))
        sizes = np.log2(values / now)
        order = np.argsort(np.abs(sizes), kind="stable")
        order = order[keep[order] & (np.abs(sizes[order]) > 1e-6)]
        texts = [texts[place] for place in order]
        yield _at_light(
            graph, index, {"power": values[order]}, [f"power {text} on {lamp.name}" for text in texts],
            replacing(lamp.placement.power.place, texts), sizes[order], values[order],
        )  # fmt: skip


def _in_tenths(power: float) -> bool:
    """Whether a power is a tenth of a stop that no light has which is set in thirds."""
    down = float(-np.log2(power))
    thirds = round(round(down * 3) / 3, 1)
    return abs(down - round(down, 1)) < 1e-6 and abs(down - thirds) > 0.05


@lever(
    "light-distance",
    EDITORIAL,
    2.5,
    0.8,
    "m",
    "the light falls off more slowly, and is harder",
    "the light is softer, and falls off faster",
)
def light_distance(graph: Graph) -> Iterator[Turn]:
    """How far a light stands from the group, in steps of 10 cm."""
    for index, lamp in enumerate(graph.scene.lamps):
        current = lamp.placement.distance
        steps = np.round(current.value + 0.1 * np.arange(-60, 61), 6)
        steps = steps[(steps >= 1.0) & (steps <= 12.0)]
        texts, values = written(nearest_first(steps, np.abs(steps - current.value)), current, "m", 0.01)
        yield _at_light(
            graph, index, {"light-distance": values}, [f"{lamp.name} at {text}" for text in texts],
            replacing(current.place, texts), values - current.value, values,
        )  # fmt: skip


@lever("light-height", EDITORIAL, 2.5, 0.8, "m", "{} higher, and more to hold in the wind", "{} lower", ways=("up", "down"))
def light_height(graph: Graph) -> Iterator[Turn]:
    """How high a light stands, in steps of 10 cm, no higher than its stand goes and with its modifier clear of the ground."""
    for index, lamp in enumerate(graph.scene.lamps):
        current = lamp.placement.height
        highest = lamp.stand.highest.value if lamp.stand is not None and lamp.stand.highest is not None else 3.0
        steps = np.round(current.value + 0.1 * np.arange(-25, 26), 6)
        steps = steps[(steps >= 0.5 + _half_height(lamp)) & (steps <= highest)]
        texts, values = written(nearest_first(steps, np.abs(steps - current.value)), current, "m", 0.01)
        yield _at_light(
            graph, index, {"light-height": values}, [f"{lamp.name} {text} high" for text in texts],
            replacing(current.place, texts), values - current.value, values,
        )  # fmt: skip


def _half_height(lamp: Lamp) -> float:
    modifier = lamp.light.modifier
    return modifier.size.height.value / 2 if modifier is not None and modifier.size is not None else 0.0


@lever("light-angle", EDITORIAL, 2.5, 0.02, "deg", "the light moves around the group by {}", ways=("to the right", "to the left"))
def light_angle(graph: Graph) -> Iterator[Turn]:
    """Where a light stands around the group, in steps of 5 deg, on its own side first."""
    for index, lamp in enumerate(graph.scene.lamps):
        angle = lamp.placement.angle
        left = angle.angle < 0 or angle.written.startswith("left")
        steps = 5.0 * np.arange(0, 37)
        sides = np.concatenate([steps, -steps[1:-1]]) * (-1 if left else 1)
        # Behind the group it is a short way from one side to the other.
        sizes = 180.0 - np.mod(180.0 - (sides - angle.angle), 360.0)
        order = np.argsort(np.abs(sizes), kind="stable")
        order = order[np.abs(sizes[order]) > 1e-6]
        own_side = np.arange(len(sides)) < len(steps)
        texts = [
            f"{'left' if left is bool(own_side[place]) else 'right'} {number(float(abs(sides[place])), 0)} deg" for place in order
        ]
        yield _at_light(
            graph, index, {"light-angle": sides[order]}, [f"{lamp.name} {text}" for text in texts],
            replacing(angle.place, texts), sizes[order], np.abs(sides[order]),
        )  # fmt: skip


@lever("gel", MECHANICAL, 1.5, 0.005, "mired", "{} warmer", "{} cooler", "mired shift")
def gel(graph: Graph) -> Iterator[Turn]:
    """The gel on a light: none, or another one of the kit."""
    for index, lamp in enumerate(graph.scene.lamps):
        worn = [str(name) for name in lamp.placement.gel]
        kit = sorted(graph.scene.plan.gel, key=lambda each: abs(each.shift.value))
        choices = [*([None] if worn else []), *(each for each in kit if [str(each.name)] != worn)]
        shifts = np.array([each.shift.value if each is not None else 0.0 for each in choices])
        losses = np.array([each.loses.value if each is not None else 0.0 for each in choices])
        titles = [f'gel "{each.name}" on {lamp.name}' if each is not None else f"no gel on {lamp.name}" for each in choices]
        places = [name.place for name in lamp.placement.gel]
        changes = [_gel_change(lamp.placement.where, places, str(each.name) if each is not None else None) for each in choices]
        sizes = shifts - sum(each.shift.value for each in lamp.gels)
        yield _at_light(graph, index, {"gel-shift": shifts, "gel-loss": losses}, titles, changes, sizes, shifts)


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


MOST_BALLAST = 25.0
"""Kilograms: two bags as heavy as one person carries over a meadow and hangs up safely. Common practice, no source."""
TIMES_WHAT_IT_CARRIES = 3.0
"""How much ballast hangs on a stand at most, by what its maker lets it carry on top: it hangs low and pulls straight down,
and yet on the same tubes. Common practice, no source; few makers tell."""


def _most_ballast(lamp: Lamp) -> float:
    carries = lamp.stand.carries if lamp.stand is not None else None
    return MOST_BALLAST if carries is None else min(MOST_BALLAST, TIMES_WHAT_IT_CARRIES * carries.value)


@lever("bag", MECHANICAL, 0.5, 0.02, "kg", "{} more to carry", ways=("more", "less"))
def bag(graph: Graph) -> Iterator[Turn]:
    """The ballast that a stand carries, in whole kilograms; no more than 25 kg, and no more than three times what the stand's
    maker lets it carry."""
    for index, lamp in enumerate(graph.scene.lamps):
        told, line = lamp.placement.bag, lamp.placement.where
        current = told.value if told is not None else 0.0
        _, steps = written(np.arange(0.0, MOST_BALLAST + 1.0), told, "kg", 1.0, graph.scene.in_feet)
        steps = steps[steps <= _most_ballast(lamp)]
        texts, values = written(steps[steps > current], told, "kg", 1.0, graph.scene.in_feet)
        if told is not None and told.place is not None:
            changes = replacing(told.place, texts)
        else:
            end = line.source.place(line.end, line.end) if line is not None else None
            changes = replacing(end, [f", bag {text}" for text in texts])
        yield _at_light(
            graph, index, {"bag": values}, [f"bag {text} on {lamp.name}" for text in texts], changes, values - current, values
        )


@lever("stand", MECHANICAL, 1.5)
def stand(graph: Graph) -> Iterator[Turn]:
    """The stand under a light: another one of the kit that carries no other light of the setup."""
    setup = graph.scene.setup
    taken = {str(each.stand) for each in setup.place if each.stand is not None}
    free = [each for each in graph.scene.plan.stand if str(each.name) not in taken]
    for index, lamp in enumerate(graph.scene.lamps):
        line, told = lamp.placement.where, lamp.placement.stand
        if told is not None:
            changes = replacing(told.place, [f'"{each.name}"' for each in free])
        else:
            end = line.source.place(line.end, line.end) if line is not None else None
            changes = replacing(end, [f', stand "{each.name}"' for each in free])
        facts = {f"stand-{field}": [getattr(each, field) for each in free] for field in STAND_FACTS}
        yield _at_light(
            graph,
            index,
            {name: np.array([np.nan if each is None else each.value for each in told]) for name, told in facts.items()},
            [f'{lamp.name} on stand "{each.name}"' for each in free],
            changes,
            np.ones(len(free)),
        )


STAND_FACTS = [name for name in Stand.model_fields if f"stand-{name}" in catalogue()]
"""What a kit says of its stands and readings take from there."""
