"""shootlint as a library: the documented examples run, what it gives is what the commands give, and it minds its own business."""

from __future__ import annotations

import datetime
import doctest
import inspect
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import shootlint
from shootlint import library
from shootlint.language.loading import Loader
from shootlint.language.model import Plan
from shootlint.language.sameness import same
from shootlint.language.values import Count, Name

ROOT = Path(__file__).parents[1]
PLANS = ROOT / "plans"
DAY = datetime.date(2026, 9, 1)
EVENING = (PLANS / "evening.shoot").read_text("utf-8")


@pytest.fixture
def in_the_checkout(monkeypatch):
    monkeypatch.chdir(ROOT)


def test_the_examples_in_its_words_run(in_the_checkout):
    found = doctest.testmod(library, optionflags=doctest.ELLIPSIS | doctest.IGNORE_EXCEPTION_DETAIL)
    assert found.attempted > 20
    assert found.failed == 0


@pytest.mark.parametrize("name", ["check_path", "check_text", "measure", "mend", "plan_text", "read_plan"])
def test_every_function_has_a_run_example_and_tells_what_it_raises(name):
    told = inspect.getdoc(getattr(shootlint, name))
    assert told is not None and ">>> " in told and "Raises " in told


def test_what_it_offers_is_what_the_package_has():
    assert set(library.__all__) <= set(dir(shootlint))
    for name in library.__all__:
        assert getattr(shootlint, name) is getattr(library, name)
    with pytest.raises(AttributeError, match="has no attribute 'chekc'"):
        shootlint.chekc  # noqa: B018


def test_importing_it_loads_nothing():
    code = "import sys; before = set(sys.modules); import shootlint; print(sorted(set(sys.modules) - before))"
    done = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True)
    loaded = done.stdout
    for heavy in ("numpy", "pydantic", "lark", "argparse", "shootlint.library"):
        assert heavy not in loaded
    code = "import sys, shootlint; shootlint.check_text; print(sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True).stdout
    for heavy in ("numpy", "pydantic", "lark"):
        assert heavy not in loaded


@pytest.mark.parametrize("name", ["evening", "first-draft", "hurried-draft", "starter/plan", "house-style/evening"])
def test_a_file_is_judged_as_the_command_judges_it(name, monkeypatch):
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("SHOOTLINT_TODAY", str(DAY))
    path = f"plans/{name}.shoot"
    done = subprocess.run(
        [sys.executable, "-P", "-m", "shootlint.commands.main", "check", path, "--no-cache", "--report", "json=-"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    (told,) = json.loads(done.stdout)["plans"]
    found = shootlint.check_path(path, today=DAY, margins=True)
    assert found.holds == told["holds"] and found.path == told["path"]
    assert [(each.rule, each.message, each.place.line, [mend.title for mend in each.mends]) for each in found.findings] == [
        (each["rule"], each["message"], each["place"]["line"], [mend["title"] for mend in each["mends"]])
        for each in told["findings"]
    ]
    # The same text, said to stand in the same folder, is the same plan.
    text = Path(path).read_text("utf-8")
    again = shootlint.check_text(text, name=path, folder=Path(path).parent, today=DAY, margins=True)
    assert again == found


def test_nothing_hangs_on_the_current_folder(tmp_path, monkeypatch):
    studio, elsewhere = tmp_path / "studio", tmp_path / "elsewhere"
    for folder in (studio, elsewhere):
        (folder / "kit").mkdir(parents=True)
    (studio / "kit/belfry.shoot").write_bytes((PLANS / "kit/belfry.shoot").read_bytes())
    (studio / "house.rules").write_text("use shipped\nlevel light.uneven error\n")
    (studio / "evening.shoot").write_text(EVENING.replace("f/6.3", "f/2.8"))
    (elsewhere / "house.rules").write_text("this is no rule file")
    answers = []
    for folder in (studio, elsewhere):
        monkeypatch.chdir(folder)
        answers.append(
            (
                shootlint.check_path(studio / "evening.shoot", today=DAY),
                shootlint.check_text(EVENING, folder=studio, today=DAY),
                shootlint.check_text(EVENING, today=DAY),
                shootlint.check_text((PLANS / "starter/plan.shoot").read_text("utf-8").replace("kit ", "# kit "), today=DAY),
            )
        )
    assert answers[0] == answers[1]
    by_path, in_folder, nowhere, alone = answers[0]
    assert by_path.findings and not by_path.complaints and not in_folder.complaints
    assert [each.message for each in nowhere.complaints] == [
        "a text of its own has no folder in which a kit could be looked for; say which"
    ]
    assert str(nowhere.complaints[0].place) == "plan:4:7"
    assert alone.complaints and all("house.rules" not in each.place.path for each in alone.complaints)


def test_nothing_is_written_and_nothing_kept(tmp_path, monkeypatch):
    cache = tmp_path / "cache"
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache))
    monkeypatch.setenv("SHOOTLINT_TODAY", "not a day")
    path = tmp_path / "plan.shoot"
    path.write_text((PLANS / "southern-shearers.shoot").read_text("utf-8").replace('kit   "kit/', f'kit   "{"kit/"}'))
    (tmp_path / "kit").mkdir()
    for kit in (PLANS / "kit").iterdir():
        (tmp_path / "kit" / kit.name).write_bytes(kit.read_bytes())
    before = sorted(tmp_path.rglob("*"))
    first = shootlint.check_path(path)
    shootlint.mend(path)
    shootlint.measure(path, readings=["blur"])
    assert sorted(tmp_path.rglob("*")) == before and not cache.exists()
    assert shootlint.check_path(path) == first
    # What has changed since is seen.
    path.write_text("shootplan 1\ntitel 1\n")
    assert shootlint.check_path(path).complaints


