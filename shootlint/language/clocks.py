"""Time on the wall at the site, and the instants that it names."""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass
from functools import cache
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from shootlint.language.values import Clock, ClockSpan

Naming = Literal["once", "skipped", "repeated"]


@cache
def zone(name: str) -> ZoneInfo | None:
    """A time zone of the IANA database; None where it has none of that name."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def zone_files(name: str) -> list[str]:
    """Where a zone is looked for on this system, up to the file that has it; where none has, the package tzdata does."""
    from zoneinfo import TZPATH

    found = []
    for folder in TZPATH:
        found.append(os.path.join(folder, name))
        if os.path.isfile(found[-1]):
            break
    return found


@cache
def zone_names() -> frozenset[str]:
    from zoneinfo import available_timezones

    return frozenset(available_timezones())


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment, as seconds since 1970 in UTC, and whether the clock on the wall shows its time once that day.

    Where the clocks skip the hour, the moment is the one that the clock would have shown without the change; where
    they repeat it, it is the first of the two (the readings of fold 0 in PEP 495).
    """

    seconds: float
    naming: Naming


def instant(date: datetime.date, clock: Clock, place: ZoneInfo) -> Instant:
    first = datetime.datetime(date.year, date.month, date.day, clock.hour, clock.minute, tzinfo=place)
    return Instant(first.timestamp(), _naming(first))


def naming(seconds: float, place: ZoneInfo) -> Naming:
    """Whether the clock on the wall shows the time that it shows at an instant once that day; no instant is skipped."""
    return _naming(datetime.datetime.fromtimestamp(seconds, place).replace(fold=0))


def _naming(first: datetime.datetime) -> Naming:
    before, after = first.utcoffset(), first.replace(fold=1).utcoffset()
    assert before is not None and after is not None
    return "once" if before == after else "skipped" if before < after else "repeated"


@dataclass(frozen=True, slots=True)
class Slot:
    """A span of wall time on a day, as instants."""

    start: Instant
    end: Instant

    @property
    def minutes(self) -> int:
        """How many minutes it lasts, which differs from the wall's where the clocks change within it."""
        return round((self.end.seconds - self.start.seconds) / 60)


def slot(date: datetime.date, span: ClockSpan, place: ZoneInfo) -> Slot:
    """A span of clock times as instants; where it ends before it starts by the wall, it ends on the next day."""
    next_day = span.end <= span.start
    return Slot(instant(date, span.start, place), instant(date + datetime.timedelta(days=next_day), span.end, place))


def day(date: datetime.date, place: ZoneInfo) -> tuple[float, float]:
    """When a day begins and ends at a place, in seconds since 1970 in UTC: 23 or 25 hours apart where the clocks change,
    and not at all apart on a day that its calendar leaves out."""
    midnight, tomorrow = (instant(each, Clock(0, 0), place).seconds for each in (date, date + datetime.timedelta(days=1)))
    return midnight, tomorrow


def date_at(seconds: float, place: ZoneInfo) -> datetime.date:
    """The day that it is at a place at an instant."""
    return datetime.datetime.fromtimestamp(seconds, place).date()


def wall_clock(seconds: float, place: ZoneInfo) -> str:
    """What the clock on the wall shows at an instant."""
    return datetime.datetime.fromtimestamp(seconds, place).strftime("%H:%M")


def told_clock(seconds: float, place: ZoneInfo) -> str:
    """The same for a list of times, with "again" where the clocks are put back and show a time for the second time."""
    wall = datetime.datetime.fromtimestamp(seconds, place)
    return f"{wall:%H:%M}{' again' if wall.fold else ''}"
