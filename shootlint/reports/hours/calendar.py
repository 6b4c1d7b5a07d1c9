"""The hours of a plan as an iCalendar file (RFC 5545): an event for each span, in UTC, so that no zone need be described."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from hashlib import sha256

from shootlint.language.complaint import listed
from shootlint.reports.hours.told import Told
from shootlint.rulebook.hours import SetupHours, Span

LONGEST_LINE = 75
"""Octets of a line of content, its end not counted: RFC 5545, 3.1."""


def render(told: Told, colour: bool = False) -> str:
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//shootlint//hours//EN", "CALSCALE:GREGORIAN"]
    lines: list[str] = []
    for setup in told.hours.setups:
        for place, day in enumerate(setup.days):
            if not told.best_only or place == told.best:
                for span in day.spans:
                    lines += _event(told, setup, span)
    # A calendar has at least one component (RFC 5545, 3.6), so that nothing holds is an entry of its own.
    content = [*head, *(lines or _nothing(told)), "END:VCALENDAR"]
    return "".join(f"{line}\r\n" for each in content for line in folded(each))


def _nothing(told: Told) -> Iterator[str]:
    yield "BEGIN:VJOURNAL"
    yield f"UID:{sha256(f'{told.title or told.name} nothing'.encode('utf-8', 'replace')).hexdigest()[:32]}@shootlint"
    yield f"DTSTAMP:{told.today:%Y%m%d}T000000Z"
    yield f"SUMMARY:{escaped(f'{told.title or told.name}: no setup holds at any minute asked of')}"
    yield "END:VJOURNAL"


def _event(told: Told, setup: SetupHours, span: Span) -> Iterator[str]:
    plan = told.plan
    yield "BEGIN:VEVENT"
    # The same span of the same plan is the same event, so that reading a new file brings the calendar up to date.
    named = "\n".join([told.title or told.name, setup.name, f"{span.start:.0f}"])
    yield f"UID:{sha256(named.encode('utf-8', 'replace')).hexdigest()[:32]}@shootlint"
    yield f"DTSTAMP:{told.today:%Y%m%d}T000000Z"
    yield f"DTSTART:{_utc(span.start)}"
    if span.end > span.start:
        # An event has to end after it begins; a single minute is an event without an end, which RFC 5545 takes as a moment.
        yield f"DTEND:{_utc(span.end)}"
    yield f"SUMMARY:{escaped(f'{told.title or told.name}: {setup.name}')}"
    reasons = [f"before it {listed(span.opened_by, 'and')}"] if span.opened_by else []
    reasons += [f"after it {listed(span.closed_by, 'and')}"] if span.closed_by else []
    failing = f"; what does not hold: {'; '.join(reasons)}" if reasons else ""
    clocks = f"{told.clock(span.start)} to {told.clock(span.end)} on the clock there"
    yield f"DESCRIPTION:{escaped(f'The plan holds {clocks}{failing}.')}"
    if plan.site is not None:
        yield f"LOCATION:{escaped(str(plan.site.name))}"
        if plan.site.position is not None:
            yield f"GEO:{plan.site.position.latitude:.6f};{plan.site.position.longitude:.6f}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _utc(seconds: float) -> str:
    return f"{datetime.datetime.fromtimestamp(seconds, datetime.UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    """A text as a value: RFC 5545, 3.3.11. What no value may hold is left out."""
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    return "".join(each for each in text if each == "\t" or each.isprintable())


def folded(line: str) -> Iterator[str]:
    """A line of content in pieces of at most 75 octets, of which all but the first begin with a space and no character is
    cut in two: RFC 5545, 3.1."""
    piece, size = "", 0
    for each in line:
        octets = len(each.encode("utf-8", "replace"))
        if size + octets > LONGEST_LINE:
            yield piece
            piece, size = " ", 1
        piece += each
        size += octets
    yield piece
