"""The recipes for CI in README.md, each run as it stands there; the one for pre-commit is run in test_pre_commit.py."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from formats import junit, markdown_text, sarif

ROOT = Path(__file__).parents[1]
RECIPES = dict(re.findall(r"<!-- recipe: (.*?) -->\n```sh\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.S))
CLEAN, FAULTY = "evening.shoot", "first-draft.shoot"


class Clone:
    """A clone of a studio's repository that holds some of our plans, in which recipes are run."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "clone"
        origin = folder / "origin"
        for name in (CLEAN, "kit/belfry.shoot"):
            (origin / "plans" / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / "plans" / name, origin / "plans" / name)
        self.git("init", "--quiet", "--initial-branch", "main", where=origin)
        self.commit(where=origin)
        self.git("clone", "--quiet", str(origin), str(self.folder), where=folder)
        self.git("switch", "--quiet", "--create", "branch")

    def git(self, *arguments: str, where: Path | None = None) -> None:
        command = ["git", "-c", "user.name=A", "-c", "user.email=a@x.example", *arguments]
        own = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
        subprocess.run(command, cwd=where or self.folder, env={**os.environ, **own}, check=True, capture_output=True)

    def commit(self, where: Path | None = None) -> None:
        self.git("add", "--all", where=where)
        self.git("commit", "--quiet", "--message", "x", where=where)

    def add(self, name: str) -> None:
        shutil.copyfile(ROOT / "plans" / name, self.folder / "plans" / name)

    def run(self, recipe: str) -> subprocess.CompletedProcess[str]:
        """Runs a recipe in the plainest shell there is, where the program is found by its name."""
        path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
        own = {"PATH": path, "XDG_CACHE_HOME": str(self.folder.parent / "cache")}
        return subprocess.run(
            ["sh", "-euc", RECIPES[recipe]], cwd=self.folder, env={**os.environ, **own}, capture_output=True, text=True, check=False
        )  # fmt: skip

    def read(self, name: str) -> str:
        return (self.folder / name).read_text("utf-8")


@pytest.fixture
def clone(tmp_path: Path) -> Clone:
    return Clone(tmp_path)


def test_every_recipe_is_run_here():
    source = Path(__file__).read_text("utf-8")
    assert RECIPES
    assert [each for each in RECIPES if f'run("{each}")' not in source] == []


def test_all_reports_are_there_whatever_the_status(clone):
    done = clone.run("all reports")
    assert (done.returncode, done.stderr) == (0, "")
    clone.add(FAULTY)
    done = clone.run("all reports")
    assert (done.returncode, done.stderr) == (1, "")
    assert "plans/first-draft.shoot:46:3: error: " in done.stdout
    assert len(sarif(clone.read("shootlint.sarif"))["results"]) > 10
    assert len(junit(clone.read("shootlint.xml"))) == 2
    assert "1 of 2 plans does not hold" in markdown_text(clone.read("shootlint.md"))
    (clone.folder / "plans" / "broken.shoot").write_text("shootplan 1\nsetup {\n")
    assert clone.run("all reports").returncode == 2


def test_what_is_known_stays_known_and_only_what_is_new_counts(clone):
    clone.add(FAULTY)
    assert clone.run("begin with what is known").returncode == 0
    done = clone.run("only what is new")
    assert done.returncode == 0
    assert "15 known from known.sarif, 0 gone" in done.stdout
    path = clone.folder / "plans" / CLEAN
    path.write_text(path.read_text("utf-8").replace("shutter     1/", "shutter     1/1"))
    done = clone.run("only what is new")
    assert done.returncode == 1
    assert "plans/evening.shoot:" in done.stdout and "plans/first-draft.shoot:" not in done.stdout
    (clone.folder / "plans" / "broken.shoot").write_text("shootplan 1\nsetup {\n")
    assert clone.run("begin with what is known").returncode != 0
    assert clone.run("only what is new").returncode == 2


def test_only_what_a_branch_has_changed_is_judged(clone):
    done = clone.run("only what has changed")
    assert done.returncode == 0
    assert "0 plans, " in done.stdout and "1 plan not changed since " in done.stdout
    clone.add(FAULTY)
    clone.commit()
    done = clone.run("only what has changed")
    assert done.returncode == 1
    assert "1 plan, " in done.stdout and "1 plan not changed since " in done.stdout
