"""Rule files: where they are found, and what they say once read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable

from shootlint.language.complaint import Complaints
from shootlint.language.parsing import grammar_digest
from shootlint.language.reading import Reader
from shootlint.language.source import Source, decode
from shootlint.language.tree import Line, Tree
from shootlint.rulebook.model import RULE_FILES, RuleFile
from shootlint.rulebook.syntax import read_rule_tree


@dataclass(frozen=True)
class Parsed:
    """A rule file as read: what it says, and what is wrong with it."""

    source: Source
    file: RuleFile | None
    complaints: Complaints


def parse(source: Source, tree: Tree | None = None) -> Parsed:
    """A rule file as read, from its tree where that is known already."""
    complaints = Complaints()
    tree = tree or read_rule_tree(source, complaints, RULE_FILES.outermost)
    file = Reader(source, complaints, RULE_FILES).read(tree)
    return Parsed(source, file, complaints)


@cache
def shipped_files() -> tuple[tuple[Parsed, Source], ...]:
    """The rule files that come with the program, by the path of each in the folder of rules."""
    prepared = _prepared_trees()
    found = []
    for source in shipped_sources():
        lines = prepared.get(text_digest(source.text))
        found.append((parse(source, Tree(source, lines) if lines is not None else None), source))
    return tuple(found)


def shipped_sources() -> list[Source]:
    folder = files("shootlint.rules")
    return [decode(file.read_bytes(), f"rules/{path}") for path, file in sorted(rule_files_in(folder))]


def text_digest(text: str) -> str:
    """A digest of a rule file's text, by which a prepared tree is known to be its own."""
    return sha256(text.encode()).hexdigest()


def _prepared_trees() -> dict[str, list[Line]]:
    """The trees prepared for the shipped rule files, where they are those of the grammar."""
    from shootlint.rulebook import trees

    return trees.TREES if grammar_digest("rule") == trees.GRAMMAR else {}


def rule_files_in(folder: Traversable, prefix: str = "") -> Iterable[tuple[str, Traversable]]:
    """The rule files of a folder, each by its path below it."""
    for each in folder.iterdir():
        if each.is_dir() and not each.name.startswith(("_", ".")):
            yield from rule_files_in(each, f"{prefix}{each.name}/")
        elif each.name.endswith(".rules"):
            yield f"{prefix}{each.name}", each
