"""The kinds of value that a word of the language may take: how each is written, read and explained.

A slot stands in the annotation of a field of the plan's model. It reads its value from a cursor over the atoms of a
line, or raises Mismatch with the place and what belongs there.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, ClassVar, NoReturn

from shootlint.language.complaint import did_you_mean, listed, nearest
from shootlint.language.source import Place, Source
from shootlint.language.tree import Atom, Clause
from shootlint.language.units import BY_SPELLING, FOOT, INCH, Kind, Unit, of_kind
from shootlint.language.values import (
    F_NUMBER,
    POWER,
    Clock,
    ClockSpan,
    Count,
    CountSpan,
    Day,
    Name,
    Position,
    Quantity,
    Side,
    Size,
    Span,
)


class Mismatch(Exception):
    """A line does not say what its word may say: the place, and what is wrong in words."""

    def __init__(self, place: Place, message: str) -> None:
        super().__init__(message)
        self.place = place
        self.message = message


@dataclass(slots=True)
class Cursor:
    """Reads along the clauses of one line. Within a clause `next` is the atom to come, or None at the clause's end."""

    source: Source
    clauses: Sequence[Clause]
    connecting: frozenset[str] = frozenset()
    """Words that phrases are made of, so that a missing unit is not taken for an unknown one."""
    clause: int = 0
    index: int = 0
    reached: int = 0

    @property
    def next(self) -> Atom | None:
        atoms = self.clauses[self.clause]
        return atoms[self.index] if self.index < len(atoms) else None

    def after(self, steps: int = 1) -> Atom | None:
        atoms = self.clauses[self.clause]
        return atoms[self.index + steps] if self.index + steps < len(atoms) else None

    def take(self) -> Atom:
        atom = self.clauses[self.clause][self.index]
        self.index += 1
        self.reached = atom.end
        return atom

    def take_word(self, *words: str) -> Atom | None:
        atom = self.next
        if atom is not None and atom.kind == "WORD" and atom.text in words:
            return self.take()
        return None

    def next_clause(self) -> bool:
        if self.clause + 1 >= len(self.clauses):
            return False
        self.clause, self.index = self.clause + 1, 0
        return True

    def place(self, first: Atom, last: Atom | None = None) -> Place:
        return Place(self.source, first.start, last.end if last else max(first.end, first.start))

    def since(self, first: Atom) -> Place:
        return Place(self.source, first.start, self.reached)

    def here(self) -> Place:
        """The next atom, or the last one where the clause is at its end."""
        atom = self.next
        if atom is None:
            atoms = self.clauses[self.clause] or self.clauses[self.clause - 1]
            atom = atoms[-1]
        return self.place(atom)

    def run(self, *, glued: bool) -> Place:
        """The next atom and those that follow it: all that are glued to it, or all words of prose."""
        atoms = self.clauses[self.clause]
        end = self.index + 1
        while end < len(atoms) and (
            atoms[end].start == atoms[end - 1].end if glued else atoms[end].kind == "WORD" and atoms[end].text not in self.connecting
        ):
            end += 1
        return self.place(atoms[self.index], atoms[end - 1])

    def refuse_decimal_comma(self, number: Atom) -> None:
        """A comma right between two numbers is a decimal comma; elsewhere a space follows it, or a word."""
        if self.next is not None or self.clause + 1 >= len(self.clauses):
            return
        rest = self.clauses[self.clause + 1][0]
        if rest.kind == "NUMBER" and rest.start == number.end + 1 and rest.text[0].isdigit():
            raise Mismatch(self.place(number, rest), f"decimals are written with a point: {number.text}.{rest.text}")

    def refuse(self, wanted: str) -> NoReturn:
        """Says what should come next."""
        if self.next is None:
            atoms = self.clauses[self.clause]
            first = -2 if len(atoms) > 1 and atoms[-2].kind == "NUMBER" else -1
            after = self.source.text[atoms[first].start : atoms[-1].end]
            raise Mismatch(self.here(), f"expected {wanted} after {after}")
        found = self.run(glued=True)
        raise Mismatch(found, f"expected {wanted}, not {found.text}")


