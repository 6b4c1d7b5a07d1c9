"""What iCalendar files (RFC 5545) are made of: text and instants as values, lines of content, and the file around its entries."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from hashlib import sha256

from shootlint.language.model import Site

LONGEST_LINE = 75
"""Octets of a line of content, its end not counted: RFC 5545, 3.1."""


def calendar_of(what: str, entries: Iterable[str]) -> str:
    """A whole file of entries; `what` tells the kind of calendar in its PRODID."""
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//shootlint//{what}//EN", "CALSCALE:GREGORIAN"]
    return "".join(f"{line}\r\n" for each in [*head, *entries, "END:VCALENDAR"] for line in folded(each))


def nothing_told(uid: str, today: datetime.date, summary: str) -> Iterator[str]:
    """The one entry of a file without events: a calendar has at least one component (RFC 5545, 3.6)."""
    yield "BEGIN:VJOURNAL"
    yield uid
    yield stamp(today)
    yield f"SUMMARY:{escaped(summary)}"
    yield "END:VJOURNAL"


def identity(*named: str) -> str:
    """A UID: the same for the same names, so that reading a new file brings a calendar up to date."""
    digest = sha256("\n".join(named).encode("utf-8", "replace")).hexdigest()
    return f"UID:{digest[:32]}@shootlint"


def stamp(today: datetime.date) -> str:
    return f"DTSTAMP:{today:%Y%m%d}T000000Z"


def between(start: float, end: float) -> Iterator[str]:
    """From one instant to another."""
    yield f"DTSTART:{utc(start)}"
    if end > start:
        # An event has to end after it begins; without an end RFC 5545 takes it as a moment.
        yield f"DTEND:{utc(end)}"


def at_site(site: Site | None) -> Iterator[str]:
    """Where an event is, as far as the plan tells."""
    if site is None:
        return
    if site.name is not None:
        yield f"LOCATION:{escaped(str(site.name))}"
    if site.position is not None:
        yield f"GEO:{site.position.latitude:.6f};{site.position.longitude:.6f}"


def utc(seconds: float) -> str:
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
