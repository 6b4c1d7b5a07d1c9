"""Writes `trees.py`: the trees of the shipped rule files as plain Python, so that no start of the program parses them again.

python -m shootlint.rulebook.prepare_trees           writes it
python -m shootlint.rulebook.prepare_trees --verify  exits with 1 when it is out of date
"""

from __future__ import annotations

import sys
from pathlib import Path

from shootlint.language.complaint import Complaints
from shootlint.language.parsing import grammar_digest
from shootlint.language.tree import Tree
from shootlint.rulebook.model import RULE_FILES
from shootlint.rulebook.rule_files import shipped_sources, text_digest
from shootlint.rulebook.syntax import read_rule_tree


def trees_text() -> str:
    return "\n".join(
        [
            '"""Generated from rules/ by `python -m shootlint.rulebook.prepare_trees`: change the rules, not this file."""',
            "# ruff: noqa",
            "# mypy: ignore-errors",
            "from typing import Any",
            "",
            "from shootlint.language.tree import *",
            "from shootlint.rulebook.expression import *",
            "",
            f"GRAMMAR = {grammar_digest('rule')!r}",
            "TREES: dict[str, Any] = {",
            *(f" {text_digest(tree.source.text)!r}: {tree.lines!r}," for tree in sound_trees()),
            "}",
            "",
        ]
    )


def sound_trees() -> list[Tree]:
    """The trees of the shipped files. One with a mistake is left out: it is read again each time, and complained about."""
    found = []
    for source in shipped_sources():
        complaints = Complaints()
        tree = read_rule_tree(source, complaints, RULE_FILES.outermost)
        if not complaints:
            found.append(tree)
    return found


def main() -> int:
    path = Path(__file__).with_name("trees.py")
    text = trees_text()
    if "--verify" in sys.argv[1:]:
        current = path.exists() and path.read_text("utf-8") == text
        print("trees.py is up to date" if current else "trees.py is out of date: run python -m shootlint.rulebook.prepare_trees")
        return 0 if current else 1
    path.write_text(text, "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
