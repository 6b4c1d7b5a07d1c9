"""check --known: what an earlier report knows does not count, what is new does, and what is gone is told."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest
from formats import junit, markdown_text, sarif
from jsonschema import Draft202012Validator, ValidationError
from lxml import etree

RULE = """
rule house.iso {
  title   "Noise"
  level   error
  for     each setup
  require iso <= 200
  say     "{setup} is noisy"
  because "Grain shows."
}
rule house.tall {
  title   "Someone is tall"
  level   error
  for     each person
  require stature <= 170 cm
  say     "{person} is tall"
  because "The beam is low."
}
"""
CHECK = ("check", "plan.shoot", "--rules", "own.rules", "--no-margins")


@pytest.fixture
def first(studio):
    """A plan with two findings, and the report of them."""
    studio.write("own.rules", RULE)
    assert studio.run(*CHECK, "--report", "sarif=first.sarif").status == 1
    assert len(sarif((studio.folder / "first.sarif").read_text())["results"]) == 2
    return studio


def states(studio, *arguments):
    """Each result's rule, person and state, from a report that is compared with the first."""
    studio.run(*(arguments or CHECK), "--known", "first.sarif", "--report", "sarif=next.sarif")
    run = sarif((studio.folder / "next.sarif").read_text())
    return {(each["ruleId"], *each.get("properties", {}).get("about", [])): each["baselineState"] for each in run["results"]}


def test_what_is_known_does_not_count(first):
    found = first.run(*CHECK, "--known", "first.sarif")
    assert found.status == 0
    assert "house.iso" not in found.out
    assert found.counts == "1 plan, 0 errors, 0 warnings, 0 notes, 0 accepted, 0 not judged, 2 known from first.sarif, 0 gone"
    assert set(states(first).values()) == {"unchanged"}


def test_what_is_new_counts_and_is_told_alone(first, plan):
    first.write("plan.shoot", plan.replace("168 cm", "172 cm"))
    found = first.run(*CHECK, "--known", "first.sarif")
    assert found.status == 1
    assert "Asta is tall" in found.out and "Bent is tall" not in found.out
    assert ", 1 error, " in f", {found.counts}"
    assert states(first) == {
        ("house.iso",): "unchanged", ("house.tall", "Asta"): "new", ("house.tall", "Bent"): "unchanged"
    }  # fmt: skip


def test_lines_that_move_and_numbers_that_change_make_nothing_new(first, plan):
    first.write(
        "plan.shoot",
        plan.replace("people {", "\n# more\npeople {").replace("iso      400", "iso      800").replace("182 cm", "181 cm"),
    )
    assert first.run(*CHECK, "--known", "first.sarif").status == 0


def test_what_is_gone_is_told(first, plan):
    first.write("plan.shoot", plan.replace("iso      400", "iso      200"))
    found = first.run(*CHECK, "--known", "first.sarif")
    assert found.status == 0
    assert 'plan.shoot: gone: Both is noisy (20:00 to 20:10, setup "Both") [house.iso]' in found.lines
    assert found.counts.endswith(", 1 known from first.sarif, 1 gone")
    assert states(first) == {("house.iso",): "absent", ("house.tall", "Bent"): "unchanged"}
    report = first.json(*CHECK, "--known", "first.sarif")
    Draft202012Validator(json.loads(files("shootlint.reports").joinpath("report.schema.json").read_text("utf-8"))).validate(
        report
    )
    assert [each["rule"] for each in report["gone"]] == ["house.iso"]
    assert [each["state"] for each in report["plans"][0]["findings"]] == ["unchanged"]


def test_the_report_is_tied_to_the_earlier_one(first):
    before = sarif((first.folder / "first.sarif").read_text())
    states(first)
    assert sarif((first.folder / "next.sarif").read_text())["baselineGuid"] == before["automationDetails"]["guid"]


def test_a_report_may_take_the_place_of_the_one_that_it_is_compared_with(first, plan):
    first.write("plan.shoot", plan.replace("iso      400", "iso      200"))
    for gone in (1, 0):
        found = first.run(*CHECK, "--known", "first.sarif", "--report", "sarif=first.sarif", "--report", "text=-")
        assert found.counts.endswith(f", {gone} gone")


def test_a_known_finding_that_gets_worse_counts(first):
    first.write("own.rules", RULE.replace("error", "warning"))
    first.run(*CHECK, "--report", "sarif=first.sarif")
    assert first.run(*CHECK, "--known", "first.sarif", "--fail-on", "warning").status == 0
    first.write("own.rules", RULE)
    assert first.run(*CHECK, "--known", "first.sarif").status == 1
    assert set(states(first).values()) == {"updated"}
    # And one that gets milder does not.
    first.run(*CHECK, "--report", "sarif=first.sarif")
    first.write("own.rules", RULE.replace("error", "warning"))
    assert first.run(*CHECK, "--known", "first.sarif", "--fail-on", "warning").status == 0


