"""What README.md shows is what the program says."""

from __future__ import annotations

import doctest
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from shootlint.language.entry import shape
from shootlint.language.model.place import People
from shootlint.language.model.plan import Plan
from shootlint.language.model.setup import Setup

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
SHOWN = re.findall(r"<!-- output of: (.*?) -->\n```text\n(.*?)```", README, re.S)


@pytest.mark.parametrize(("command", "text"), SHOWN, ids=[command for command, _ in SHOWN])
def test_output_shown_is_output_given(command: str, text: str) -> None:
    words = shlex.split(command)
    assert words[0] == "shootlint"
    done = subprocess.run(
        [sys.executable, "-P", "-m", "shootlint.commands.main", *words[1:]],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    given = done.stdout.split("\n")
    # A line of three dots stands for lines left out; all others must come, in this order.
    at = 0
    for line in text.rstrip("\n").split("\n"):
        if line.strip() != "…":
            assert line in given[at:], line
            at = given.index(line, at) + 1


def test_the_limits_told_are_those_of_the_model() -> None:
    setups, people = shape(Plan).settings["setup"].most, shape(People).named.most  # type: ignore[union-attr]
    lights = shape(Setup).settings["place"].most
    assert f"A plan takes up to {setups} setups and {people} people, and a setup up to {lights} lights." in README


def test_what_is_shown_for_programs_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    code = "\n".join(re.findall(r"```python\n(.*?)```", README, re.S))
    shown = doctest.DocTestParser().get_doctest(code, {}, "README.md", "README.md", 0)
    found = doctest.DocTestRunner().run(shown)
    assert found.attempted >= 6
    assert found.failed == 0


def test_every_name_that_programs_may_hold_on_to_is_told() -> None:
    import shootlint.library

    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    section = text.partition("## What programs may hold on to")[2].partition("\n## ")[0]
    for name in shootlint.library.__all__:
        assert re.search(rf"`{name}\b", section), name


def test_every_command_is_in_the_table() -> None:
    from shootlint.commands.main import command_names

    for name in command_names():
        assert f"| `shootlint {name}" in README, name


def test_there_is_output_shown() -> None:
    assert SHOWN
    assert all(text.strip() for _, text in SHOWN)


def test_the_languages_in_ten_lines_can_be_read() -> None:
    from shootlint.language.complaint import Complaints
    from shootlint.language.reading import PLANS
    from shootlint.language.source import decode
    from shootlint.language.syntax import read_tree
    from shootlint.rulebook.rule_files import parse

    blocks = re.findall(r"```text\n(.*?)```", README, re.S)
    plan = next(block for block in blocks if block.startswith("shootplan 1"))
    rule = next(block for block in blocks if block.startswith("rule "))
    assert plan.count("\n") <= 11
    assert rule.count("\n") <= 11
    complaints = Complaints()
    read_tree(decode(plan.encode(), "README"), complaints, PLANS.outermost)
    assert not complaints
    assert not parse(decode(rule.encode(), "README")).complaints
