"""A file's text and the places in it.

Inside the program a place is a pair of offsets in code points; lines and columns are worked out only when a person or
a report asks. Both are counted from 1, a column in code points, as the text is after an optional byte-order mark.
"""

from __future__ import annotations

import sys
from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from pathlib import Path
from typing import Any

LARGEST_FILE = 1_000_000
"""Bytes. A plan of 60 people and 2,000 lines is a tenth of this; a larger file is a mistake, not a plan."""

BYTE_ORDER_MARK = "\ufeff"


@dataclass(frozen=True, eq=False)
class Source:
    """A text under the name by which people know it, without its byte-order mark."""

    name: str
    text: str = field(repr=False)
    path: Path | None = None
    """The file it was read from, resolved; None for standard input and text made in memory."""
    marked: bool = False
    """Whether the file began with a byte-order mark."""

    @property
    def content(self) -> bytes:
        """The bytes that it was read from."""
        return self.encoded(self.text)

    @cached_property
    def line_starts(self) -> list[int]:
        """Offsets at which lines start. Only a line feed ends a line."""
        return list(accumulate((len(line) for line in self.text.split("\n")), lambda at, size: at + size + 1, initial=0))[:-1]

    def line_and_column(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self.line_starts, offset)
        return line, offset - self.line_starts[line - 1] + 1

    def place(self, start: int, end: int) -> Place:
        return Place(self, start, end)

    def encoded(self, text: str) -> bytes:
        """A text as this file would hold it: with a byte-order mark where the file has one."""
        return f"{BYTE_ORDER_MARK if self.marked else ''}{text}".encode()


class Opaque:
    """What the model takes as it is: pydantic asks only whether a value is of the class, and looks at nothing inside.

    Without this it would work out how to check each part of each value, at every start.
    """

    __slots__ = ()

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.is_instance_schema(cls)


@dataclass(frozen=True, slots=True)
class Place(Opaque):
    """A stretch of a source: `end` is one past its last character."""

    source: Source = field(repr=False)
    start: int
    end: int

    @property
    def line(self) -> int:
        return self.source.line_and_column(self.start)[0]

    @property
    def column(self) -> int:
        return self.source.line_and_column(self.start)[1]

    @property
    def end_line(self) -> int:
        return self.source.line_and_column(self.end)[0]

    @property
    def end_column(self) -> int:
        return self.source.line_and_column(self.end)[1]

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    def to(self, other: Place) -> Place:
        """From the start of this place to the end of another one."""
        return Place(self.source, self.start, max(self.end, other.end))

    def __str__(self) -> str:
        return f"{self.source.name}:{self.line}:{self.column}"


class Unreadable(Exception):
    """A file that is not text of a size to read. Its text says why, for a person."""


class Unwritable(ValueError):
    """A plan that no text can say, such as one with a line end in a name. Its text says why."""


def check_size(content: bytes, what: str = "a plan or a rule file") -> None:
    """Raises Unreadable where a file is too large for one that people write."""
    if len(content) > LARGEST_FILE:
        raise Unreadable(f"the file is larger than {LARGEST_FILE:,} bytes; {what} is far smaller")


def decode(content: bytes, name: str, path: Path | None = None) -> Source:
    """The source in a file's bytes; raises Unreadable when they are not UTF-8 text of a plan's size."""
    check_size(content)
    if b"\0" in content:
        raise Unreadable("the file is binary, not text; plans and rule files are UTF-8 text")
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise Unreadable(f"line {line} is not UTF-8 text; save the file as UTF-8") from None
    marked = text.startswith(BYTE_ORDER_MARK)
    return Source(name, text[1:] if marked else text, path, marked)


def read_source(path: Path, name: str) -> Source:
    """Reads a file of text; raises Unreadable with a reason."""
    return decode(read_content(path), name, path.resolve())


def named_source(file: str) -> Source:
    """The text of a file that a call names; raises Unreadable with the file's name and a reason."""
    try:
        return read_source(Path(file), file)
    except Unreadable as error:
        raise Unreadable(f"{file}: {error}") from None


def read_content(path: Path) -> bytes:
    """The bytes of a file; raises Unreadable with a reason. Only ordinary files are opened, so no device can hang us."""
    try:
        if path.is_dir():
            raise Unreadable("this is a folder, not a file")
        if not path.exists():
            raise Unreadable("there is no such file")
        if not path.is_file():
            raise Unreadable("this is not an ordinary file")
        with path.open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        raise Unreadable(f"the file cannot be read: {getattr(error, 'strerror', None) or error}") from None


def standard_input() -> Source:
    """What standard input holds; raises Unreadable."""
    return decode(standard_content(), "standard input")


def standard_content() -> bytes:
    """The bytes that standard input holds."""
    return sys.stdin.buffer.read(LARGEST_FILE + 1) if sys.stdin is not None else b""
