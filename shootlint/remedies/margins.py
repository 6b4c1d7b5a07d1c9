"""By how much a plan holds: what each rule leaves to spare, and how far things may drift before it fails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shootlint.language.units import BY_SPELLING
from shootlint.readings.axes import AXES, INDEX, Array, Mask
from shootlint.readings.catalogue import ISO, catalogue
from shootlint.readings.graph import Graph, Value
from shootlint.readings.wording import in_plans_units, in_words, least_bit, number
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import NO_MEASURE, Setting, Turn, in_steps
from shootlint.remedies.room import room_for
from shootlint.remedies.standing import WHOLE_PLAN, Standing
from shootlint.remedies.tried import Tried
from shootlint.rulebook.ready import ReadyRule
from shootlint.rulebook.running import Compared

OPTION, MINUTE = INDEX["option"], INDEX["minute"]
STOPS = BY_SPELLING["stops"]
FINE = 48
"""So many settings are tried between what holds and what does not, three times over."""
TIGHT = 0.25
"""A rule that leaves this share of its limit or more does not hold by little (a choice, no source)."""
SCALES = {
    "stops": 1.0,
    "exposure": 1.0,
    "angle": 20.0,
    "length": 0.3,
    "time": 300.0,
    "mired shift": 40.0,
    "share": 1.0,
    "instant": 1800.0,
}
"""What a rule's margin is compared with where its limit is nought, in base units (a choice, no source)."""
FIXED = ("stops", "exposure", "instant", "angle")
"""Kinds of which a margin is compared with the same, whatever the limit: a stop is a stop."""
EXACT = 1e-9
"""A share so small is rounding: what is compared stands at its limit."""
MOST_DRIFTS = 3


@dataclass(frozen=True)
class Margin:
    """What one rule leaves to spare where it is tightest in a setup."""

    rule: ReadyRule
    at: int
    index: tuple[tuple[str, int], ...]
    about: tuple[str, ...]
    compared: Compared
    value: float
    limit: float
    share: float
    """What is left, as a share of the limit."""
    in_feet: bool
    """Whether the plan is written in feet."""

    @property
    def spare(self) -> float:
        return abs(self.value - self.limit)

    def in_words(self) -> str:
        about = f" for {', '.join(self.about)}" if self.about else ""
        spare = self.spare_in_words()
        return f"{self.rule.name}{about} holds by {spare if spare.split()[0] != '0' else 'next to nothing'}"

    def spare_in_words(self) -> str:
        """What is left, in the unit of what is compared; of apertures, powers, sensitivities and times of exposure in stops,
        as their marks are told apart, of clock times in minutes."""
        unit = self.compared.left.unit
        if unit.name == "f/":
            return in_steps(abs(2 * np.log2(self.value / self.limit)), STOPS)
        if unit.kind == "power" or unit is ISO or (unit.name == "s" and max(self.value, self.limit) < 1.0):
            return in_steps(abs(np.log2(self.value / self.limit)), STOPS)
        if unit.kind == "instant":
            return in_words(self.spare, BY_SPELLING["min"])
        if unit.name == "s":
            return f"{number(self.spare, 1)} s"
        return in_words(self.spare, STOPS if unit.kind == "exposure" else in_plans_units(unit, self.in_feet))


@dataclass(frozen=True)
class Drift:
    """How far something may go from what the plan says before a rule fails."""

    lever: str
    subject: str
    size: float
    words: str


def margins(standing: Standing) -> list[Margin]:
    """The tightest margin of each rule that holds in each setup, the tightest first. Rules that compare nothing that can
    be told apart by degrees, such as words and whole truths, have none."""
    found = []
    for rule, at in standing.everywhere():
        if at != WHOLE_PLAN and not standing.outcome(rule, at).failing.any():
            margin = tightest(rule, at, standing)
            if margin is not None:
                found.append(margin)
    return sorted(found, key=lambda each: (each.share, each.rule.name, each.at))


@dataclass(frozen=True)
class ByLittle:
    """A rule that holds by little, in words."""

    rule: str
    setup: str
    about: tuple[str, ...]
    words: str
    drifts: tuple[str, ...]