SMALLEST = 1e-6
LARGEST: dict[Kind, float] = {
    "length": 1e5, "time": 1e5, "angle": 1e4, "mass": 1e4, "energy": 1e5, "speed": 150, "wind force": 12, "exposure": 40,
    "stops": 40, "colour temperature": 1e5, "mired shift": 1000, "air temperature": 70, "share": 100, "pixels": 1e6,
    "resolution": 1e6, "illuminance": 1e6, "aperture": 1000, "power": 1,
}  # fmt: skip
"""Far beyond anything on a shoot, in base units: what lies outside is a slip of the pen, and no formula need bear it."""


def parse_number(cursor: Cursor, wanted: str) -> tuple[float, Atom]:
    """A number or a fraction; a fraction is read exactly."""
    atom = cursor.next
    if atom is None or atom.kind != "NUMBER":
        cursor.refuse(wanted)
    cursor.take()
    cursor.refuse_decimal_comma(atom)
    return number_in(atom, cursor.place(atom)), atom


def number_in(atom: Atom, place: Place) -> float:
    try:
        value = float(Fraction(atom.text)) if "/" in atom.text else float(atom.text)
    except ZeroDivisionError:
        raise Mismatch(place, f"{atom.text} divides by nought") from None
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise Mismatch(place, f"{atom.text} is too large a number")
    return value


def bounded(value: float, unit: Unit, place: Place) -> float:
    largest = LARGEST[unit.kind]
    if abs(value) > largest:
        most = f"{unit.from_base(largest):.6g}"
        most = f"f/{most}" if unit.kind == "aperture" else f"force {most}" if unit.kind == "wind force" else f"{most} {unit.name}"
        raise Mismatch(place, f"{place.text} is beyond anything on a shoot; the most is {most}")
    if 0 < abs(value) < SMALLEST:
        raise Mismatch(place, f"{place.text} is smaller than anything on a shoot")
    return value


class Slot:
    """One kind of value. `name` stands for it in a phrase, `example` shows one."""

    name: str
    example: str
    starts: ClassVar[frozenset[str]] = frozenset()
    """The kinds of atom it may begin with."""

    def accepts(self, atom: Atom) -> bool:
        return atom.kind in self.starts

    def read(self, cursor: Cursor, unit: str | None) -> Any:
        """The value at the cursor. `unit` is the likely unit here, offered when none is written."""
        raise NotImplementedError


def _spelled(kinds: Iterable[Kind]) -> set[str]:
    return {spelling for unit in of_kind(*kinds) for spelling in unit.spellings}


@dataclass(frozen=True)
class Measure(Slot):
    """A number with a unit of one kind, or of a few kinds."""

    name: str
    kinds: tuple[Kind, ...]
    example: str
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def accepts(self, atom: Atom) -> bool:
        return atom.kind == "NUMBER" or ("wind force" in self.kinds and atom.text == "force")

    @property
    def article(self) -> str:
        """What it measures, in a sentence."""
        kind = self.kinds[0]
        return kind if kind.endswith("s") else f"{'an' if kind[0] in 'aeio' else 'a'} {kind}"

    def read(self, cursor: Cursor, unit: str | None) -> Quantity:
        first = cursor.next
        if first is not None and first.text == "force" and "wind force" in self.kinds:
            cursor.take()
            value, _ = parse_number(cursor, "a Beaufort number")
            place = cursor.since(first)
            return Quantity(bounded(value, BY_SPELLING["force"], place), BY_SPELLING["force"], place.text, place)
        value, atom = parse_number(cursor, f"{self.article} such as {self.example}")
        found = self._unit(cursor, atom, unit)
        value = found.to_base(value)
        follower = cursor.next
        if found is FOOT and follower is not None and follower.kind == "NUMBER":
            inches, _ = parse_number(cursor, "inches")
            self._unit(cursor, follower, "in", (INCH,))
            value += math.copysign(INCH.to_base(inches), value)
        place = cursor.since(atom)
        return Quantity(bounded(value, found, place), found, place.text, place)

    def _unit(self, cursor: Cursor, number: Atom, likely: str | None, only: tuple[Unit, ...] = ()) -> Unit:
        word = cursor.next
        likely = likely or BY_SPELLING[self.example.split()[-1]].name
        if word is None or word.kind != "WORD" or word.text in cursor.connecting:
            write = f"{number.text} {likely}"
            if likely == "s" and number.text.isdigit() and int(number.text[:9]) > 1:
                # A camera's dial shows 125 for 1/125 s.
                write = f"1/{number.text} s or {write}"
            raise Mismatch(cursor.place(number), f"{number.text} carries no unit; write {write}")
        found = BY_SPELLING.get(word.text)
        if found is None:
            hint = did_you_mean(word.text, _spelled(self.kinds)) or f"; write {number.text} {likely}"
            raise Mismatch(cursor.place(word), f"{word.text} is not a unit{hint}")
        if found.kind not in self.kinds or (only and found not in only):
            names = [each.name for each in (only or of_kind(*self.kinds))]
            units = listed(["as force 4" if name == "force" else name for name in names])
            raise Mismatch(
                cursor.place(number, word),
                f"expected {self.article}, and {word.text} is a unit of {found.kind}; write it in {units}",
            )
        cursor.take()
        return found


