"""What files and plans may hold that a report must bear: all formats of all of it, held to their standards."""

from __future__ import annotations

import os
from argparse import Namespace
from importlib import import_module

import pytest
from formats import junit, markdown_text, sarif

from shootlint.commands.many import run_over

NAMES = {
    "a script": "<script>alert('x')</script>",
    "quotes": 'it\'s a \\"quote\\"',
    "from right to left": "שלום עולם",
    "a turned direction": "abc\u202egnp.exe",
    "an emoji of several signs": "\U0001f469\u200d\U0001f469\u200d\U0001f467",
    "200 characters": "x" * 200,
    "marks of XML": "]]> &amp; <![CDATA[",
    "a tab": "a\tb",
    "the end of a fold": "</details>",
}
FILES = {
    "a new line": "a\nb",
    "control characters": "a\x1b[31m\x07\x7fb",
    "no text": os.fsdecode(b"a\xff\xfeb"),
    "what means something in a URI": "a b%20?#[c]:d",
    "what means something in Markdown": "a`|*<b>",
    "quotes": "'\"",
}
KINDS = ("json", "junit", "markdown", "sarif", "text")


def checked(run):
    """The reports of a run that have a standard, read, and the texts of all."""
    texts = {kind: import_module(f"shootlint.reports.{kind}").render(run) for kind in KINDS}
    for kind, text in texts.items():
        assert text.endswith("\n")
        text.encode("utf-8")
        if kind != "markdown":
            # Nothing that could do anything to a terminal; Markdown parts what sites look for with a sign of no width.
            assert text.replace("\n", "").isprintable(), kind
    assert texts["markdown"].replace("\n", "").replace("\u2060", "").isprintable()
    return sarif(texts["sarif"]), junit(texts["junit"]), markdown_text(texts["markdown"]), texts


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_names_in_a_plan(judged, make_rule, plan, name):
    rules = (
        make_rule("house.tall", "stature <= 1 m", "each person", say="{person} in {setup} is tall")
        + make_rule("house.iso", "iso <= 200", more="remedy iso")
        + make_rule("house.gust", "gust <= 4 m/s")
    )
    for old in ("Asta", "Both", "Rowing club, jetty", "Fifty"):
        plan = plan.replace(f'"{old}"', f'"{name}"' if old == "Asta" else f'"{old} {name}"')
    run = judged(rules, plan=plan + f'accept house.tall for "Bent", because "{name}"\n')
    told, suites, _, _ = checked(run)
    as_meant = name.replace("\\", "")
    people = {each["properties"]["about"][0] for each in told["results"] if each["ruleId"] == "house.tall"}
    assert people == {as_meant, "Bent"}
    assert {each["kind"] for each in told["results"]} == {"fail", "open"}
    assert len(list(suites.iter("failure"))) == 2


@pytest.mark.parametrize("name", FILES.values(), ids=FILES)
def test_names_of_files(judged, make_rule, plan, name):
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is tall")
    run = judged(rules, **{name: plan, f"{name}2": plan.replace("f/5.6", "f5.6"), f"{name}3": b"\0"})
    told, suites, _, _ = checked(run)
    from shootlint.reports.uris import path_of

    found = {path_of(each["location"]["uri"]) for each in told["artifacts"]}
    assert {f"{name}.shoot", f"{name}2.shoot", f"{name}3.shoot"} <= found
    assert len(suites) == 3
    assert len(list(suites.iter("error"))) == 2


def test_sixty_people(judged, make_rule, plan):
    people = [f"Person {number:02}" for number in range(60)]
    plan = plan.replace('  "Bent" stature 182 cm\n', "".join(f'  "{each}" stature 170 cm\n' for each in people))
    row = "".join(f'    "{each}" standing, at {60 * place} cm\n' for place, each in enumerate(people, 1))
    plan = plan.replace('    "Bent" standing, at 30 cm\n', row)
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is tall")
    told, suites, seen, _ = checked(judged(rules, plan=plan))
    assert len(told["results"]) == 61
    assert seen.count(" is tall") == 61
    (failure,) = suites.iter("failure")
    assert len(failure.text.splitlines()) == 61


def test_two_hundred_findings_and_more(judged, make_rule, plan):
    rules = "".join(
        make_rule(f"house.r{number}", "stature <= 1 m", "each person", say="{person} is tall, " + "very " * 60)
        for number in range(150)
    )
    told, suites, seen, _ = checked(judged(rules, plan=plan))
    assert len(told["results"]) == 300
    assert len(list(suites.iter("failure"))) == 150
    assert "errors more, for which a comment has no room" in seen


@pytest.mark.parametrize("paths", [["empty"], ["none.shoot"], ["binary.shoot"], ["huge.shoot"], ["empty", "plan.shoot"]])
def test_what_cannot_be_read_and_what_is_empty(tmp_path, monkeypatch, plan, paths):
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    (tmp_path / "empty").mkdir()
    (tmp_path / "binary.shoot").write_bytes(b"\0")
    (tmp_path / "huge.shoot").write_bytes(b"#" * 1_000_001)
    (tmp_path / "plan.shoot").write_text(plan)
    call = Namespace(margins=False, trials=None, seed=None, paths=paths, rules=[], jobs=1, cache=False)
    told, suites, seen, _ = checked(run_over(call))
    assert told["invocations"][0]["executionSuccessful"] is False
    assert told["invocations"][0]["exitCode"] == 2
    assert [each["level"] for each in told["invocations"][0]["toolExecutionNotifications"]] == ["error"]
    assert suites.get("errors") == "1"
    assert "1 file could not be read." in seen


def test_a_house_that_judges_nothing(judged, plan):
    told, suites, seen, _ = checked(judged('rulebook "nothing"\n', plan=plan))
    (result,) = told["results"]
    assert (result["kind"], result["ruleId"]) == ("open", "plan.not-judged")
    assert "everything" in [case.get("name") for case in suites.iter("testcase")]
    assert "1 not judged" in seen
