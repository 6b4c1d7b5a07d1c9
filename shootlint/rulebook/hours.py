"""When a plan holds: its rules asked of every minute of a day, or of each day of a season, in the one graph.

The minutes of a day lie along the axis of options, each as a slot of that one minute, so that what is taken together
over the minutes of a slot is never taken over a day; the days lie along an axis of their own. Rules about how the slots
lie have nothing to say of a minute and are left to whoever lays the slots. What the plan says of weather, and how far
the scout's meter was from the model, is taken for every day.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from shootlint.language import clocks
from shootlint.language.model import Plan
from shootlint.language.values import Clock
from shootlint.readings.axes import INDEX, RANK, Array, Mask, along
from shootlint.readings.catalogue import behind, catalogue
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import Scene, scenes
from shootlint.readings.time import ASKS_TIME
from shootlint.rulebook.acceptances import accepted
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import NotJudged
from shootlint.rulebook.judging import has_nothing_to_judge, outcome
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.ready import ReadyRule

DAY, OPTION = INDEX["day"], INDEX["option"]
THE_CLOCK = frozenset({"instant", "day-start", "day-end"})
"""What is turned to ask of another minute."""
LARGEST_BLOCK = 1 << 17
"""Numbers in the largest arrays of a block of days: few enough to stay in a processor's cache, enough to outweigh the calls."""


@dataclass(frozen=True)
class Span:
    """Minutes on end in which every rule asked holds, as the instants of the first and the last of them."""

    start: float
    end: float
    opened_by: tuple[str, ...]
    """The rules that do not hold in the minute before; none where the day, or the part of it that is asked of, begins there."""
    closed_by: tuple[str, ...]
    """The rules that do not hold in the minute after."""

    @property
    def minutes(self) -> int:
        """How long from the first to the last minute."""
        return round((self.end - self.start) / 60)


@dataclass(frozen=True)
class DayHours:
    """One day of one setup."""

    date: datetime.date
    minutes: int
    """How many minutes the day has at the site."""
    spans: tuple[Span, ...]

    @property
    def longest(self) -> Span | None:
        return max(self.spans, key=lambda each: each.minutes, default=None)


@dataclass
class SetupHours:
    """When one setup holds, were it shot then."""

    scene: Scene
    days: list[DayHours] = field(default_factory=list)
    never: list[str] = field(default_factory=list)
    """The rules that hold at no minute asked of, each for itself."""
    never_together: list[str] = field(default_factory=list)
    """Where no minute holds and yet no rule fails at all of them: rules of which one or another always fails, none to spare."""
    not_judged: list[NotJudged] = field(default_factory=list)

    @property
    def name(self) -> str:
        return str(self.scene.setup.name)

    @property
    def holds(self) -> bool:
        return any(day.spans for day in self.days)


@dataclass
class Hours:
    """When each setup of a plan holds, on each day asked of."""

    setups: list[SetupHours]
    level: str
    """The level from which on rules were asked."""
    left_out: list[str]
    """The rules about how the slots lie, which say nothing of a minute."""
    lacking: tuple[str, ...] = ()
    """What the plan has to say before a minute can be named at all."""

    @property
    def dates(self) -> list[datetime.date]:
        return [day.date for day in self.setups[0].days] if self.setups else []

    @property
    def holds(self) -> bool:
        """Whether every setup holds at some minute."""
        return bool(self.setups) and all(setup.holds for setup in self.setups)

    def longest_on(self, place: int) -> int | None:
        """How long, in minutes, the setup with the least room has on a day; None where one of them has none."""
        found = [setup.days[place].longest for setup in self.setups]
        return min(each.minutes for each in found if each is not None) if all(found) else None


@cache
def is_about_slots(reading: str) -> bool:
    """Whether a reading comes from the times that the plan gives its setups and from nothing else, place and day least of all,
    so that it says how slots lie and not what a moment is like."""
    given = [name for name in behind(reading) if catalogue()[name].given]
    return reading != "instant" and bool(given) and all(catalogue()[name].asks == ASKS_TIME for name in given)


def speaks_of_slots(rule: ReadyRule) -> bool:
    """Whether a rule asks how slots lie: how long they are, what lies beside them, or several setups' times at once."""
    rests = rule.rests_on
    return any(is_about_slots(name) for name in rests) or (rule.scope == "plan" and not THE_CLOCK.isdisjoint(rests))