def test_mistakes_are_what_comes_of_a_faulty_plan():
    text = EVENING.replace("f/6.3", "f6.3")
    assert [each.message for each in shootlint.check_text(text, folder=PLANS).complaints]
    read = shootlint.read_plan(text, folder=PLANS)
    assert read.plan is not None and read.plan.setup == () and read.complaints
    measured = shootlint.measure(text, folder=PLANS)
    assert measured.setups == {} and measured.complaints == read.complaints
    mended = shootlint.mend(text, folder=PLANS)
    assert (mended.text, mended.steps, mended.holds) == (text, (), False) and mended.complaints == read.complaints
    assert shootlint.read_plan("").plan is None and shootlint.read_plan("").complaints


@pytest.mark.parametrize(
    ("call", "error", "told"),
    [
        (lambda: shootlint.check_path("none.shoot"), shootlint.Unreadable, "none.shoot: there is no such file"),
        (lambda: shootlint.check_path(PLANS), shootlint.Unreadable, "this is a folder, not a file"),
        (lambda: shootlint.measure(Path("none.shoot")), shootlint.Unreadable, "none.shoot: there is no such file"),
        (lambda: shootlint.check_text("plans/evening.shoot"), ValueError, "is the name of a file and not a plan's text"),
        (lambda: shootlint.measure("plans/evening.shoot"), ValueError, "is the name of a file and not a plan's text"),
        (lambda: shootlint.check_text(b"shootplan 1"), TypeError, "a plan's text is a str, not bytes"),
        (lambda: shootlint.check_text("", rules="house.rules"), TypeError, "rules takes a list of files"),
        (lambda: shootlint.check_text("", rules=["none.rules"]), shootlint.Unreadable, "none.rules: there is no such file"),
        (lambda: shootlint.measure(EVENING, folder=PLANS, readings=["blurr"]), ValueError, "did you mean blur?"),
        (lambda: shootlint.measure(EVENING, folder=PLANS, setups=["Nobody"]), ValueError, 'no sound setup is called "Nobody"'),
        (lambda: shootlint.plan_text(Plan(shootplan=Count(1), title=Name("\n"))), shootlint.Unwritable, "cannot hold"),
    ],
)
def test_a_call_that_makes_no_sense_raises(call, error, told):
    with pytest.raises(error) as raised:
        call()
    assert told in str(raised.value)


