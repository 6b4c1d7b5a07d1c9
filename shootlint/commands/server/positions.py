"""Positions as the Language Server Protocol counts them, and offsets in code points as the program does.

The protocol ends a line at a line feed, at a carriage return and line feed, and at a lone carriage return, and nowhere
else; what Python or a file takes for the end of a line besides does not count. Columns are counted in units that client
and server agree on: bytes of UTF-8, units of UTF-16 or code points.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from functools import cached_property
from typing import Literal, NamedTuple

Encoding = Literal["utf-8", "utf-16", "utf-32"]

_END_OF_LINE = re.compile(r"\r\n|\r|\n")


class Position(NamedTuple):
    """A line and a column, both from 0, the column in the units agreed on."""

    line: int
    column: int


class Span(NamedTuple):
    start: Position
    end: Position


class LineIndex:
    """Where the lines of a text are.

    Offsets are those of the text without its byte-order mark, as the program has it; positions are those of the text as
    the client has it, in which the mark is a character of the first line.
    """

    def __init__(self, text: str, encoding: Encoding, marked: bool = False) -> None:
        self.text = text
        self.encoding = encoding
        self.before = 1 if marked else 0
        self._units_before = {"utf-8": 3, "utf-16": 1, "utf-32": 1}[encoding] if marked else 0

    @cached_property
    def starts(self) -> list[int]:
        """The offset at which each line starts."""
        return [0, *(match.end() for match in _END_OF_LINE.finditer(self.text))]

    @cached_property
    def _ends(self) -> list[int]:
        """The offset at which each line ends, before what ends it."""
        return [*(match.start() for match in _END_OF_LINE.finditer(self.text)), len(self.text)]

    def position(self, offset: int) -> Position:
        """The position of an offset; one outside the text stands for its nearest end."""
        offset = min(max(offset, 0), len(self.text))
        line = bisect_right(self.starts, offset) - 1
        column = self._units(self.text[self.starts[line] : offset])
        return Position(line, column + (self._units_before if line == 0 else 0))

    def span(self, start: int, end: int) -> Span:
        return Span(self.position(start), self.position(end))

    def offset(self, position: Position) -> int:
        """The offset of a position. A column past the end of its line is the line's end, a line past the last one the
        text's end, and a column inside a character is where that begins, as the protocol has it."""
        if position.line < 0:
            return 0
        if position.line >= len(self.starts):
            return len(self.text)
        start, end = self.starts[position.line], self._ends[position.line]
        wanted = position.column - (self._units_before if position.line == 0 else 0)
        if wanted <= 0:
            return start
        line = self.text[start:end]
        if self.encoding == "utf-32" or line.isascii():
            return start + min(wanted, len(line))
        at = 0
        for place, size in enumerate(self._sizes(line)):
            at += size
            if at > wanted:
                return start + place
        return end

    def _units(self, text: str) -> int:
        return len(text) if self.encoding == "utf-32" or text.isascii() else sum(self._sizes(text))

    def _sizes(self, text: str) -> Iterator[int]:
        """How many units each character takes. Half a pair of UTF-16 takes what its other half would."""
        if self.encoding == "utf-16":
            return (2 if ord(each) > 0xFFFF else 1 for each in text)
        return (1 if ord(each) < 0x80 else 2 if ord(each) < 0x800 else 3 if ord(each) < 0x10000 else 4 for each in text)
