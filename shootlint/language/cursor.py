"""Reading along one line: what comes next, and what to say when it is not what belongs there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, ClassVar, NoReturn

from shootlint.language.source import Place, Source
from shootlint.language.tree import Atom, Clause
from shootlint.language.units import Kind, Unit


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
            atoms[end].start == atoms[end - 1].end
            if glued
            else atoms[end].kind == "WORD" and atoms[end].text not in self.connecting
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
LONGEST_NUMBER = 40
"""Characters. Nothing that is measured has so many digits, and Python refuses to count some thousand of them."""
LARGEST: dict[Kind, float] = {
    "length": 1e5, "time": 1e5, "angle": 1e4, "mass": 1e4, "energy": 1e5, "speed": 150, "wind force": 12, "exposure": 40,
    "stops": 40, "colour temperature": 1e5, "mired shift": 1000, "air temperature": 70, "share": 100, "pixels": 1e6,
    "resolution": 1e6, "illuminance": 1e6, "force": 1e6, "number": 1e9, "instant": 1e11, "aperture": 1000, "power": 1,
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
    if len(atom.text) > LONGEST_NUMBER:
        raise Mismatch(place, f"{atom.text[:12]}… is too long a number")
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
        limit = unit.from_base(largest)
        most = f"{limit:.0f}" if limit >= 1e6 else f"{limit:.6g}"
        most = (
            f"f/{most}"
            if unit.kind == "aperture"
            else f"force {most}"
            if unit.kind == "wind force"
            else f"{most} {unit.name}".strip()
        )
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
    says: ClassVar[str] = ""
    """What its name stands for, for a person; nothing where it is made of others or lists its words itself."""

    def explained(self) -> Iterator[tuple[str, str]]:
        """The names in capital letters that its own is made of, each with what it stands for and an example."""
        if self.says:
            yield self.name, f"{self.says}, such as {self.example}"

    def accepts(self, atom: Atom) -> bool:
        return atom.kind in self.starts

    def read(self, cursor: Cursor, unit: str | None) -> Any:
        """The value at the cursor. `unit` is the likely unit here, offered when none is written."""
        raise NotImplementedError

    def write(self, value: Any) -> str:
        """The value as a file says it, so that it reads back as the same."""
        return str(value)
