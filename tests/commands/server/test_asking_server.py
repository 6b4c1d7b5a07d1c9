"""What an editor may ask of a place in a text: hover, completion, outline, where a name is declared, renaming, layout."""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path

import pytest

from shootlint.commands.refused import Refused
from shootlint.commands.server import renaming
from shootlint.commands.server.answers import Answers
from shootlint.commands.server.completing import completions
from shootlint.commands.server.hovering import hover
from shootlint.commands.server.measured import readings_of
from shootlint.commands.server.outlining import folds, outline
from shootlint.commands.server.placing import definitions, references
from shootlint.commands.server.saying import sayings_in
from shootlint.commands.server.tidying import tidying
from shootlint.commands.tidy import language_of
from shootlint.language.entry import shape
from shootlint.language.slots import Choice, Measure
from shootlint.language.tidying import tidied
from shootlint.language.units import of_kind
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.book import shipped_book
from shootlint.rulebook.model import RULE_FILES

DRAFT = "plans/first-draft.shoot"
HOUSE = "plans/house-style/house.rules"
KIT = "plans/kit/belfry.shoot"
ROOT = Path(__file__).parents[3]


def hovered(desk, name, before, into=1):
    checked = desk.checked(name)
    found = hover(checked, checked.source.text.index(before) + into)
    return found.text if found is not None else None


def test_an_aperture_tells_each_persons_blur_and_what_is_sharp(desk):
    """The readings are those of the graph; which of them belong to the value is found by putting it otherwise."""
    checked = desk.open(DRAFT)
    text = hovered(desk, DRAFT, "f/4")
    assert "The f-number" in text
    for name in ("blur", "near-limit", "far-limit", "diffraction"):
        assert f"- `{name}` " in text
    graph = checked.graphs[0]
    start = checked.source.text.index("f/4")
    shown = {each.name: each.words for each in readings_of(checked, start, start + 3)}
    for place, person in enumerate(graph.scene.names["person"]):
        value = graph["blur"].array[..., place, :].flat[0] * 1000
        assert f"{person} {value:.2f}".rstrip("0").rstrip(".") in shown["blur"]


@pytest.mark.parametrize(
    ("value", "given", "others"),
    [
        ("191 cm", "stature", {"crown-height", "eye-height"}),
        ("1/250 s", "shutter-set", {"shutter"}),
        ("3.2 m", "light-distance", {"light-to-person", "softness"}),
        ("6.3 m", "row-distance", {"head-distance"}),
        ("4 m/s", "gusts-told", {"gust"}),
        ("2026-09-05", "instant", {"sun-altitude"}),
        ("60 cm x 90 cm", "print-width", {"enlargement"}),
        ("right 35 deg", "light-angle", {"light-across"}),
        ("17:40 to 17:55", "instant", {"sun-altitude", "sun-bearing"}),
    ],
)
def test_a_value_of_any_kind_tells_its_own_readings(desk, value, given, others):
    checked = desk.open(DRAFT)
    at = checked.source.text.index(value)
    shown = readings_of(checked, at, at + len(value))
    assert {each.name for each in shown if each.given} >= {given}
    assert {each.name for each in shown} >= others
    for each in shown:
        reading = catalogue()[each.name]
        assert reading.given or any(catalogue()[need].given or need in {one.name for one in shown} for need, _ in reading.needs)


def test_a_persons_stature_is_about_that_person_alone(desk):
    checked = desk.open(DRAFT)
    at = checked.source.text.index("191 cm")
    for each in readings_of(checked, at, at + 6):
        assert "Birk" in each.words and "Agnes" not in each.words


def test_a_name_tells_its_declaration_and_what_rules_ask_of_it(desk):
    desk.open(DRAFT)
    person = hovered(desk, DRAFT, '"Birk"')
    assert "stature 191 cm" in person and "`blur` Birk" in person
    light = hovered(desk, DRAFT, '"Big box" as')
    assert "energy   500 J" in light and "belfry.shoot, line" in light