def test_measured_values_are_those_of_the_command(in_the_checkout):
    done = subprocess.run(
        [sys.executable, "-P", "-m", "shootlint.commands.main", "measure", "plans/evening.shoot", "--report", "json=-"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    told = json.loads(done.stdout)["setups"]["Everyone, full length"]["readings"]
    found = shootlint.measure(Path("plans/evening.shoot")).setups["Everyone, full length"]
    assert list(found) == list(told)
    for name, each in found.items():
        value = json.loads(json.dumps(each.value).replace("-Infinity", '"-infinity"').replace("Infinity", '"infinity"'))
        assert (each.unit, list(each.axes), value) == (told[name]["unit"], told[name]["axes"], told[name]["value"])
        assert list(each.needs) == told[name].get("needs", [])
    only = shootlint.measure(Path("plans/evening.shoot"), setups=["Everyone, full length"], readings=["hyperfocal", "changeover"])
    assert list(only.setups["Everyone, full length"]) == ["hyperfocal", "changeover"]
    assert only.setups["Everyone, full length"]["changeover"].value == float("inf")


def test_mends_hold_and_keep_to_what_was_asked(in_the_checkout):
    path = Path("plans/first-draft.shoot")
    mended = shootlint.mend(path, today=DAY)
    assert mended.holds and mended.steps and mended.changes
    assert shootlint.check_text(mended.text, folder="plans", today=DAY).holds
    kept = shootlint.mend(path, today=DAY, only_mechanical=True)
    assert {step.grade for step in kept.steps} == {"mechanical"}
    assert not kept.holds and kept.text != mended.text
    sound = shootlint.mend(Path("plans/evening.shoot"))
    assert (sound.text, sound.steps, sound.holds) == (EVENING, (), True)


def test_a_plan_changed_in_python_is_judged_as_its_text(in_the_checkout):
    """The whole round: read, changed as a model, written out, judged."""
    plan = shootlint.read_plan(Path("plans/starter/plan.shoot")).plan
    assert plan is not None
    setup = plan.setup[0].model_copy(update={"iso": Count(6400)})
    text = shootlint.plan_text(plan.model_copy(update={"setup": (setup,)}))
    assert "iso         6400" in text and 'kit "kit/studio.shoot"' in " ".join(text.split())
    judged = shootlint.check_text(text, folder="plans/starter", today=DAY)
    assert "exposure.key-off" in {each.rule for each in judged.findings}
    before = Path("plans/starter/plan.shoot").read_text("utf-8").replace("iso         200", "iso         6400")
    # The comments are gone, so things stand elsewhere; what is found is the same.
    assert [(each.rule, each.message) for each in judged.findings] == [
        (each.rule, each.message) for each in shootlint.check_text(before, folder="plans/starter", today=DAY).findings
    ]


def test_things_of_another_plan_are_written_and_not_lost():
    belfry = shootlint.read_plan(PLANS / "kit/belfry.shoot").plan
    starter = shootlint.read_plan(PLANS / "starter/plan.shoot").plan
    assert belfry is not None and starter is not None
    made = Plan(shootplan=Count(1), light=belfry.light)
    again = shootlint.read_plan(shootlint.plan_text(made)).plan
    assert again is not None and same(again.light, belfry.light)
    with pytest.raises(shootlint.Unwritable, match="Big box"):
        shootlint.plan_text(starter.model_copy(update={"light": (*starter.light, *belfry.light)}))


def test_a_kit_that_is_shared_by_plans_is_read_once_for_each_call():
    assert Loader(here=False).load(PLANS / "evening.shoot", "evening.shoot").plan is not None


USER = """
import datetime
from pathlib import Path
from typing import assert_type

import shootlint

judged = shootlint.check_text("shootplan 1", today=datetime.date(2026, 9, 1))
assert_type(judged, shootlint.PlanRecord)
for finding in judged.findings:
    assert_type(finding, shootlint.FindingRecord)
    assert_type(finding.mends, tuple[shootlint.MendRecord, ...])
assert_type(shootlint.check_path(Path("a.shoot")), shootlint.PlanRecord)
assert_type(shootlint.mend("shootplan 1").text, str)
plan = shootlint.read_plan("shootplan 1").plan
if plan is not None:
    assert_type(shootlint.plan_text(plan), str)
measured: shootlint.Measured = shootlint.measure(Path("a.shoot"))
assert_type(measured.setups["One"]["blur"].unit, str)
"""


def test_its_types_are_known_to_those_who_use_it(tmp_path):
    (tmp_path / "user.py").write_text(USER)
    (tmp_path / "wrong.py").write_text("import shootlint\n\nshootlint.chekc_text('')\nshootlint.check_text(1)\n")
    # An installed package is found by itself; one that is only pointed at has to be named.
    home = Path(shootlint.__file__).parents[1]
    named = {} if "site-packages" in home.parts else {"MYPYPATH": str(home)}
    done = subprocess.run(
        [sys.executable, "-P", "-m", "mypy", "--strict", "--cache-dir", str(tmp_path / "cache"), "user.py", "wrong.py"],
        cwd=tmp_path, capture_output=True, text=True, check=False, env={**os.environ, **named},
    )  # fmt: skip
    lines = [line for line in done.stdout.splitlines() if ": error:" in line]
    assert [line.split(":")[:2] for line in lines] == [["wrong.py", "3"], ["wrong.py", "4"]], done.stdout + done.stderr
