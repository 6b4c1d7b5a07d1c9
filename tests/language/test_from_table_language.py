"""Whoever stands in a list comes out of it as who went in, however the cells were written."""

from __future__ import annotations

import csv
import io

from hypothesis import given, settings
from hypothesis import strategies as st

from shootlint.language.complaint import Complaints
from shootlint.language.entry import shape
from shootlint.language.from_table import columns_of, find_columns, read_row
from shootlint.language.model import Person, Plan
from shootlint.language.sameness import same
from shootlint.language.source import Source
from shootlint.language.table import guarded, read_table
from shootlint.language.values import Count, Name, Quantity, quantity

NAMES = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=12)
STATURES = st.one_of(
    st.integers(30, 250).map(lambda number: (quantity(number, "cm"), f"{number} cm")),
    st.integers(30, 250).map(lambda number: (quantity(number / 100, "m"), f"{number / 100:g} m".replace(".", ","))),
    st.tuples(st.integers(1, 7), st.integers(0, 11)).map(
        lambda told: (
            Quantity(told[0] * 0.3048 + told[1] * 0.0254, quantity(1, "ft").unit, f"{told[0]} ft {told[1]} in"),
            f"{told[0]}'{told[1]}\"",
        )
    ),
)
YES = st.sampled_from(["yes", "x", "1", "TRUE", "Y"])
NO = st.sampled_from(["no", "", "0", "false", "N"])


@st.composite
def written(draw):
    """Somebody, and the cells that say so."""
    name, (stature, as_cell) = draw(NAMES), draw(STATURES)
    age = draw(st.none() | st.integers(0, 125))
    seated, glasses = draw(st.booleans()), draw(st.booleans())
    person = Person(
        name=Name(name), stature=stature, age=None if age is None else Count(age), seated_only=seated, glasses=glasses
    )
    cells = {
        "name": guarded(name),
        "stature": as_cell,
        "age": "" if age is None else str(age),
        "seated-only": draw(YES if seated else NO),
        "glasses": draw(YES if glasses else NO),
    }
    return person, cells


@settings(max_examples=200)
@given(written(), st.permutations(["name", "stature", "age", "seated-only", "glasses"]), st.sampled_from(",;\t"))
def test_who_is_written_into_a_list_is_who_is_read(told, order, separator):
    person, cells = told
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=separator).writerows([order, [cells[name] for name in order]])
    complaints = Complaints()
    table = read_table(Source("list.csv", file.getvalue()), complaints)
    assert table is not None
    columns = find_columns(table, list(columns_of(Person)), complaints)
    (row,) = table.rows
    found = read_row(shape(Plan).settings["people"], columns.cells(row), columns, row[0].place, complaints)
    assert not complaints, [str(each) for each in complaints]
    assert same(found.model_copy(update={"stature": person.stature}), person)
    assert abs(found.stature.value - person.stature.value) < 1e-9


@settings(max_examples=300)
@given(st.lists(st.text(max_size=10), min_size=3, max_size=3))
def test_whatever_stands_in_a_row_makes_one_person_or_a_complaint_in_the_list(cells):
    file = io.StringIO(newline="")
    csv.writer(file).writerows([["name", "stature", "age"], cells])
    complaints = Complaints()
    source = Source("list.csv", file.getvalue())
    table = read_table(source, complaints)
    assert table is not None
    columns = find_columns(table, list(columns_of(Person)), complaints)
    for row in table.rows[:1]:
        told = columns.cells(row)
        found = read_row(shape(Plan).settings["people"], told, columns, row[0].place, complaints)
        assert (found is None) == bool(complaints)
        assert all(each.place.source is source for each in complaints)
