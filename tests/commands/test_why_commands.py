"""why: how a rule was judged."""

from __future__ import annotations

import pytest

WHY = ("why", "plan.shoot")


def test_it_tells_readings_limit_formula_and_source(studio, rules):
    studio.write("studio.rules", rules.replace("require stature <= under-beam", "require crown-height <= under-beam"))
    found = studio.run(*WHY, "house.tall", "--rules", "studio.rules")
    assert found.status == 0
    for told in (
        'house.tall (note) does not hold in setup "Both"',
        "  for       each person",
        "  requires  crown-height <= under-beam",
        "  set       under-beam 175 cm",
        "  because   The low beam hangs at 180 cm.",
        "  source    none told",
        "  crown-height <= under-beam",
        "    Asta: 1.68 m <= 175 cm, holds",
        "    Bent: 1.82 m <= 175 cm, fails",
        "    crown-height: Asta 1.68 m, Bent 1.82 m",
    ):
        assert told in found.lines, told
    assert any(line.startswith("      = ") for line in found.lines)
    assert any(line.startswith("      source: ") for line in found.lines)
    assert "      stature: Asta 168 cm, Bent 182 cm, as the plan says or leaves open" in found.lines


def test_a_rule_that_holds_and_one_that_cannot_be_judged_are_told_apart(studio, rules):
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 800"))
    assert 'house.base-iso (warning) holds in setup "Both"' in studio.run(*WHY, "house.base-iso", "--rules", "studio.rules").out
    studio.write("studio.rules", rules.replace("iso <= 200", "blur <= 1 mm").replace("each setup", "each person"))
    found = studio.run(*WHY, "house.base-iso", "--rules", "studio.rules").out
    assert 'house.base-iso (warning) cannot be judged in setup "Both"' in found
    assert "  needs     setup print\n" in found


def test_where_the_house_changed_a_value_it_is_told(studio, rules):
    studio.write("house.rules", rules + "adjust house.tall { under-beam 190 cm }\n")
    assert "  set       under-beam 190 cm (under-beam 190 cm in house.rules:26)" in studio.run(*WHY, "house.tall").lines


def test_a_rule_that_the_house_retired_is_told_as_such(studio, rules):
    studio.write("house.rules", rules + 'retire house.tall because "the beam is gone"\n')
    found = studio.run(*WHY, "house.tall")
    assert (found.status, found.out) == (0, "house.tall is retired here, because the beam is gone\n")


def test_a_rule_over_the_whole_plan_is_judged_over_all_setups(studio, plan, rules):
    setup = plan[plan.index("setup ") :]
    studio.write("plan.shoot", plan + setup.replace('"Both"', '"Later"').replace("iso      400", "iso      800"))
    studio.write(
        "studio.rules",
        rules.replace("each setup", "plan")
        .replace("iso <= 200", "max(iso over setups) <= 400")
        .replace("{setup} is at ISO {iso}", "too much"),
    )
    checked = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert "[house.base-iso]\n    the plan as a whole\n    mended by iso\n" in checked.out
    found = studio.run(*WHY, "house.base-iso", "--rules", "studio.rules")
    assert found.lines[0] == "judged by studio.rules, the nearest or as named"
    assert found.lines[1] == "house.base-iso (warning) does not hold over the whole plan"
    assert "    800 <= 400, fails" in found.lines
    assert '  what it came from in setup "Both"' in found.lines
    assert '  what it came from in setup "Later"' in found.lines


@pytest.mark.parametrize("scope", ["each light", "each pair of neighbours", "each minute", "each print"])
def test_every_scope_can_be_asked_about_in_a_plan_without_lights_and_prints(studio, rules, scope):
    reading = {"each light": "light-distance > 1 m", "each minute": "sun-altitude > 80 deg"}.get(scope, "iso <= 200")
    studio.write("studio.rules", rules.replace("each setup", scope).replace("iso <= 200", reading))
    found = studio.run(*WHY, "house.base-iso", "--rules", "studio.rules")
    assert found.status == 0, found.err
    assert "house.base-iso (warning)" in found.out


def test_setup_narrows(studio, plan):
    studio.write("plan.shoot", plan + plan[plan.index("setup ") :].replace('"Both"', '"Later"'))
    found = studio.run(*WHY, "house.tall", "--rules", "studio.rules", "--setup", "Later").out
    assert 'in setup "Later"' in found and 'in setup "Both"' not in found
