"""A plan written out as text and read again is the same plan, whoever made it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from generated import plans
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.language.loading import Loader
from shootlint.language.model import Plan
from shootlint.language.model.kit import Modifier
from shootlint.language.model.place import People, Person, Site
from shootlint.language.sameness import same
from shootlint.language.source import Source, Unwritable
from shootlint.language.tree import Atom, as_string
from shootlint.language.values import Count, Name, Position, Quantity, Size, quantity
from shootlint.language.written import laid_out, plan_language, plan_text

ROOT = Path(__file__).parents[2]
FILES = sorted(path for folder in ("plans", "rules/examples") for path in (ROOT / folder).rglob("*.shoot"))


def read(text: str, path: Path | None = None) -> Plan:
    document = Loader().load_source(Source("plan.shoot", text, path))
    assert not document.complaints, [str(each) for each in document.complaints]
    assert document.plan is not None
    return document.plan


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_each_plan_of_ours_is_the_same_plan_again(path):
    plan = read(path.read_text("utf-8"), path)
    text = plan_text(plan)
    again = read(text, path)
    assert same(plan, again)
    assert plan_text(again) == text
    # What came from the kits stays there.
    assert again.kit == plan.kit and (not plan.kit or "camera " not in text.partition("setup ")[0])


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_a_generated_plan_is_the_same_plan_again(generated):
    text, _ = generated
    plan = read(text)
    again = read(plan_text(plan))
    assert same(plan, again)
    assert plan_text(again) == plan_text(plan)


@settings(max_examples=200)
@given(st.text(st.characters(exclude_characters="\n\r\0", exclude_categories=["Cs"])).filter(str.strip))
def test_any_name_is_the_same_name_again(name):
    plan = Plan(shootplan=Count(1), people=People(members=(Person(name=Name(name), stature=quantity(170, "cm")),)))
    again = read(plan_text(plan))
    assert again.people is not None
    assert [str(person.name) for person in again.people.members] == [name]


@given(st.text())
def test_a_quoted_text_says_what_it_was_made_of(text):
    quoted = as_string(text)
    assert Atom("STRING", quoted, 0, len(quoted)).string == text


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_any_place_on_earth_is_the_same_place_again(latitude, longitude):
    plan = Plan(shootplan=Count(1), site=Site(position=Position(latitude, longitude)))
    again = read(plan_text(plan)).site
    assert again is not None and again.position is not None
    assert (again.position.latitude, again.position.longitude) == (latitude, longitude)


@given(st.floats(1e-3, 1e4))
def test_a_measure_made_in_python_is_what_it_says(number):
    made = quantity(number, "m")
    assert made.value == pytest.approx(number, rel=1e-5)
    assert made.value == float(made.written.removesuffix(" m"))


def test_what_is_round_stays_round():
    light = """light "Lamp" {{ power 1/1 to 1/1; modifier {} }}\n"""
    for size, is_round in (("octabox, 90 cm", True), ("softbox, 90 cm x 90 cm", False)):
        plan = read(f"shootplan 1\n{light.format(size)}")
        again = read(plan_text(plan))
        found = again.light[0].modifier
        assert isinstance(found, Modifier) and found.size is not None and found.size.is_round == is_round
        assert same(plan, again)


def test_the_text_is_laid_out_as_tidy_does():
    from shootlint.language.tidying import tidied

    text = plan_text(read((ROOT / "plans/evening.shoot").read_text("utf-8"), ROOT / "plans/evening.shoot"))
    assert tidied(Source("plan.shoot", text), plan_language()) == text
    assert "\n\n\n" not in text and max(map(len, text.split("\n"))) < 130


def test_one_block_of_a_plan_can_be_written_alone():
    plan = read((ROOT / "plans/evening.shoot").read_text("utf-8"), ROOT / "plans/evening.shoot")
    assert laid_out(plan, ("weather", "print")) == (
        "weather { sky clear; wind 2 m/s, gusts 4 m/s; air 13 C }\n"
        "\n"
        'print "Tower-room piece" {\n'
        "  size        60 cm x 90 cm\n"
        "  viewed from 1.1 m\n"
        "  at least    180 ppi\n"
        "}\n"
    )


@pytest.mark.parametrize(
    ("person", "told"),
    [
        (Person(name=Name("A\nB"), stature=quantity(170, "cm")), "cannot hold 'A\\nB'"),
        (Person(name=Name("\ud800"), stature=quantity(170, "cm")), "cannot hold"),
        (Person(name=Name(" "), stature=quantity(170, "cm")), "this name is empty"),
        (Person(name=Name("A"), stature=Quantity(1.7, quantity(170, "cm").unit, "1.8 m")), "is what its text says"),
        (Person(name=Name("A"), stature=Quantity(1.7, quantity(170, "cm").unit, "tall")), "tall"),
        (Person(name=Name("A"), stature=Quantity(1.7, quantity(170, "cm").unit, '1.7 m }\ncamera "B')), "cannot hold"),
        (Person(name=Name("A"), stature=Quantity(1.7, quantity(170, "cm").unit, "1.7 m; seated-only")), "seated-only: "),
    ],
)
def test_what_no_text_can_say_is_refused(person, told):
    plan = Plan(shootplan=Count(1), people=People(members=(person,)))
    with pytest.raises(Unwritable, match=re.escape(told)) as refused:
        plan_text(plan)
    assert str(refused.value)


def test_a_size_of_one_measure_twice_is_no_diameter():
    side = quantity(90, "cm")
    plan = read('shootplan 1\nprint "P" { size 90 cm x 90 cm }\n')
    made = plan.model_copy(update={"print": (plan.print[0].model_copy(update={"size": Size(side, side)}),)})
    assert "90 cm x 90 cm" in plan_text(made)
