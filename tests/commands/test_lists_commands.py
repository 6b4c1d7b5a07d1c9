"""People and kits from lists: what comes of them is a plan's text, and each mistake is told with its line and column."""

from __future__ import annotations

import csv
import io

import pytest

from shootlint.language.entry import shape
from shootlint.language.from_table import columns_of, entries_of
from shootlint.language.loading import KIT_FIELDS, Loader
from shootlint.language.model import Person, Plan
from shootlint.language.source import Source

PEOPLE = """\
Name;Stature (cm);Age;Glasses;Seated-only;Notes;Email
Vera;163;71;;yes;"grandmother; needs
a chair";vera@post.example
Åke;1,91 m;;x;;;

Pia;;7;no;;=cmd;
Bo;5'8";;;;;
"""
KIT = """\
kind,name,metered,power,colour,modifier,mass (kg),spread,carries,shift,loses,high-speed-sync,notes
light,Box,f/16 at 2 m,1/1 to 1/256,5600 K,"softbox, 90 cm x 120 cm",3.4,,,,,loses 2 stops,
Stand,Steel,,,,,4.6,115 cm,9 kg,,,,heavy
gel,half CTO,,,,,,,,+90 mired,"0,5 stops",,
"""


def read(text: str) -> Plan:
    document = Loader().load_source(Source("made", text))
    assert not document.complaints, [str(each) for each in document.complaints]
    assert document.plan is not None
    return document.plan


def test_people_of_a_list_are_people_of_a_plan(studio):
    studio.write("people.csv", PEOPLE)
    told = studio.run("people", "people.csv")
    assert told.status == 0
    assert told.out == (
        "people {\n"
        '  "Vera" stature 163 cm, age 71, seated-only         # grandmother; needs a chair\n'
        '  "Åke"  stature 1.91 m, glasses\n'
        '  "Pia"  stature 121 cm, age 7                       # =cmd; the median stature at that age; measure it\n'
        '  "Bo"   stature 5 ft 8 in\n'
        "}\n"
    )
    assert told.err.startswith("people.csv:1:49: note: no use is made of the column Email")
    plan = read(f"shootplan 1\n{told.out}")
    assert plan.people is not None
    # The CDC growth charts of 2000 have 1.2165 m for boys and 1.2115 m for girls of seven, halfway between the birthdays.
    assert [round(person.stature.value, 4) for person in plan.people.members] == [1.63, 1.91, 1.21, 1.7272]


def test_a_kit_of_a_list_is_a_kit_of_a_plan(studio):
    studio.write("kit.csv", KIT)
    told = studio.run("kit", "kit.csv")
    assert (told.status, told.err) == (0, "")
    assert told.out == (
        "shootplan 1\n\n"
        'light "Box" {\n'
        "  metered  f/16 at 2 m\n"
        "  power    1/1 to 1/256\n"
        "  colour   5600 K\n"
        "  high-speed-sync, loses 2 stops\n"
        "  modifier softbox, 90 cm x 120 cm\n"
        "  mass     3.4 kg\n"
        "}\n\n"
        'stand "Steel" { mass 4.6 kg; spread 115 cm; carries 9 kg }  # heavy\n\n'
        'gel "half CTO" { shift +90 mired; loses 0.5 stops }\n'
    )
    kit = read(told.out)
    assert [str(each.name) for each in (*kit.light, *kit.stand, *kit.gel)] == ["Box", "Steel", "half CTO"]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_however_a_list_was_saved_it_says_the_same(studio, separator, encoding, end):
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=separator, lineterminator=end).writerows(
        [["name", "stature", "notes"], ["Åke", "1,91 m", 'says "no", often;\tor nothing']]
    )
    studio.write("people.csv", file.getvalue().encode(encoding))
    told = studio.run("people", "people.csv")
    assert told.status == 0
    assert told.out == 'people {\n  "Åke" stature 1.91 m                               # says "no", often; or nothing\n}\n'
    assert ("Windows-1252" in told.err) == (encoding == "latin-1")


def test_a_list_may_come_from_standard_input_and_go_to_a_file(studio):
    told = studio.start("people", "-", "--to", "made.shoot", given=b"name,stature\nVera,163 cm\n")
    assert (told.status, told.out, told.err) == (0, "", "")
    assert (studio.folder / "made.shoot").read_text("utf-8") == 'people {\n  "Vera" stature 163 cm\n}\n'


