"""Rule files: where they are found, and what they say once read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from shootlint.language.complaint import Complaints
from shootlint.language.reading import Reader
from shootlint.language.source import Source, decode
from shootlint.rulebook.model import RULE_FILES, RuleFile
from shootlint.rulebook.syntax import read_rule_tree


@dataclass(frozen=True)
class Parsed:
    """A rule file as read: what it says, and what is wrong with it."""

    source: Source
    file: RuleFile | None
    complaints: Complaints


def parse(source: Source) -> Parsed:
    complaints = Complaints()
    tree = read_rule_tree(source, complaints, RULE_FILES.outermost)
    file = Reader(source, complaints, RULE_FILES).read(tree)
    return Parsed(source, file, complaints)


@cache
def shipped_files() -> tuple[tuple[Parsed, Source], ...]:
    """The rule files that come with the program, by the path of each in the folder of rules."""
    found = []
    for path, file in sorted(rule_files_in(files("shootlint.rules"))):
        source = decode(file.read_bytes(), f"rules/{path}")
        found.append((parse(source), source))
    return tuple(found)


def rule_files_in(folder: Traversable, prefix: str = "") -> Iterable[tuple[str, Traversable]]:
    """The rule files of a folder, each by its path below it."""
    for each in folder.iterdir():
        if each.is_dir() and not each.name.startswith(("_", ".")):
            yield from rule_files_in(each, f"{prefix}{each.name}/")
        elif each.name.endswith(".rules"):
            yield f"{prefix}{each.name}", each
