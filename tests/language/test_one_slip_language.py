"""One slip in quotes, commas, braces or characters gives one complaint and spoils nothing else.

Each row says what is replaced in the contract's plan, by what, and the line, the column and the words of the complaint.
"""

from __future__ import annotations

import pytest

MISTAKES = [
    (
        "date  2026-09-05",
        "date 5.9.2026",
        4,
        9,
        ". has no meaning here; decimals stand between two digits, and a date is written as 2026-09-05",
    ),
    (
        "18:40 to 18:55",
        "18:40 - 18:55",
        41,
        21,
        "- has no meaning here; a range is written with `to`, and a minus sign stands right before its number",
    ),
    (
        "18:40 to 18:55",
        "18:40-18:55",
        41,
        23,
        ": has no meaning here; a word and its value stand side by side, and a time of day is written as 18:40",
    ),
    ("320 deg", "320°", 49, 18, "° has no meaning here; write deg for an angle, C or F for a temperature"),
    ("bag 12 kg", "bag 12 kg,", 55, 106, "something belongs after this comma"),
    (
        "at -88 cm",
        "at - 88 cm",
        64,
        26,
        "- has no meaning here; a range is written with `to`, and a minus sign stands right before its number",
    ),
    (
        '"the box stays where it is while she fidgets"',
        '"the box stays',
        70,
        42,
        "this quoted text is not closed; a second quotation mark belongs on this line",
    ),
    ("people {", "people", 25, 1, "a { is missing after this, at the end of the line"),
    ("weather {\n", "weather\n", 17, 1, "a { is missing after this, at the end of the line"),
    ("  frames      30", "  frames      30 }", 53, 18, "this } closes the block too early, or is one too many"),
    (
        "iso         100",
        "iso = 100",
        46,
        7,
        "= has no meaning here; a word and its value stand side by side, with nothing between them",
    ),
    (
        "sky  clear",
        "sky: clear",
        18,
        6,
        ": has no meaning here; a word and its value stand side by side, and a time of day is written as 18:40",
    ),
    ("60 cm x 90 cm", "60 cm × 90 cm", 35, 14, "× has no meaning here; write x between the sides of a size"),
    ('"Tower-room piece" {', "“Tower-room piece” {", 34, 7, "“ does not quote; names stand in straight double quotation marks"),
    ("weather {", "weather {{", 17, 10, "this { is one too many"),
    ("weather {", "{", 17, 1, "a block needs a head word before its {"),
    ("glasses", "glasses,, seated-only", 28, 36, "this comma is one too many"),
    ('title "Ravens', ', "Ravens', 2, 1, "a comma needs something before it"),
    (
        '  "Cleo"  standing, at 33 cm\n  }',
        '  "Cleo"  standing, at 33 cm',
        63,
        21,
        "this block is not closed before line 67; a } is missing",
    ),
    (
        '"Frode" kneeling,        at 61 cm\n  }',
        '"Frode" kneeling,        at 61 cm',
        58,
        22,
        "this block is not closed before line 62; a } is missing",
    ),
    ("  air  13 C\n}", "  air  13 C", 17, 9, "this block is not closed before line 22; a } is missing"),
    ("  air  13 C\n}", "  air  13 C\n}\n}", 22, 1, "this } closes nothing"),
    ("f/6.3", "f/6.3.1", 44, 20, ". has no meaning here; decimals stand between two digits, and a date is written as 2026-09-05"),
]


@pytest.mark.parametrize(("sound", "faulty", "line", "column", "message"), MISTAKES, ids=[row[1] for row in MISTAKES])
def test_one_slip_gives_one_complaint(evening, told, sound, faulty, line, column, message):
    assert sound in evening
    assert told(evening.replace(sound, faulty, 1)) == [(line, column, message)]


def test_every_slip_message_reads_as_a_clause():
    for _, faulty, _, _, message in MISTAKES:
        assert not message.endswith((".", " ", ",")), message
        first = message.split()[0]
        assert message[0].islower() or not message[0].isalpha() or first in faulty or first.strip('"') in faulty, message
