"""The kinds of value that a word of the language may take: how each is written, read and explained.

A slot stands in the annotation of a field of the plan's model. It reads its value from a cursor over the atoms of a
line, or raises Mismatch with the place and what belongs there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, ClassVar

from shootlint.language.complaint import did_you_mean, listed, nearest
from shootlint.language.cursor import Cursor, Mismatch, Slot, bounded, number_in, parse_number
from shootlint.language.tree import Atom, as_string
from shootlint.language.units import BY_SPELLING, FOOT, INCH, Kind, Unit, of_kind
from shootlint.language.values import F_NUMBER, POWER, Count, CountSpan, Name, Quantity, Size, Span
from shootlint.language.when_and_where import Coordinates, Date, Sideways, TimeOfDay, TimeSpan

__all__ = [
    "Choice", "Coordinates", "Cursor", "Date", "Dotted", "FNumber", "Measure", "Mismatch", "Power", "Quoted", "Sideways", "Sized",
    "Slot", "Spanning", "TimeOfDay", "TimeSpan", "Whole", "WholeSpan", "bounded", "number_in", "parse_number",
]  # fmt: skip


LONGEST_NAME = 250
"""Characters; a choice, no source. A name stands in every finding that is about it."""


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

    def explained(self) -> Iterator[tuple[str, str]]:
        units = listed([each.name for each in of_kind(*self.kinds)])
        yield self.name, f"a number and its unit, {units}, such as {self.example}"

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
        if word is not None and word.kind == "DAMAGED":
            cursor.refuse("a unit")
        likely = likely or BY_SPELLING[self.example.split()[-1]].name
        found = BY_SPELLING.get(word.text) if word is not None and word.kind == "WORD" else None
        if word is None or word.kind != "WORD" or (found is None and word.text in cursor.connecting):
            write = f"{number.text} {likely}"
            if likely == "s" and number.text.isdigit() and int(number.text[:9]) > 1:
                # A camera's dial shows 125 for 1/125 s.
                write = f"1/{number.text} s or {write}"
            raise Mismatch(cursor.place(number), f"{number.text} carries no unit; write {write}")
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

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.of.explained()

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

    def write(self, value: Any) -> str:
        return str(value) if self.single else f"{value.low} to {value.high}"


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

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.of.explained()

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

    def write(self, value: Any) -> str:
        return str(value) if self.single else f"{value.width} x {value.height}"


@dataclass(frozen=True)
class FNumber(Slot):
    name: str = "APERTURE"
    example: str = "f/5.6"
    starts: ClassVar[frozenset[str]] = frozenset({"APERTURE"})
    says: ClassVar[str] = "an f-number with f/ before it"

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
    says: ClassVar[str] = "a share of a light's full output, or stops below it as in -1.3 stops"

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

    def explained(self) -> Iterator[tuple[str, str]]:
        yield self.name, f"a {self.name.lower()} in double quotation marks, such as {self.example}"

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
        if (self.of or self.declares) and len(atom.string) > LONGEST_NAME:
            raise Mismatch(cursor.place(atom), f"this name has {len(atom.string):,} characters; {LONGEST_NAME} are the most")
        return Name(atom.string, cursor.place(atom))

    def write(self, value: Any) -> str:
        return as_string(value)


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

    def write(self, value: Any) -> str:
        return as_string(value) if self.quoted else str(value)


@dataclass(frozen=True)
class Dotted(Slot):
    """The name of a rule, such as light.uneven."""

    name: str = "RULE"
    example: str = "light.uneven"
    starts: ClassVar[frozenset[str]] = frozenset({"WORD"})
    says: ClassVar[str] = "the name of a rule"

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
    says: ClassVar[str] = "a whole number without a unit"

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

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.of.explained()

    def read(self, cursor: Cursor, unit: str | None) -> CountSpan:
        low = self.of.read(cursor, unit)
        if not cursor.take_word("to"):
            cursor.refuse("`to` and a second number")
        high = self.of.read(cursor, unit)
        assert low.place is not None and high.place is not None
        return CountSpan(low, high, low.place.to(high.place))
