"""What a plan may say, as values that remember how they were written and where."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field

from shootlint.language.source import Opaque, Place
from shootlint.language.units import BY_SPELLING, Kind, Unit

F_NUMBER = Unit("aperture", 1.0, ("f/",))
POWER = Unit("power", 1.0, ("of full power",))
CLOCK = Unit("instant", 1.0, ("clock",))


@dataclass(frozen=True, slots=True)
class Quantity(Opaque):
    """A measure. `value` is in the base unit of its kind; `written` and `unit` are as the plan has them."""

    value: float
    unit: Unit
    written: str
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def kind(self) -> Kind:
        return self.unit.kind

    def __float__(self) -> float:
        return self.value

    def __str__(self) -> str:
        return self.written


def quantity(number: float, unit: str) -> Quantity:
    """A measure made in Python rather than read from a plan, such as `quantity(50, "mm")`.

    It is what it says: the number is kept to six digits, as it will be written.
    """
    found = BY_SPELLING[unit]
    written = f"{number:g}"
    return Quantity(found.to_base(float(written)), found, f"{written} {unit}")


@dataclass(frozen=True, slots=True)
class Span(Opaque):
    """From one measure to another."""

    low: Quantity
    high: Quantity
    place: Place | None = field(default=None, compare=False, repr=False)

    def __contains__(self, value: float) -> bool:
        low, high = sorted((self.low.value, self.high.value))
        return low <= value <= high

    def __iter__(self) -> Iterator[Quantity]:
        return iter((self.low, self.high))

    def __str__(self) -> str:
        return str(self.low) if self.low == self.high else f"{self.low} to {self.high}"


@dataclass(frozen=True, slots=True)
class Size(Opaque):
    """Width by height, as written; a diameter is both at once."""

    width: Quantity
    height: Quantity
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def is_round(self) -> bool:
        return self.width is self.height

    @property
    def sides(self) -> tuple[float, float]:
        """Short side, long side."""
        short, long = sorted((self.width.value, self.height.value))
        return short, long

    def __str__(self) -> str:
        return str(self.width) if self.is_round else f"{self.width} x {self.height}"


class Name(str, Opaque):
    """A quoted name or text, or a bare word, that knows where it stands."""

    __slots__ = ("place",)
    place: Place | None

    def __new__(cls, text: str, place: Place | None = None) -> Name:
        name = super().__new__(cls, text)
        name.place = place
        return name


@dataclass(frozen=True, slots=True)
class Count(Opaque):
    """A whole number."""

    value: int
    place: Place | None = field(default=None, compare=False, repr=False)

    def __int__(self) -> int:
        return self.value

    def __float__(self) -> float:
        return float(self.value)

    def __str__(self) -> str:
        return str(self.value)


@dataclass(frozen=True, slots=True)
class CountSpan(Opaque):
    low: Count
    high: Count
    place: Place | None = field(default=None, compare=False, repr=False)

    def __str__(self) -> str:
        return f"{self.low} to {self.high}"


@dataclass(frozen=True, slots=True, order=True)
class Clock(Opaque):
    """A time of day on the wall at the site."""

    hour: int
    minute: int
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def minutes(self) -> int:
        """Minutes since midnight."""
        return self.hour * 60 + self.minute

    def __str__(self) -> str:
        return f"{self.hour:02d}:{self.minute:02d}"


@dataclass(frozen=True, slots=True)
class ClockSpan(Opaque):
    """From one time of day to another; where the second is earlier, it is on the next day."""

    start: Clock
    end: Clock
    place: Place | None = field(default=None, compare=False, repr=False)

    @property
    def minutes(self) -> int:
        """How many minutes long by the wall."""
        return (self.end.minutes - self.start.minutes) % 1440

    def __str__(self) -> str:
        return f"{self.start} to {self.end}"


@dataclass(frozen=True, slots=True)
class Day(Opaque):
    date: datetime.date
    place: Place | None = field(default=None, compare=False, repr=False)

    def __str__(self) -> str:
        return self.date.isoformat()


@dataclass(frozen=True, slots=True)
class Position(Opaque):
    """A place on earth: degrees, north and east positive."""

    latitude: float
    longitude: float
    place: Place | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Side(Opaque):
    """An angle from the line to the camera, as the camera sees it: `angle` is positive to the right."""

    angle: float
    written: str
    place: Place | None = field(default=None, compare=False, repr=False)

    def __str__(self) -> str:
        return self.written
