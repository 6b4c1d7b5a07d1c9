"""Makes the people of a plan from a list that a spreadsheet saves (CSV)."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from shootlint.commands.lists import NOTES, add_list, with_columns

if TYPE_CHECKING:
    from shootlint.commands.lists import Listed
    from shootlint.language.table import Cell

KINDS = ("people",)
GROWN_UP = 18
REMARK = """Of a child of 2 to 17 years the stature may be left out: it is then the median at that age (CDC growth charts of 2000, both
sexes), with a comment to measure it."""
BY_AGE = "the median stature at that age; measure it"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_list(parser, "people")
    parser.formatter_class = with_columns(KINDS, REMARK)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands.lists import finish, read_list
    from shootlint.language.from_table import columns_of
    from shootlint.language.model import Person

    listed = read_list(call.file, [*columns_of(Person), NOTES])
    return finish(people_text(listed), call.to, listed.complaints, call.file)


def people_text(listed: Listed) -> str:
    """The block of people that a list says; where it has a mistake, that is added to its complaints."""
    from shootlint.commands.lists import comment, commented, declared, rows_of
    from shootlint.language.from_table import read_row
    from shootlint.language.model import Plan
    from shootlint.language.model.place import People
    from shootlint.language.tree import as_string
    from shootlint.language.values import Count
    from shootlint.language.written import laid_out

    complaints = listed.complaints
    outer = declared(KINDS)["people"]
    people, comments = [], []
    seen: dict[str, int] = {}
    for cells, notes, place in rows_of(listed):
        guessed = _stature_by_age(cells)
        person = read_row(outer, cells, listed.columns, place, complaints)
        if person is None:
            continue
        first = seen.setdefault(str(person.name), place.line)
        if first != place.line:
            complaints.add(cells["name"][0].place, f'"{person.name}" is there twice; the first is in line {first}')
        people.append(person)
        comments.append((as_string(person.name), comment(notes, BY_AGE if guessed else "")))
    if listed.table is None or complaints:
        return ""
    return commented(laid_out(Plan(shootplan=Count(1), people=People(members=tuple(people))), ("people",)), comments)


def _stature_by_age(cells: dict[str, tuple[Cell, str | None]]) -> bool:
    """Puts in the median stature at a child's age where a row tells the age alone; whether that was done."""
    if "stature" in cells or "age" not in cells:
        return False
    from dataclasses import replace

    from shootlint.physics.stature import cdc_stature

    age, _ = cells["age"]
    if not (age.text.isascii() and age.text.isdigit() and int(age.text[:4]) < GROWN_UP):
        return False
    median = float(cdc_stature(float(age.text)))
    if median != median:
        return False
    cells["stature"] = (replace(age, text=f"{100 * median:.0f} cm"), None)
    return True