def test_what_was_accepted_then_and_is_not_any_more_counts(first, plan):
    accept = 'accept house.iso for "Both", because "a postcard", until {}\n'
    first.write("plan.shoot", plan + accept.format("2090-01-01"))
    first.run(*CHECK, "--report", "sarif=first.sarif")
    first.write("plan.shoot", plan)
    assert first.run(*CHECK, "--known", "first.sarif").status == 1
    assert states(first)["house.iso",] == "updated"
    first.write("plan.shoot", plan + accept.format("2020-01-01"))
    assert first.run(*CHECK, "--known", "first.sarif").status == 1


def test_a_rule_that_is_called_otherwise_today_is_still_known(first):
    first.write("own.rules", RULE.replace("rule house.iso {", "rule house.grain {\n  formerly house.iso"))
    assert first.run(*CHECK, "--known", "first.sarif").status == 0


def test_the_same_finding_in_another_plan_is_new(first, plan):
    first.write("other.shoot", plan)
    found = first.run("check", "plan.shoot", "other.shoot", "--rules", "own.rules", "--known", "first.sarif")
    assert found.status == 1
    assert "other.shoot:" in found.out and "\nplan.shoot:" not in f"\n{found.out}"


def test_a_mistake_is_never_known(first, broken):
    first.write("plan.shoot", broken)
    assert first.run(*CHECK, "--report", "sarif=first.sarif").status == 2
    found = first.run(*CHECK, "--known", "first.sarif")
    assert found.status == 2
    assert "plan.shoot:" in found.lines[0] and ": error: " in found.lines[0]
    assert set(states(first).values()) == {"new"}


def test_what_a_mistake_hides_is_not_gone(first, broken):
    first.write("plan.shoot", broken)
    found = first.run(*CHECK, "--known", "first.sarif")
    assert found.status == 2
    assert found.counts.endswith(", 0 known from first.sarif, 0 gone")


def test_what_cannot_be_judged_any_more_is_not_gone(first, plan):
    first.write("own.rules", RULE.replace("iso <= 200", "iso <= 200 and gust <= 4 m/s"))
    first.write("plan.shoot", plan.replace("iso      400", "iso      200"))
    assert first.run(*CHECK, "--known", "first.sarif").counts.endswith(", 1 not judged, 1 known from first.sarif, 0 gone")


def test_plans_that_the_call_does_not_name_are_not_gone_but_those_that_are_no_more(first, plan):
    first.write("other.shoot", plan)
    first.run("check", ".", "--rules", "own.rules", "--report", "sarif=first.sarif")
    assert first.run(*CHECK, "--known", "first.sarif").counts.endswith(", 2 known from first.sarif, 0 gone")
    (first.folder / "other.shoot").unlink()
    assert first.run(*CHECK, "--known", "first.sarif").counts.endswith(", 2 known from first.sarif, 2 gone")


def test_shares_of_trials_that_are_not_asked_for_are_not_gone(first):
    first.write("own.rules", RULE + "adjust trials.not-sure { at-least 100 % }\n")
    first.run("check", "plan.shoot", "--rules", "own.rules", "--trials", "20", "--report", "sarif=first.sarif")
    first.run(*CHECK, "--known", "first.sarif")
    assert "absent" not in states(first).values()


def test_junit_and_markdown_pass_over_what_is_known(first, plan):
    first.write("plan.shoot", plan.replace("168 cm", "172 cm"))
    call = (*CHECK, "--known", "first.sarif", "--report", "junit=a.xml", "--report", "markdown=a.md")
    assert first.run(*call).status == 1
    cases = {each.get("name"): each for each in junit((first.folder / "a.xml").read_text()).iter("testcase")}
    assert cases["house.iso"].find("skipped") is not None
    assert "known: " in cases["house.iso"].findtext("system-out")
    assert cases["house.tall"].find("failure") is not None
    assert len(cases["house.tall"].findtext("failure").splitlines()) == 1
    told = markdown_text((first.folder / "a.md").read_text())
    assert told.index("Asta is tall") < told.index("2 known") < told.index("Bent is tall")


@pytest.mark.parametrize("paths", [("plan.shoot",), ("./plan.shoot",), (".",), ("WHOLE",)])
def test_a_plan_is_the_same_however_the_call_names_it(first, paths):
    named = [each.replace("WHOLE", str(first.folder / "plan.shoot")) for each in paths]
    assert first.run("check", *named, "--rules", "own.rules", "--known", "first.sarif").status == 0


