"""Each room imports only the rooms above it: the list in the house's plan, held by reading every file."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import shootlint

PACKAGE = Path(shootlint.__file__).parent

MAY_IMPORT = {
    "language": {"grammar"},
    "physics": set(),
    "readings": {"language", "physics"},
    "rulebook": {"language", "physics", "readings", "rules"},
    "remedies": {"language", "physics", "readings", "rulebook"},
    "reports": {"language", "physics", "readings", "rulebook", "remedies"},
    "checking": {"language", "physics", "readings", "rulebook", "remedies", "reports"},
    "commands": {"grammar", "rules", "starter", "language", "physics", "readings", "rulebook", "remedies", "reports", "checking"},
}


def imported_rooms(source: str, module: str) -> Iterator[tuple[int, str]]:
    """Line and room of everything of ours that a module imports, inside functions and for type checking too."""
    package = module.split(".")[:-1]
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [each.name for each in node.names]
        elif isinstance(node, ast.ImportFrom):
            origin = [*package[: len(package) - node.level + 1], *([node.module] if node.module else [])]
            start = ".".join(origin if node.level else [node.module or ""])
            names = [f"{start}.{each.name}" for each in node.names]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and "\n" not in node.value:
            # Modules are also imported, and folders opened, by name.
            names = [node.value] if node.value.startswith("shootlint.") and " " not in node.value else []
        for name in names:
            parts = name.split(".")
            if parts[0] == "shootlint" and len(parts) > 1:
                yield node.lineno, parts[1]


def broken_layers(source: str, module: str) -> list[str]:
    room = module.split(".")[1]
    allowed = MAY_IMPORT[room] | {room}
    return [f"{module}:{line} imports {other}" for line, other in imported_rooms(source, module) if other not in allowed]


def modules() -> list[tuple[str, Path]]:
    return [
        (".".join(["shootlint", *path.relative_to(PACKAGE).with_suffix("").parts]), path)
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.parent != PACKAGE and path.relative_to(PACKAGE).parts[0] not in ("grammar", "rules", "starter")
    ]


def test_every_room_is_in_the_list():
    assert {name.split(".")[1] for name, _ in modules()} == set(MAY_IMPORT)


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_a_room_imports_only_rooms_above_it(room):
    files = [(name, path) for name, path in modules() if name.split(".")[1] == room]
    assert files
    assert [fault for name, path in files for fault in broken_layers(path.read_text("utf-8"), name)] == []


def test_the_package_itself_imports_only_what_it_offers_to_programs():
    """The library stands beneath all rooms, so it may import any, and none imports it."""
    found = imported_rooms((PACKAGE / "__init__.py").read_text("utf-8"), "shootlint.__init__")
    assert {room for _, room in found} == {"library"}
    assert {path.name for path in PACKAGE.glob("*.py")} == {"__init__.py", "library.py"}
    assert all("library" not in rooms for rooms in MAY_IMPORT.values())


def test_the_library_does_without_the_commands():
    found = imported_rooms((PACKAGE / "library.py").read_text("utf-8"), "shootlint.library")
    assert {room for _, room in found} <= MAY_IMPORT["commands"]


@pytest.mark.parametrize(
    "source",
    [
        "import shootlint.commands.main",
        "from shootlint.commands import main",
        "from shootlint import commands",
        "from ..commands import main",
        "from .. import commands",
        "def later():\n    from shootlint.commands.main import main",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from shootlint.commands.main import main",
        "from importlib import import_module\nimport_module('shootlint.commands.main')",
        "from importlib import import_module\nimport_module(f'shootlint.commands.{name}')",
    ],
)
def test_an_import_of_a_lower_room_is_found(source):
    for room in MAY_IMPORT:
        assert bool(broken_layers(source, f"shootlint.{room}.some")) == (room != "commands")


@pytest.mark.parametrize(
    "source", ["from shootlint.physics import optics", "from ..physics import optics", "import numpy", "from . import x"]
)
def test_an_import_of_a_higher_room_is_let_be(source):
    assert broken_layers(source, "shootlint.readings.some") == []
