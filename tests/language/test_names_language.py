"""Names: declared once, known where they are named, and nobody blamed for another's mistake."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("sound", "faulty", "complaints"),
    [
        (
            '"Birk"   stature',
            '"Agnes"   stature',
            [(27, 3, 'person "Agnes" is declared twice; the first is in line 26'), (65, 5, 'no person is called "Birk"')],
        ),
        ('row "back"', 'row "front"', [(63, 7, 'row "front" is declared twice; the first is in line 58')]),
        ('"Emil"  standing', '"Agnes" standing', [(64, 5, '"Agnes" stands twice in this setup; the first is in line 59')]),
        ('place "Bare head"', 'place "Big box"', [(56, 9, '"Big box" is placed twice in this setup; the first is in line 55')]),
        ('focus       row "front"', 'focus       row "Front"', [(51, 19, 'no row is called "Front"; did you mean "front"?')]),
        ('focus       row "front"', 'focus       "Emilia"', [(51, 15, 'no person is called "Emilia"; did you mean "Emil"?')]),
        ('camera      "Body A"', 'camera      "Body"', [(42, 15, 'no camera is called "Body"; did you mean "Body A"?')]),
        ('gel "half CTO"', 'gel "full CTO"', [(56, 88, 'no gel is called "full CTO"; did you mean "half CTO"?')]),
        (
            'print       "Tower',
            'print       "Towel',
            [(52, 15, 'no print is called "Towel-room piece"; did you mean "Tower-room piece"?')],
        ),
    ],
)
def test_a_name_that_is_wrong(evening, told, sound, faulty, complaints):
    found = told(evening.replace(sound, faulty, 1))
    assert [each[:2] for each in found] == [each[:2] for each in complaints]
    assert all(message.startswith(start) for (_, _, message), (_, _, start) in zip(found, complaints, strict=True))


def test_someone_who_does_not_stand_in_the_setup(evening, told):
    text = evening.replace('    "Birk"  standing, at -28 cm\n', "").replace('focus       row "front"', 'focus       "Birk"')
    assert told(text) == [(51, 15, '"Birk" does not stand in this setup')]


def test_the_same_person_may_stand_in_two_setups(evening, load):
    start = evening.index("setup")
    second = evening[start : evening.index("\naccept")].replace("Everyone, full length", "Once more")
    document = load(evening + second)
    assert document.complaints == []
    assert [setup.name for setup in document.plan.setup] == ["Everyone, full length", "Once more"]


@pytest.mark.parametrize(
    ("sound", "faulty"),
    [
        ('print "Tower-room piece" {', "print {"),
        ('print "Tower-room piece" {', 'prnt "Tower-room piece" {'),
        ('print "Tower-room piece" {', "print Tower-room piece {"),
        ('  "Birk"   stature 191 cm', "  Birk   stature 191 cm"),
        ('  "Birk"   stature 191 cm', '  "Birk"   stature 191'),
        ("people {", "peopel {"),
        ('row "front", 5.4 m {', 'row "front", 5.4 {'),
        ('row "front", 5.4 m {', "row front, 5.4 m {"),
        ('  "Birk"   stature 191 cm', '  ° "Birk"   stature 191 cm'),
    ],
)
def test_whoever_names_a_thing_with_a_mistake_is_not_blamed(evening, told, sound, faulty):
    assert sound in evening
    assert len(told(evening.replace(sound, faulty, 1))) == 1


def test_a_sound_setup_survives_a_faulty_one(evening, load):
    start = evening.index("setup")
    second = evening[start : evening.index("\naccept")].replace("Everyone, full length", "Once more").replace("f/6.3", "6.3")
    document = load(evening + second)
    assert [each.message for each in document.complaints] == ["an aperture is written as f/6.3, not 6.3"]
    assert [setup.name for setup in document.plan.setup] == ["Everyone, full length"]
    assert document.unsound_setups == ["Once more"]


def test_a_setup_that_names_what_is_faulty_is_not_judged(evening, load):
    document = load(evening.replace("size 60 cm x 90 cm", "size 60 x 90"))
    assert len(document.complaints) == 1
    assert document.plan.setup == ()
    assert document.unsound_setups == ["Everyone, full length"]
    assert document.plan.site.zone == "Europe/Copenhagen"


def test_the_names_of_a_document_are_kept_with_their_places(evening, load):
    mentions = load(evening).mentions
    assert {"front", "Birk", "Big box", "Body A", "Tower-room piece"} <= {str(each.name) for each in mentions}
    for each in mentions:
        assert each.name.place.text == f'"{each.name}"'


MANY = [
    ("date  2026-09-05", "date  2026-02-30", (4, 7)),
    ("elevation  38 m", "elevation  38", (9, 14)),
    ("sky  clear", "sky  claer", (18, 8)),
    ("stature 191 cm", "stature 191", (27, 20)),
    ("at least 180 ppi", "at least 180 ppj", (37, 16)),
    ("f/6.3", "6.3", (44, 15)),
    ("5600 K", "5600 °", (47, 22)),
    ('stand "Steel"', 'stand "Steal"', (55, 88)),
    ('"Dagny" standing,', '"Dagny" standing', (60, 29)),
    ("at -28 cm", "at -28", (65, 26)),
    ("until 2031-12-01", "untill 2031-12-01", (70, 89)),
]
"""What is replaced, by what, and where the complaint stands."""


@pytest.mark.parametrize("count", range(1, len(MANY) + 1))
def test_several_mistakes_are_all_told_in_one_run(evening, told, count):
    for sound, faulty, _ in MANY[:count]:
        assert sound in evening
        evening = evening.replace(sound, faulty, 1)
    assert [(line, column) for line, column, _ in told(evening)] == [place for _, _, place in MANY[:count]]


def test_complaints_come_in_the_order_of_the_text(evening, load):
    text = evening.replace("f/6.3", "6.3").replace("38 m", "38").replace('"Steel"', '"Steal"').replace("13 C\n}", "13 C")
    places = [each.place.start for each in load(text).complaints]
    assert len(places) == 4
    assert places == sorted(places)
