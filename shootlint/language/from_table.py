"""Rows of a list to entries of the plan's model. The columns are the model's own words, and the cells say what a plan would.

A row is put together as the lines that a plan would have and read by the one reader of plans; what that complains of is then
told of the cell that it came from.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from shootlint.language.complaint import Complaints, did_you_mean, listed
from shootlint.language.entry import HOLE, Declared, Entry, shape
from shootlint.language.reading import Reader
from shootlint.language.slots import Measure, Quoted
from shootlint.language.source import Place, Source
from shootlint.language.syntax import read_tree
from shootlint.language.table import Cell, Table
from shootlint.language.tree import as_string
from shootlint.language.units import BY_SPELLING
from shootlint.language.vocabulary import PLANS

YES = ("yes", "y", "x", "1", "true")
NO = ("no", "n", "-", "0", "false")
_DECIMAL_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")
_FEET_AND_INCHES = re.compile(r"""(\d+)\s*['′’]\s*(?:(\d+(?:\.\d+)?)\s*(?:["″”]|''|′′)?)?""")
_FORBIDDEN = re.compile(r'[{};#"\n\r]')
"""What would end the line of a plan in which the cell is read."""
_HEAD = re.compile(r"(?P<name>.+?)\s*(?:[\[(]\s*(?P<unit>[^\])]+?)\s*[\])])?")


def column_of(declared: Declared) -> str:
    """The column that says a field: the words of its phrase, or the field's own name where it has none."""
    words = [word for word in declared.phrase if word != HOLE]
    return "-".join(words) if words else declared.name.replace("_", "-")


def columns_of(entry: type[Entry]) -> dict[str, Declared]:
    """The columns of an entry: its parts and the settings of its block, in the order of the model."""
    of = shape(entry)
    return {column_of(each): each for each in (*of.parts, *of.settings.values())}


@dataclass(frozen=True)
class Column:
    """A column of a list: where it stands, and the unit that its first line gives for numbers without one."""

    at: int
    cell: Cell
    unit: str | None


@dataclass
class Columns:
    """The columns of a list by their names; those that have no name in `known` are told."""

    by_name: dict[str, Column] = field(default_factory=dict)
    unused: list[str] = field(default_factory=list)
    place: Place | None = None
    """Where the columns are named."""

    def cells(self, row: tuple[Cell, ...]) -> dict[str, tuple[Cell, str | None]]:
        """The cells of a row that say something, each with the unit of its column."""
        return {
            name: (row[column.at], column.unit)
            for name, column in self.by_name.items()
            if column.at < len(row) and row[column.at].text
        }


def find_columns(table: Table, known: list[str], complaints: Complaints) -> Columns:
    """What each column of a list is for. One that is for nothing is no mistake, as lists are kept for other purposes too."""
    found = Columns(place=table.head[0].place)
    for at, cell in enumerate(table.head):
        head = _HEAD.fullmatch(cell.text)
        if head is None:
            continue
        name = re.sub(r"[\s_]+", "-", head["name"].strip().lower())
        unit = head["unit"]
        if name not in known:
            found.unused.append(f"{cell.place}: note: no use is made of the column {cell.text}{did_you_mean(name, known)}")
        elif name in found.by_name:
            complaints.add(cell.place, f"the column {name} is there twice")
        elif unit is not None and unit not in BY_SPELLING:
            complaints.add(cell.place, f"{unit} is not a unit{did_you_mean(unit, BY_SPELLING)}")
        else:
            found.by_name[name] = Column(at, cell, unit)
    return found


def refuse_surplus(table: Table, row: tuple[Cell, ...], complaints: Complaints) -> bool:
    """Whether a row has more cells than the list has columns, which is told: most likely a separator stands in a cell."""
    more = next((cell for cell in row[len(table.head) :] if cell.text), None)
    if more is not None:
        complaints.add(
            more.place,
            f"this row has more cells than there are columns ({len(table.head)}); a cell with a separator in it stands in "
            "double quotation marks",
        )
    return more is not None


class _Lines:
    """The text of a plan that is put together from cells, and which stretch of it came from which cell."""

    def __init__(self) -> None:
        self.text = ""
        self.from_cells: list[tuple[int, int, int, Cell]] = []

    def say(self, text: str, cell: Cell | None = None, value: str = "") -> None:
        """Adds a text; where it came from a cell, `value` is the end of it that the cell says itself."""
        start = len(self.text)
        self.text += text
        if cell is not None:
            self.from_cells.append((start, len(self.text), len(self.text) - len(value), cell))

    def place(self, place: Place, otherwise: Place) -> Place:
        """Where in the list stands what a place in this text is about."""
        for start, end, value, cell in self.from_cells:
            if start <= place.start <= end:
                first = cell.place.start + place.start - value
                last = min(cell.place.start + place.end - value, cell.place.end)
                # A unit or the like may have been added, but what was changed within stands at other places.
                if cell.is_as_written and self.text.startswith(cell.text, value) and cell.place.start <= first < last:
                    return Place(cell.place.source, first, last)
                return cell.place
        return otherwise


def read_row(
    outer: Declared, cells: Mapping[str, tuple[Cell, str | None]], named: Columns, row: Place, complaints: Complaints
) -> Any:
    """What a row says, as the entry that `outer` declares (`light`), or whose names it lists (`people`); None where there is
    a mistake in it, which is told."""
    assert outer.entry is not None
    inner = shape(outer.entry).named
    declared = inner if inner is not None and inner.entry is not None else outer
    assert declared.entry is not None
    columns = columns_of(declared.entry)
    before = len(complaints)
    missing = [each for name, each in columns.items() if each.required and name not in cells]
    for each in missing:
        if column_of(each) in named.by_name or named.place is None:
            complaints.add(row, f"{_called(declared, cells)} has no {column_of(each)}{_such_as(each)}")
        else:
            # Said once for all rows: most likely the list calls it something else.
            word = declared.entry.word()
            message = f"no column is called {column_of(each)}, which each {word} needs; name it so in the first line"
            complaints.add(named.place, message)
    texts = {
        name: _in_plans_words(columns[name], cell, unit, complaints) for name, (cell, unit) in cells.items() if name in columns
    }
    if missing or len(complaints) > before:
        return None
    lines = _Lines()
    lines.say("shootplan 1\n")
    if declared is inner:
        lines.say(f"{outer.phrase[0]} {{\n")
        _say_parts(lines, declared, texts, cells)
        lines.say("\n}\n")
    else:
        lines.say(f"{outer.phrase[0]} ")
        _say_parts(lines, declared, texts, cells)
        lines.say(" {\n")
        for name, each in columns.items():
            if name in texts and each in shape(declared.entry).settings.values():
                _say_setting(lines, each, texts[name], cells[name][0])
        lines.say("}\n")
    read, told = _read(lines.text)
    for complaint in told:
        complaints.add(lines.place(complaint.place, row), complaint.message)
    if told or read is None:
        return None
    found = getattr(read, outer.name)
    entry = found.members[0] if declared is inner else found[0]
    return entry.model_copy(update={"where": None})


def _read(text: str) -> tuple[Any, Complaints]:
    told = Complaints()
    source = Source("row", text)
    tree = read_tree(source, told, PLANS.outermost, PLANS.opening)
    return (Reader(source, told).read(tree) if not told else None), told


def _called(declared: Declared, cells: Mapping[str, tuple[Cell, str | None]]) -> str:
    assert declared.entry is not None
    word = declared.entry.word()
    return f'{word} "{cells["name"][0].text}"' if "name" in cells else f"this {word}"


def example_of(declared: Declared) -> str:
    """What a cell of a field's column may say; nothing where it says yes or no."""
    head = " ".join(word for word in declared.phrase if word != HOLE)
    return declared.example().removeprefix(head).lstrip(" ,").strip('"')


def _such_as(declared: Declared) -> str:
    return f"; write it in that column, such as {example_of(declared)}"


def _say_parts(lines: _Lines, declared: Declared, texts: Mapping[str, str], cells: Mapping[str, tuple[Cell, str | None]]) -> None:
    assert declared.entry is not None
    first = True
    for each in shape(declared.entry).parts:
        name = column_of(each)
        if not texts.get(name):
            continue
        lines.say("" if first else ", " if each.clause else " ")
        _say_phrase(lines, each, texts[name], cells[name][0])
        first = False


def _say_phrase(lines: _Lines, declared: Declared, text: str, cell: Cell) -> None:
    words = [text if word == HOLE else word for word in declared.phrase]
    # Only a phrase that ends with its value has the cell's own text at its end.
    lines.say(" ".join(words), cell, text if words[-1] is text and HOLE in declared.phrase else "")


def _say_setting(lines: _Lines, declared: Declared, text: str, cell: Cell) -> None:
    if declared.entry is None:
        _say_phrase(lines, declared, text, cell)
    else:
        first = shape(declared.entry).parts[0]
        head = " ".join(word for word in declared.phrase if word != HOLE)
        lines.say(f"{head}{',' if first.clause else ''} {text}", cell, text)
    lines.say("\n")


def _in_plans_words(declared: Declared, cell: Cell, unit: str | None, complaints: Complaints) -> str:
    """What a cell says, as the plan would write it; nothing where it says no, or has a mistake, which is told."""
    text = " ".join(cell.text.split())
    if not text.isprintable():
        complaints.add(cell.place, "this cell holds a character that does not print")
        return ""
    if isinstance(declared.slot, Quoted):
        return as_string(text)
    if declared.slot is None and declared.entry is None:
        return _yes_or_no(declared, text, cell, complaints)
    text = _without_decimal_commas(text, cell, complaints)
    if isinstance(declared.slot, Measure) and "length" in declared.slot.kinds:
        feet = _FEET_AND_INCHES.fullmatch(text)
        text = f"{feet[1]} ft" + (f" {feet[2]} in" if feet[2] else "") if feet is not None else text
    if _FORBIDDEN.search(text):
        complaints.add(cell.place, f"expected something such as {example_of(declared)}, not {text}")
        return ""
    return f"{text} {unit}" if unit is not None and re.fullmatch(r"[+-]?[\d.]+", text) else text


def _yes_or_no(declared: Declared, text: str, cell: Cell, complaints: Complaints) -> str:
    if text.lower() in YES or text.lower() == column_of(declared):
        return text
    if text.lower() not in NO:
        complaints.add(cell.place, f"{column_of(declared)} takes {listed(['yes', 'no'])}, or nothing, not {text}")
    return ""


def _without_decimal_commas(text: str, cell: Cell, complaints: Complaints) -> str:
    """A text with points for decimal commas. A comma before three digits may be for thousands as well, and that is told."""

    def meant(number: re.Match[str]) -> str:
        if len(number[2]) == 3 and number[1] != "0":
            complaints.add(
                cell.place, f"{number[0]} may be {number[1]}.{number[2]} or {number[1]}{number[2]}; write it without a comma"
            )
        return f"{number[1]}.{number[2]}"

    return _DECIMAL_COMMA.sub(meant, text)


def entries_of(outer: Mapping[str, Declared]) -> dict[str, type[Entry]]:
    """What a row of each kind makes: the entry that lines of a kind declare, or whose names they list."""
    found = {}
    for kind, declared in outer.items():
        assert declared.entry is not None
        inner = shape(declared.entry).named
        found[kind] = inner.entry if inner is not None and inner.entry is not None else declared.entry
    return found
