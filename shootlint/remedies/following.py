"""What to do when a shutter that follows the light comes to its end: steps of ISO or aperture, each judged by all rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from shootlint.physics import exposure
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.graph import Graph
from shootlint.readings.wording import number
from shootlint.remedies.house import HouseLevers, house_levers
from shootlint.remedies.levers import option
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import Question, speaks_of_slots
from shootlint.rulebook.judging import has_nothing_to_judge

MINUTE = INDEX["minute"]
_BETWEEN = np.sqrt(exposure.MARKED_EXPOSURE_TIMES[1:] * exposure.MARKED_EXPOSURE_TIMES[:-1])
_EXACT = exposure.EXACT_EXPOSURE_TIMES
ROUNDING = float(np.abs(np.log2([_BETWEEN / _EXACT[1:], _BETWEEN / _EXACT[:-1]])).max()) + 1e-6
"""Stops by which a shutter that follows in marked thirds of a stop may be off without being at its end."""
MOST_THIRDS = 12
THIRDS = np.arange(1, MOST_THIRDS + 1)


@dataclass(frozen=True)
class Step:
    """One thing to turn, so that the shutter follows on."""

    title: str
    until: float
    """The last minute to which it does, as an instant."""
    breaks: tuple[str, ...] = ()
    """The rules that held until then and do not with it."""


@dataclass(frozen=True)
class End:
    """When a shutter that follows the light is at its end, and what then keeps the pictures alike."""

    start: float
    """The first and the last of its minutes, as instants."""
    end: float
    too_dark: bool
    steps: tuple[Step, ...]
    """Those that break nothing, where there are any; else the least of each kind, with what it breaks."""


@dataclass(frozen=True)
class _Try:
    titles: list[str]
    replaced: dict[str, Array]


def ends_of_following(question: Question, book: Book) -> list[End]:
    """Where within its slot the shutter of a setup is at its end; nothing where it follows nothing, or reaches throughout."""
    graph = question.graph
    error = graph["follow-error"]
    if graph["instant"].unknown or error.unknown:
        return []
    seconds = graph["instant"].array.ravel()
    off = np.broadcast_to(error.array.ravel(), seconds.size)
    at_end = np.where(np.abs(off) > ROUNDING, np.sign(off), 0.0)
    held = _held(question, book, Graph(graph.scene, {"instant": along("minute", seconds[at_end == 0])}, graph))
    return [
        _end(question, book, seconds[list(places)], too_dark=side < 0, held=held)
        for side, places in groupby(range(seconds.size), key=at_end.tolist().__getitem__)
        if side
    ]


def _end(question: Question, book: Book, seconds: Array, too_dark: bool, held: set[str]) -> End:
    rest = Graph(question.graph.scene, {"instant": along("minute", seconds)}, question.graph)
    tries = _tries(question.graph, 1 if too_dark else -1, house_levers(book)[0])
    steps = [step for each in tries for step in _least(question, book, rest, each, held)]
    clean = [step for step in steps if not step.breaks]
    clean.sort(key=lambda each: -each.until)
    return End(float(seconds[0]), float(seconds[-1]), too_dark, tuple(clean or steps))


def _held(question: Question, book: Book, followed: Graph) -> set[str]:
    """The rules, notes left out, that held while the shutter followed; all of them where it never did."""
    # What is left of the slot is no slot of its own, so rules about slots as a whole say nothing here.
    rules = [rule for rule in book.rules.values() if rule.scope != "plan" and rule.level != "note" and not speaks_of_slots(rule)]
    never = followed["instant"].array.size == 0
    return {rule.name for rule in rules if never or not question.fails(rule, followed).any()}


def _tries(graph: Graph, sign: int, house: HouseLevers) -> Iterator[_Try]:
    """Settings within the house's bounds that let more light count, or less, by thirds of a stop: each with all lights
    turned the other way, and alone."""
    stops = sign * THIRDS / 3
    lens, camera = graph.scene.lens.aperture, graph.scene.camera.iso.range
    iso = graph["iso"].array.item() * np.exp2(stops)
    f_number = graph["aperture"].array.item() * np.exp2(-stops / 2)
    iso_marks = exposure.nearest_marked(iso, exposure.MARKED_ISO)
    marks = exposure.nearest_marked(f_number, exposure.MARKED_F_NUMBERS)
    kinds = (
        ("iso", iso, [f"ISO {number(float(each), 0)}" for each in iso_marks], (camera.low.value, camera.high.value), iso_marks),
        ("aperture", f_number, [f"f/{number(float(each), 1)}" for each in marks], (lens.low.value, lens.high.value), marks),
    )
    for name, values, titles, (low, high), shown in kinds:
        if name not in house.allowed:
            continue
        least, most = house.bounds.get(name, (-np.inf, np.inf))
        good = (shown >= max(low, least) - 1e-9) & (shown <= min(high, most) + 1e-9)
        for lights in (True, False) if graph.scene.lamps and "power" in house.allowed else (False,):
            able = good & _within_power(graph, stops) if lights else good
            if not able.any():
                continue
            replaced = {name: option(values[able])}
            words = "" if not lights else f", every light {{}} {'down' if sign > 0 else 'up'}"
            if lights:
                replaced["power"] = graph["power"].array * option(np.exp2(-stops[able]))
            told = [
                f"{title}{words.format(_stops(third))}" for title, third in zip(np.array(titles)[able], THIRDS[able], strict=True)
            ]
            yield _Try(told, replaced)


def _within_power(graph: Graph, stops: Array) -> Mask:
    """By how many stops every light can be turned."""
    able = np.ones(stops.size, dtype=np.bool_)
    for lamp in graph.scene.lamps:
        power = lamp.placement.power.value * np.exp2(-stops)
        able &= (power >= lamp.light.least_power.value * 0.99) & (power <= lamp.light.most_power.value * 1.01)
    return able


def _stops(thirds: int) -> str:
    whole, part = divmod(int(thirds), 3)
    if not part:
        return f"{whole} stop{'' if whole == 1 else 's'}"
    return f"{f'{whole} ' if whole else ''}{part}/3 stop{'s' if whole else ''}"


def _least(question: Question, book: Book, rest: Graph, tries: _Try, held: set[str]) -> Iterator[Step]:
    """The step of a kind with which the shutter follows longest and nothing breaks, the least of equals; failing that, the
    least with which it follows to the end, and what that breaks."""
    seconds = rest["instant"].array.ravel()
    tried = Graph(rest.scene, {**tries.replaced, "instant": rest["instant"].array}, question.graph)
    shape = len(tries.titles), seconds.size
    strays = _by_option(np.abs(tried["follow-error"].array) > ROUNDING, shape)
    broken = {
        rule.name: _by_option(question.fails(rule, tried), shape)
        for rule in book.rules.values()
        if rule.name in held and not has_nothing_to_judge(rule, rest.scene)
    }
    bad = np.logical_or.reduce([strays, *broken.values()])
    reach = np.where(bad.any(axis=1), bad.argmax(axis=1), seconds.size)
    if reach.any():
        place = int(reach.argmax())
        yield Step(tries.titles[place], float(seconds[reach[place] - 1]))
    elif not strays.any(axis=1).all():
        place = int(strays.any(axis=1).argmin())
        yield Step(tries.titles[place], float(seconds[-1]), tuple(name for name, fails in broken.items() if fails[place].any()))


def _by_option(failing: Mask, shape: tuple[int, int]) -> Mask:
    others = tuple(axis for axis in range(RANK) if axis not in (INDEX["option"], MINUTE))
    found: Mask = np.broadcast_to(failing.any(axis=others), shape)
    return found
