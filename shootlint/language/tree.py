"""The tree of a text, in our own types: files hold lines, a line holds clauses of atoms and perhaps a block of lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from shootlint.language.source import Place, Source

AtomKind = Literal["STRING", "DATE", "CLOCK", "APERTURE", "NUMBER", "WORD", "DAMAGED"]


class Atom(NamedTuple):
    """One word, number or quoted text. DAMAGED stands where the reader had to skip something."""

    kind: AtomKind
    text: str
    start: int
    end: int

    @property
    def string(self) -> str:
        """What a quoted text says."""
        return self.text[1:-1].replace('\\"', '"').replace("\\\\", "\\")


def as_string(text: str) -> str:
    """A text in double quotation marks, as `Atom.string` reads it."""
    return '"{}"'.format(text.replace("\\", "\\\\").replace('"', '\\"'))


Clause = tuple[Atom, ...]


@dataclass(slots=True)
class Block:
    lines: list[Line]
    start: int
    end: int


@dataclass(slots=True)
class Line:
    """A head word, values, clauses after commas, and the block that follows, if any."""

    clauses: tuple[Clause, ...]
    block: Block | None

    @property
    def head(self) -> Atom:
        return self.clauses[0][0]

    @property
    def start(self) -> int:
        return self.clauses[0][0].start

    @property
    def end(self) -> int:
        """The end of the line's own text; its block comes after it."""
        return self.clauses[-1][-1].end

    @property
    def damaged(self) -> bool:
        return any(atom.kind == "DAMAGED" for clause in self.clauses for atom in clause)


@dataclass(slots=True)
class Tree:
    source: Source
    lines: list[Line] = field(default_factory=list)

    def place(self, thing: Line | Block | Atom) -> Place:
        return Place(self.source, thing.start, thing.end)
