"""The package is whole: its list of folders, and the data that it needs where it is installed."""

from __future__ import annotations

import os
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

import shootlint

ROOT = Path(__file__).parent.parent
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
INSTALLED = os.environ.get("SHOOTLINT_IS_INSTALLED")
"""Set where these tests must run against an installed package and never against the files beside them."""


def packages_on_disk() -> set[str]:
    """Every folder of code, under the name that it is imported by."""
    mapped = {folder: name for name, folder in SETTINGS["tool"]["setuptools"]["package-dir"].items()}
    found = set()
    for top, name in mapped.items():
        for path in (ROOT / top).rglob("__init__.py"):
            found.add(".".join([name, *path.parent.relative_to(ROOT / top).parts]))
    return found


def test_the_list_of_packages_is_the_folders_on_disk():
    listed = SETTINGS["tool"]["setuptools"]["packages"]
    assert sorted(listed) == sorted(packages_on_disk())
    assert len(listed) == len(set(listed))


def test_every_folder_with_code_is_a_package():
    """Without its __init__.py a folder would be found from a checkout and be missing where the package is installed."""
    for top in SETTINGS["tool"]["setuptools"]["package-dir"].values():
        for path in (ROOT / top).rglob("*.py"):
            assert (path.parent / "__init__.py").exists(), path


@pytest.mark.parametrize(
    "package",
    [
        "shootlint.grammar",
        "shootlint.rules",
        "shootlint.reports",
        "shootlint.starter",
        "shootlint.commands.colouring",
        "shootlint",
    ],
)
def test_package_data_covers_every_file_that_is_no_code(package):
    """What no pattern covers would be missing where the package is installed."""
    folder = ROOT / next(f for name, f in _folders().items() if name == package)
    patterns = SETTINGS["tool"]["setuptools"]["package-data"][package]
    covered = {path for pattern in patterns for path in folder.glob(pattern)}
    deeper = {ROOT / each for name, each in _folders().items() if name.startswith(f"{package}.")}
    data = {
        path
        for path in folder.rglob("*")
        if path.is_file() and path.suffix not in (".py", ".pyc") and not any(path.is_relative_to(each) for each in deeper)
    }
    data = {path for path in data if not any(part.startswith(".") for part in path.relative_to(ROOT).parts)}
    assert data
    assert sorted(data - covered) == []


def _folders() -> dict[str, str]:
    mapped = SETTINGS["tool"]["setuptools"]["package-dir"]
    below = {name: name.replace(".", "/") for name in SETTINGS["tool"]["setuptools"]["packages"] if name not in mapped}
    return {**mapped, **below}


@pytest.mark.parametrize(
    ("package", "name"),
    [
        ("shootlint.grammar", "plan.lark"),
        ("shootlint.grammar", "rule.lark"),
        ("shootlint.grammar", "terminals.lark"),
        ("shootlint.reports", "report.schema.json"),
        ("shootlint.commands.colouring", "files/textmate/shootplan.tmLanguage.json"),
        ("shootlint.commands.colouring", "files/vim/syntax/shootrules.vim"),
        ("shootlint.rules", "focus/person-soft.rules"),
        ("shootlint.rules", "examples/two-rows.shoot"),
        ("shootlint.starter", "kit/studio.shoot"),
        ("shootlint", "py.typed"),
    ],
)
def test_data_is_found_where_the_package_is(package, name):
    file = files(package)
    for part in name.split("/"):
        file = file.joinpath(part)
    assert file.is_file()


@pytest.mark.parametrize("name", ["rules", "grammar", "starter"])
def test_the_mapped_folders_have_no_twin_in_the_package(name):
    """Such a folder would hide the mapped one, or be hidden by it."""
    assert not (ROOT / "shootlint" / name).exists()


def test_the_command_starts_the_program():
    from importlib.metadata import entry_points

    from shootlint.commands.main import main

    (command,) = entry_points(group="console_scripts", name="shootlint")
    assert command.load() is main


@pytest.mark.skipif(INSTALLED is None, reason="only where the package is said to be installed")
def test_it_is_the_installed_package_that_is_tested():
    where = Path(shootlint.__file__).resolve()
    assert "site-packages" in where.parts
    assert not where.is_relative_to(ROOT.resolve())
    for package in SETTINGS["tool"]["setuptools"]["packages"]:
        assert not Path(str(files(package))).resolve().is_relative_to(ROOT.resolve())