def test_every_word_of_a_plan_says_its_meaning_where_it_stands(desk):
    checked = desk.open(DRAFT)
    for saying in sayings_in(checked):
        found = hover(checked, saying.start)
        assert found is not None and found.start <= saying.start < found.end


def test_a_rule_file_tells_rules_readings_and_levers(desk):
    desk.open(HOUSE)
    assert "Someone stands outside the depth of field" in hovered(desk, HOUSE, "focus.person-soft", 3)
    assert catalogue()["print-width"].meaning[:20] in hovered(desk, HOUSE, "print-width", 3)
    assert "for each  setup" in hovered(desk, HOUSE, "{iso}", 2)
    assert "price" in hovered(desk, HOUSE, "remedy   iso", 10)
    assert "What is wrong when the rule does not hold" in hovered(desk, HOUSE, "title ", 2)
    desk.open(DRAFT, (desk.folder / DRAFT).read_text("utf-8") + 'accept light.uneven for "Dagny", because "x"\n')
    assert str(shipped_book().rules["light.uneven"].rule.title) in hovered(desk, DRAFT, "light.uneven", 3)


def test_what_a_text_says_cannot_become_markup(desk):
    text = (desk.folder / DRAFT).read_text("utf-8").replace('"Birk"', '"<b>*Birk*`"')
    desk.open(DRAFT, text)
    shown = hovered(desk, DRAFT, '"<b>*Birk*`"')
    outside = "".join(shown.split("```")[0::2])
    assert "<b>" not in outside.replace("\\<b\\>", "")


# --- completion


def complete(desk, name, marked):
    checked = desk.open(name, marked.replace("@@", ""))
    here, items = completions(checked, marked.index("@@"))
    return here, items, [each.text for each in items]


def draft(desk, old, new):
    return (desk.folder / DRAFT).read_text("utf-8").replace(old, new, 1)


def test_a_block_offers_all_its_words_and_no_other(desk):
    for where, block in (("  iso ", "setup"), ("  size ", "print"), ("  sky ", "weather")):
        _, items, texts = complete(desk, DRAFT, draft(desk, where, f"  @@\n{where}"))
        entry = next(each for each in desk.checked(DRAFT).vocabulary.entries if each.word() == block)
        assert texts == list(shape(entry).settings)
        assert all(each.detail.startswith(shape(entry).settings[each.text].meaning) for each in items)


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        ('"Long zoom", 75 mm', "@@", ["Long zoom"]),
        ('"Long zoom", 75 mm', '"Lo@@"', ["Long zoom"]),
        ('"Long zoom", 75 mm', '"Long zoom", 75 @@', ["mm", "cm", "m", "km", "in", "ft"]),
        ('place "Big box" as key', 'place "Big box" @@', ["as"]),
        ('place "Big box" as key', 'place "Big box" as @@', ["key", "fill", "rim", "hair", "background"]),
        ("right 35 deg, distance 3.2 m, ", "right 35 deg, @@ ", ["distance", "height", "power", "gel", "stand", "bag", "aim"]),
        ('stand "Steel"', "stand @@", ["Steel", "Light"]),
        ('gel "half CTO"', 'gel "@@', ["half CTO"]),
        ("grass ", "gr@@", ["grass", "gravel", "sand", "paved", "boards", "mud"]),
        ("# ", "# @@", []),
        ("aperture    f/4", "aperture @@", []),
    ],
)
def test_what_may_stand_in_a_line_is_offered(desk, old, new, wanted):
    assert complete(desk, DRAFT, draft(desk, old, new))[2] == wanted


def test_whatever_is_offered_after_a_number_is_a_unit_of_its_kind(desk):
    checked = desk.open(DRAFT)
    for saying in sayings_in(checked):
        if isinstance(saying.declared.slot, Measure) and saying.value is not None:
            number = saying.value.place.text.split()[0]
            at = saying.value.place.start
            marked = f"{checked.source.text[:at]}{number} @@\n{checked.source.text[saying.value.place.end :]}"
            known = {unit.name for unit in of_kind(*saying.declared.slot.kinds)} - {"force"}
            assert set(complete(desk, DRAFT, marked)[2]) == known, saying