@pytest.mark.parametrize("command", ["people", "kit"])
def test_a_file_that_is_there_is_left_as_it_is(studio, plan, command):
    studio.write("list.csv", PEOPLE if command == "people" else KIT)
    told = studio.run(command, "list.csv", "--to", "plan.shoot")
    assert told.status == 2
    assert "plan.shoot is there already, and nothing is ever written over it" in told.err
    assert (studio.folder / "plan.shoot").read_text("utf-8") == plan
    assert studio.run(command, "list.csv", "--to", "none/made.shoot").err.endswith(
        "none/made.shoot cannot be written: there is no such folder\n"
    )
    assert sorted(path.name for path in studio.folder.iterdir()) == [".git", "list.csv", "plan.shoot", "studio.rules"]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("Vera,163", "list.csv:2:6: error: 163 carries no unit; write 163 cm"),
        (",163 cm", "list.csv:2:2: error: this person has no name; write it in that column, such as Agnes"),
        ('Åke,"1,630 mm"', "list.csv:2:5: error: 1,630 may be 1.630 or 1630; write it without a comma"),
        ("Vera,170 kg", "list.csv:2:6: error: expected a length, and kg is a unit of mass"),
        ("Vera,170 cn", "list.csv:2:10: error: cn is not a unit; write 170 cm"),
        ("Vera,0 cm", "list.csv:2:6: error: 0 cm is too little; people are 25 cm to 275 cm tall, newborns and giants among them"),
        ("Vera,tall", "list.csv:2:6: error: expected a length such as 4.6 m, not tall"),
        ('Vera,"170 cm } # {"', "list.csv:2:6: error: expected something such as 172 cm, not 170 cm } # {"),
        ('Vera,"170 cm\n}"', "list.csv:2:6: error: expected something such as 172 cm, not 170 cm }"),
        ("Vera,\x1b[2J", "list.csv:2:6: error: this cell holds a character that does not print"),
        ("Ve\x1bra,170 cm", "list.csv:2:1: error: this cell holds a character that does not print"),
        ("Vera,170 cm,200", "list.csv:2:13: error: 200 is too much; an age lies from 0 to 125 years"),
        ("Vera,170 cm,6 months", "list.csv:2:15: error: nothing more belongs here; delete months"),
        ("Vera,170 cm,,maybe", "list.csv:2:14: error: glasses takes yes or no, or nothing, not maybe"),
        ("Vera,,41", 'list.csv:2:1: error: person "Vera" has no stature; write it in that column, such as 172 cm'),
        ("Vera,,1", 'list.csv:2:1: error: person "Vera" has no stature; write it in that column, such as 172 cm'),
        ("Vera,170 cm,,,,more", "list.csv:2:16: error: this row has more cells than there are columns (4)"),
        ("Vera,170 cm\nBo,180 cm\nVera,175 cm", 'list.csv:4:1: error: "Vera" is there twice; the first is in line 2'),
        ('"Vera,170 cm', "list.csv:2:1: error: this quotation mark is never closed"),
    ],
)
def test_each_mistake_in_a_list_of_people_is_told_at_its_place(studio, row, told):
    studio.write("list.csv", f"name,stature,age,glasses\n{row}\n")
    found = studio.run("people", "list.csv")
    assert (found.status, found.out) == (2, "")
    assert found.err.startswith(told)
    assert found.err.endswith("shootlint: list.csv: nothing was made of a list with mistakes\n")
    assert "\x1b" not in found.err


