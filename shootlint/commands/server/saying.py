"""What each word and value of a text says: by which declaration it was read, told by the reader itself as it reads."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from shootlint.commands.server.session import Checked
from shootlint.language.complaint import Complaints
from shootlint.language.cursor import Cursor
from shootlint.language.entry import HOLE, Declared, Entry, shape
from shootlint.language.reading import Reader
from shootlint.language.tree import Line


@dataclass(frozen=True)
class Saying:
    """A stretch of the text and the declaration by which it was read."""

    start: int
    end: int
    declared: Declared
    owner: type[Entry]
    """The entry whose part or setting it is."""
    value: Any = None
    """What was read; None where nothing could be."""
    value_start: int | None = None
    """Where the value begins, after the words of its phrase."""


@dataclass
class Following(Reader):
    """Reads a text as usual and notes what is read as what.

    `at` is the declaration, how much of its phrase has been read and where that began, where reading broke off within
    one: what completion asks for.
    """

    sayings: list[Saying] = field(default_factory=list)
    owners: list[type[Entry]] = field(default_factory=list)
    at: tuple[Declared, int, int] | None = None

    def settings(self, entry: type[Entry], lines: Any) -> Any:
        self.owners.append(entry)
        try:
            return super().settings(entry, lines)
        finally:
            self.owners.pop()

    def line(self, declared: Declared, line: Line) -> Any:
        owner = self.owners[-1] if self.owners else self.vocabulary.root
        if declared.head is not None:
            self.sayings.append(Saying(line.head.start, line.head.end, declared, owner))
        if declared.entry is None:
            return super().line(declared, line)
        self.owners.append(declared.entry)
        try:
            return super().line(declared, line)
        finally:
            self.owners.pop()

    def phrase(self, declared: Declared, cursor: Cursor, head: str | None = None) -> Any:
        start = cursor.here().start
        value: Any = True
        value_start: int | None = None
        for at, word in enumerate(declared.phrase):
            self.at = (declared, at, cursor.here().start if cursor.next is not None else len(self.source.text))
            if word == HOLE:
                assert declared.slot is not None
                value_start = self.at[2]
                value = declared.slot.read(cursor, declared.unit)
                self.mention(declared, value)
            elif not cursor.take_word(word if at or head is None else head):
                cursor.refuse(f"`{declared.written()}`" if cursor.next is not None else f"`{word}`")
        self.at = None
        owner = self.owners[-1] if self.owners else self.vocabulary.root
        self.sayings.append(Saying(start, cursor.reached, declared, owner, value, value_start))
        return value


def sayings_in(checked: Checked) -> list[Saying]:
    """All that a document says, as far as it could be read."""
    assert checked.source is not None
    reader = Following(checked.source, Complaints(), checked.vocabulary)
    reader.read(checked.tree)
    return reader.sayings


def saying_at(checked: Checked, offset: int) -> Saying | None:
    """The smallest stretch at an offset that was read as one thing; a place right behind it counts as well."""
    found = [each for each in sayings_in(checked) if each.start <= offset <= each.end]
    # Where two stretches meet, that which begins there is meant.
    return min(found, key=lambda each: (each.end == offset, each.end - each.start), default=None)


def has_block(declared: Declared) -> bool:
    """Whether a line opens a block."""
    return declared.entry is not None and bool(shape(declared.entry).settings or shape(declared.entry).named)