@dataclass(frozen=True)
class Spanning(Slot):
    """From one value to another of the same kind; one value alone where `single` allows it."""

    of: Slot
    single: bool = False

    @property
    def name(self) -> str:  # type: ignore[override]
        return f"{self.of.name} to {self.of.name}"

    @property
    def example(self) -> str:  # type: ignore[override]
        return f"{self.of.example} to {self.of.example}"

    def accepts(self, atom: Atom) -> bool:
        return self.of.accepts(atom)

    def read(self, cursor: Cursor, unit: str | None) -> Span:
        first = cursor.next
        low = self.of.read(cursor, unit)
        assert first is not None
        if cursor.take_word("to"):
            high = self.of.read(cursor, unit)
        elif self.single and cursor.next is None:
            high = low
        else:
            cursor.refuse(f"`to` and a second {self.of.name.lower()}")
        return Span(low, high, cursor.since(first))


@dataclass(frozen=True)
class Sized(Slot):
    """Width by height; one measure alone where `single` allows it, for what is round."""

    of: Measure
    single: bool = False

    @property
    def name(self) -> str:  # type: ignore[override]
        return f"{self.of.name} x {self.of.name}"

    @property
    def example(self) -> str:  # type: ignore[override]
        return f"{self.of.example} x {self.of.example}"

    def accepts(self, atom: Atom) -> bool:
        return atom.kind == "NUMBER"

    def read(self, cursor: Cursor, unit: str | None) -> Size:
        first = cursor.next
        width = self.of.read(cursor, unit)
        assert first is not None
        if cursor.take_word("x"):
            height = self.of.read(cursor, unit)
        elif self.single:
            height = width
        else:
            cursor.refuse(f"`x` and a second {self.of.name.lower()}")
        return Size(width, height, cursor.since(first))


@dataclass(frozen=True)
class FNumber(Slot):
    name: str = "APERTURE"
    example: str = "f/5.6"
    starts: ClassVar[frozenset[str]] = frozenset({"APERTURE"})

    def read(self, cursor: Cursor, unit: str | None) -> Quantity:
        atom = cursor.next
        if atom is not None and atom.kind == "NUMBER":
            raise Mismatch(cursor.place(atom), f"an aperture is written as f/{atom.text.lstrip('+-')}, not {atom.text}")
        if atom is None or atom.kind != "APERTURE":
            cursor.refuse("an aperture such as f/5.6")
        cursor.take()
        cursor.refuse_decimal_comma(atom)
        place = cursor.place(atom)
        value = float(atom.text[2:])
        if not value > 0:
            raise Mismatch(place, f"{atom.text} is no aperture; an f-number is more than 0")
        return Quantity(bounded(value, F_NUMBER, place), F_NUMBER, atom.text, place)


