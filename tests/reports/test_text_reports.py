"""The text that people read."""

from __future__ import annotations

import re

import pytest

from shootlint.reports.text import render

GNU_FORM = re.compile(
    r"^(?P<file>[^:\n]+):(?P<line>[0-9]+):(?P<column>[0-9]+): (error|warning|note|accepted)[^:]*: (?P<message>.+)$"
)


def lines_of(run, colour=False):
    return render(run, colour).splitlines()


def test_a_finding_is_a_line_in_the_gnu_form_and_what_belongs_to_it_is_indented(judged, make_rule, plan):
    run = judged(
        make_rule("focus.soft", "blur <= 0.01 mm", "each person", say="{person} is {blur} soft on {print}", more="remedy focus"),
        plan=plan.replace('focus    row "only"', "focus    3.8 m"),
    )
    lines = lines_of(run)
    assert re.fullmatch(r"plan\.shoot:39:5: error: Asta is 0\.[0-9]+ mm soft on Wall \[focus\.soft\]", lines[0])
    assert lines[1] == '    20:00 to 20:10, setup "Both", person "Asta"'
    assert re.fullmatch(r"    mend: focus .+", lines[2])
    assert lines[3].startswith("plan.shoot:40:5: error: Bent is ")


def test_when_comes_first_where_time_matters(judged, make_rule, plan):
    run = judged(make_rule("sun.low", "sun-altitude >= 13.5 deg"), plan=plan)
    assert re.fullmatch(r'    from 20:0[1-9], setup "Both"', lines_of(run)[1])


def test_times_that_do_not_hang_together_are_told_apart(judged, make_rule, plan):
    require = "sun-altitude >= 13.8 deg or sun-altitude <= 13.2 deg"
    spans = lines_of(judged(make_rule("sun.low", f"not ({require})"), plan=plan))[1]
    assert re.fullmatch(r'    20:00 to 20:0[1-9] and 20:0[2-9] to 20:10, setup "Both"', spans)


def test_one_minute_is_a_time_and_not_a_span(judged, make_rule, plan):
    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import scenes

    (scene,) = scenes(Loader().load_source(Source("plan.shoot", plan)).plan)
    *_, before, last = Graph(scene)["sun-altitude"].array.ravel()
    run = judged(make_rule("sun.low", f"sun-altitude >= {(before + last) / 2:.6f} deg"), plan=plan)
    assert lines_of(run)[1] == '    20:10, setup "Both"'


def test_mends_are_told_with_or_before_the_last(judged, make_rule, plan):
    run = judged(
        make_rule(
            "focus.soft", "blur <= 0.05 mm", "each person", say="{person} is soft", more="remedy focus, aperture, row-distance"
        ),
        plan=plan.replace('focus    row "only"', "focus    3.8 m"),
    )
    text = " ".join(" ".join(lines_of(run)).split())
    titles = [mend.title for mend in run.plans[0].findings[0].mends]
    assert len(titles) > 1
    assert f" mend: {', '.join(titles[:-1])}, or {titles[-1]} 1 plan, " in text


def test_where_nothing_mends_it_that_is_told(judged, make_rule, plan):
    run = judged(make_rule("house.iso", "iso <= 50", more="remedy iso, shutter"), plan=plan)
    lines = lines_of(run)
    at = lines.index("    no single change of iso or shutter mends this and breaks nothing else; see")
    assert lines[at + 1] == "      shootlint mend"


def test_a_rule_that_names_no_remedy_promises_none(judged, make_rule, plan):
    lines = lines_of(judged(make_rule("house.iso", "iso <= 50"), plan=plan))
    assert not any("mend" in line for line in lines)


def test_every_line_before_the_notes_jumps_somewhere_or_belongs_to_the_one_above(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50", more="remedy iso") + make_rule(
        "house.people", "stature < 1 m", "each person", "note"
    )
    run = judged(rules, plan=plan, broken=plan.replace("f/5.6", "f5.6"), binary=b"\0")
    lines = lines_of(run)
    for line in lines[:-1]:
        assert line.startswith("    ") or ": not judged: " in line or GNU_FORM.match(line), line
    assert sum(line.startswith("broken.shoot:30:") for line in lines) == 1
    assert "binary.shoot:1:1: error: the file is binary" in lines[0]


@pytest.mark.parametrize(
    ("levels", "told"),
    [
        ([], "1 plan, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged"),
        (["error"], "1 plan, 1 error, 0 warnings, 0 notes, 0 accepted, 0 not judged"),
        (["error", "warning", "warning", "note"], "1 plan, 1 error, 2 warnings, 1 note, 0 accepted, 0 not judged"),
    ],
)
def test_the_last_line_counts(judged, make_rule, plan, levels, told):
    rules = "".join(make_rule(f"house.rule-{number}", "iso <= 50", level=level) for number, level in enumerate(levels))
    lines = lines_of(judged(rules or make_rule("house.holds", "iso > 50"), plan=plan))
    assert lines[-1] == told
    assert sum("plan, " in line for line in lines) == 1


def test_notes_of_caution_are_wrapped_and_come_once_before_the_counts(judged, make_rule, plan):
    caution = 'caution house.{} {{ when iso > 0; say "{}" }}\n'
    long = "Keep everybody away from the edge of the jetty, children above all, and let nobody step back to see the picture."
    run = judged(
        make_rule("house.holds", "iso > 50") + caution.format("edge", long) + caution.format("jacket", "Wear a jacket."),
        one=plan,
        two=plan,
    )
    lines = lines_of(run)
    assert lines[0] == "Take care:"
    assert lines[-3:-1] == ["  - Wear a jacket.", ""]
    assert " ".join(line.strip(" -") for line in lines[1:-3]) == long
    assert max(map(len, lines)) <= 80


def test_only_the_level_is_coloured(judged, make_rule, plan):
    run = judged(make_rule("house.iso", "iso <= 50") + make_rule("house.also", "iso <= 60", level="note"), plan=plan)
    coloured = render(run, True)
    assert re.sub("\x1b\\[[0-9;]*m", "", coloured) == render(run)
    assert set(re.findall("\x1b\\[[1-9;]+m(.*?)\x1b\\[0m", coloured)) == {"error", "note"}
