"""The hours of a plan as an iCalendar file (RFC 5545): an event for each span, in UTC, so that no zone need be described."""

from __future__ import annotations

from collections.abc import Iterator

from shootlint.language.complaint import listed
from shootlint.reports.calendar_file import at_site, between, calendar_of, escaped, identity, nothing_told, stamp
from shootlint.reports.hours.told import Told
from shootlint.rulebook.hours import SetupHours, Span


def render(told: Told, colour: bool = False) -> str:
    lines: list[str] = []
    for setup in told.hours.setups:
        for place, day in enumerate(setup.days):
            if not told.best_only or place == told.best:
                for span in day.spans:
                    lines += _event(told, setup, span)
    title = told.title or told.name
    nothing = f"{title}: no setup holds at any minute asked of"
    return calendar_of("hours", lines or nothing_told(identity(f"{title} nothing"), told.today, nothing))


def _event(told: Told, setup: SetupHours, span: Span) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    # The same span of the same plan is the same event.
    yield identity(told.title or told.name, setup.name, f"{span.start:.0f}")
    yield stamp(told.today)
    yield from between(span.start, span.end)
    yield f"SUMMARY:{escaped(f'{told.title or told.name}: {setup.name}')}"
    reasons = [f"before it {listed(span.opened_by, 'and')}"] if span.opened_by else []
    reasons += [f"after it {listed(span.closed_by, 'and')}"] if span.closed_by else []
    failing = f"; what does not hold: {'; '.join(reasons)}" if reasons else ""
    clocks = f"{told.clock(span.start)} to {told.clock(span.end)} on the clock there"
    yield f"DESCRIPTION:{escaped(f'The plan holds {clocks}{failing}.')}"
    yield from at_site(told.plan.site)
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"