@dataclass(frozen=True)
class Power(Slot):
    """A share of a light's full output, as a fraction or in stops below full."""

    name: str = "POWER"
    example: str = "1/16"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def read(self, cursor: Cursor, unit: str | None) -> Quantity:
        value, atom = parse_number(cursor, "a power such as 1/16 or -1.3 stops")
        if cursor.take_word("stops", "stop"):
            if value > 0:
                raise Mismatch(cursor.since(atom), "a power in stops is counted down from full, so it is 0 or less")
            value = 2.0 ** bounded(value, BY_SPELLING["stops"], cursor.since(atom))
        place = cursor.since(atom)
        if not 0 < value <= 1:
            raise Mismatch(place, f"{place.text} is no power; it lies above 0 and goes up to 1/1")
        return Quantity(bounded(value, POWER, place), POWER, place.text, place)


@dataclass(frozen=True)
class Quoted(Slot):
    """A name or a text in double quotes: `of` a kind of thing declared elsewhere, or one that `declares` it."""

    name: str = "NAME"
    of: str = ""
    declares: str = ""
    example: str = '"Agnes"'
    starts: ClassVar[frozenset[str]] = frozenset({"STRING"})

    def read(self, cursor: Cursor, unit: str | None) -> Name:
        atom = cursor.next
        if atom is not None and atom.kind == "WORD":
            prose = cursor.run(glued=False)
            raise Mismatch(prose, f'{self.name.lower()}s stand in double quotation marks; write "{prose.text}"')
        if atom is None or atom.kind != "STRING":
            cursor.refuse(f"a {self.name.lower()} in double quotation marks")
        cursor.take()
        if not atom.string.strip():
            raise Mismatch(cursor.place(atom), f"this {self.name.lower()} is empty")
        return Name(atom.string, cursor.place(atom))


@dataclass(frozen=True)
class Choice(Slot):
    """One of a few words. Quoted where the words are phrases, such as "overhead line"."""

    words: tuple[str, ...]
    quoted: bool = False
    starts: ClassVar[frozenset[str]] = frozenset({"WORD", "STRING"})

    @property
    def name(self) -> str:  # type: ignore[override]
        return "|".join(f'"{word}"' if self.quoted else word for word in self.words)

    @property
    def example(self) -> str:  # type: ignore[override]
        return self.name.split("|")[0]

    def accepts(self, atom: Atom) -> bool:
        return atom.kind == ("STRING" if self.quoted else "WORD") and (self.quoted or atom.text in self.words)

    def read(self, cursor: Cursor, unit: str | None) -> Name:
        atom = cursor.next
        if atom is None or atom.kind not in self.starts:
            cursor.refuse(listed(self.name.split("|")))
        text = atom.string if atom.kind == "STRING" else atom.text
        if text not in self.words or (atom.kind == "STRING") != self.quoted:
            meant = nearest(text, self.words)
            if meant is None:
                cursor.refuse(listed(self.name.split("|")))
            meant = f'"{meant}"' if self.quoted else meant
            raise Mismatch(cursor.place(atom), f"{atom.text} is not known here; did you mean {meant}?")
        cursor.take()
        return Name(text, cursor.place(atom))


@dataclass(frozen=True)
class Dotted(Slot):
    """The name of a rule, such as light.uneven."""

    name: str = "RULE"
    example: str = "light.uneven"
    starts: ClassVar[frozenset[str]] = frozenset({"WORD"})

    def read(self, cursor: Cursor, unit: str | None) -> Name:
        atom = cursor.next
        if atom is None or atom.kind != "WORD" or "." not in atom.text:
            cursor.refuse("the name of a rule such as light.uneven")
        cursor.take()
        return Name(atom.text, cursor.place(atom))


@dataclass(frozen=True)
class Whole(Slot):
    """A whole number without a unit."""

    name: str = "NUMBER"
    example: str = "100"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def read(self, cursor: Cursor, unit: str | None) -> Count:
        value, atom = parse_number(cursor, "a whole number such as 100")
        place = cursor.place(atom)
        if value != int(value) or not 0 <= value <= 10_000_000:
            raise Mismatch(place, f"{atom.text} is not a whole number from 0 to 10,000,000")
        return Count(int(value), place)


