"""The kinds of value that say when and where: clock times, dates, a place on earth, an angle to a side."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, ClassVar

from shootlint.language.cursor import Cursor, Mismatch, Slot, parse_number
from shootlint.language.source import Place
from shootlint.language.tree import Atom
from shootlint.language.values import Clock, ClockSpan, Day, Position, Side


def clock_of(text: str, place: Place) -> Clock:
    """The time of day that hours and minutes with a colon between them say; raises Mismatch where no clock shows it."""
    hour, minute = (int(part) for part in text.split(":"))
    if hour > 23 or minute > 59:
        raise Mismatch(place, f"there is no {text} on a clock; hours go to 23 and minutes to 59")
    return Clock(hour, minute, place)


@dataclass(frozen=True)
class TimeOfDay(Slot):
    name: str = "CLOCK"
    example: str = "18:40"
    starts: ClassVar[frozenset[str]] = frozenset({"CLOCK"})
    says: ClassVar[str] = "a time by the clock at the site, of 24 hours"

    def read(self, cursor: Cursor, unit: str | None) -> Clock:
        atom = cursor.next
        if atom is None or atom.kind != "CLOCK":
            cursor.refuse("a time of day such as 18:40")
        cursor.take()
        return clock_of(atom.text, cursor.place(atom))


LONGEST_NIGHT = 720
"""Minutes that a span over midnight may last; a longer one was written backwards."""


@dataclass(frozen=True)
class TimeSpan(Slot):
    name: str = "CLOCK to CLOCK"
    example: str = "18:40 to 18:55"
    of: TimeOfDay = field(default_factory=TimeOfDay)
    starts: ClassVar[frozenset[str]] = frozenset({"CLOCK"})

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.of.explained()

    def read(self, cursor: Cursor, unit: str | None) -> ClockSpan:
        start = self.of.read(cursor, unit)
        if not cursor.take_word("to"):
            cursor.refuse("`to` and a second time of day")
        end = self.of.read(cursor, unit)
        assert start.place is not None and end.place is not None
        place = start.place.to(end.place)
        if end < start and (end.minutes - start.minutes) % 1440 > LONGEST_NIGHT:
            raise Mismatch(
                place, f"this span ends before it starts; write {end} to {start}, or a span over midnight of up to 12 hours"
            )
        if start == end:
            raise Mismatch(place, "this span of time is empty; its end is its start")
        return ClockSpan(start, end, place)


@dataclass(frozen=True)
class Date(Slot):
    """A day; one for which the sun's place can be worked out, unless any will do."""

    any_year: bool = False
    name: str = "DATE"
    example: str = "2026-09-05"
    starts: ClassVar[frozenset[str]] = frozenset({"DATE"})
    says: ClassVar[str] = "year, month and day"

    def read(self, cursor: Cursor, unit: str | None) -> Day:
        atom = cursor.next
        if atom is None or atom.kind != "DATE":
            cursor.refuse("a date such as 2026-09-05")
        cursor.take()
        try:
            date = datetime.date.fromisoformat(atom.text)
        except ValueError:
            raise Mismatch(cursor.place(atom), f"there is no day {atom.text}; dates are year-month-day") from None
        if not self.any_year and not 1900 <= date.year <= 2100:
            raise Mismatch(cursor.place(atom), "the sun's place is worked out for the years 1900 to 2100 only")
        return Day(date, cursor.place(atom))


@dataclass(frozen=True)
class Coordinates(Slot):
    """Latitude and longitude in degrees, each with its letter."""

    name: str = "LATITUDE N|S, LONGITUDE E|W"
    example: str = "55.6412 N, 9.2871 E"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def explained(self) -> Iterator[tuple[str, str]]:
        for name, example in zip(("LATITUDE", "LONGITUDE"), self.example.split(", "), strict=True):
            yield name, f"degrees from 0 and the letter of the side, such as {example}"

    def read(self, cursor: Cursor, unit: str | None) -> Position:
        first = cursor.next
        latitude = self._coordinate(cursor, "N", "S", 90)
        if cursor.next is None and not cursor.next_clause():
            cursor.refuse("a comma and a longitude such as 9.2871 E")
        longitude = self._coordinate(cursor, "E", "W", 180)
        assert first is not None
        return Position(latitude, longitude, cursor.since(first))

    def write(self, value: Any) -> str:
        north, east = "S" if value.latitude < 0 else "N", "W" if value.longitude < 0 else "E"
        return f"{_degrees(value.latitude)} {north}, {_degrees(value.longitude)} {east}"

    def _coordinate(self, cursor: Cursor, plus: str, minus: str, most: float) -> float:
        kind = "a latitude such as 55.6412 N" if plus == "N" else "a longitude such as 9.2871 E"
        value, atom = parse_number(cursor, kind)
        letter = cursor.take_word(plus, minus)
        if letter is None:
            follower = cursor.next
            if follower is not None and follower.text in ("N", "S", "E", "W"):
                raise Mismatch(cursor.place(follower), "latitude comes first, then longitude: 55.6412 N, 9.2871 E")
            if follower is not None:
                cursor.refuse(f"{plus} or {minus} after {atom.text}")
            raise Mismatch(cursor.place(atom), f"{atom.text} needs {plus} or {minus} after it")
        place = cursor.place(atom, letter)
        if not 0 <= value <= most:
            raise Mismatch(place, f"{place.text} is off the globe; write 0 to {most:g} with {plus} or {minus}")
        return value if letter.text == plus else -value


def _degrees(value: float) -> str:
    """So many digits as tell this number from every other one."""
    return repr(abs(value)).removesuffix(".0")


@dataclass(frozen=True)
class Sideways(Slot):
    """An angle to the left or right as the camera sees it; 0 and 180 deg need no side."""

    angle: Slot
    name: str = "left|right ANGLE"
    example: str = "right 35 deg"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER", "WORD"})

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.angle.explained()

    def accepts(self, atom: Atom) -> bool:
        return atom.kind == "NUMBER" or atom.text in ("left", "right")

    def read(self, cursor: Cursor, unit: str | None) -> Side:
        first = cursor.next
        side = cursor.take_word("left", "right")
        angle = self.angle.read(cursor, "deg")
        assert first is not None
        place = cursor.since(first)
        if not 0 <= angle.value <= 180:
            raise Mismatch(place, "this angle goes from 0 deg (beside the camera) to 180 deg (behind the group)")
        if side is None and angle.value not in (0, 180):
            raise Mismatch(place, f"say on which side of the camera: left {angle} or right {angle}")
        return Side(-angle.value if side is not None and side.text == "left" else angle.value, place.text, place)
