"""check: exit statuses, levels, rule files, what is accepted and what is not judged."""

from __future__ import annotations

import pytest

ERROR = """
rule house.error {
  title   "An error"
  level   error
  for     each setup
  require iso <= 100
  say     "{setup} is noisy"
  because "It is an error."
}
"""


def test_a_plan_that_holds_ends_with_0(studio, plan):
    studio.write("plan.shoot", plan.replace("iso      400", "iso      100").replace("182 cm", "172 cm"))
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--fail-on", "note")
    assert found.status == 0
    assert found.counts == "1 plan, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged"


@pytest.mark.parametrize(
    ("level", "without_error", "with_error"), [("error", 0, 1), ("warning", 1, 1), ("note", 1, 1), (None, 0, 1)]
)
def test_the_status_is_1_from_the_asked_level_on(studio, rules, level, without_error, with_error):
    asked = ["--fail-on", level] if level is not None else []
    assert studio.run("check", "plan.shoot", "--rules", "studio.rules", *asked).status == without_error
    studio.write("studio.rules", rules + ERROR)
    assert studio.run("check", "plan.shoot", "--rules", "studio.rules", *asked).status == with_error


@pytest.mark.parametrize(("level", "status"), [("error", 0), ("warning", 0), ("note", 1)])
def test_a_note_counts_only_where_notes_are_asked_for(studio, plan, level, status):
    studio.write("plan.shoot", plan.replace("iso      400", "iso      100"))
    assert studio.run("check", "plan.shoot", "--rules", "studio.rules", "--fail-on", level).status == status


def test_levels_are_those_of_the_rulebook():
    from shootlint.reports.levels import LEVELS
    from shootlint.rulebook import finding, model

    assert LEVELS == finding.LEVELS == model.LEVELS


def test_a_plan_with_a_mistake_ends_with_2_even_when_another_has_an_error(studio, rules, broken):
    studio.write("studio.rules", rules + ERROR)
    studio.write("broken.shoot", broken)
    found = studio.run("check", "plan.shoot", "broken.shoot", "--rules", "studio.rules")
    assert found.status == 2
    assert "plan.shoot:24:1: error: Both is noisy [house.error]" in found.out
    assert "broken.shoot:30:12: error: " in found.out
    assert 'broken.shoot: not judged: setup "Both", until its mistakes are mended' in found.out
    assert found.counts == "2 plans, 1 mistake, 1 error, 1 warning, 1 note, 0 accepted, 1 not judged"


def test_sound_setups_are_judged_beside_one_with_a_mistake(studio, plan, broken):
    setup = broken[broken.index("setup ") :].replace('"Both"', '"Again"')
    studio.write("plan.shoot", plan + setup)
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 2
    assert "Both is at ISO 400" in found.out
    assert 'not judged: setup "Again"' in found.out


def test_rule_files_are_used_together_and_the_later_has_the_last_word(studio):
    studio.write("more.rules", ERROR + "adjust house.tall { under-beam 190 cm }\nlevel house.base-iso note\n")
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--rules", "more.rules")
    assert found.status == 1
    assert found.counts == "1 plan, 1 error, 0 warnings, 1 note, 0 accepted, 0 not judged"


def test_a_mistake_in_a_rule_file_ends_with_2_and_stands_at_its_place(studio, rules):
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 2
    assert found.lines[0].startswith("studio.rules:7:")
    assert ": error: " in found.lines[0]
    assert "Bent is 182 cm tall" in found.out
    assert "1 mistake" in found.counts


def test_a_mistake_in_a_named_rule_file_is_told_even_when_there_is_nothing_to_judge(studio, rules, broken):
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    studio.write("broken.shoot", broken)
    assert "studio.rules:7:" in studio.run("check", "broken.shoot", "--rules", "studio.rules").out


def test_a_mistake_in_a_shared_rule_file_is_told_once(studio, plan, rules):
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    studio.write("second.shoot", plan)
    found = studio.run("check", "plan.shoot", "second.shoot", "--rules", "studio.rules")
    assert found.out.count("studio.rules:7:") == 1


def test_a_rule_file_without_text_ends_with_2(studio):
    studio.write("binary.rules", b"\0\1\2")
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules", "--rules", "binary.rules")
    assert (found.status, found.out) == (2, "")
    assert "binary.rules: the file is binary" in found.err


def test_an_unknown_lever_in_a_rule_is_a_mistake(studio, rules):
    studio.write("studio.rules", rules.replace("remedy  iso", "remedy  isso"))
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 2
    assert "no lever is called isso; did you mean iso?" in found.out


def test_the_nearest_house_rules_apply(studio, plan, rules):
    studio.write("house.rules", rules.replace("Jetty", "Outer").replace("is at ISO", "has the outer house's ISO"))
    studio.write("inner/house.rules", rules.replace("is at ISO", "has the inner house's ISO"))
    studio.write("inner/deep/plan.shoot", plan)
    found = studio.run("check", ".")
    assert "plan.shoot:30:12: warning: Both has the outer house's ISO 400" in found.lines[0]
    assert "inner/deep/plan.shoot:30:12: warning: Both has the inner house's ISO 400" in found.out


