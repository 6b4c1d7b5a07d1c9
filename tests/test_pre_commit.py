"""The hooks for pre-commit, run by pre-commit itself in a repository that takes them, as README.md says, from a clone of this one.

pre-commit installs the program as anyone's is: from the sources, into an environment of its own, with what pip brings.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HOOKS = ".pre-commit-hooks.yaml"
SOURCES = ("pyproject.toml", "README.md", HOOKS, "shootlint", "grammar", "rules", "plans")
(RECIPE,) = re.findall(r"<!-- recipe: before each commit -->\n```yaml\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.S)
(PLACE,) = re.findall(r"repo: (\S+)", RECIPE)
(TAG,) = re.findall(r"rev: (\S+)", RECIPE)
CLEAN = "plans/evening.shoot", "plans/kit/belfry.shoot"


@dataclass
class Repository:
    folder: Path
    home: Path
    ours: Path
    """The clone that stands in for the place which the recipe of the README names."""

    def _run(self, *command: str) -> subprocess.CompletedProcess[str]:
        mine = {
            "PRE_COMMIT_HOME": str(self.home), "XDG_CACHE_HOME": str(self.home / "cache"), "PRE_COMMIT_COLOR": "never",
            "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "PYTHONDONTWRITEBYTECODE": "1",
            "GIT_CONFIG_COUNT": "1", "GIT_CONFIG_KEY_0": f"url.{self.ours}.insteadOf", "GIT_CONFIG_VALUE_0": PLACE,
        }  # fmt: skip
        return subprocess.run(
            command, cwd=self.folder, env={**os.environ, **mine}, capture_output=True, text=True, check=False, timeout=900
        )

    def git(self, *arguments: str) -> str:
        done = self._run("git", "-c", "user.name=A", "-c", "user.email=a@x.example", *arguments)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def hooks(self, *arguments: str) -> tuple[dict[str, str], str]:
        """How each hook ends, and all that is said."""
        done = self._run(sys.executable, "-P", "-m", "pre_commit", "run", "--verbose", *arguments)
        ends = {
            line.partition(".")[0]: line.rpartition(".")[2] for line in done.stdout.splitlines() if line.startswith("shootlint ")
        }
        assert (done.returncode == 0) == all(each in ("Passed", "Skipped") or each.endswith("Skipped") for each in ends.values())
        return ends, done.stdout + done.stderr

    def write(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
        self.git("add", name)


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Repository:
    home = tmp_path_factory.mktemp("home")
    place = tmp_path_factory.mktemp("ours")
    ours = Repository(place, home, place)
    for name in SOURCES:
        path = ROOT / name
        if path.is_dir():
            shutil.copytree(path, ours.folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copyfile(path, ours.folder / name)
    ours.git("init", "--quiet")
    ours.git("add", "--all", "--force")
    ours.git("commit", "--quiet", "--message", "x")
    ours.git("tag", TAG)
    theirs = Repository(tmp_path_factory.mktemp("theirs"), home, place)
    theirs.git("init", "--quiet")
    theirs.write(".pre-commit-config.yaml", RECIPE)
    for name in CLEAN:
        theirs.write(name, (ROOT / name).read_text("utf-8"))
    theirs.git("commit", "--quiet", "--message", "x")
    return theirs


def test_the_manifest_is_valid():
    done = subprocess.run(
        [sys.executable, "-P", "-m", "pre_commit", "validate-manifest", ROOT / HOOKS], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_a_repository_in_order_passes(repository):
    ends, said = repository.hooks("--all-files")
    assert ends == {"shootlint check": "Passed", "shootlint tidy": "Passed"}, said
    assert "1 plan, 0 errors" in said
    assert "2 files, 0 tidied, 0 refused" in said


def test_a_change_of_a_kit_alone_judges_the_plans_that_use_it(repository):
    name = CLEAN[1]
    before = (repository.folder / name).read_text("utf-8")
    repository.write(name, before.replace('lens "Long zoom"', 'lens "Longer zoom"'))
    try:
        ends, said = repository.hooks()
        assert ends == {"shootlint check": "Failed", "shootlint tidy": "Passed"}, said
        assert "plans/evening.shoot:" in said and 'no lens is called "Long zoom"' in said
        assert "exit code: 2" in said
    finally:
        repository.write(name, before)


def test_a_rule_file_alone_judges_the_plans_below_it(repository):
    try:
        repository.write("house.rules", "use shipped\nadjust focus.person-soft { allowance 1 % }\n")
        ends, said = repository.hooks()
        assert ends["shootlint check"] == "Failed", said
        assert "[focus.person-soft]" in said
        assert "exit code: 1" in said
    finally:
        repository.git("rm", "--quiet", "--force", "house.rules")


def test_what_is_not_tidy_is_laid_out_and_refused(repository):
    name = CLEAN[0]
    before = (repository.folder / name).read_text("utf-8")
    repository.write(name, before.replace("\ndate ", "\ndate             "))
    ends, said = repository.hooks()
    assert ends["shootlint tidy"] == "Failed", said
    assert "files were modified by this hook" in said
    assert (repository.folder / name).read_text("utf-8") == before
    repository.git("add", name)


def test_other_files_ask_for_nothing(repository):
    repository.write("notes.txt", "x")
    ends, said = repository.hooks()
    assert all(each.endswith("Skipped") for each in ends.values()), said
    assert len(ends) == 2
