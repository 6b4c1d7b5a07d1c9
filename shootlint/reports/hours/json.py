"""The hours of a plan for programs: one JSON object, described by hours.schema.json beside this file."""

from __future__ import annotations

from typing import Any

from shootlint.readings.catalogue import catalogue
from shootlint.reports.hours.told import Evening, Told
from shootlint.reports.json import heading, plain, written
from shootlint.rulebook.hours import DayHours, SetupHours


def render(told: Told, colour: bool = False) -> str:
    dates = told.hours.dates
    return written(
        {
            **heading(),
            "path": told.name,
            "title": told.title,
            "fail-on": told.hours.level,
            "from": dates[0].isoformat() if dates else None,
            "to": dates[-1].isoformat() if dates else None,
            "needs": list(told.hours.lacking),
            "not-asked": told.hours.left_out,
            "longest": dates[told.best].isoformat() if told.best is not None else None,
            "setups": [_setup(told, each) for each in told.hours.setups],
            "slots": _slots(told),
            "evenings": [_evening(told, each) for each in told.evenings],
        }
    )


def _setup(told: Told, setup: SetupHours) -> dict[str, Any]:
    return {
        "setup": setup.name,
        "holds": setup.holds,
        "never": setup.never,
        "never-together": setup.never_together,
        "not-judged": [{"rule": each.rule, "needs": list(each.needs)} for each in setup.not_judged],
        "days": [_day(told, day) for place, day in enumerate(setup.days) if not told.best_only or place == told.best],
    }


def _day(told: Told, day: DayHours) -> dict[str, Any]:
    return {
        "date": day.date.isoformat(),
        "minutes": day.minutes,
        "spans": [
            {
                "start": _instant(told, span.start),
                "end": _instant(told, span.end),
                "minutes": span.minutes,
                "opened-by": list(span.opened_by),
                "closed-by": list(span.closed_by),
            }
            for span in day.spans
        ],
    }


def _instant(told: Told, seconds: float) -> str:
    """The time on the wall with its distance from UTC, so that an hour that comes twice is told apart."""
    return told.wall(seconds).isoformat(timespec="minutes")


def _slots(told: Told) -> dict[str, Any] | None:
    layout = told.layout
    if layout is None:
        return None
    return {
        "date": layout.date.isoformat(),
        "laid": [
            {
                "setup": str(each.scene.setup.name),
                "start": _instant(told, each.start),
                "end": _instant(told, each.end),
                "earlier": each.earlier,
                "later": each.later,
            }
            for each in layout.laid
        ],
        "without-a-slot": [str(scene.setup.name) for scene in layout.homeless],
        "failing": layout.failing,
        "in-planned-order": layout.in_planned_order,
    }


def _evening(told: Told, evening: Evening) -> dict[str, Any]:
    return {
        "setup": evening.name,
        "moments": [
            {
                "at": _instant(told, each.instant),
                "readings": {name: plain(catalogue()[name].unit.from_base(value)) for name, value in each.values.items()},
                "stops-holding": list(each.stops),
                "holds-again": list(each.holds_again),
            }
            for each in evening.moments
        ],
        "shutter-at-its-end": [
            {
                "start": _instant(told, end.start),
                "end": _instant(told, end.end),
                "light": "too-dark" if end.too_dark else "too-bright",
                "steps": [
                    {"title": step.title, "until": _instant(told, step.until), "breaks": list(step.breaks)} for step in end.steps
                ],
            }
            for end in evening.ends
        ],
    }
