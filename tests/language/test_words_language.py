"""Every word of the language says what it means, and whatever the reference shows as an example can be written."""

from __future__ import annotations

import pytest

from shootlint.language.entry import HOLE, shape
from shootlint.language.loading import HEADINGS, KIT_FIELDS
from shootlint.language.model import Plan, Setup
from shootlint.language.reading import PLANS, fields_of
from shootlint.language.units import BY_SPELLING

DECLARED = [(entry, declared) for entry in PLANS.entries for declared in fields_of(shape(entry))]
NAMES = [f"{entry.__name__}.{declared.name}" for entry, declared in DECLARED]


@pytest.mark.parametrize(("entry", "declared"), DECLARED, ids=NAMES)
def test_a_field_is_declared_whole(entry, declared):
    assert declared.meaning[0].isupper(), "a meaning starts with a capital letter"
    assert declared.meaning.endswith(".")
    assert not declared.meaning.endswith("..")
    holes = declared.phrase.count(HOLE)
    assert holes <= 1
    assert holes == 0 or declared.slot is not None or declared.entry is not None
    assert holes == 1 or declared.entry is not None or declared.default is False or declared.head is not None
    if declared.slot is not None:
        assert declared.slot.name
        assert declared.slot.example


@pytest.mark.parametrize(("entry", "declared"), DECLARED, ids=NAMES)
def test_the_likely_unit_is_one_that_belongs_there(entry, declared):
    if declared.unit is not None:
        kinds = getattr(getattr(declared.slot, "of", declared.slot), "kinds", None) or declared.slot.angle.kinds
        assert BY_SPELLING[declared.unit].kind in kinds


def test_every_field_of_every_entry_is_declared():
    for entry in PLANS.entries:
        assert {each.name for each in fields_of(shape(entry))} == set(entry.model_fields) - {"where"}, entry


def test_a_kit_may_hold_what_the_model_declares_for_kits():
    assert KIT_FIELDS == ("camera", "lens", "light", "stand", "gel", "filter", "step")
    assert set(HEADINGS) <= set(shape(Plan).settings)


def test_words_that_stand_outside_every_block():
    assert {"site", "people", "setup", "shootplan", "accept", "weather", "date"} <= PLANS.outermost
    assert not PLANS.outermost & {"camera-angle", "iso", "row", "aperture", "sensor"}
    assert PLANS.homes["row"] == ["setup"]
    assert PLANS.homes["aperture"] == ["lens", "setup"]
    assert {"at", "to", "x", "behind"} <= PLANS.connecting


def setup_lines(evening):
    start = evening.index('setup "Everyone')
    return evening[start : evening.index("\n}\n", start)]


@pytest.mark.parametrize("declared", list(shape(Setup).settings.values()), ids=lambda each: each.name)
def test_every_setting_of_a_setup_reads_as_its_example_shows(declared, evening, load):
    example = declared.example()
    line = "  " + (example + (' { "Agnes" }' if declared.name == "row" else ""))
    lines = setup_lines(evening).splitlines()
    kept = [each for each in lines if not each.strip().startswith(declared.phrase[0] + " ")]
    if declared.name == "row":
        kept = [*lines[: next(i for i, each in enumerate(lines) if each.startswith("  row"))]]
    setup = "\n".join([*kept, line.replace('row "front", 4.6 m {', 'row "front", 5.4 m {')])
    document = load(evening.replace(setup_lines(evening), setup))
    assert document.complaints == []
    value = getattr(document.plan.setup[0], declared.name)
    assert value not in (None, ())


BLOCKS = {
    "site": "position 55.6412 N, 9.2871 E",
    "camera": "sensor 36 mm x 24 mm; pixels 8256 px x 5504 px; sync 1/160 s; shutter 1/8000 s to 30 s; iso 100 to 25600",
    "lens": "focal 50 mm; aperture f/4 to f/22",
    "light": "power 1/1 to 1/256",
    "stand": "mass 4.6 kg; spread 95 cm",
    "gel": "shift +90 mired; loses 0.5 stops",
    "filter": "loses 3 stops",
    "print": "size 60 cm x 90 cm",
    "weather": "air 9 C",
}
"""Each block that takes settings, with the least that it must say."""
SETTINGS = [(head, declared) for head in BLOCKS for declared in shape(shape(Plan).settings[head].entry).settings.values()]


