"""Makes a kit from a list that a spreadsheet saves (CSV): cameras, lenses, lights, stands, gels, filters and steps."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from shootlint.commands.lists import NOTES, add_list, with_columns

if TYPE_CHECKING:
    from shootlint.commands.lists import Listed
    from shootlint.language.entry import Declared
    from shootlint.language.table import Cell

KIND = "kind"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_list(parser, "things")
    parser.add_argument("--kind", metavar="KIND", help="what each row is, where the list has no column that says it")
    parser.formatter_class = with_columns(())


def run(call: argparse.Namespace) -> int:
    from shootlint.commands.lists import declared, finish, read_list
    from shootlint.commands.refused import Refused
    from shootlint.language.complaint import did_you_mean
    from shootlint.language.from_table import columns_of, entries_of

    kinds = declared(())
    if call.kind is not None and call.kind not in kinds:
        raise Refused(f"--kind takes one of {', '.join(kinds)}, not {call.kind}{did_you_mean(call.kind, kinds)}")
    known = dict.fromkeys(name for entry in entries_of(kinds).values() for name in columns_of(entry))
    listed = read_list(call.file, [KIND, *known, NOTES])
    if listed.table is not None and KIND not in listed.columns.by_name and call.kind is None:
        place = listed.table.head[0].place
        listed.complaints.add(place, f"no column is called {KIND}; add one that says what each row is, or say it with --kind")
    return finish(kit_text(listed, kinds, call.kind), call.to, listed.complaints, call.file)


def kit_text(listed: Listed, kinds: dict[str, Declared], otherwise: str | None) -> str:
    """The kit that a list says; where it has a mistake, that is added to its complaints."""
    from shootlint.commands.lists import comment, commented, rows_of
    from shootlint.language.from_table import read_row
    from shootlint.language.model import Plan
    from shootlint.language.tree import as_string
    from shootlint.language.values import Count
    from shootlint.language.written import plan_text

    complaints = listed.complaints
    things: dict[str, list[object]] = {}
    comments = []
    seen: dict[tuple[str, str], int] = {}
    for cells, notes, place in rows_of(listed):
        kind = _kind(cells, kinds, otherwise, listed)
        if kind is None:
            continue
        before = len(complaints)
        _refuse_what_it_has_not(kind, kinds[kind], cells, listed)
        thing = read_row(kinds[kind], cells, listed.columns, place, complaints)
        if thing is None or len(complaints) > before:
            continue
        first = seen.setdefault((kind, str(thing.name)), place.line)
        if first != place.line:
            complaints.add(cells["name"][0].place, f'{kind} "{thing.name}" is there twice; the first is in line {first}')
        things.setdefault(kind, []).append(thing)
        comments.append((f"{kind} {as_string(thing.name)}", comment(notes)))
    if listed.table is None or complaints:
        return ""
    kit = Plan(shootplan=Count(1)).model_copy(update={kind: tuple(each) for kind, each in things.items()})
    return commented(plan_text(kit), comments)


def _kind(
    cells: dict[str, tuple[Cell, str | None]], kinds: dict[str, Declared], otherwise: str | None, listed: Listed
) -> str | None:
    """What a row is; None where it does not say, or says what no kit has, which is told."""
    from shootlint.language.complaint import did_you_mean
    from shootlint.language.complaint import listed as in_a_sentence

    cell = cells.pop(KIND, (None, None))[0]
    if cell is None:
        if otherwise is None and cells:
            listed.complaints.add(next(iter(cells.values()))[0].place, f"this row does not say what {KIND} of thing it is")
        return otherwise
    kind = cell.text.lower()
    if kind not in kinds:
        hint = did_you_mean(kind, kinds)
        wanted = hint if hint.startswith("; did") else f"; it is one of {in_a_sentence(kinds, 'or')}"
        listed.complaints.add(cell.place, f"no kit has a {cell.text}{wanted}")
        return None
    return kind


def _refuse_what_it_has_not(kind: str, declared: Declared, cells: dict[str, tuple[Cell, str | None]], listed: Listed) -> None:
    from shootlint.language.from_table import columns_of

    assert declared.entry is not None
    known = columns_of(declared.entry)
    for name, (cell, _) in cells.items():
        if name not in known:
            listed.complaints.add(cell.place, f"a {kind} has no {name}; leave this cell empty")