LOG = {"version": "2.1.0", "runs": [{"tool": {"driver": {"name": "shootlint"}}, "results": []}]}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "none.sarif cannot be read: No such file or directory"),
        (b"", "is no SARIF report of ours: it is not JSON"),
        (b"\xff\xfe", "is no SARIF report of ours: it is not JSON"),
        (b"[" * 100_000, "is no SARIF report of ours: it is not JSON"),
        (b"[]", "is no SARIF report of ours: it is not SARIF 2.1.0"),
        (b'{"shootlint": "0.1.0", "report": 1, "plans": [], "unreadable": []}', "it is not SARIF 2.1.0"),
        (b'{"version": "2.1.0", "runs": null}', "it is not SARIF 2.1.0"),
        (b'{"version": "2.1.0", "runs": []}', "it has no run of shootlint, but of nobody"),
        (json.dumps(LOG).replace("shootlint", "other").encode(), "it has no run of shootlint, but of other"),
        (b'{"version": "2.1.0", "runs": [1]}', "it is not SARIF 2.1.0 as shootlint writes it"),
        (json.dumps({**LOG, "runs": LOG["runs"] * 2}).encode(), "it has several runs of shootlint"),
        (json.dumps(LOG).replace("[]", '[{"ruleId": "a.b"}]').encode(), "its results have no fingerprints of the kind"),
        (json.dumps(LOG).replace('"results": []', '"results": [1]').encode(), "as shootlint writes it"),
    ],
)
def test_what_is_no_report_of_ours_is_told_before_anything_is_judged(first, content, said):
    name = "none.sarif" if content is None else "some.sarif"
    if content is not None:
        first.write(name, content)
    found = first.run(*CHECK, "--known", name)
    assert (found.status, found.out) == (2, "")
    assert found.err.startswith(f"shootlint: --known: {name} ")
    assert said in found.err
    assert len(found.err.splitlines()) == 1


def test_a_damaged_report_of_ours_is_told_and_nothing_else(first):
    """Each part of a result taken away or made something else: a complaint, or a report that still serves; never a traceback."""
    log = json.loads((first.folder / "first.sarif").read_text())
    result = log["runs"][0]["results"][0]
    for name in list(result):
        for other in (None, 1, [], {}, "x", [1], {"x": 1}):
            first.write("some.sarif", json.dumps(log).replace(json.dumps(result), json.dumps({**result, name: other})))
            found = first.run(*CHECK, "--known", "some.sarif")
            assert found.status in (0, 1, 2), (name, other)
            assert "Traceback" not in found.err
            assert (found.status == 2) == bool(found.err), (name, other, found.err)


def test_a_folder_in_the_place_of_a_report(first):
    (first.folder / "folder").mkdir()
    found = first.run(*CHECK, "--known", "folder")
    assert (found.status, found.err) == (2, "shootlint: --known: folder cannot be read: Is a directory\n")


def test_what_is_known_is_read_from_a_pipe_too(first):
    import os
    import threading

    os.mkfifo(first.folder / "pipe")
    content = (first.folder / "first.sarif").read_bytes()
    writer = threading.Thread(target=(first.folder / "pipe").write_bytes, args=(content,))
    writer.start()
    assert first.run(*CHECK, "--known", "pipe").status == 0
    writer.join()


def test_the_checks_of_these_tests_refuse_what_is_not_valid():
    with pytest.raises(etree.DocumentInvalid):
        junit('<testsuites><testsuite name="a"/></testsuites>')
    with pytest.raises(ValidationError):
        sarif(json.dumps({**LOG, "more": 1}))
    with pytest.raises(AssertionError):
        markdown_text("words <b>bold</b>")


@pytest.mark.parametrize(
    ("kind", "holds", "fails"), [("markdown", "the plan holds", "does not hold"), ("html", "Hold", "Do not hold")]
)
def test_a_headline_says_what_the_status_says(studio, rules, kind, holds, fails):
    studio.write("studio.rules", rules.replace("level   warning", "level   error"))
    call = ["check", "plan.shoot", "--rules", "studio.rules", "--report", f"{kind}=out"]
    assert studio.run(*call, "--report", "sarif=known.sarif").status == 1
    assert fails in (studio.folder / "out").read_text("utf-8")
    assert studio.run(*call, "--known", "known.sarif").status == 0
    said = (studio.folder / "out").read_text("utf-8")
    assert holds in said and fails not in said and "known.sarif" in said
    studio.write("studio.rules", rules)
    assert studio.run(*call, "--fail-on", "warning").status == 1
    assert fails in (studio.folder / "out").read_text("utf-8")
