"""Laying the slots of a day where the plan holds: each as far as may be from the minutes in which it would not.

Every start of every slot is judged as the whole slot that it would be, so that rules over a slot count as they do in a
check. How much time must lie between two setups is asked of the rules about slots, not known here.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from shootlint.language import clocks
from shootlint.language.model import Plan
from shootlint.language.values import Clock
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along, single
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import Scene, scenes
from shootlint.readings.time import NAMINGS
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import LARGEST_BLOCK, THE_CLOCK, Block, Question, speaks_of_slots
from shootlint.rulebook.judging import has_nothing_to_judge
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.ready import ReadyRule

MOST_SETUPS = 6
"""So many setups are tried in every order; more are laid in the order planned."""
LONGEST_GAP = 240
"""Minutes between two setups up to which the rules about slots are asked."""
Minutes = NDArray[np.int64]


@dataclass(frozen=True)
class Laid:
    """A setup's slot as laid, as the instants of its first and last minute."""

    scene: Scene
    start: float
    end: float
    earlier: int
    """Minutes by which the slot could lie earlier, all else let be, and still hold."""
    later: int


@dataclass(frozen=True)
class Layout:
    """The slots of a day."""

    date: datetime.date
    laid: list[Laid]
    """In the order of their times; empty where they do not fit one after another."""
    homeless: list[Scene]
    """The setups that have no slot in which they hold."""
    failing: list[str]
    """What of the rules asked does not hold even so; all of them were judged once more with the slots as laid."""
    in_planned_order: bool = True


@dataclass(frozen=True)
class _Choice:
    """Where a slot may begin: for each minute of the day how far it is from one where it may not, -1 where it may not itself."""

    question: Question
    length: int
    earlier: Minutes
    later: Minutes

    @property
    def margin(self) -> Minutes:
        found: Minutes = np.minimum(self.earlier, self.later)
        return found


def lay(
    plan: Plan,
    book: Book,
    today: datetime.date,
    date: datetime.date,
    level: str = "error",
    within: tuple[Clock, Clock] | None = None,
) -> Layout | None:
    """The sound setups of a plan laid out on a day so that the least margin of any of them is as long as can be; None where
    a setup has no length, or the site no zone or no position, without which one time is as good as another."""
    found = scenes(plan)
    if not found or any(scene.zone is None or slot_minutes(scene) is None for scene in found):
        return None
    if plan.site is None or plan.site.position is None:
        return None
    asked = [rule for rule in book.rules.values() if LEVELS.index(rule.level) <= LEVELS.index(level)]
    # A window may go past midnight.
    beyond = plan.window.end.minutes if plan.window is not None and plan.window.end <= plan.window.start else 0
    block = Block.of([date], found[0], within, beyond)
    choices = [
        _choice(Question(plan, book, today, Graph(scene)), book, asked, block, slot_minutes(scene) or 0) for scene in found
    ]
    homeless = [choice.question.graph.scene for choice in choices if choice.margin.max() < 0]
    housed = _as_planned([choice for choice in choices if choice.margin.max() >= 0])
    gaps = _gaps([choice.question for choice in housed], [choice.length for choice in housed], book, block)
    order, starts = _best(housed, gaps)
    instants = block.instants[0]
    laid = [
        Laid(
            housed[place].question.graph.scene,
            float(instants[start]),
            float(instants[start] + 60 * housed[place].length),
            int(housed[place].earlier[start]),
            int(housed[place].later[start]),
        )
        for place, start in zip(order, starts, strict=True)
    ]
    failing = _failing(laid, [housed[place].question for place in order], asked) if laid else []
    return Layout(date, laid, homeless, failing, list(order) == sorted(order))


def slot_minutes(scene: Scene) -> int | None:
    """How long a setup's slot is to be: as its own time says, else as long as its pictures take, else the plan's window."""
    if scene.setup.time is not None:
        return scene.setup.time.minutes
    pictures = Graph(scene)["frames-take"].array
    if np.isfinite(pictures).all():
        return int(np.ceil(pictures.max() / 60))
    return scene.plan.window.minutes if scene.plan.window is not None else None


def _as_planned(choices: list[_Choice]) -> list[_Choice]:
    """In the order of the clock where all have their times, else as written."""
    slots = [choice.question.graph.scene.slot for choice in choices]
    if any(slot is None for slot in slots):
        return choices
    return sorted(choices, key=lambda choice: choice.question.graph.scene.slot.start.seconds)  # type: ignore[union-attr]


