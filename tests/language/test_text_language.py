"""Bytes and characters: marks, line ends, accents, what is no text, and texts that are made to hurt."""

from __future__ import annotations

import pytest

from shootlint.language.complaint import Complaints
from shootlint.language.loading import Loader
from shootlint.language.source import LARGEST_FILE, Source, Unreadable, decode, read_source


def test_a_byte_order_mark_moves_no_column(evening, load):
    document = load(b"\xef\xbb\xbf" + evening.replace("shootplan 1", "shootplan one", 1).encode())
    assert [(each.place.line, each.place.column) for each in document.complaints] == [(1, 11)]
    assert document.source.marked
    assert not document.source.text.startswith("\ufeff")


@pytest.mark.parametrize("marked", [False, True])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_either_line_end_reads_the_same(evening, load, end, marked):
    text = ("\ufeff" if marked else "") + evening.replace("\n", end)
    document, plain = load(text), load(evening)
    assert document.complaints == []
    for (_, other), (_, member) in zip(document.plan.setup[0].people, plain.plan.setup[0].people, strict=True):
        assert (other.name, other.pose, other.on, other.at) == (member.name, member.pose, member.on, member.at)
    bag = document.plan.setup[0].place[0].bag
    assert (bag.place.line, bag.place.column, bag.place.text) == (55, 101, "12 kg")


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_mistake_stands_at_the_same_column_with_either_line_end(evening, told, end):
    assert [each[:2] for each in told(evening.replace("f/6.3", "6.3").replace("\n", end))] == [(44, 15)]


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_broken_line_is_mended_with_either_line_end(evening, told, end):
    faulty = evening.replace("f/6.3", "°").replace("people {", "people").replace("\n", end)
    assert [each[:2] for each in told(faulty)] == [(25, 1), (44, 15)]


@pytest.mark.parametrize("name", ["Ågnès", "Ägnes 🎉", "👩‍👩‍👧‍👦", "アグネス", "e\u0301", "\u202eAgnes", "𝔄gnes"])
def test_columns_count_code_points(evening, told, name):
    text = evening.replace('"Agnes" seated on 46 cm, at -58 cm', f'"{name}" seated on 46 cm, at -58').replace(
        '"Agnes"  stature', f'"{name}" stature'
    )
    ((line, column, message),) = told(text)
    assert (line, column) == (59, len(f'    "{name}" seated on 46 cm, at ') + 1)
    assert message == "-58 carries no unit; write -58 cm"


def test_words_of_other_alphabets_are_words(told):
    assert told("shootplan 1\nmåler 3 m\n") == [(2, 1, "måler is not a word of a plan; did you mean meter?")]


@pytest.mark.parametrize(
    ("character", "words"),
    [
        ("\r", "a carriage return stands alone"),
        ("\u2028", "a character that cannot be read stands here (U+2028)"),
        ("\x0c", "(U+000C)"),
        ("\x0b", "(U+000B)"),
        ("\x1b", "(U+001B)"),
        ("\ufeff", "(U+FEFF)"),
        ("\u200b", "(U+200B)"),
        ("\u00a0", "(U+00A0)"),
        ("\x85", "(U+0085)"),
        ("$", "$ has no meaning here"),
        ("🎉", "🎉 has no meaning here"),
    ],
)
def test_a_character_that_does_not_belong(evening, told, character, words):
    ((line, column, message),) = told(evening.replace("f/6.3", f"f/6.3 {character} ", 1))
    assert (line, column) == (44, 21)
    assert words in message


@pytest.mark.parametrize("character", ["\u2028", "\x0c", "\x0b", "\x85"])
def test_only_a_line_feed_ends_a_line(evening, load, character):
    document = load(evening.replace("Churchyard, west wall", f"Churchyard{character}west wall").replace("f/6.3", "6.3"))
    assert [(each.place.line, each.place.column) for each in document.complaints] == [(44, 15)]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"shootplan 1\0", "binary, not text"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary, not text"),
        (b'shootplan 1\ntitle "\xe5"\n', "line 2 is not UTF-8 text"),
        (b"\xff\xfes\0h\0", "binary, not text"),
        (b"shootplan 1\n\xed\xa0\x80", "line 2 is not UTF-8 text"),
        (b"#" * (LARGEST_FILE + 1), "larger than 1,000,000 bytes"),
    ],
)
def test_what_is_no_text_of_a_plan(content, words):
    with pytest.raises(Unreadable, match=words):
        decode(content, "test")


def test_a_file_of_the_largest_size_is_read():
    assert len(decode(b"#" * LARGEST_FILE, "test").text) == LARGEST_FILE


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (".", "a folder"),
        ("missing.shoot", "no such file"),
        ("x" * 3000, "cannot be read"),
        ("a\0b", "cannot be read|no such file"),
    ],
)
def test_a_path_that_cannot_be_read(tmp_path, name, words):
    with pytest.raises(Unreadable, match=words):
        read_source(tmp_path / name, name)