@pytest.mark.parametrize(
    ("marked", "after"),
    [
        ('lens "Lo@@ng zoom", 75 mm', 'lens "Long zoom", 75 mm'),
        ('lens "@@", 75 mm', 'lens "Long zoom", 75 mm'),
        ('lens "Lo@@', 'lens "Long zoom"'),
        ("lens @@", 'lens "Long zoom"'),
        ('lens "Lo@@, 75 mm # "why"', 'lens "Long zoom", 75 mm # "why"'),
    ],
)
def test_a_name_that_is_taken_takes_the_place_of_what_was_there(desk, marked, after):
    text = draft(desk, 'lens        "Long zoom", 75 mm', marked)
    here, items, _ = complete(desk, DRAFT, text)
    document, answers = desk.session.documents[desk.uri(DRAFT)], Answers(desk.session, "utf-16")
    offset = text.index("@@")
    (item,) = answers.completions(here, items, offset, document)
    line = text.replace("@@", "").split("\n")[item.text_edit.range.start.line]
    start, end = item.text_edit.range.start.character, item.text_edit.range.end.character
    assert start <= marked.index("@@") + 2 <= end
    assert (line[:start] + item.text_edit.new_text + line[end:]).strip() == after


def test_acceptances_offer_rules_and_names(desk):
    end = draft(desk, "", "")
    assert set(complete(desk, DRAFT, end + "\naccept @@")[2]) >= set(shipped_book().rules)
    names = complete(desk, DRAFT, end + '\naccept light.uneven for "@@')[2]
    assert {"Birk", "Big box", "Tower-room piece", "Everyone, full length"} <= set(names) and "Steel" not in names


def house(desk, old, new):
    return (desk.folder / HOUSE).read_text("utf-8").replace(old, new, 1)


def test_rule_files_offer_rules_values_levers_and_readings(desk):
    end = house(desk, "", "")
    for word in ("adjust", "level", "retire"):
        assert set(complete(desk, HOUSE, f"{end}\n{word} @@")[2]) >= set(shipped_book().rules)
    assert complete(desk, HOUSE, f"{end}\nadjust focus.person-soft {{ @@ }}")[2] == ["allowance"]
    assert "row-distance" in complete(desk, HOUSE, f"{end}\nuncertain @@")[2]
    assert "aperture" in complete(desk, HOUSE, house(desk, "remedy   iso", "remedy   iso, @@"))[2]
    readings = complete(desk, HOUSE, house(desk, "iso <= 200", "@@"))[2]
    assert {each for each, reading in catalogue().items() if not reading.package} <= set(readings) and "max" in readings
    assert set(complete(desk, HOUSE, house(desk, "iso <= 200", "iso @@"))[2]) == {"and", "or", "not", "is", "between", "over"}
    # Inside brackets what is taken together may be narrowed.
    assert "where" in complete(desk, HOUSE, house(desk, "iso <= 200", "max(stature @@"))[2]
    assert list(complete(desk, HOUSE, house(desk, "iso <= 200", "max(stature over people @@"))[2]) == ["where"]
    assert "iso" in complete(desk, HOUSE, house(desk, "{iso}", "{i@@"))[2]
    assert complete(desk, HOUSE, f"{end}\nrule a.b {{\n  @@")[2] == list(
        shape(shape(RULE_FILES.root).settings["rule"].entry).settings
    )


@pytest.mark.parametrize("name", [DRAFT, HOUSE, KIT])
def test_completion_is_borne_anywhere(desk, name):
    text = (desk.folder / name).read_text("utf-8")
    checked = desk.open(name)
    for offset in range(0, len(text), 3):
        here, _ = completions(checked, offset)
        assert 0 <= here.start <= offset