@pytest.mark.parametrize(("head", "declared"), SETTINGS, ids=[f"{head}.{each.name}" for head, each in SETTINGS])
def test_every_setting_of_a_block_reads_as_its_example_shows(head, declared, load):
    others = [each for each in BLOCKS[head].split("; ") if each.split()[0] != declared.phrase[0]]
    name = "" if head in ("site", "weather") else ' "N"'
    document = load(f"shootplan 1\n{head}{name} {{ {'; '.join([*others, declared.example()])} }}\n")
    assert document.complaints == []
    thing = getattr(document.plan, head)
    assert getattr(thing[0] if isinstance(thing, tuple) else thing, declared.name) not in (None, ())


@pytest.mark.parametrize("head", list(BLOCKS))
def test_what_a_block_leaves_out_takes_its_default(head, load):
    name = "" if head in ("site", "weather") else ' "N"'
    document = load(f"shootplan 1\n{head}{name} {{ {BLOCKS[head]} }}\n")
    assert document.complaints == []
    thing = getattr(document.plan, head)
    thing = thing[0] if isinstance(thing, tuple) else thing
    said = {each.split()[0] for each in BLOCKS[head].split("; ")}
    for declared in shape(type(thing)).settings.values():
        if declared.phrase[0] not in said:
            assert getattr(thing, declared.name) == declared.default


@pytest.mark.parametrize("head", [head for head in BLOCKS if head not in ("site", "weather")])
def test_a_block_says_all_that_it_lacks_at_once(head, told):
    required = [each.phrase[0] for each in shape(shape(Plan).settings[head].entry).settings.values() if each.required]
    ((line, column, message),) = told(f'shootplan 1\n{head} "N" {{\n}}\n')
    assert (line, column) == (2, 1)
    assert message.startswith(f'{head} "N" has no {required[0]}')
    assert all(word in message for word in required)


@pytest.mark.parametrize(
    ("line", "field", "expected"),
    [
        ("window 18:10 to 19:20", "window", "18:10 to 19:20"),
        ("window 23:30 to 00:30", "window", "23:30 to 00:30"),
        ("date 2026-09-05", "date", "2026-09-05"),
        ('title "A \\"quoted\\" \\\\ title"', "title", 'A "quoted" \\ title'),
    ],
)
def test_a_line_of_the_plan(line, field, expected, load):
    document = load(f"shootplan 1\n{line}\n")
    assert document.complaints == []
    assert str(getattr(document.plan, field)) == expected


@pytest.mark.parametrize(
    "line",
    [
        "shutter follows ambient at -1.5 stops, from 1/200 s to 1/60 s",
        "focus between rows",
        'focus "Birk"',
        "focus 4.6 m",
        'focus row "back"',
        "frame portrait",
        "support handheld",
        "support tripod, tilt -3 deg, height 1.5 m",
        'lens "Long zoom"',
        'filter "ND 3"',
        "white-balance 4300 K",
        "time 23:50 to 00:10",
    ],
)
def test_another_way_to_say_a_setting(line, evening, load):
    head = line.split()[0]
    (old,) = (
        (each for each in setup_lines(evening).splitlines() if each.split()[:1] == [head])
        if head != "filter"
        else ("  iso         100",)
    )
    document = load(evening.replace(old, f"  {line}" if head != "filter" else f"{old}\n  {line}"))
    assert document.complaints == []
    assert document.plan.setup


@pytest.mark.parametrize(
    "posed",
    ['"Birk"', '"Birk" seated on 40 cm', '"Birk" on 20 cm', '"Birk" sitting', '"Birk" lying, held by "Emil"', '"Birk" kneeling'],
)
def test_another_way_to_stand(posed, evening, load):
    row = evening[evening.index('  row "back"') : evening.index("  }\n}\n\naccept")]
    document = load(evening.replace(row, f'  row "back", 5.8 m {{\n    "Emil"\n    {posed}\n'))
    assert document.complaints == []
    assert document.plan.setup[0].row[1].members[1].at is None


def test_clauses_may_come_in_any_order(evening, load):
    sound = "right 35 deg, distance 3.2 m, height 2.4 m, power 1/2"
    document = load(evening.replace(sound, "power 1/2, height 2.4 m, distance 3.2 m, right 35 deg"))
    assert document.complaints == []
    for ordered, other in zip(load(evening).plan.setup[0].place, document.plan.setup[0].place, strict=True):
        for declared in shape(type(ordered)).parts:
            assert getattr(ordered, declared.name) == getattr(other, declared.name)