@pytest.mark.parametrize("text", ["", "\n", "\n\n  \n", "# only a remark", "# one\n\n# two\n", ";", " ; ;\n;"])
def test_a_file_that_says_nothing(told, text):
    assert told(text) == [(1, 1, "the file is empty; it begins with `shootplan 1`")]


def test_a_file_that_does_not_begin_as_a_plan(told):
    assert told("date 2026-09-05\n") == [(1, 1, "a plan begins with the line `shootplan 1`")]


def test_text_from_nowhere_is_read():
    document = Loader().load_source(Source("-", "shootplan 1\n"))
    assert document.complaints == []
    assert document.files == []


@pytest.mark.parametrize(
    "text",
    [
        "shootplan 1",
        "  shootplan   1   # remark",
        'shootplan 1;title "T";;  ;date 2026-09-05',
        "shootplan 1\n\n\n;;\n\t\n",
        'shootplan 1\nfilter "F" { loses 3 stops }',
        'shootplan 1\nfilter "F" {\n loses 3 stops }\n',
        'shootplan 1\nfilter "F" { loses 3 stops\n\n}\n',
        'shootplan 1\nfilter "F" {; loses 3 stops; ; }',
        'shootplan 1\nfilter "F" { # remark {\n loses 3 stops # }\n}',
        'shootplan 1\nfilter "#;{},°" { loses 3 stops }',
        'shootplan 1\nfilter "F"{loses 3stops}',
        "shootplan 1\nsite { }",
        "shootplan 1\nsite {}",
        "shootplan 1\nsite",
    ],
)
def test_a_sound_text_however_it_is_laid_out(told, text):
    assert told(text) == []


HOSTILE = {
    "a million line feeds": ("\n" * LARGEST_FILE, 1),
    "a million semicolons": (";" * LARGEST_FILE, 1),
    "blocks in blocks": ("shootplan 1\n" + "a {\n" * 10_000 + "}\n" * 10_000, 1),
    "blocks in blocks, never closed": ("shootplan 1\n" + "a {\n" * 10_000, 2),
    "blocks in blocks on one line": ("shootplan 1\n" + "a{" * 50_000 + "}" * 50_000, 1),
    "a row of closing braces": ("shootplan 1\n" + "}" * 100_000, Complaints.MOST),
    "a row of opening braces": ("shootplan 1\n" + "{" * 100_000, None),
    "quotation marks": ('"' * 99_999, None),
    "quotation marks, one a line": ('"\n' * 100_000, Complaints.MOST),
    "strange characters": ("°" * 400_000, 2),
    "strange characters between others": ("°a" * 300_000, 2),
    "commas": ("," * 100_000, 2),
    "a word of a million letters": ("a" * 900_000, 2),
    "backslashes": ('"' + "\\" * 900_000, 2),
    "carriage returns": ("\r" * 900_000, 2),
    "spaces": ("shootplan 1" + " " * 900_000 + "\n", 0),
    "a number of a million digits": ("shootplan 1\nsite { elevation " + "9" * 900_000 + " m }", 1),
    "a fraction of a million digits": ("shootplan 1\nsite { elevation 1/" + "9" * 900_000 + " m }", 1),
    "an exponent of a million digits": ("shootplan 1\nsite { elevation 1e" + "9" * 900_000 + " m }", 1),
    "a version of a million digits": ("shootplan " + "9" * 900_000, 1),
    "braces in remarks": ("{#{" * 30_000, None),
    "unclosed blocks": ("shootplan 1\n" + "site {\n  position\n" * 5_000, Complaints.MOST),
    "people": ("shootplan 1\npeople {\n" + "".join(f'"{at}" stature 1 m\n' for at in range(10_000)) + "}\n", 1),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_text_that_is_made_to_hurt_is_survived(load, name):
    text, count = HOSTILE[name]
    document = load(text)
    if count is not None:
        assert len(document.complaints) == count
    for each in document.complaints:
        assert 0 <= each.place.start <= each.place.end <= len(document.source.text)
        assert len(each.message) <= Complaints.LONGEST + 1


def test_many_gels_and_many_people_are_read_in_step_with_their_number(evening, load):
    count = 20_000
    document = load(evening.replace(', gel "half CTO"', ', gel "half CTO"' * count))
    assert document.complaints == []
    assert len(document.plan.setup[0].place[1].gel) == count


def test_names_that_are_all_alike_are_not_compared_forever(evening, load):
    declared = "".join(f'  "aaaaaa{at}" stature 1 m\n' for at in range(8_000))
    named = "".join(f'    "aaaaab{at}" standing, at 33 cm\n' for at in range(8_000))
    document = load(
        evening.replace("people {\n", "people {\n" + declared).replace('row "back", 5.8 m {\n', 'row "back", 5.8 m {\n' + named)
    )
    assert len(document.complaints) == Complaints.MOST
    assert document.complaints[-1].message == "there are more mistakes than these; mend them first" or document.complaints.full


def test_there_is_an_end_to_complaining(told):
    found = told("shootplan 1\n" + "x 1\n" * 5_000)
    assert len(found) == Complaints.MOST
    assert found[-1][2] == "there are more mistakes than these; mend them first"
