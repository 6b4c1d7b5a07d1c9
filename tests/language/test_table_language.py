"""Lists as spreadsheets save them: what Python's csv module, which follows RFC 4180, reads in them is what we read."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shootlint.language.complaint import Complaints
from shootlint.language.source import LARGEST_FILE as LARGEST
from shootlint.language.source import Source, Unreadable
from shootlint.language.table import MOST_ROWS, Table, as_meant, decode_list, guarded, read_table, separator_of

CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\0"), max_size=8)


def table(text: str) -> Table:
    complaints = Complaints()
    found = read_table(Source("list.csv", text), complaints)
    assert not complaints, [str(each) for each in complaints]
    assert found is not None
    return found


def texts(found: Table) -> list[list[str]]:
    return [[cell.text for cell in row] for row in (found.head, *found.rows)]


@example(",", [["", "", "\n"]], False)
@given(st.sampled_from(",;\t"), st.lists(st.lists(CELLS, min_size=3, max_size=3), min_size=1, max_size=5), st.booleans())
def test_rows_are_those_of_the_csv_module(separator, rows, quote_all):
    rows = [["a", "b", "c"], *rows]
    file = io.StringIO(newline="")
    writer = csv.writer(
        file, delimiter=separator, lineterminator="\r\n", quoting=csv.QUOTE_ALL if quote_all else csv.QUOTE_MINIMAL
    )
    writer.writerows(rows)
    reference = list(csv.reader(io.StringIO(file.getvalue(), newline=""), delimiter=separator))
    # Spaces around a cell, a guarding apostrophe and empty rows say nothing.
    wanted = [[as_meant(cell.strip(" \t") if '"' in file.getvalue() else cell.strip()) for cell in row] for row in reference]
    found = [[cell.strip() for cell in row] for row in texts(table(file.getvalue()))]
    assert found == [[cell.strip() for cell in row] for row in wanted if any(cell.strip() for cell in row)]


@given(st.text())
def test_any_text_is_read_to_its_end(text):
    complaints = Complaints()
    found = read_table(Source("list.csv", text), complaints)
    assert found is not None or complaints
    for row in (found.head, *found.rows) if found is not None else ():
        for cell in row:
            assert 0 <= cell.place.start <= cell.place.end <= len(text)


@given(st.text())
def test_a_guarded_text_is_the_same_text_again(text):
    assert as_meant(guarded(text)) == text
    assert guarded(text)[:1] not in tuple("=+-@\t\r")


def test_each_cell_knows_where_it_stands():
    found = table('name; stature\n"Ada ""A""";  163 cm\nBo;170 cm\n')
    assert [[str(cell.place) for cell in row] for row in found.rows] == [
        ["list.csv:2:1", "list.csv:2:15"],
        ["list.csv:3:1", "list.csv:3:4"],
    ]
    assert found.rows[0][0].text == 'Ada "A"' and not found.rows[0][0].is_as_written
    assert found.rows[0][1].is_as_written


@pytest.mark.parametrize(
    ("text", "separator"),
    [("a,b,c", ","), ("a;b;c", ";"), ("a\tb", "\t"), ('"a,b,c";d', ";"), ("a\nb;c", ","), ("\n\na;b", ";"), ("", ",")],
)
def test_the_separator_is_that_of_the_first_line(text, separator):
    assert separator_of(text) == separator


def test_a_first_line_may_tell_the_separator():
    assert texts(table("sep=;\r\na,b;c\r\n")) == [["a,b", "c"]]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_will_do(end):
    assert texts(table(f'a,b{end}1,"x{end}y"{end}{end},{end}2,3')) == [["a", "b"], ["1", f"x{end}y"], ["2", "3"]]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "list.csv:1:1: error: the list is empty"),
        (",,\n \n", "list.csv:1:1: error: the list is empty"),
        ('a\n"b\nc', 'list.csv:2:1: error: this quotation mark is never closed; one inside a cell is written ""'),
        ('a,b\n"b"c,d', 'list.csv:2:4: error: this follows a closed quotation mark; one inside a cell is written ""'),
        ("a\n" + "b\n" * (MOST_ROWS + 1), f"list.csv:{MOST_ROWS + 2}:1: error: the list has more than 2,000 rows"),
    ],
)
def test_what_is_wrong_with_a_list_is_told(text, told):
    complaints = Complaints()
    read_table(Source("list.csv", text), complaints)
    assert str(complaints[0]).startswith(told)


@pytest.mark.parametrize(
    ("content", "text"),
    [
        ("Åke".encode(), "Åke"),
        ("\ufeffÅke".encode(), "Åke"),
        ("Åke".encode("utf-16"), "Åke"),
        (b"\xfe\xff" + "Åke".encode("utf-16-be"), "Åke"),
    ],
)
def test_unicode_of_every_kind_is_read(content, text):
    source, supposed = decode_list(content, "list.csv")
    assert (source.text, supposed) == (text, "")


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252"])
def test_a_list_of_an_older_spreadsheet_is_read_and_that_is_told(encoding):
    source, supposed = decode_list("name\nÅke Özdemir\n".encode(encoding), "list.csv")
    assert source.text == "name\nÅke Özdemir\n"
    assert supposed.startswith("line 2 is not UTF-8")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"a\0b", "binary"),
        (b"name\n\x81", "line 2 is neither UTF-8 nor Latin-1"),
        (b"\xff\xfea", "begins as UTF-16"),
        (b"x" * (LARGEST + 1), "larger than"),
    ],
)
def test_what_is_no_list_is_refused(content, told):
    with pytest.raises(Unreadable, match=told):
        decode_list(content, "list.csv")
