"""Text laid out for a terminal of 80 columns: lines wrapped and set in, and columns that stand under each other.

The width is not asked of the terminal, so that a pipe and a file get the same bytes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence

WIDTH = 80
GAP = 2
"""Spaces between columns."""
_NUMBER = re.compile(r"[(+-]*[0-9][0-9.,/]*")
_UNIT = 5
"""A word of so few letters after a number may be its unit, and does not begin a line without it."""


def cells(text: str) -> int:
    """The columns that a text takes in a terminal: two for each wide letter (Unicode, UAX #11), none for a mark on one."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(each) else 2 if unicodedata.east_asian_width(each) in "WF" else 1 for each in text)


def padded(text: str, width: int, right: bool = False) -> str:
    """A text filled up to so many columns, at its end or, to stand on the right, before it."""
    fill = " " * (width - cells(text))
    return fill + text if right else text + fill


def wrapped(text: str, first: str | int = 0, rest: int = 0, width: int = WIDTH) -> Iterator[str]:
    """A text in lines that are not too wide: the first after a lead (or so many spaces), the others set in.

    A word that is wider than a line stays whole, so that names and paths can be copied; a choice is parted at its bars.
    """
    line = " " * first if isinstance(first, int) else first
    empty = True
    for word in _words(text):
        if not empty and cells(line) + 1 + cells(word) > width:
            yield line.rstrip()
            line, empty = " " * rest, True
        while cells(line) + cells(word) > width and (bar := word.rfind("|", 0, max(1, width - cells(line))) + 1):
            yield line + word[:bar]
            line, word = " " * rest, word[bar:]
        line += word if empty else f" {word}"
        empty = False
    yield line.rstrip()


def _words(text: str) -> list[str]:
    """The words of a text; a number and its unit are one."""
    words: list[str] = []
    for word in text.split(" "):
        if words and _NUMBER.fullmatch(words[-1]) and 0 < len(word.rstrip(",;.:)")) <= _UNIT:
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def columns(rows: Iterable[Sequence[str]], indent: int = 0, right: Sequence[int] = (), width: int = WIDTH) -> Iterator[str]:
    """Rows whose cells stand under each other, those of the columns named on the right; what is last in a row is wrapped.

    Where the others leave it less than half of the width, it stands below them instead.
    """
    lines = [list(row) for row in rows]
    sizes: list[int] = []
    for place in range(max(map(len, lines), default=1) - 1):
        sizes.append(max((cells(row[place]) for row in lines if place < len(row) - 1), default=0))
    for row in lines:
        lead = " " * indent
        for place, cell in enumerate(row[:-1]):
            lead += padded(cell, sizes[place], place in right) + " " * GAP
        if sum(sizes) + GAP * len(sizes) <= width // 2:
            yield from wrapped(row[-1], lead, cells(lead), width)
        else:
            yield lead.rstrip()
            yield from wrapped(row[-1], indent + 4, indent + 4, width)


def side_by_side(sizes: Sequence[int], room: int) -> Iterator[range]:
    """Columns of these sizes, each after a gap, in as many groups as a room asks for; one that is too wide stands alone."""
    start, taken = 0, 0
    for place, size in enumerate(sizes):
        if place > start and taken + GAP + size > room:
            yield range(start, place)
            start, taken = place, 0
        taken += GAP + size
    if start < len(sizes):
        yield range(start, len(sizes))


def page(name: str, about: str, facts: dict[str, str]) -> Iterator[str]:
    """What there is to say of one thing: its name, a sentence, and facts with their names before them."""
    yield name
    yield from wrapped(about, 2, 2)
    yield from columns(((fact, text) for fact, text in facts.items() if text), 2)