def hours(
    plan: Plan,
    book: Book,
    today: datetime.date,
    dates: Sequence[datetime.date],
    level: str = "error",
    within: tuple[Clock, Clock] | None = None,
    tell: Callable[[int], None] | None = None,
) -> Hours:
    """When the sound setups of a plan hold by the rules of a level and worse, on each date; `within` narrows every day to
    the minutes from one time of day to another. `tell` is told how many days are done, those of each setup counted."""
    asked = [rule for rule in book.rules.values() if LEVELS.index(rule.level) <= LEVELS.index(level)]
    of_slots = [rule.name for rule in asked if speaks_of_slots(rule)]
    of_minutes = [rule for rule in asked if rule.name not in of_slots]
    found = scenes(plan)
    zone = found[0].zone if found else None
    lacking = (*(() if dates else ("date",)), *(() if zone is not None else ("site zone",)))
    graphs = [Graph(scene) for scene in found]
    whole = PlanGraph(graphs) if graphs else None
    setups = []
    for number, graph in enumerate(graphs):
        question = Question(plan, book, today, graph)
        for rule in of_minutes:
            if THE_CLOCK.isdisjoint(rule.rests_on):
                question.judge_once(rule, whole if rule.scope == "plan" and whole is not None else graph)
            elif not has_nothing_to_judge(rule, graph.scene):
                question.turning.append(rule)
        if not lacking:
            for done in question.go_through(list(dates), within):
                if tell is not None:
                    tell(number * len(dates) + done)
        else:
            question.tell_untold(lacking)
        setups.append(question.answer)
    return Hours(setups, level, of_slots, lacking)