@dataclass(frozen=True)
class WholeSpan(Slot):
    name: str = "NUMBER to NUMBER"
    example: str = "100 to 6400"
    of: Whole = field(default_factory=Whole)
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def read(self, cursor: Cursor, unit: str | None) -> CountSpan:
        low = self.of.read(cursor, unit)
        if not cursor.take_word("to"):
            cursor.refuse("`to` and a second number")
        high = self.of.read(cursor, unit)
        assert low.place is not None and high.place is not None
        return CountSpan(low, high, low.place.to(high.place))


@dataclass(frozen=True)
class TimeOfDay(Slot):
    name: str = "CLOCK"
    example: str = "18:40"
    starts: ClassVar[frozenset[str]] = frozenset({"CLOCK"})

    def read(self, cursor: Cursor, unit: str | None) -> Clock:
        atom = cursor.next
        if atom is None or atom.kind != "CLOCK":
            cursor.refuse("a time of day such as 18:40")
        cursor.take()
        hour, minute = (int(part) for part in atom.text.split(":"))
        if hour > 23 or minute > 59:
            raise Mismatch(cursor.place(atom), f"there is no {atom.text} on a clock; hours go to 23 and minutes to 59")
        return Clock(hour, minute, cursor.place(atom))


@dataclass(frozen=True)
class TimeSpan(Slot):
    name: str = "CLOCK to CLOCK"
    example: str = "18:40 to 18:55"
    of: TimeOfDay = field(default_factory=TimeOfDay)
    starts: ClassVar[frozenset[str]] = frozenset({"CLOCK"})

    def read(self, cursor: Cursor, unit: str | None) -> ClockSpan:
        start = self.of.read(cursor, unit)
        if not cursor.take_word("to"):
            cursor.refuse("`to` and a second time of day")
        end = self.of.read(cursor, unit)
        assert start.place is not None and end.place is not None
        place = start.place.to(end.place)
        if start == end:
            raise Mismatch(place, "this span of time is empty; its end is its start")
        return ClockSpan(start, end, place)


@dataclass(frozen=True)
class Date(Slot):
    name: str = "DATE"
    example: str = "2026-09-05"
    starts: ClassVar[frozenset[str]] = frozenset({"DATE"})

    def read(self, cursor: Cursor, unit: str | None) -> Day:
        atom = cursor.next
        if atom is None or atom.kind != "DATE":
            cursor.refuse("a date such as 2026-09-05")
        cursor.take()
        try:
            date = datetime.date.fromisoformat(atom.text)
        except ValueError:
            raise Mismatch(cursor.place(atom), f"there is no day {atom.text}; dates are year-month-day") from None
        if not 1900 <= date.year <= 2100:
            raise Mismatch(cursor.place(atom), "the sun's place is worked out for the years 1900 to 2100 only")
        return Day(date, cursor.place(atom))


@dataclass(frozen=True)
class Coordinates(Slot):
    """Latitude and longitude in degrees, each with its letter."""

    name: str = "LATITUDE N|S, LONGITUDE E|W"
    example: str = "55.6412 N, 9.2871 E"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})

    def read(self, cursor: Cursor, unit: str | None) -> Position:
        first = cursor.next
        latitude = self._coordinate(cursor, "N", "S", 90)
        if cursor.next is None and not cursor.next_clause():
            cursor.refuse("a comma and a longitude such as 9.2871 E")
        longitude = self._coordinate(cursor, "E", "W", 180)
        assert first is not None
        return Position(latitude, longitude, cursor.since(first))

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


@dataclass(frozen=True)
class Sideways(Slot):
    """An angle to the left or right as the camera sees it; 0 and 180 deg need no side."""

    angle: Measure
    name: str = "left|right ANGLE"
    example: str = "right 35 deg"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER", "WORD"})

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
