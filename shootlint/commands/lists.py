"""What the commands that read lists have in common: the file, its columns in their help, and where the plan's text goes."""

from __future__ import annotations

import argparse
import os
import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from shootlint.language.complaint import Complaints
    from shootlint.language.entry import Declared
    from shootlint.language.from_table import Columns
    from shootlint.language.source import Place
    from shootlint.language.table import Cell, Table

NOTES = "notes"
WIDTH = 100


def add_list(parser: argparse.ArgumentParser, what: str) -> None:
    parser.add_argument("file", metavar="FILE.csv", help=f"a list of {what} as a spreadsheet saves it, or - for standard input")
    parser.add_argument(
        "--to", default="-", metavar="FILE.shoot", help="the file that is made; - is standard output, as where nothing is said"
    )


class Columned(argparse.HelpFormatter):
    """Help that ends with the columns of a list, which the model gives when the help is asked for and not before."""

    kinds: tuple[str, ...] = ()
    remark = ""
    wanted = False

    def start_section(self, heading: str | None) -> None:
        # A usage line alone has no sections.
        self.wanted = True
        super().start_section(heading)

    def format_help(self) -> str:
        text = super().format_help()
        return f"{text}\n{columns_in_words(self.kinds)}{self.remark}" if self.wanted else text


def with_columns(kinds: tuple[str, ...], remark: str = "") -> type[Columned]:
    """Help for lists of some kinds of thing; of all that a kit may hold where none is named."""
    return type("Columned", (Columned,), {"kinds": kinds, "remark": f"\n{remark}\n" if remark else ""})


def declared(kinds: tuple[str, ...]) -> dict[str, Declared]:
    """The lines of a plan that declare some kinds of thing; all that a kit may hold where none is named."""
    from shootlint.language.entry import shape
    from shootlint.language.loading import KIT_FIELDS
    from shootlint.language.model import Plan

    return {kind: shape(Plan).settings[kind] for kind in kinds or KIT_FIELDS}


def columns_in_words(kinds: tuple[str, ...]) -> str:
    """The columns that a list may have, each with what it says and an example."""
    from textwrap import wrap

    from shootlint.language.from_table import columns_of, entries_of, example_of

    entries = entries_of(declared(kinds))
    lines = ["columns, named in the first line, in any order; a unit may stand there in brackets, as in `mass (kg)`:"]
    if len(entries) > 1:
        lines += [f"  {'kind':18}What the row is: {', '.join(entries)}."]
    lines += [f"  {NOTES:18}A comment."]
    for kind, entry in entries.items():
        lines += ["", f"of each {kind}:"] if len(entries) > 1 else []
        for name, each in columns_of(entry).items():
            example = example_of(each)
            told = f"{each.meaning} {f'Such as {example}.' if example else 'Yes or no.'}"
            lines += wrap(told, WIDTH, initial_indent=f"  {name:18}", subsequent_indent=" " * 20)
    return "".join(f"{line}\n" for line in lines)


class Listed(NamedTuple):
    """A list that was read, with its complaints so far."""

    table: Table | None
    columns: Columns
    complaints: Complaints


def read_list(file: str, known: Iterable[str]) -> Listed:
    """The list in a file, and what its columns are for; what was supposed is told. Raises Unreadable with the file's name."""
    from pathlib import Path

    from shootlint.commands import output
    from shootlint.commands.paths import STANDARD_INPUT
    from shootlint.language.complaint import Complaints
    from shootlint.language.from_table import Columns, find_columns
    from shootlint.language.source import Unreadable, read_content, standard_content
    from shootlint.language.table import decode_list, read_table

    name = "standard input" if file == STANDARD_INPUT else file
    try:
        content = standard_content() if file == STANDARD_INPUT else read_content(Path(file))
        source, supposed = decode_list(content, name)
    except Unreadable as error:
        raise Unreadable(f"{name}: {error}") from None
    if supposed:
        output.complain(f"{name}: note: {supposed}")
    complaints = Complaints()
    table = read_table(source, complaints)
    columns = find_columns(table, list(known), complaints) if table is not None else Columns()
    for note in columns.unused:
        output.complain(note)
    return Listed(table, columns, complaints)


class ListedRow(NamedTuple):
    """A row of a list: its cells by what their columns are for, with the units told there, what is noted, and where it begins."""

    cells: dict[str, tuple[Cell, str | None]]
    notes: Cell | None
    place: Place


def rows_of(listed: Listed) -> Iterator[ListedRow]:
    """The rows of a list that was read without a mistake; one with more cells than columns is told and passed over."""
    from shootlint.language.from_table import refuse_surplus

    table, complaints = listed.table, listed.complaints
    if table is None or complaints:
        return
    for row in table.rows:
        if refuse_surplus(table, row, complaints) or complaints.full:
            continue
        cells = listed.columns.cells(row)
        notes = cells.pop(NOTES, (None, None))[0]
        yield ListedRow(cells, notes, next(cell.place for cell in row if cell.text))


def comment(cell: Cell | None, *more: str) -> str:
    """A comment of a cell's text and more, on one line; nothing where there is nothing to say."""
    said = " ".join(cell.text.split()) if cell is not None else ""
    whole = "; ".join(filter(None, (said, *more)))
    return "# " + "".join(each for each in whole if each.isprintable()) if whole else ""


def commented(text: str, comments: Iterable[tuple[str, str]]) -> str:
    """A text of a plan with comments at the ends of the lines that begin as told, and laid out again."""
    from shootlint.language.source import Source
    from shootlint.language.tidying import tidied
    from shootlint.language.written import plan_language

    for beginning, told in comments:
        if told:
            line = re.search(rf"^ *{re.escape(beginning)}(?= ).*$", text, re.MULTILINE)
            assert line is not None, beginning
            text = f"{text[: line.end()]}  {told}{text[line.end() :]}"
    return tidied(Source("the list", text), plan_language())


def finish(text: str, to: str, complaints: Complaints, file: str) -> int:
    """Puts out what was made of a list; raises Refused where it has mistakes, and for a file that is there, which stays as it is."""
    from shootlint.commands import output
    from shootlint.commands.paths import STANDARD_INPUT
    from shootlint.commands.refused import Refused
    from shootlint.commands.writing import create

    if complaints:
        raise Refused(f"{file}: nothing was made of a list with mistakes", complaints)
    if to == STANDARD_INPUT:
        output.write("-", text)
        return 0
    if not os.path.isdir(os.path.dirname(to) or "."):
        raise Refused(f"{to} cannot be written: there is no such folder")
    try:
        create({os.path.abspath(to): text.encode()})
    except FileExistsError:
        raise Refused(f"{to} is there already, and nothing is ever written over it; give it another name") from None
    except OSError as error:
        raise Refused(f"{to} cannot be written: {error.strerror}") from None
    return 0