def test_a_choice_is_offered_whole(desk):
    checked = desk.open(DRAFT)
    seen = 0
    for saying in sayings_in(checked):
        if isinstance(saying.declared.slot, Choice) and saying.value_start is not None and not saying.declared.slot.quoted:
            text = checked.source.text
            marked = f"{text[: saying.value_start]}@@{text[saying.end :]}"
            assert set(saying.declared.slot.words) <= set(complete(desk, DRAFT, marked)[2])
            seen += 1
    assert seen > 10


# --- outline, folding, layout


def test_the_outline_is_the_blocks_with_what_they_declare(desk):
    checked = desk.open(DRAFT)
    symbols = outline(checked)
    setup = next(each for each in symbols if each.name.startswith("setup"))
    assert {each.name for each in setup.inner} >= {'row "front"', 'row "back"', 'place "Big box"'}
    row = next(each for each in setup.inner if each.name == 'row "back"')
    assert [each.name for each in row.inner] == ["Emil", "Birk", "Cleo"]
    people = next(each for each in symbols if each.name == "people")
    assert [each.name for each in people.inner] == ["Agnes", "Birk", "Cleo", "Dagny", "Emil", "Frode"]
    rules = outline(desk.open(HOUSE))
    assert [each.name for each in rules if each.opens] == ["adjust", "rule"]

    def inside(symbol):
        assert symbol.start <= symbol.chosen[0] <= symbol.chosen[1] <= symbol.end
        for each in symbol.inner:
            assert symbol.start <= each.start <= each.end <= symbol.end
            inside(each)

    for each in [*symbols, *rules]:
        inside(each)


def test_blocks_and_comments_fold(desk):
    text = 'shootplan 1\n# one\n# two\nsite {\n  ground grass\n  elevation 3 m\n}\npeople { "A" stature 2 m }\n'
    found = folds(desk.open(DRAFT, text))
    assert [(each.first, each.last, each.comment) for each in found] == [(1, 2, True), (3, 5, False)]


@pytest.mark.parametrize("name", [DRAFT, HOUSE, KIT])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_formatting_is_tidying(desk, name, ends):
    text = (desk.folder / name).read_text("utf-8").replace("  ", "    ").replace("\n", ends)
    checked = desk.open(name, "\ufeff" + text)
    changes = tidying(checked)
    assert len(changes) > 1
    assert all(one[1] <= other[0] for one, other in pairwise(changes))
    after = checked.source.text
    for start, end, new in reversed(changes):
        after = after[:start] + new + after[end:]
    assert after == tidied(checked.source, language_of(checked.source)) != text
    desk.change(name, "\ufeff" + after)
    assert tidying(desk.checked(name)) == []


def test_what_has_mistakes_or_is_tidy_is_left_alone(desk):
    assert tidying(desk.open(DRAFT)) == []
    assert tidying(desk.open(DRAFT, draft(desk, "{", "{{"))) == []


# --- definitions, references, renaming


def spots(desk, found):
    return [(each.path.relative_to(desk.folder).as_posix(), each.source.text[each.start : each.end]) for each in found]


def at(desk, name, before, into=1):
    checked = desk.checked(name)
    return checked, checked.source.text.index(before) + into


def test_names_lead_to_what_they_stand_for(desk):
    text = draft(desk, 'focus       row "front"', 'focus       "Birk"') + 'accept light.uneven for "Dagny", because "x"\n'
    checked = desk.open(DRAFT, text)
    session = desk.session
    assert spots(desk, definitions(session, *at(desk, DRAFT, '"Big box" as'))) == [(KIT, '"Big box"')]
    # Who is focused on stands in a row, and who stands in a row is one of the people.
    (row,) = definitions(session, *at(desk, DRAFT, 'focus       "Birk"', 14))
    assert checked.source.text[row.start :].startswith('"Birk" standing')
    (person,) = definitions(session, *at(desk, DRAFT, '"Birk" standing'))
    assert (
        checked.source.text[person.start :].startswith('"Birk"  ')
        or "stature" in checked.source.text[person.start : person.start + 20]
    )
    (kit,) = definitions(session, *at(desk, DRAFT, '"kit/'))
    assert kit.path == desk.folder / KIT and kit.start == 0
    (rule,) = definitions(session, *at(desk, DRAFT, "light.uneven", 3))
    assert rule.path.name == "uneven.rules" and rule.source.text[rule.start : rule.end] == "light.uneven"