class Question:
    """One setup, and the rules whose verdict on it may change with the clock."""

    def __init__(self, plan: Plan, book: Book, today: datetime.date, graph: Graph) -> None:
        self.graph = graph
        self.answer = SetupHours(graph.scene)
        self.turning: list[ReadyRule] = []
        """The rules whose verdict may change with the clock."""
        # What is found about the plan as a whole is put down to its first setup.
        first = scenes(plan)[0]
        self._accepted = {
            rule.name: accepted(rule, first if rule.scope == "plan" else graph.scene, plan, book, today)
            for rule in book.rules.values()
        }
        self._unsure: dict[str, frozenset[str]] = {}

    def judge_once(self, rule: ReadyRule, graph: Graph) -> None:
        """A rule on which the clock has no bearing."""
        if not has_nothing_to_judge(rule, graph.scene) and self.fails(rule, graph).any():
            self.answer.never.append(rule.name)

    def fails(self, rule: ReadyRule, graph: Graph) -> Mask:
        """Where a rule fails, what is accepted left out."""
        failing, unsure, needs = outcome(rule, graph)
        spared = self._accepted.get(rule.name)
        if unsure.any():
            self._unsure.setdefault(rule.name, needs or frozenset({"a value that can be worked out"}))
        return failing if spared is None else failing & ~spared

    def tell_untold(self, lacking: Sequence[str]) -> None:
        for rule in self.turning:
            self._unsure.setdefault(rule.name, frozenset(lacking))
        self._close()

    def go_through(self, dates: list[datetime.date], within: tuple[Clock, Clock] | None) -> Iterator[int]:
        """Asks every rule of every minute, a block of days after another; after each, how many days are done."""
        names = [rule.name for rule in self.turning]
        holding = np.zeros(len(names), dtype=np.int64)
        # Why nothing holds is asked for only while nothing does.
        kept: list[Mask] | None = []
        largest = max([1, *(len(each) for each in self.graph.scene.names.values())])
        at_once = max(1, LARGEST_BLOCK // (1440 * largest))
        for start in range(0, len(dates), at_once):
            block = Block.of(dates[start : start + at_once], self.graph.scene, within)
            fails = self.fails_in(block.graph(self.graph), block.asked.shape)
            holds = block.asked & ~fails.any(axis=0) & (not self.answer.never)
            holding += (~fails & block.asked).sum(axis=(1, 2))
            self.answer.days += block.days(holds, fails, names)
            kept = [*kept, fails[:, block.asked]] if kept is not None and not holds.any() else None
            yield start + len(block.dates)
        if not sum(day.minutes for day in self.answer.days):
            # A day that the calendar leaves out has no minute in which anything could fail.
            self._close()
            return
        self.answer.never += [name for name, count in zip(names, holding, strict=True) if not count]
        if kept is not None and not self.answer.never:
            self.answer.never_together = _at_odds(np.concatenate(kept, axis=1), names)
        self._close()

    def fails_in(self, graph: Graph, shape: tuple[int, int]) -> Mask:
        """Which rule fails in which option of which day: rules × days × options."""
        found = np.zeros((len(self.turning), *shape), dtype=np.bool_)
        others = tuple(axis for axis in range(RANK) if axis not in (DAY, OPTION))
        for place, rule in enumerate(self.turning):
            found[place] = self.fails(rule, graph).any(axis=others).T
        return found

    def _close(self) -> None:
        setup = self.answer.name
        self.answer.not_judged = [NotJudged(rule, setup, tuple(sorted(needs))) for rule, needs in self._unsure.items()]


@dataclass(frozen=True)
class Block:
    """Days beside each other, with all their minutes."""

    dates: list[datetime.date]
    starts: Array
    ends: Array
    instants: Array
    """Days × minutes; a shorter day runs on into the next."""
    asked: Mask
    """Which of these belong to the day, and to the part of it that is asked of."""
    narrowed: bool
    """Whether only a part of the day is asked of."""

    @staticmethod
    def of(dates: list[datetime.date], scene: Scene, within: tuple[Clock, Clock] | None, beyond: int = 0) -> Block:
        """`beyond` is how many minutes after midnight are wanted too, of which nothing is asked."""
        zone = scene.zone
        assert zone is not None
        edges = np.array([clocks.day(date, zone) for date in dates])
        starts, ends = edges[:, 0], edges[:, 1]
        minutes = int(np.ceil((ends - starts).max() / 60)) + beyond
        instants = starts[:, np.newaxis] + 60.0 * np.arange(max(minutes, 1))
        asked = instants < ends[:, np.newaxis]
        if within is not None:
            parts = np.array([[clocks.instant(date, clock, zone).seconds for clock in within] for date in dates])
            asked &= (instants >= parts[:, :1]) & (instants <= parts[:, 1:])
        return Block(dates, starts, ends, instants, asked, within is not None)

    @property
    def turned(self) -> dict[str, Array]:
        """The readings of these days alone."""
        return {"day-start": along("day", self.starts), "day-end": along("day", self.ends)}

    def graph(self, base: Graph) -> Graph:
        """The readings of a setup at every minute of these days."""
        shape = [1] * RANK
        shape[DAY], shape[OPTION] = self.instants.shape
        return Graph(base.scene, {**self.turned, "instant": self.instants.T.reshape(shape)}, base)

    def days(self, holds: Mask, fails: Mask, names: Sequence[str]) -> Iterator[DayHours]:
        """Each day with its spans."""
        edge = np.zeros((len(self.dates), 1), dtype=np.int8)
        turns = np.diff(np.concatenate([edge, holds.astype(np.int8), edge], axis=1), axis=1)
        firsts, lasts = np.argwhere(turns == 1), np.argwhere(turns == -1)
        spans: list[list[Span]] = [[] for _ in self.dates]
        for (day, first), (_, after) in zip(firsts.tolist(), lasts.tolist(), strict=True):
            spans[day].append(
                Span(
                    float(self.instants[day, first]),
                    float(self.instants[day, after - 1]),
                    self._failing(fails, names, day, first - 1),
                    self._failing(fails, names, day, after),
                )
            )
        lengths = np.ceil((self.ends - self.starts) / 60).astype(int).tolist()
        return (DayHours(*each) for each in zip(self.dates, lengths, map(tuple, spans), strict=True))

    def _failing(self, fails: Mask, names: Sequence[str], day: int, minute: int) -> tuple[str, ...]:
        if not 0 <= minute < self.instants.shape[1] or self.instants[day, minute] >= self.ends[day]:
            return ()
        return tuple(names[place] for place in np.flatnonzero(fails[:, day, minute]).tolist())


def _at_odds(fails: Mask, names: Sequence[str]) -> list[str]:
    """Rules of which one or another fails at every minute, none to spare: each is left out in turn and put back where a
    minute holds without it. Those that fail least go first."""
    left = np.argsort(fails.sum(axis=1), kind="stable").tolist()
    for place in list(left):
        without = [each for each in left if each != place]
        if without and fails[without].any(axis=0).all():
            left = without
    return [names[place] for place in sorted(left)]
