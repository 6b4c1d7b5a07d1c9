"""rules, readings and words: what there is to look up."""

from __future__ import annotations

import re

import pytest

from shootlint.commands.words import kinds
from shootlint.language.entry import shape
from shootlint.language.reading import PLANS, fields_of
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.book import shipped_book
from shootlint.rulebook.model import RULE_FILES


def entries(lines):
    """What a list says, each entry in one line again."""
    found = []
    for line in lines:
        if line.startswith(" "):
            found[-1] += f" {line.strip()}"
        else:
            found.append(" ".join(line.split()))
    return found


def test_rules_lists_the_shipped_rules_with_level_and_title(studio):
    found = studio.run("rules")
    assert found.status == 0
    listed = entries(found.lines)
    assert [entry.split()[0] for entry in listed] == [*sorted(shipped_book().rules), *shipped_book().own]
    for entry in listed:
        name, level, title = entry.split(maxsplit=2)
        rule = {**shipped_book().rules, **shipped_book().own}[name]
        assert level == rule.level
        assert title == str(rule.rule.title)


def test_rules_lists_the_rules_of_the_house_here(studio, rules):
    studio.write("house.rules", rules + 'use shipped\nretire focus.person-soft because "we like it soft"\n')
    found = studio.run("rules")
    assert found.status == 0
    assert "house.base-iso" in found.out
    assert ["focus.person-soft", "retired", "because", "we", "like", "it", "soft"] in [line.split() for line in found.lines]
    assert "is retired here, because we like it soft" in studio.run("rules", "focus.person-soft").out


@pytest.mark.parametrize("name", sorted(shipped_book().rules))
def test_each_rule_has_a_page(studio, name):
    found = studio.run("rules", name)
    rule = shipped_book().rules[name]
    assert found.status == 0
    assert found.lines[0] == f"{name} ({rule.level})"
    for fact in ("for", "requires", "says", "because", "file"):
        assert f"\n  {fact:10}" in found.out
    assert " ".join(str(rule.rule.because).split()) in " ".join(found.out.split())
    assert max(map(len, found.lines)) <= 80


def test_a_house_with_a_mistake_ends_with_2(studio, rules):
    studio.write("house.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    found = studio.run("rules")
    assert found.status == 2
    assert found.err.startswith("house.rules:7:")
    assert "house.tall" in found.out


def test_the_shipped_rules_verify(studio):
    found = studio.run("rules", "--verify")
    assert found.status == 0, found.out
    assert found.counts.endswith(" 0 faults")
    assert found.counts.startswith(f"{len(shipped_book().rules)} rules, ")


def test_one_shipped_rule_verifies(studio):
    found = studio.run("rules", "focus.person-soft", "--verify")
    assert found.status == 0
    assert found.counts.startswith("1 rule, 2 examples, 0 faults")


def test_a_rule_whose_example_is_wrong_ends_with_1(studio, plan, rules):
    studio.write("jetty.shoot", plan)
    fails = '  fails   "jetty" with iso 100\n  holds   "jetty" with iso 100\n'
    studio.write("own.rules", rules.replace("  remedy  iso\n", f"  remedy  iso\n{fails}"))
    found = studio.run("rules", "--verify", "own.rules")
    assert found.status == 1
    assert "own.rules:12:" in found.lines[0] and "error: " in found.lines[0] and found.lines[0].endswith("[house.base-iso]")
    assert "house.tall has no `fails` of its own" in found.out
    assert "house.tall has no `holds` of its own" in found.out
    assert found.counts == "2 rules, 2 examples, 1 fault"
    studio.write("own.rules", (studio.folder / "own.rules").read_text().replace("with iso 100\n  holds", "with iso 200\n  holds"))
    assert studio.run("rules", "--verify", "own.rules").status == 1
    studio.write("own.rules", (studio.folder / "own.rules").read_text().replace("with iso 200\n  holds", "with iso 250\n  holds"))
    assert studio.run("rules", "--verify", "own.rules").status == 0


def test_a_rule_file_with_a_mistake_does_not_verify(studio, rules):
    studio.write("own.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    found = studio.run("rules", "--verify", "own.rules")
    assert found.status == 2
    assert found.lines[0].startswith("own.rules:7:")


def test_a_rule_that_the_file_does_not_hold_cannot_be_verified(studio):
    found = studio.run("rules", "house.tal", "--verify", "studio.rules")
    assert found.status == 2
    assert "no rule of studio.rules is called house.tal; did you mean house.tall?" in found.err


def test_readings_lists_every_reading_with_unit_axes_and_meaning(studio):
    found = studio.run("readings")
    assert found.status == 0
    listed = entries(found.lines)
    assert [entry.split()[0] for entry in listed] == sorted(catalogue())
    for entry in listed:
        reading = catalogue()[entry.split()[0]]
        assert entry.split(maxsplit=1)[1].startswith(f"{reading.unit.name} ")
        assert " ".join(reading.meaning.split()) in entry


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_each_reading_has_a_page(studio, name):
    found = studio.run("readings", name)
    assert found.status == 0
    assert found.lines[0] == name
    said = " ".join(found.out.split())
    for fact in (catalogue()[name].meaning, catalogue()[name].formula, catalogue()[name].source):
        assert fact in said
    assert max(map(len, found.lines)) <= 100


def test_words_prints_the_reference_of_both_languages(studio):
    found = studio.run("words")
    assert found.status == 0
    assert "setup { … } holds" in found.out
    assert "rule { … } holds" in found.out
    assert "white-balance" in found.out


def slots():
    return {
        declared.slot
        for language in (PLANS, RULE_FILES)
        for entry in language.entries
        for declared in fields_of(shape(entry))
        if declared.slot is not None
    }


def test_every_name_in_capitals_is_explained():
    for slot in slots():
        told = dict(slot.explained())
        assert set(re.findall("[A-Z]{2,}", slot.name)) - set(re.findall("[A-Z]{2,}", slot.example)) == set(told), slot
        assert all(", such as " in meaning for meaning in told.values())


def test_how_often_a_line_may_stand_is_told(studio):
    found = " ".join(studio.run("words").out.split())
    assert "A light and where it stands. (up to 20 times)" in found
    assert "A person in the row. (up to 5,000 times in all)" in found
    assert "A grey filter on the lens. (as often as needed)" in found


def test_a_kind_of_value_has_a_page(studio):
    found = studio.run("words", "POWER")
    assert (found.status, " ".join(found.out.split())) == (
        0,
        "POWER is a share of a light's full output, or stops below it as in -1.3 stops, such as 1/16",
    )
    assert " ".join(studio.run("words", "MASS").out.split()) == "MASS is a number and its unit, kg, g or lb, such as 7 kg"
    assert studio.run("words", "POWERS").status == 2


def test_a_page_ends_with_what_its_names_in_capitals_stand_for(studio):
    found = studio.run("words", "bag").lines
    assert found[-2:] == ["", "MASS is a number and its unit, kg, g or lb, such as 7 kg"]
    whole = studio.run("words").out
    for name in kinds():
        assert re.search(rf"^{name} is ", whole, re.MULTILINE), name


@pytest.mark.parametrize("word", ["setup", "aperture", "place", "require", "caution", "stature"])
def test_each_word_has_a_page(studio, word):
    found = studio.run("words", word)
    assert found.status == 0
    assert found.lines[0].startswith("in ")
    assert f"  {word}" in found.out
