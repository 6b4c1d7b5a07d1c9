"""Writes `tables.py`: the parsers' tables as plain Python, so that no start of the program works them out again.

python -m shootlint.language.prepare_tables           writes it
python -m shootlint.language.prepare_tables --verify  exits with 1 when it is out of date
"""

from __future__ import annotations

import sys
from pathlib import Path
from pprint import pformat
from typing import Any

import lark
from lark.grammar import Rule
from lark.lexer import TerminalDef

from shootlint.language.parsing import GRAMMARS, build, grammar_digest


def tables_of(name: str) -> tuple[Any, Any]:
    """A parser's tables as literals. Where its grammar was found is left out: it is an object, and no longer needed."""
    data, memo = build(name).memo_serialize([TerminalDef, Rule])
    data["options"] |= {"import_paths": [], "source_path": None}
    data["parser"]["parser"] = in_order(data["parser"]["parser"])
    return literal(data), literal(memo)


def in_order(table: dict[str, Any]) -> dict[str, Any]:
    """The same table with its states numbered as they are reached, word by word in the order of the alphabet: lark
    numbers them in the order of sets, which is another one in each run."""
    names = table["tokens"]
    order = sorted(names, key=lambda number: str(names[number]))
    tokens = {old: new for new, old in enumerate(order)}
    reached = [*table["start_states"].values(), *table["end_states"].values()]
    for state in reached:
        steps = table["states"][state]
        # 0 stands for a step to another state.
        reached += [steps[each][1] for each in order if each in steps and steps[each][0] == 0 and steps[each][1] not in reached]
    states = {old: new for new, old in enumerate(dict.fromkeys(reached))}

    def step(action: int, what: Any) -> tuple[int, Any]:
        return action, states[what] if action == 0 else what

    return {
        "tokens": {new: names[old] for old, new in tokens.items()},
        "states": {
            states[old]: {tokens[each]: step(*table["states"][old][each]) for each in order if each in table["states"][old]}
            for old in states
        },
        "start_states": {name: states[old] for name, old in table["start_states"].items()},
        "end_states": {name: states[old] for name, old in table["end_states"].items()},
    }


def literal(value: Any) -> Any:
    """The same value in Python's own types: lark's tables hold its own kind of text."""
    if isinstance(value, dict):
        return {literal(key): literal(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(literal(each) for each in value)
    return str(value) if isinstance(value, str) else value


def tables_text() -> str:
    tables = {name: tables_of(name) for name in GRAMMARS}
    digests = {name: grammar_digest(name) for name in GRAMMARS}
    return "\n".join(
        [
            '"""Generated from grammar/ by `python -m shootlint.language.prepare_tables`: change the grammars, not this file."""',
            "# ruff: noqa",
            "from typing import Any",
            "",
            f"LARK_VERSION = {lark.__version__!r}",
            f"DIGESTS = {pformat(digests)}",
            f"TABLES: dict[str, tuple[Any, Any]] = {pformat(tables, width=160, compact=True)}",
            "",
        ]
    )


def main() -> int:
    path = Path(__file__).with_name("tables.py")
    text = tables_text()
    if "--verify" in sys.argv[1:]:
        current = path.exists() and path.read_text("utf-8") == text
        print(
            "tables.py is up to date" if current else "tables.py is out of date: run python -m shootlint.language.prepare_tables"
        )
        return 0 if current else 1
    path.write_text(text, "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