def test_rule_files_lead_to_files_rules_and_values(desk):
    (desk.folder / "plans/house-style/more.rules").write_text('forbid iso because "x"\n', "utf-8")
    text = house(desk, "use shipped", 'use shipped\nuse "more.rules"').replace(
        "  require  iso <= 200", "  set most 200\n  require  iso <= most"
    )
    desk.open(HOUSE, text)
    (file,) = definitions(desk.session, *at(desk, HOUSE, '"more.rules"'))
    assert file.path.name == "more.rules"
    (value,) = definitions(desk.session, *at(desk, HOUSE, "<= most", 4))
    assert value.start == text.index("most 200")
    (rule,) = definitions(desk.session, *at(desk, HOUSE, "focus.person-soft"))
    assert rule.path.is_file() and rule.path.name == "person-soft.rules"


def test_no_name_of_a_file_leads_out_of_the_repository(desk):
    (desk.folder.parent / "outside.shoot").write_text("shootplan 1\n", "utf-8")
    desk.open(DRAFT, draft(desk, '"kit/belfry.shoot"', '"../../outside.shoot"'))
    assert definitions(desk.session, *at(desk, DRAFT, '"../..')) == []


def test_files_beside_are_offered_where_one_is_named(desk):
    texts = complete(desk, DRAFT, draft(desk, '"kit/belfry.shoot"', '"@@"'))[2]
    assert "kit/belfry.shoot" in texts and "first-draft.shoot" not in texts
    (desk.folder / "plans/house-style/own").mkdir()
    (desk.folder / "plans/house-style/own/more.rules").write_text("", "utf-8")
    assert complete(desk, HOUSE, house(desk, "use shipped", 'use "@@"'))[2] == ["own/more.rules"]


def test_references_are_all_mentions_in_plan_and_kit(desk):
    text = draft(desk, "", "") + 'accept light.uneven for "Dagny", because "x"\n'
    desk.open(DRAFT, text)
    found = references(*at(desk, DRAFT, '"Dagny"'), True)
    assert len(found) == text.count('"Dagny"')
    assert len(references(*at(desk, DRAFT, '"Dagny"'), False)) == text.count('"Dagny"') - 1
    assert {path for path, _ in spots(desk, references(*at(desk, DRAFT, '"Big box"'), True))} == {KIT, DRAFT}


def test_a_name_in_an_acceptance_is_the_persons(desk):
    text = draft(desk, "", "") + 'accept light.uneven for "Dagny", because "x"\n'
    desk.open(DRAFT, text)
    checked, offset = desk.checked(DRAFT), text.rindex('"Dagny"') + 2
    (spot,) = definitions(desk.session, checked, offset)
    assert spot.start == text.index('"Dagny"')
    assert "stature 118 cm" in hover(checked, offset).text
    start, end, name = renaming.renamed_at(checked, offset)
    assert (text[start:end], name, start) == ("Dagny", "Dagny", text.rindex("Dagny"))
    assert applied(desk, renaming.renames(desk.session, checked, offset, "Dag")) == {DRAFT: text.replace("Dagny", "Dag")}


def applied(desk, changes):
    """The files after a renaming, by name."""
    found = {}
    for each in sorted(changes, key=lambda each: -each.start):
        name = each.source.path.relative_to(desk.folder).as_posix()
        text = found.get(name, each.source.text)
        found[name] = text[: each.start] + each.text + text[each.end :]
    return found