def _choice(question: Question, book: Book, asked: Sequence[ReadyRule], block: Block, length: int) -> _Choice:
    """Judges the slot that begins at each minute of the day.

    What holds in the slot as planned has to hold in the slot as laid, though it be milder than what is asked: nobody wants
    a slot with more room and worse pictures.
    """
    graph = question.graph
    fitting = [rule for rule in book.rules.values() if _is_of_moments(rule, graph.scene)]
    once = [rule for rule in fitting if rule in asked and THE_CLOCK.isdisjoint(rule.rests_on)]
    question.turning = [
        rule
        for rule in fitting
        if not THE_CLOCK.isdisjoint(rule.rests_on)
        and (rule in asked or (graph.scene.slot is not None and not question.fails(rule, graph).any()))
    ]
    starts = block.instants[0]
    holds = np.zeros(starts.size, dtype=np.bool_)
    if not any(question.fails(rule, graph).any() for rule in once):
        largest = max([1, *(len(each) for each in graph.scene.names.values())])
        at_once = max(1, 8 * LARGEST_BLOCK // ((length + 1) * largest))
        for first in range(0, starts.size, at_once):
            part = starts[first : first + at_once]
            tried = Graph(graph.scene, {**block.turned, "instant": _slots(part, length)}, graph)
            holds[first : first + at_once] = ~question.fails_in(tried, (1, part.size)).any(axis=(0, 1))
    holds &= _sensible(graph, block, length)
    return _Choice(question, length, _run(holds), _run(holds[::-1])[::-1])


def _sensible(graph: Graph, block: Block, length: int) -> Mask:
    """The minutes at which somebody would want a slot to begin: in the part of the day that is asked of; for a setup without
    a time of its own in the plan's window; else on the side of noon where it is planned."""
    scene, starts = graph.scene, block.instants[0]
    if block.narrowed:
        # The last minute too must lie in it.
        last = np.arange(starts.size) + length
        whole: Mask = block.asked[0] & (last < starts.size) & block.asked[0][np.minimum(last, starts.size - 1)]
        return whole
    assert scene.zone is not None
    if scene.setup.time is None:
        if scene.plan.window is None:
            found: Mask = block.asked[0]
            return found
        window = clocks.slot(block.dates[0], scene.plan.window, scene.zone)
        within: Mask = (starts >= window.start.seconds) & (starts + 60.0 * length <= window.end.seconds)
        return within
    noon = Graph(scene, block.turned, graph)["solar-noon"].array.item()
    planned = clocks.slot(block.dates[0], scene.setup.time, scene.zone).start.seconds
    same_side: Mask = block.asked[0] & ((starts >= noon) == (planned >= noon))
    return same_side


def _is_of_moments(rule: ReadyRule, scene: Scene) -> bool:
    return rule.scope != "plan" and not speaks_of_slots(rule) and not has_nothing_to_judge(rule, scene)


def _slots(starts: Array, length: int) -> Array:
    """Slots of a length as options, each with its minutes."""
    shape = [1] * RANK
    shape[INDEX["option"]], shape[INDEX["minute"]] = starts.size, length + 1
    slots: Array = (starts[:, np.newaxis] + 60.0 * np.arange(length + 1)).reshape(shape)
    return slots


def _run(holds: Mask) -> Minutes:
    """For each place how many before it hold without a break; -1 where it does not hold itself."""
    places = np.arange(holds.size)
    last_failing = np.maximum.accumulate(np.where(holds, -1, places))
    found: Minutes = np.where(holds, places - last_failing - 1, -1)
    return found


def _gaps(questions: Sequence[Question], lengths: Sequence[int], book: Book, block: Block) -> list[list[int]]:
    """For each two setups how many minutes the rules about slots want between the first and the second of them.

    Warnings count here whatever level is asked: who lays slots anew has no reason to crowd them. A rule that no gap
    satisfies does not depend on it.
    """
    rules = [rule for rule in book.rules.values() if rule.level != "note" and rule.scope != "plan" and speaks_of_slots(rule)]
    start = block.starts[0]
    minutes = np.arange(LONGEST_GAP + 1)
    found = [[0] * len(questions) for _ in questions]
    for one, (first, first_length) in enumerate(zip(questions, lengths, strict=True)):
        for two, (second, second_length) in enumerate(zip(questions, lengths, strict=True)):
            if one == two:
                continue
            begins = start + 60.0 * (first_length + minutes)
            beside = {"other-starts": along("option", begins), "other-ends": along("option", begins + 60.0 * second_length)}
            before = Graph(first.graph.scene, {**beside, "instant": _slots(np.array([start]), first_length)}, first.graph)
            beside = {"other-starts": along("option", [start]), "other-ends": along("option", [start + 60.0 * first_length])}
            after = Graph(second.graph.scene, {**beside, "instant": _slots(begins, second_length)}, second.graph)
            judged = [
                _over_options(question.fails(rule, graph), minutes.size)
                for rule in rules
                for question, graph in ((first, before), (second, after))
            ]
            fails = np.any([each & np.logical_not(each.all()) for each in judged], axis=0)
            # Without a rule about slots, or with two that no gap satisfies, nothing is wanted.
            found[one][two] = int(np.argmin(fails)) if judged else 0
    return found


def _over_options(failing: Mask, count: int) -> Mask:
    others = tuple(axis for axis in range(RANK) if axis != INDEX["option"])
    return np.broadcast_to(np.asarray(failing.any(axis=others)), (count,))


def _best(choices: Sequence[_Choice], gaps: Sequence[Sequence[int]]) -> tuple[Sequence[int], list[int]]:
    """The order and the starts with the longest margins; empty where the slots do not fit. The order planned is kept where
    it fits."""
    places = tuple(range(len(choices)))
    if not places:
        return (), []
    if _fit(places, choices, gaps, [0] * len(choices)) is not None:
        orders: Sequence[tuple[int, ...]] = [places]
    else:
        orders = list(permutations(places)) if len(choices) <= MOST_SETUPS else []
    best: tuple[int, ...] | None = None
    wanted = [-1] * len(choices)
    for order in orders:
        better = [least + 1 for least in wanted]
        # Only an order that does better than the best so far is worth a closer look.
        if _fit(order, choices, gaps, better) is not None:
            best, wanted = order, _raised(better, places, order, choices, gaps)
    if best is None:
        return (), []
    for place in best:
        # With the least margin as long as can be, each setup gets what is still free.
        wanted = _raised(wanted, [place], best, choices, gaps)
    return best, _fit(best, choices, gaps, wanted) or []


def _raised(
    wanted: Sequence[int], which: Sequence[int], order: Sequence[int], choices: Sequence[_Choice], gaps: Sequence[Sequence[int]]
) -> list[int]:
    """The margins wanted, with those of some setups raised together as far as the slots still fit."""

    def at(margin: int) -> list[int]:
        return [margin if place in which else each for place, each in enumerate(wanted)]

    low = wanted[which[0]]
    high = max(int(choices[place].margin.max()) for place in which)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if _fit(order, choices, gaps, at(middle)) is not None else (low, middle - 1)
    return at(low)


def _fit(
    order: Sequence[int], choices: Sequence[_Choice], gaps: Sequence[Sequence[int]], wanted: Sequence[int]
) -> list[int] | None:
    """The earliest starts in this order with at least these margins; None where there are none."""
    at, starts = 0, []
    for place, following in zip(order, [*order[1:], None], strict=True):
        good: Minutes = at + np.flatnonzero(choices[place].margin[at:] >= wanted[place])
        if not good.size:
            return None
        starts.append(int(good[0]))
        at = starts[-1] + choices[place].length + (gaps[place][following] if following is not None else 0)
    return starts


def _failing(laid: Sequence[Laid], questions: Sequence[Question], asked: Sequence[ReadyRule]) -> list[str]:
    """What does not hold of all the rules asked, with the slots where they are laid."""
    graphs = []
    for each, question in zip(laid, questions, strict=True):
        others = [other for other in laid if other is not each]
        minutes = round((each.end - each.start) / 60)
        moved = {
            "instant": along("minute", each.start + 60.0 * np.arange(minutes + 1)),
            "other-starts": along("setup", [other.start for other in others] or [np.inf]),
            "other-ends": along("setup", [other.end for other in others] or [np.inf]),
            "start-on-the-clock": _naming(each.start, each.scene),
            "end-on-the-clock": _naming(each.end, each.scene),
        }
        graphs.append(Graph(each.scene, moved, question.graph))
    whole = PlanGraph(graphs)
    found = []
    for rule in asked:
        judged = [whole] if rule.scope == "plan" else graphs
        if any(
            not has_nothing_to_judge(rule, graph.scene) and question.fails(rule, graph).any()
            for graph, question in zip(judged, questions, strict=False)
        ):
            found.append(rule.name)
    return found


def _naming(instant: float, scene: Scene) -> Array:
    assert scene.zone is not None
    return single(NAMINGS.index(clocks.naming(instant, scene.zone)))