def test_all_mistakes_are_told_in_one_run(studio):
    studio.write("list.csv", "name,stature\nVera,1\nBo,2\nÅke,30 cm\nPia,4 kg\n")
    found = studio.run("people", "list.csv")
    assert [line.split(": ")[0] for line in found.err.splitlines()] == [
        "list.csv:2:6",
        "list.csv:3:4",
        "list.csv:5:5",
        "shootlint",
    ]


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ("name,statur", "list.csv:1:6: note: no use is made of the column statur; did you mean stature?"),
        ("name,stature,stature", "list.csv:1:14: error: the column stature is there twice"),
        ("name,stature (hands)", "list.csv:1:6: error: hands is not a unit"),
        (
            "name,height",
            "list.csv:1:1: error: no column is called stature, which each person needs; name it so in the first line",
        ),
        ("who,stature", "list.csv:1:1: error: no column is called name, which each person needs; name it so in the first line"),
    ],
)
def test_a_mistake_in_the_first_line_is_told(studio, head, told):
    studio.write("list.csv", f"{head}\nVera,170 cm\nBo,180 cm\n")
    found = studio.run("people", "list.csv")
    assert found.status == 2 and found.err.count(told) == 1
    # It is one mistake and not one of each row.
    assert found.err.count("error:") == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("kind,name\nlamp,Box", "list.csv:2:1: error: no kit has a lamp"),
        ("kind,name\nligth,Box", "list.csv:2:1: error: no kit has a ligth; did you mean light?"),
        ("kind,name,mass,spread\nstand,Steel,4 kg,", 'list.csv:2:1: error: stand "Steel" has no spread; write it in that column, such as 95 cm'),
        ("kind,name,loses\n,ND 3,3 stops", "list.csv:2:2: error: this row does not say what kind of thing it is"),
        ("name,loses\nND 3,3 stops", "list.csv:1:1: error: no column is called kind; add one"),
        ("kind,name,loses,spread\nfilter,ND 3,3 stops,1 m", "list.csv:2:21: error: a filter has no spread; leave this cell empty"),
        ("kind,name,loses\nfilter,ND 3,3 stops\nfilter,ND 3,4 stops", 'list.csv:3:8: error: filter "ND 3" is there twice; the first is in line 2'),
        ("kind,name,power,modifier\nlight,Box,1/1 to 1/8,softbox", "list.csv:2:22: error: the softbox has no size"),
        ("kind,name,power,metered\nlight,Box,1/1 to 1/8,f/8", "list.csv:2:22: error: `at` is missing in this line"),
        ("kind,name,power,metered,guide\nlight,Box,1/1 to 1/8,f/8 at 2 m,30 m", "has both a metered reading and a guide number"),
    ],
)  # fmt: skip
def test_each_mistake_in_a_list_of_a_kit_is_told_at_its_place(studio, text, told):
    studio.write("list.csv", f"{text}\n")
    found = studio.run("kit", "list.csv")
    assert (found.status, found.out) == (2, "")
    assert told in found.err


def test_a_list_of_one_kind_needs_no_column_for_it(studio):
    studio.write("list.csv", "name,loses\nND 3,3 stops\n")
    assert studio.run("kit", "list.csv", "--kind", "filter").out == 'shootplan 1\n\nfilter "ND 3" { loses 3 stops }\n'
    assert "did you mean filter?" in studio.run("kit", "list.csv", "--kind", "filtr").err


@pytest.mark.parametrize("command", ["people", "kit"])
def test_every_column_stands_in_the_help(studio, command):
    told = studio.run(command, "--help").out
    entries = {"people": {"person": Person}, "kit": entries_of({kind: shape(Plan).settings[kind] for kind in KIT_FIELDS})}
    for entry in entries[command].values():
        for name, declared in columns_of(entry).items():
            assert f"\n  {name} " in told
            assert " ".join(declared.meaning.split()[:4]) in told
    # Who calls it in a wrong way is told in a line.
    assert len(studio.run(command).err.splitlines()) == 2


def test_each_example_in_the_help_is_understood(studio):
    """A list of the examples themselves makes a kit."""
    from shootlint.language.from_table import example_of

    for kind, entry in entries_of({kind: shape(Plan).settings[kind] for kind in KIT_FIELDS}).items():
        columns = {name: each for name, each in columns_of(entry).items() if name != "guide"}
        file = io.StringIO(newline="")
        csv.writer(file).writerows([["kind", *columns], [kind, *map(example_of, columns.values())]])
        studio.write("list.csv", file.getvalue())
        told = studio.run("kit", "list.csv")
        assert (told.status, told.err) == (0, ""), told.err
        assert len(getattr(read(told.out), kind)) == 1


def test_a_list_that_is_not_there_is_told(studio):
    assert studio.run("people", "none.csv").err == "shootlint: none.csv: there is no such file\n"
    assert studio.run("kit", ".").err == "shootlint: .: this is a folder, not a file\n"
