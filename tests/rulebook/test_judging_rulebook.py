"""Judging: scopes, spans of time, what is not known, what is accepted, and the order of it all."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.model import Plan
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.rulebook.acceptances import mistakes
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.finding import Finding, Verdict
from shootlint.rulebook.judging import judge

ROOT = Path(__file__).parents[2]
TWO_ROWS = (ROOT / "rules/examples/two-rows.shoot").read_text(encoding="utf-8")
TODAY = datetime.date(2026, 8, 22)
PLACE = next(line for line in TWO_ROWS.splitlines() if line.strip().startswith("place")) + "\n"


def book(*rules: str) -> Book:
    """Rules told in short: name, scope, condition, and then message and level where they matter."""
    texts = []
    for rule in rules:
        told = rule.split(" | ")
        name, scope, require, say, level, *sets = [*told, *("x", "error")[max(len(told) - 3, 0) :]]
        texts.append(
            f'rule {name} {{ title "t"; level {level}; for {scope}\n{"; ".join(sets)}\nrequire {require}\nsay "{say}"; because "b" }}\n'
        )
    made = book_of([Source("test.rules", "".join(texts))])
    assert not made.complaints, [str(each) for each in made.complaints]
    return made


def plan(text: str = TWO_ROWS) -> Plan:
    document = Loader().load_source(Source("plan.shoot", text))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    return document.plan


def changed(*changes: tuple[str, str]) -> Plan:
    text = TWO_ROWS
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return plan(text)


def findings(of: Plan, *rules: str) -> list[Finding]:
    verdict = judge(of, book(*rules), TODAY)
    assert not verdict.not_judged, verdict.not_judged
    return verdict.findings


# --- scopes


def test_a_rule_for_each_setup():
    (found,) = findings(plan(), "a.b | each setup | iso > 100 | {setup} of {plan} for {print}: {iso}")
    assert found.message == "All five of Allotment society, two rows for Hall piece: 100"
    assert found.about == () and found.setup == "All five" and found.level == "error"
    assert (found.measured.reading, found.measured.value, found.measured.limit, found.measured.sign) == ("iso", 100, 100, ">")
    assert found.spans == (("19:25", "19:40"),)


def test_a_rule_for_each_person():
    found = findings(plan(), "a.b | each person | stature < 170 cm | {person} of {row}: {stature}, {pose}")
    assert [each.message for each in found] == ["Joris of back: 184 cm, standing", "Lou of back: 175 cm, standing"]
    assert [each.about for each in found] == [("Joris",), ("Lou",)]
    assert found[0].place.text.startswith('"Joris" standing') and found[0].place.line < found[1].place.line


def test_a_rule_for_each_light():
    (found,) = findings(plan(), "a.b | each light | power < 0.5 | {light}: {power}, {role}")
    assert found.message == "Octa: -0.7 stops, key" and found.about == ("Octa",)
    assert found.place.text.startswith('place "Octa"')


def test_a_rule_for_each_pair_of_neighbours():
    found = findings(plan(), "a.b | each pair of neighbours | heads-apart < 0 | {person}, {other} in {row}")
    assert [each.message for each in found] == ["Ines, Kaya in front", "Kaya, Maud in front", "Joris, Lou in back"]
    assert [each.about for each in found] == [("Ines", "Kaya"), ("Kaya", "Maud"), ("Joris", "Lou")]


def test_a_rule_for_each_print_points_at_it():
    (found,) = findings(plan(), "a.b | each print | print-width > 60 cm | {print}: {print-width}")
    assert found.message == "Hall piece: 60 cm" and found.place.text == '"Hall piece"'
    assert TWO_ROWS.splitlines()[found.place.line - 1].split() == ["print", '"Hall', 'piece"']


TWO_SETUPS = TWO_ROWS + TWO_ROWS[TWO_ROWS.index('setup "All five"') :].replace('"All five"', '"Again"').replace(
    "iso         100", "iso 400"
)


def test_a_rule_for_the_plan_takes_all_setups_together():
    both = plan(TWO_SETUPS)
    assert [each.message for each in findings(both, "a.b | plan | max(iso) <= 200 | {plan}")] == ["Allotment society, two rows"]
    for require, holds in (
        ("max(iso) <= 400", True), ("min(iso) = 100", True), ("sum(iso) = 500", True), ("count(iso > 200) = 1", True),
        ("any(iso = 400)", True), ("all(iso = 400)", False), ("count(iso > 0 over setups) = 2", True), ("sum(lights-used) = 2", True),
    ):  # fmt: skip
        found = findings(both, f"a.b | plan | {require}")
        assert len(found) == (not holds), require
        assert all(each.spans == () for each in found)
    assert len(findings(both, "a.b | each setup | iso < 0")) == 2


def test_where_narrows():
    seated = "a.b | each person where pose is seated | stature < 1 m | {person}"
    assert [each.message for each in findings(plan(), seated)] == ["Ines", "Maud"]
    both = "a.b | each person where pose is not seated and stature > 170 cm | stature < 1 m | {person}"
    assert [each.message for each in findings(plan(), both)] == ["Joris", "Lou"]
    assert not findings(plan(), "a.b | each light where role is rim | power < 0")
    assert len(findings(plan(), "a.b | each setup where any(stature > 180 cm) | iso < 0")) == 1


def test_a_house_value_takes_the_place_of_the_rules_own():
    rule = "a.b | each setup | iso < most | {most} | error | set most 50"
    (found,) = findings(plan(), rule)
    assert found.message == "50" and found.measured.limit == 50


def test_what_decided_is_the_first_comparison_that_fails():
    (found,) = findings(plan(), "a.b | each setup | iso >= 100 and gust <= 3 m/s and aperture > f/8")
    assert (found.measured.reading, found.measured.limit) == ("gust", 3)
    (found,) = findings(plan(), "a.b | each setup | aperture between f/8 and f/11")
    assert (found.measured.reading, found.measured.sign, found.measured.limit) == ("aperture", ">=", 8)
    (found,) = findings(plan(), "a.b | each setup | not (iso = 100)")
    assert found.measured is None


# --- time


def sunny(*shades: tuple[float, float], facing: str = "90 deg") -> Plan:
    """The example from 19:00 to 19:40 with nothing before the sun but poles, each told by the minutes at which the sun
    comes behind it and out again."""
    line = next(line for line in TWO_ROWS.splitlines() if line.strip().startswith("shade"))
    base = [(line + "\n", ""), ("19:25 to 19:40", "19:00 to 19:40"), ("350 deg", facing)]
    bearing = Graph(scenes(changed(*base))[0])["sun-bearing"].array.ravel()
    assert len(bearing) == 41 and (np.diff(bearing) > 0.1).all()
    # A pole that stands before the slot or after it hides its first or its last minute too.
    behind = [
        [np.interp(minute, range(41), bearing) + 0.1 * ((minute > 40) - (minute < 0)) for minute in shade] for shade in shades
    ]
    at = [f'  shade "pole", bearing {low:.6f} deg to {high:.6f} deg, up to 80 deg\n' for low, high in behind]
    return changed((line + "\n", "".join(at)), *base[1:])


@pytest.mark.parametrize(
    ("shades", "spans"),
    [
        ([], [("19:00", "19:40")]),
        ([(9.5, 20.5)], [("19:00", "19:09"), ("19:21", "19:40")]),
        ([(-1, 20.5), (30.5, 41)], [("19:21", "19:30")]),
        ([(-1, 4.5), (9.5, 20.5), (20.6, 30.5)], [("19:05", "19:09"), ("19:31", "19:40")]),
        ([(-1, 19.5), (20.5, 50)], [("19:20", "19:20")]),
    ],
)
def test_the_spans_in_which_a_rule_does_not_hold(shades, spans):
    (found,) = findings(sunny(*shades), "a.b | each setup | not sunlit | {sun-altitude}")
    assert list(found.spans) == spans


def test_a_rule_holds_only_if_it_holds_in_each_minute():
    assert not findings(sunny(), "a.b | each minute | sunlit")
    assert len(findings(sunny((9.5, 10.5)), "a.b | each minute | sunlit")) == 1
    # Taken together it is one answer for the slot.
    assert not findings(sunny((9.5, 10.5)), "a.b | each setup | count(not sunlit over minutes) <= 1")
    assert not findings(sunny((9.5, 10.5)), "a.b | each setup | any(sunlit over minutes)")


def test_a_message_shows_the_worst_minute():
    whole = Graph(scenes(sunny())[0])["sun-altitude"].array.ravel()
    (found,) = findings(sunny(), "a.b | each setup | sun-altitude > 80 deg")
    assert found.measured.value == pytest.approx(whole.min())
    (found,) = findings(sunny(), "a.b | each setup | sun-altitude < 1 deg")
    assert found.measured.value == pytest.approx(whole.max())


def test_without_a_date_there_are_no_spans():
    (found,) = findings(changed(("date  2026-08-22\n", "")), "a.b | each setup | iso < 0")
    assert found.spans == ()


def test_spans_over_midnight():
    (found,) = findings(changed(("19:25 to 19:40", "23:55 to 00:05")), "a.b | each setup | iso < 0")
    assert found.spans == (("23:55", "00:05"),)


# --- what is not known


def test_what_cannot_be_judged_says_what_to_add():
    verdict = judge(
        changed(("  position   52.3710 N, 4.8950 E\n", "")),
        book("a.b | each setup | not sunlit", "a.c | each setup | iso = 100"),
        TODAY,
    )
    assert not verdict.findings and verdict.held == 1
    assert [(each.rule, each.setup, each.needs) for each in verdict.not_judged] == [("a.b", "All five", ("site position",))]


def test_what_fails_whatever_is_not_known_is_a_finding():
    away = changed(("  position   52.3710 N, 4.8950 E\n", ""))
    assert len(findings(away, "a.b | each setup | not sunlit and iso < 0")) == 1
    assert not findings(away, "a.b | each setup | not sunlit or iso = 100")
    assert not findings(away, "a.b | each setup where iso < 0 | not sunlit")
    assert not findings(away, "a.b | each setup where sunlit | iso = 100"), "it holds, wherever the sun stands"
    verdict = judge(away, book("a.b | each setup where sunlit | iso < 0"), TODAY)
    assert not verdict.findings and len(verdict.not_judged) == 1


def test_some_may_be_judged_and_others_not():
    verdict = judge(
        changed(('"Ines" seated on 45 cm', '"Ines" seated')), book("a.b | each person | crown-height < 1.5 m | {person}"), TODAY
    )
    assert [each.message for each in verdict.findings] == ["Joris", "Lou", "Maud"][: len(verdict.findings)]
    assert [each.needs for each in verdict.not_judged] == [("height of the seat or step under the person",)]


def test_a_value_that_nothing_can_be_worked_out_from():
    verdict = judge(plan(), book("a.b | each setup | (iso - 100) / (iso - 100) > 1"), TODAY)
    assert not verdict.findings and [each.needs for each in verdict.not_judged] == [("a value that can be worked out",)]


def test_rules_for_lights_say_nothing_of_a_picture_without_any():
    dark = changed((PLACE, ""))
    verdict = judge(dark, book("a.b | each light | power < 0", "a.c | each light where role is key | power < 0"), TODAY)
    assert not verdict.findings and not verdict.not_judged
    # What a light would have to tell to a rule for people is still asked for.
    verdict = judge(dark, book("a.d | each person | key-evenness < 9 stops"), TODAY)
    assert "a light placed in the setup" in verdict.not_judged[0].needs


def test_rules_for_prints_say_nothing_of_a_picture_without_one():
    verdict = judge(
        changed(('  print       "Hall piece"\n', "")),
        book("a.b | each print | print-width < 0 m", "a.c | each setup | print-width < 0 m"),
        TODAY,
    )
    assert not verdict.findings and [each.rule for each in verdict.not_judged] == ["a.c"]


# --- accepted


SOFT = "a.b | each person | stature < 170 cm | {person}"


@pytest.mark.parametrize(
    ("accept", "open_", "accepted"),
    [
        ('accept a.b for "Joris", because "x"', ["Lou"], ["Joris"]),
        ('accept a.b for "Joris", because "x", until 2026-08-22', ["Lou"], ["Joris"]),
        ('accept a.b for "Joris", because "x", until 2026-08-21', ["Joris", "Lou"], []),
        ('accept a.b for "Joris", because "x", until 2031-12-01', ["Lou"], ["Joris"]),
        ('accept a.b for "Ines", because "x"', ["Joris", "Lou"], []),
        ('accept a.c for "Joris", because "x"', ["Joris", "Lou"], []),
        ('accept a.b for "joris", because "x"', ["Joris", "Lou"], []),
        ('accept a.b for "All five", because "x"', [], ["Joris", "Lou"]),
        ('accept a.b for "Hall piece", because "x"', [], ["Joris", "Lou"]),
        ('accept a.b for "Joris", because "x"\naccept a.b for "Lou", because "y"', [], ["Joris", "Lou"]),
        ('accept a.b for "Joris", because "x", until 2020-01-01\naccept a.b for "Joris", because "y"', ["Lou"], ["Joris"]),
    ],
)  # fmt: skip
def test_accepted_findings_are_set_apart(accept, open_, accepted):
    verdict = judge(plan(f"{TWO_ROWS}\n{accept}\n"), book(SOFT), TODAY)
    assert [each.message for each in verdict.findings if each.rule.name == "a.b"] == open_
    assert [each.finding.message for each in verdict.accepted] == accepted
    assert all(each.reason in ("x", "y") for each in verdict.accepted)


def test_an_acceptance_that_has_run_out_or_accepts_nothing_is_a_finding_with_a_mend():
    text = f'{TWO_ROWS}\naccept a.b for "Joris", because "x", until 2020-01-01\naccept a.b for "Ines", because "y"\n'
    verdict = judge(plan(text), book(SOFT), TODAY)
    at_fault = {each.rule.name: each for each in verdict.findings if each.rule.name.startswith("accept.")}
    assert set(at_fault) == {"accept.expired", "accept.nothing"}
    assert at_fault["accept.expired"].message == 'the acceptance of a.b for "Joris" ran out on 2020-01-01'
    assert at_fault["accept.nothing"].message == 'a.b finds nothing for "Ines" to accept'
    for finding in at_fault.values():
        (mend,) = finding.mends
        (change,) = mend.changes
        assert change.place.text.startswith("accept a.b") and change.place.text.endswith("\n") and change.text == ""
    # On its last day it still counts.
    last = f'{TWO_ROWS}\naccept a.b for "Joris", because "x", until {TODAY}\n'
    assert [each.rule.name for each in judge(plan(last), book(SOFT), TODAY).findings] == ["a.b"]


def test_an_acceptance_of_what_could_not_be_judged_is_not_blamed():
    text = TWO_ROWS.replace("  facing      350 deg\n", "") + '\naccept a.b for "All five", because "x"\n'
    verdict = judge(plan(text), book("a.b | each setup | sun-angle > 3 deg"), TODAY)
    assert verdict.not_judged and not verdict.findings


def test_an_acceptance_of_no_rule_is_a_mistake_with_the_nearest_name():
    (complaint,) = mistakes(plan(f'{TWO_ROWS}\naccept a.bb for "Joris", because "x"\n'), book(SOFT))
    assert complaint.place.text == "a.bb" and complaint.message == "no rule is called a.bb; did you mean a.b?"


def test_an_acceptance_keeps_its_reason_and_its_last_day():
    verdict = judge(plan(f'{TWO_ROWS}\naccept a.b for "Joris", because "he likes it", until 2031-12-01\n'), book(SOFT), TODAY)
    assert [(each.reason, each.until) for each in verdict.accepted] == [("he likes it", "2031-12-01")]


# --- order


def keys(verdict: Verdict) -> list[tuple[str, str, tuple[str, ...]]]:
    return [(each.rule.name, each.setup, each.about) for each in verdict.findings]


def test_findings_come_in_the_order_of_the_plan_then_of_level_and_name():
    rules = ("z.a | each person | iso < 0 | x | note", "a.z | each person | iso < 0 | x | warning", "m.m | each person | iso < 0",
             "a.a | each person | iso < 0 | x | warning", "b.b | each light | iso < 0")  # fmt: skip
    verdict = judge(plan(), book(*rules), TODAY)
    starts = [each.place.start for each in verdict.findings]
    assert starts == sorted(starts)
    ines = [name for name, _, about in keys(verdict) if about == ("Ines",)]
    assert ines == ["m.m", "a.a", "a.z", "z.a"]
    assert keys(verdict) == keys(judge(plan(), book(*reversed(rules)), TODAY))
    assert verdict.worst() == "error" and len(verdict.at_level("warning")) == 10


def test_judging_twice_gives_the_same():
    bad = changed(("f/5.6", "f/2.8"), ("between rows", 'row "front"'))
    one, other = (judge(bad, shipped_book(), TODAY) for _ in range(2))
    assert keys(one) == keys(other) and keys(one)
    assert one.safety == other.safety and one.held == other.held


# --- cautions


def test_cautions_are_printed_where_they_are_called_for_or_may_be():
    texts = 'caution a.b { when overhead-line-away < 50 m; say "Mind the line." }\ncaution a.c { when any(age < 2); say "An infant." }\n'
    made = book_of([Source("test.rules", texts)])
    assert not made.complaints
    hazard = ("  ground     gravel\n", '  ground     gravel\n  hazard "overhead line", 14 m away\n')
    assert judge(changed(hazard), made, TODAY).safety == ["Mind the line."]
    assert judge(plan(), made, TODAY).safety == []
    assert judge(changed(("age 7", "age 1")), made, TODAY).safety == ["An infant."]
    site = TWO_ROWS[TWO_ROWS.index("site ") : TWO_ROWS.index("weather {")]
    assert judge(changed((site, "")), made, TODAY).safety == ["Mind the line."], "nobody told that there is none"


@pytest.mark.parametrize(
    ("posed", "asked"), [("standing on 20 cm", True), ("on 20 cm", True), ("seated on 46 cm", False), ("standing", False)]
)
def test_who_stands_on_a_step_is_told_to_take_care(posed, asked):
    line = next(each for each in TWO_ROWS.splitlines() if each.strip().startswith('"Joris" ') and " at " in each)
    posed = judge(changed((line, f'    "Joris" {posed}, at -24 cm')), shipped_book(), TODAY)
    assert any(note.startswith("Somebody stands on a step") for note in posed.safety) == asked


def test_a_plan_without_setups_is_judged_to_nothing():
    kit = plan(TWO_ROWS[: TWO_ROWS.index("setup ")])
    assert judge(kit, shipped_book(), TODAY) == Verdict()


# --- common practice, no source


@pytest.mark.parametrize(
    ("rule", "change", "fails"),
    [
        # A white balance of 6000 K under a flash of 5500 K is 15 mired off: nobody sees it.
        ("colour.key-mismatch", [("colour   5600 K", "colour 5500 K"), ("white-balance 5600 K", "white-balance 6000 K")], False),
        # A full CTO belongs on a rim and not on a key.
        ("colour.key-mismatch", [("bag 10 kg", 'bag 10 kg, gel "full CTO"')], True),
        ("colour.key-mismatch", [("bag 10 kg", 'bag 10 kg, gel "full CTO"'), ("as key", "as rim")], False),
        # At the sync speed the flash is whole, a third of a stop above it is not.
        ("exposure.shutter-above-sync", [("1/125 s", "1/200 s")], False),
        ("exposure.shutter-above-sync", [("1/125 s", "1/250 s")], True),
    ],
)  # fmt: skip
def test_what_a_photographer_takes_for_granted(rule, change, fails):
    alone = Book(rules={rule: shipped_book().rules[rule]})
    verdict = judge(changed(*change), alone, TODAY)
    assert not verdict.not_judged and bool(verdict.findings) is fails


def test_what_is_known_of_a_setup_is_told_at_the_place_where_it_stands_now():
    """Of three setups the first is another one, so the others have moved: they are told as if they had been judged anew."""
    head, setup = TWO_ROWS[: TWO_ROWS.index("\nsetup ")], TWO_ROWS[TWO_ROWS.index("\nsetup ") :]
    faulty = setup.replace(PLACE, PLACE.replace("power", "power 1/256 #"))
    name = setup.split('"')[1]
    others = [faulty.replace(f'"{name}"', f'"Other {number}"', 1) for number in range(2)]
    before, after = plan("".join([head, setup, *others])), plan("".join([head, "\n# now\n", faulty, *others]))
    known = [{}, {}, {}]
    judge(before, shipped_book(), TODAY, known=known)
    assert all(len(each) > 50 for each in known)
    anew = judge(after, shipped_book(), TODAY)
    again = judge(after, shipped_book(), TODAY, known=[{}, *known[1:]])
    assert len(anew.findings) > 3
    told = [
        [(each.rule.name, each.message, each.place.start, each.place.end, each.setup, each.spans) for each in verdict.findings]
        for verdict in (anew, again)
    ]
    assert told[0] == told[1]
    assert (anew.held, anew.not_judged, anew.safety) == (again.held, again.not_judged, again.safety)
    assert all(each.scene.plan is after for each in again.findings)