def by_little(standing: Standing, house: HouseLevers, most: int = 5) -> list[ByLittle]:
    """The tightest margins of a plan, with what may drift how far before each rule fails."""
    return [
        ByLittle(
            each.rule.name,
            str(standing.scenes[each.at].setup.name),
            each.about,
            each.in_words(),
            tuple(drift.words for drift in drifts(each, standing, house)[:MOST_DRIFTS]),
        )
        for each in margins(standing)[:most]
        if each.share < TIGHT
    ]


def tightest(rule: ReadyRule, at: int, standing: Standing) -> Margin | None:
    """Where a rule that holds in a setup leaves least, by the comparison that leaves least; None where none can tell."""
    graph = standing.graphs[at]
    if rule.require.joined == "or" or not rule.require.comparisons:
        return None
    applies = _applies(rule, graph)
    best: Margin | None = None
    for compared in rule.require.comparisons:
        if compared.sign in ("=", "!="):
            continue
        left, right = compared.left.run(graph), compared.right.run(graph)
        share = _share(compared, left, right)
        if share is None:
            continue
        names = graph.scene.names
        shape = [
            max(size, len(names.get(axis, ())) if axis in rule.axes else 1) for axis, size in zip(AXES, share.shape, strict=True)
        ]
        over = np.where(np.broadcast_to(applies, np.broadcast_shapes(shape, applies.shape)), share, np.inf)
        over = np.where(np.isnan(over), np.inf, over)
        position = np.unravel_index(int(np.argmin(over)), over.shape)
        least = float(over[position])
        # What stands at its limit does so on purpose: one key of one that is wanted, the camera's own base ISO.
        if not np.isfinite(least) or least <= EXACT or (best is not None and best.share <= least):
            continue
        index = tuple((axis, int(position[INDEX[axis]])) for axis in rule.axes)
        about = tuple(names[axis][place] for axis, place in index)
        best = Margin(rule, at, index, about, compared, _at(left, position), _at(right, position), least, graph.scene.in_feet)
    return best


def _applies(rule: ReadyRule, graph: Graph) -> Mask:
    where = rule.where.run(graph).array == 1.0 if rule.where is not None else np.ones((1,) * len(AXES), dtype=bool)
    if rule.axes == ("person", "other"):
        where = where & (graph["neighbours"].array == 1.0)
    return where


def _share(compared: Compared, left: Value, right: Value) -> Array | None:
    """What a comparison leaves, as a share of its limit, over all axes."""
    unit = compared.left.unit
    more = 1.0 if compared.sign in (">", ">=") else -1.0
    with np.errstate(all="ignore"):
        if unit.name == "f/" or unit.kind == "power":
            found: Array = more * np.log2(left.array / right.array) * (2.0 if unit.name == "f/" else 1.0)
            return found
        # Where things are is told from the camera or the ground, so how far that is says nothing of what is near.
        fixed = unit.kind in FIXED or unit.name == "m"
        scale = np.zeros_like(right.array) if fixed else np.abs(right.array)
        scale = np.where(scale > 0, scale, SCALES.get(unit.kind, 1.0))
        return more * (left.array - right.array) / scale


def _at(value: Value, position: tuple[np.intp, ...]) -> float:
    return float(value.array[tuple(min(int(place), size - 1) for place, size in zip(position, value.array.shape, strict=True))])


def drifts(margin: Margin, standing: Standing, house: HouseLevers) -> list[Drift]:
    """How far what the rule's levers turn may drift, each way, before the rule fails for the one that is tightest; the
    least first. What may drift as far as its lever goes is left out."""
    found = []
    index = dict(margin.index)
    for word in margin.rule.rule.remedy:
        for turn in house.turns_of(str(word), standing.graphs[margin.at]):
            other = turn.axis and turn.axis in index and index[turn.axis] not in turn.members
            if turn.lever.measure is not NO_MEASURE and turn.lever.ways[0] and not other:
                found += list(_ways(margin, turn, standing))
    return sorted(found, key=lambda each: each.size)