def test_a_person_is_renamed_through_the_plan(desk):
    text = (
        draft(desk, 'focus       row "front"', 'focus       "Dagny"')
        + 'accept light.uneven for "Dagny", because "Dagny fidgets"\n'
    )
    desk.open(DRAFT, text)
    changes = renaming.renames(desk.session, *at(desk, DRAFT, '"Dagny"'), 'Dag "the rat"')
    after = applied(desk, changes)
    assert after == {DRAFT: text.replace('"Dagny"', r'"Dag \"the rat\""')}
    before = [(each.rule, each.finding.about) for each in desk.said(DRAFT) if each.finding is not None]
    desk.change(DRAFT, after[DRAFT])
    now = [
        (each.rule, tuple({'Dag "the rat"': "Dagny"}.get(name, name) for name in each.finding.about))
        for each in desk.said(DRAFT)
        if each.finding is not None
    ]
    assert now == before


def test_a_light_of_a_kit_is_renamed_in_every_plan_that_uses_the_kit(desk):
    desk.open(DRAFT)
    changes = renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")
    after = applied(desk, changes)
    naming = {
        path.relative_to(desk.folder).as_posix()
        for path in desk.folder.rglob("*.shoot")
        if '"Big box"' in path.read_text("utf-8") and ("belfry.shoot" in path.read_text("utf-8") or path.name == "belfry.shoot")
    }
    assert len(naming) > 3 and set(after) == naming
    for name, text in after.items():
        assert '"Big box"' not in text
        (desk.folder / name).write_text(text, "utf-8")
    desk.session.close(desk.uri(DRAFT))
    for name in naming:
        desk.open(name)
        assert not any(each.rule is None and each.level == "error" for each in desk.said(name))


@pytest.mark.parametrize(
    ("before", "name", "reason"),
    [
        ('"Birk"', "Cleo", 'there is a person called "Cleo" already'),
        ('"Birk"', " ", "not empty"),
        ('"Birk"', "a\nb", "not empty"),
        ("aperture", "x", "only a name in quotation marks"),
    ],
)
def test_a_renaming_that_would_spoil_something_is_refused(desk, before, name, reason):
    desk.open(DRAFT)
    with pytest.raises(Refused, match=reason):
        renaming.renames(desk.session, *at(desk, DRAFT, before), name)


def test_a_kits_light_is_not_renamed_where_its_plans_cannot_be_known(desk):
    desk.open(DRAFT)
    other = desk.folder / "plans/other.shoot"
    other.write_text(draft(desk, 'place "Big box"', 'place at "Big box"'), "utf-8")
    with pytest.raises(Refused, match="other\\.shoot: a line with a mistake names"):
        renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")
    other.write_bytes(b"\xff")
    with pytest.raises(Refused, match="other\\.shoot may use the kit and cannot be read"):
        renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")
    other.unlink()
    (desk.folder / ".git").rmdir()
    desk.session.folders = []
    with pytest.raises(Refused, match="in no repository and in no folder that the editor has open"):
        renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")
    desk.session.folders = [desk.folder]
    # Without a repository the house's folder may not reach the kit beside it any more.
    with pytest.raises(Refused, match="a kit that it uses cannot be found"):
        renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")
    shutil.rmtree(desk.folder / "plans/house-style")
    assert len(renaming.renames(desk.session, *at(desk, DRAFT, '"Big box" as'), "Large box")) > 5


def test_an_acceptance_that_may_mean_either_keeps_a_renaming_from_being_done(desk):
    text = draft(desk, 'print "Tower-room piece"', 'print "Dagny"').replace('"Tower-room piece"', '"Dagny"')
    desk.open(DRAFT, text + 'accept light.uneven for "Dagny", because "x"\n')
    with pytest.raises(Refused, match="a person and a print are both called"):
        renaming.renames(desk.session, *at(desk, DRAFT, '"Dagny" standing'), "Dag")


def test_anything_may_be_asked_of_any_place(desk):
    for name in (DRAFT, HOUSE, KIT):
        checked = desk.open(name)
        for offset in range(0, len(checked.source.text) + 1, 5):
            hover(checked, offset)
            definitions(desk.session, checked, offset)
            references(checked, offset, True)
