"""Positions as LSP 3.17 counts them ("Position" and "Text Documents" in its specification), against Python's own encoders."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.commands.server.positions import LineIndex, Position

ODD = st.text(st.sampled_from('aé😀€\u2028\u2029\x0b\x0c\x85\r\n\t "{}#𝄞'), max_size=60)
ENCODERS = {"utf-8": ("utf-8", 1), "utf-16": ("utf-16-le", 2), "utf-32": ("utf-32-le", 4)}


def position_by_encoding(text, offset, encoding):
    """Line and column of an offset, worked out the long way: EOL is LF, CRLF or CR, and nothing else."""
    codec, size = ENCODERS[encoding]
    lines = re.split(r"\r\n|\r|\n", text[:offset])
    # Between the two characters of one line end lies the second line already, unless it is looked at as a whole.
    if text[offset - 1 : offset + 1] == "\r\n" and offset:
        lines = re.split(r"\r\n|\r|\n", text[: offset - 1])
    return Position(len(lines) - 1, len(lines[-1].encode(codec)) // size)


@given(ODD, st.sampled_from(sorted(ENCODERS)), st.data())
def test_positions_count_as_the_encodings_do(text, encoding, data):
    offset = data.draw(st.integers(0, len(text)))
    if text[offset - 1 : offset + 1] == "\r\n" and offset:
        return
    assert LineIndex(text, encoding).position(offset) == position_by_encoding(text, offset, encoding)


@given(ODD, st.sampled_from(sorted(ENCODERS)), st.booleans(), st.data())
def test_an_offset_is_found_again_from_its_position(text, encoding, marked, data):
    index = LineIndex(text, encoding, marked)
    offset = data.draw(st.integers(0, len(text)))
    if text[offset - 1 : offset + 1] == "\r\n" and offset:
        return
    assert index.offset(index.position(offset)) == offset


@pytest.mark.parametrize(("encoding", "column"), [("utf-8", 3), ("utf-16", 1), ("utf-32", 1)])
def test_a_byte_order_mark_counts_in_the_first_line_only(encoding, column):
    index = LineIndex("a\nb", encoding, marked=True)
    assert index.position(0) == Position(0, column)
    assert index.position(2) == Position(1, 0)
    assert index.offset(Position(0, 0)) == 0


def test_what_lies_outside_is_the_nearest_place():
    """ "If the character value is greater than the line length it defaults back to the line length." (LSP 3.17, Position)"""
    index = LineIndex("ab\r\ncd", "utf-16")
    assert index.offset(Position(0, 99)) == 2
    assert index.offset(Position(99, 0)) == 6
    assert index.position(99) == Position(1, 2)
    assert index.offset(Position(-1, 3)) == 0


def test_a_column_inside_a_character_is_its_beginning():
    index = LineIndex("x😀y", "utf-16")
    assert [index.offset(Position(0, column)) for column in range(5)] == [0, 1, 1, 2, 3]


def test_half_a_pair_counts_as_one_unit():
    assert LineIndex("\ud83dx", "utf-16").position(2) == Position(0, 2)


def test_only_the_protocols_line_ends_end_a_line():
    """pygls takes every end of line of Python's, by which an incremental edit after U+2028 lands in a wrong place."""
    text = "a\u2028b\x0cc\x85d\re\nf"
    index = LineIndex(text, "utf-32")
    assert index.position(text.index("d")) == Position(0, 6)
    assert index.position(text.index("e")) == Position(1, 0)
    assert index.position(text.index("f")) == Position(2, 0)