def _ways(margin: Margin, turn: Turn, standing: Standing) -> Iterator[Drift]:
    for sign, way in zip((1.0, -1.0), turn.lever.ways, strict=True):
        size = _first_failing(margin, turn, standing, sign)
        if size is not None:
            measure = turn.lever.measure
            amount = in_steps(size, measure, turn.in_feet) if measure.kind != "stops" else in_words(size, STOPS)
            subject = turn.subject or turn.lever.name.replace("-", " ")
            what = f"{subject} {turn.lever.name.removeprefix('light-')}" if turn.axis == "light" else subject
            yield Drift(turn.lever.name, turn.subject, size, f"{what} {least_bit(amount)} {way}")


def _first_failing(margin: Margin, turn: Turn, standing: Standing, sign: float) -> float | None:
    """The least drift at which the rule fails, on finer and finer grids of settings; None where none of them fails."""
    places = np.flatnonzero(turn.sizes * sign > 0)
    if not len(places):
        return None
    places = places[np.argsort(np.abs(turn.sizes[places]), kind="stable")]
    low, high = 0.0, float(np.abs(turn.sizes[places]).max())
    finest = high / FINE**3 * (1 + 1e-9)
    count = min(FINE, room_for(standing.scenes[margin.at]))
    while high - low > finest:
        sizes = np.linspace(low, high, count + 1)[1:]
        failing = _fails(margin, _between(turn, places, sizes, standing.graphs[margin.at]), standing)
        if not failing.any():
            return None
        first = int(np.argmax(failing))
        low, high = (float(sizes[first - 1]) if first else low), float(sizes[first])
    return low


def _fails(margin: Margin, turn: Turn, standing: Standing) -> Mask:
    tried = Tried(standing, turn, margin.at)
    failing = tried.outcome(margin.rule, margin.at).failing
    for axis, place in margin.index:
        failing = failing.take([min(place, failing.shape[INDEX[axis]] - 1)], axis=INDEX[axis])
    others = tuple(axis for axis in range(failing.ndim) if axis != OPTION)
    return np.broadcast_to(failing.any(axis=others), (len(turn.titles),))


def _between(turn: Turn, places: NDArray[np.intp], sizes: Array, graph: Graph) -> Turn:
    """A turn at sizes between those of its options and none, its settings taken to change evenly from one to the next."""
    nodes = np.concatenate([[0.0], np.abs(turn.sizes[places])])
    right = np.clip(np.searchsorted(nodes, sizes), 1, len(nodes) - 1)
    part = ((sizes - nodes[right - 1]) / (nodes[right] - nodes[right - 1])).reshape(
        [-1 if axis == OPTION else 1 for axis in range(len(AXES))]
    )
    replaced: dict[str, Setting] = {}
    for name, setting in turn.replaced.items():
        options = setting.values.take(places, axis=OPTION)
        base = now = graph[name].array
        if setting.where is not None and setting.where.any() and options.size == len(places):
            # One number stands for all whom it is for, so what they have now is that of the first of them.
            base = np.full(
                [1] * len(AXES), np.broadcast_to(now, np.broadcast_shapes(now.shape, setting.where.shape))[setting.where].flat[0]
            )
        if base.shape[MINUTE] not in (1, options.shape[MINUTE]):
            # A slot that is shorter than others stays at its last minute.
            base = base.take(np.minimum(np.arange(options.shape[MINUTE]), base.shape[MINUTE] - 1), axis=MINUTE)
        shape = [max(a, b) for a, b in zip(base.shape, options.shape, strict=True)]
        shape[OPTION] = 1
        steps = np.concatenate(
            [np.broadcast_to(base, shape), np.broadcast_to(options, [*shape[:OPTION], len(places), *shape[OPTION + 1 :]])],
            axis=OPTION,
        )
        if catalogue()[name].unit.name == "deg":
            # From 355 deg to 0 deg it is 5 deg and not the way back.
            steps = np.unwrap(steps, axis=OPTION, period=360.0)
        values = steps.take(right - 1, axis=OPTION) * (1 - part) + steps.take(right, axis=OPTION) * part
        replaced[name] = Setting(values, setting.where)
    titles = [""] * len(sizes)
    return Turn(replaced, titles, [()] * len(sizes), sizes, turn.axis, turn.members, lever=turn.lever)
