"""Lists as spreadsheets save them: text to rows of cells that know where they stand (RFC 4180, and what people do to it).

Whatever separates the cells (a comma, a semicolon, a tab) is found from the first line. A cell in double quotation marks may
hold separators and line ends, and "" for a quotation mark.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from shootlint.language.complaint import Complaints
from shootlint.language.source import BYTE_ORDER_MARK, Place, Source, Unreadable, check_size

SEPARATORS = (",", ";", "\t")
FORMULA_STARTS = "=+-@\t\r\n＝＋－＠"
"""What a spreadsheet may take for the beginning of a formula; a cell that begins so is written with an apostrophe before it."""
MOST_ROWS = 2000
_TELLS_SEPARATOR = re.compile("sep=([,;\t])\r?\n", re.IGNORECASE)
"""A first line by which some spreadsheets say what separates the cells."""


@dataclass(frozen=True)
class Cell:
    """One cell: what it says, without the spaces around it, and where it stands, quotation marks included."""

    text: str
    place: Place

    @property
    def is_as_written(self) -> bool:
        """Whether its text stands in the file letter by letter."""
        return self.text == self.place.text


@dataclass(frozen=True)
class Table:
    """A list: the cells of its first line, and those of each further line that says anything."""

    source: Source
    head: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


def decode_list(content: bytes, name: str) -> tuple[Source, str]:
    """The text of a list, and what was supposed of it; raises Unreadable.

    A list that is not UTF-8 is taken for Windows-1252, which has the letters of Latin-1 in their places: older spreadsheets
    save so, and without a word, so that is told.
    """
    check_size(content, "a list of people or things")
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return Source(name, content.decode("utf-16")), ""
        except UnicodeDecodeError:
            raise Unreadable("the list begins as UTF-16 text and goes on as something else; save it as UTF-8") from None
    if b"\0" in content:
        raise Unreadable("the file is binary, not text; save the list as CSV")
    try:
        return Source(name, content.decode("utf-8").removeprefix(BYTE_ORDER_MARK)), ""
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        raise Unreadable(f"line {line} is neither UTF-8 nor Latin-1 text; save the list as UTF-8") from None
    return Source(name, text), f"line {line} is not UTF-8; the list was read as Windows-1252, so look at its accents and umlauts"


def read_table(source: Source, complaints: Complaints) -> Table | None:
    """The rows of a list; None where there is no first line to name its columns."""
    told = _TELLS_SEPARATOR.match(source.text)
    separator = told[1] if told is not None else separator_of(source.text)
    lines = list(_lines(source, told.end() if told is not None else 0, separator, complaints))
    filled = [line for line in lines if any(cell.text.strip() for cell in line)]
    if not filled:
        complaints.add(source.place(0, min(1, len(source.text))), "the list is empty; its first line names its columns")
        return None
    head, *rows = filled
    if len(rows) > MOST_ROWS:
        complaints.add(rows[MOST_ROWS][0].place, f"the list has more than {MOST_ROWS:,} rows")
    while len(head) > 1 and not head[-1].text:
        head = head[:-1]
    return Table(source, head, tuple(rows[:MOST_ROWS]))


def separator_of(text: str) -> str:
    """What separates the cells: of the candidates that which the first line has most of outside quotation marks."""
    counts = dict.fromkeys(SEPARATORS, 0)
    quoted = False
    for each in text.lstrip("\r\n"):
        if each == '"':
            quoted = not quoted
        elif each == "\n" and not quoted:
            break
        elif each in counts and not quoted:
            counts[each] += 1
    return max(counts, key=lambda each: counts[each])


def _lines(source: Source, at: int, separator: str, complaints: Complaints) -> Iterator[tuple[Cell, ...]]:
    text = source.text
    while at < len(text) and not complaints.full:
        cells: list[Cell] = []
        while True:
            cell, at = _cell(source, at, separator, complaints)
            cells.append(cell)
            if at >= len(text) or text[at] != separator:
                break
            at += 1
        yield tuple(cells)
        at += 2 if text.startswith("\r\n", at) else 1


def _cell(source: Source, start: int, separator: str, complaints: Complaints) -> tuple[Cell, int]:
    """The cell that begins at an offset, and the offset of what ends it."""
    text = source.text
    first = start
    while first < len(text) and text[first] == " ":
        first += 1
    if first < len(text) and text[first] == '"':
        return _quoted_cell(source, first, separator, complaints)
    ends = [found for found in (text.find(each, start) for each in (separator, "\n", "\r")) if found >= 0]
    end = min(ends, default=len(text))
    said = text[start:end].strip()
    at = start + text[start:end].index(said)
    return Cell(as_meant(said), source.place(at, at + len(said))), end


def _quoted_cell(source: Source, start: int, separator: str, complaints: Complaints) -> tuple[Cell, int]:
    text = source.text
    pieces, at = [], start + 1
    while True:
        end = text.find('"', at)
        if end < 0:
            complaints.add(source.place(start, start + 1), 'this quotation mark is never closed; one inside a cell is written ""')
            return Cell("", source.place(start, len(text))), len(text)
        pieces.append(text[at:end])
        if not text.startswith('""', end):
            break
        pieces.append('"')
        at = end + 2
    stop = end + 1
    while stop < len(text) and text[stop] not in (separator, "\n", "\r"):
        stop += 1
    if text[end + 1 : stop].strip():
        complaints.add(source.place(end + 1, stop), 'this follows a closed quotation mark; one inside a cell is written ""')
    return Cell(as_meant("".join(pieces).strip(" \t")), source.place(start, end + 1)), stop


def as_meant(text: str) -> str:
    """A cell's text without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    return text[1:] if _is_guarded(text) else text


def _is_guarded(text: str) -> bool:
    return text.startswith("'") and text.lstrip("'")[:1] in tuple(FORMULA_STARTS)


def guarded(text: str) -> str:
    """A cell's text as a spreadsheet takes it for a text: with an apostrophe where it would be taken for a formula."""
    return f"'{text}" if text[:1] in tuple(FORMULA_STARTS) or _is_guarded(text) else text