def test_named_rule_files_take_the_place_of_the_house_rules(studio, rules):
    studio.write("house.rules", rules.replace("is at ISO", "has the house's ISO"))
    assert "the house's ISO" in studio.run("check", "plan.shoot").out
    assert "the house's ISO" not in studio.run("check", "plan.shoot", "--rules", "studio.rules").out


def test_a_mistake_in_a_house_file_above_is_named_from_here(studio, plan, rules, monkeypatch):
    studio.write("house.rules", rules.replace("iso <= 200", "iso <= 2 m"))
    studio.write("inner/plan.shoot", plan)
    assert studio.run("check", "inner/plan.shoot").lines[0].startswith("house.rules:7:")
    monkeypatch.chdir(studio.folder / "inner")
    found = studio.run("check", "plan.shoot")
    assert found.lines[0].startswith("../house.rules:7:")


def test_a_house_file_without_text_is_told_with_its_plan(studio):
    studio.write("house.rules", b"\xff\xfe")
    found = studio.run("check", "plan.shoot")
    assert found.status == 2
    assert "plan.shoot:1:1: error: its house.rules cannot be used: line 1 is not UTF-8 text" in found.out


def test_accepted_findings_are_told_with_their_reason_and_do_not_count(studio, plan, rules):
    studio.write("studio.rules", rules + ERROR)
    accept = 'accept house.error for "Both", because "it is a postcard", until 2099-12-31\n'
    studio.write("plan.shoot", plan + accept)
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 0
    assert "plan.shoot:24:1: accepted until 2099-12-31: Both is noisy [house.error]\n    because it is a postcard\n" in found.out
    assert found.counts == "1 plan, 0 errors, 1 warning, 1 note, 1 accepted, 0 not judged"


def test_an_acceptance_that_has_run_out_no_longer_counts(studio, plan, rules):
    studio.write("studio.rules", rules + ERROR)
    studio.write("plan.shoot", plan + 'accept house.error for "Both", because "it is a postcard", until 2001-12-31\n')
    assert studio.run("check", "plan.shoot", "--rules", "studio.rules").status == 1


def test_what_cannot_be_judged_is_told_with_what_to_add(studio, rules):
    studio.write("studio.rules", rules.replace("iso <= 200", "gust <= 4 m/s"))
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert found.status == 0
    assert 'plan.shoot: not judged: house.base-iso in setup "Both"; it needs ' in found.out
    assert "weather wind" in found.out
    assert found.counts.endswith(", 1 not judged")


def test_safety_notes_stand_once_at_the_end_of_every_report_that_judged(studio, plan, broken):
    studio.write("second.shoot", plan)
    found = studio.run("check", "plan.shoot", "second.shoot", "--rules", "studio.rules")
    assert found.out.count("life jacket") == 1
    assert found.lines[-5:-1] == ["", "Take care:", "  - Wear a life jacket on the jetty.", ""]
    studio.write("broken.shoot", broken)
    assert "Take care" not in studio.run("check", "broken.shoot", "--rules", "studio.rules").out


def test_the_shipped_rules_give_the_same_notes(studio):
    found = studio.run("check", "plan.shoot")
    assert found.status == 0
    assert found.out.count("Take care:") == 1
    assert found.lines.index("Take care:") > len(found.lines) // 4


def test_many_plans_that_hold_give_nothing_but_the_counts(studio, plan, rules):
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 400").replace("175 cm", "185 cm"))
    (studio.folder / "plan.shoot").unlink()
    for number in range(6):
        studio.write(f"plan-{number}.shoot", plan)
    found = studio.run("check", ".", "--rules", "studio.rules")
    assert (found.status, found.lines) == (0, ["6 plans, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged"])
    # A few are told what to mind, and so is whoever has something to read anyway.
    (studio.folder / "plan-0.shoot").unlink()
    assert "Take care:" in studio.run("check", ".", "--rules", "studio.rules").lines
    studio.write("plan-0.shoot", plan.replace("iso      400", "iso      500"))
    assert "Take care:" in studio.run("check", ".", "--rules", "studio.rules").lines


def test_rules_that_lack_the_same_are_told_together(studio, rules):
    gusty = rules.replace("iso <= 200", "gust <= 4 m/s")
    more = gusty[gusty.index("rule house.base-iso") : gusty.index("rule house.tall")].replace("base-iso", "calm")
    studio.write("studio.rules", gusty + more)
    found = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    at = found.lines.index('plan.shoot: not judged: 2 rules in setup "Both"; they need weather wind')
    assert found.lines[at + 1] == "    house.base-iso, house.calm"
    assert found.counts.endswith(", 2 not judged")
