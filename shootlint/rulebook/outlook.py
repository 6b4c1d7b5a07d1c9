"""How long a plan keeps: on which later day its setups, shot at the clock times planned, would first fail."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from shootlint.language import clocks
from shootlint.language.model import Plan
from shootlint.readings.scene import Scene, scenes
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import DayHours, Span, hours

WEEKS = 6
"""So far a team looks ahead (a choice, no source)."""


@dataclass(frozen=True)
class Loses:
    """The first day on which a setup that holds at first would not hold any more at its clock times."""

    date: datetime.date
    setup: str
    rules: tuple[str, ...]
    """The rules that then fail next to what holds of that day; none where no minute of it holds."""


def loses(plan: Plan, book: Book, today: datetime.date, weeks: int = WEEKS) -> Loses | None:
    """What a plan loses first in the weeks after its day (after today, where its day is over or not told), by the rules
    that are errors or warnings; None where every setup that holds on the first of these days holds on all of them."""
    told = plan.date.date if plan.date is not None else today
    start = max(told, today)
    dates = [start + datetime.timedelta(days=day) for day in range(7 * weeks + 1)]
    found = []
    for scene, setup in zip(scenes(plan), hours(plan, book, today, dates, "warning").setups, strict=True):
        if scene.time is None or scene.zone is None or not setup.days or _lacks(scene, setup.days[0]) is not None:
            continue
        lost = next(((day.date, rules) for day in setup.days if (rules := _lacks(scene, day)) is not None), None)
        if lost is not None:
            found.append(Loses(lost[0], setup.name, lost[1]))
    return min(found, key=lambda each: each.date, default=None)


def _lacks(scene: Scene, day: DayHours) -> tuple[str, ...] | None:
    """The rules that keep a slot from holding on a day; None where all of it lies in a span that holds."""
    assert scene.time is not None and scene.zone is not None
    slot = clocks.slot(day.date, scene.time, scene.zone)
    start, end = slot.start.seconds, slot.end.seconds
    if any(span.start <= start and end <= span.end for span in day.spans):
        return None
    return _nearest(day.spans, start, end)


def _nearest(spans: Sequence[Span], start: float, end: float) -> tuple[str, ...]:
    """What closes or opens the span that comes nearest to a slot, on the side on which the slot stands out of it."""
    if not spans:
        return ()
    nearest = min(spans, key=lambda span: max(span.start - start, end - span.end))
    return nearest.closed_by if end - nearest.end > nearest.start - start else nearest.opened_by
