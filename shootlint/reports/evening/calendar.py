"""The order of the evening as an iCalendar file (RFC 5545): an event for each step, in UTC, so that no zone need be described."""

from __future__ import annotations

from collections.abc import Iterator

from shootlint.language.complaint import listed
from shootlint.readings.order import Step
from shootlint.reports.calendar_file import at_site, between, calendar_of, escaped, identity, nothing_told, stamp
from shootlint.reports.evening.told import Told


def render(told: Told, colour: bool = False) -> str:
    lines = [line for step in told.order.steps for line in _event(told, step)]
    nothing = f"{told.title}: the order of the evening cannot be told"
    return calendar_of("evening", lines or nothing_told(identity(told.title, "evening", "nothing"), told.today, nothing))


def _event(told: Told, step: Step) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    # The same step of the same plan is the same event whenever it is, so that a new file moves it.
    yield identity(told.title, "evening", step.kind, step.setup)
    yield stamp(told.today)
    yield from between(step.start, step.end)
    yield f"SUMMARY:{escaped(f'{told.title}: {step.label}')}"
    if step.who:
        yield f"DESCRIPTION:{escaped(listed(step.who, 'and'))}"
    yield from at_site(told.plan.site)
    if step.end == step.start:
        yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"
