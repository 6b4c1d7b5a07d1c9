"""What completes each argument, when a shell asks. It is asked at every press of a key, so nothing heavy is imported here:
names of readings, rules and levers are found in the files that declare them.

What an argument takes is told by its word in the help (`metavar`), so each completes the same everywhere.
"""

from __future__ import annotations

import argparse
import ast
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from importlib.resources import files
from pathlib import Path
from types import ModuleType

from shootlint.commands.arguments import kinds
from shootlint.commands.paths import PLANS

Names = Callable[[str, argparse.Namespace], Iterable[str]]
NOTHING = ("N", "CLOCK", "DATE", "MINUTES", "REVISION")
"""Words for what nobody can guess."""
_RULE = re.compile(r"^rule[ \t]+([\w.-]+)", re.MULTILINE)
_OWN_RULE = re.compile(r'^NOT_SURE = "(.+)"$', re.MULTILINE)


def complete(parser: argparse.ArgumentParser, modules: Mapping[str, ModuleType]) -> None:
    """Answers the shell and ends the program, where it is a shell that has called; else does nothing."""
    from argcomplete import autocomplete
    from argcomplete.completers import SuppressCompleter

    for name, action in arguments(parser):
        words = completer(action, modules[name])
        if words is not None:
            vars(action)["completer"] = _called_by_name(words)
    autocomplete(parser, always_complete_options=False, default_completer=SuppressCompleter())


def arguments(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.Action]]:
    """Every argument of every command that takes a value of its own, with the command's name."""
    subparsers = next(each for each in parser._actions if isinstance(each, argparse._SubParsersAction))
    for name, command in subparsers.choices.items():
        yield from ((name, action) for action in command._actions if action.metavar is not None and action.choices is None)


def _called_by_name(words: Names) -> Callable[..., list[str]]:
    def answer(prefix: str = "", parsed_args: argparse.Namespace | None = None, **_: object) -> list[str]:
        # Whatever goes wrong, there is then nothing to offer; a shell has no place for complaints.
        with suppress(Exception):
            return [each for each in words(prefix, parsed_args or argparse.Namespace()) if each.startswith(prefix)]
        return []

    return answer


def completer(action: argparse.Action, command: ModuleType) -> Names | None:
    """What completes an argument; None where nothing can."""
    metavar = str(action.metavar)
    if metavar in ("PATH", "PLAN"):
        return _files(getattr(command, "ENDINGS", PLANS))
    if metavar.startswith("FILE."):
        return _files((metavar.removeprefix("FILE"),))
    if metavar == "KIND=PATH":
        return _reports(command)
    return BY_METAVAR.get(metavar)


def _files(endings: tuple[str, ...]) -> Names:
    """Files with one of these endings, and the folders on the way to them."""

    def found(prefix: str, _: argparse.Namespace) -> Iterator[str]:
        folder, begun = os.path.split(prefix)
        with os.scandir(os.path.expanduser(folder) or ".") as entries:
            for entry in sorted(entries, key=lambda each: each.name):
                if entry.name.startswith(".") and not begun.startswith("."):
                    continue
                shown = os.path.join(folder, entry.name)
                if entry.is_dir():
                    yield f"{shown}/"
                elif entry.name.endswith(endings):
                    yield shown

    return found


def _reports(command: ModuleType) -> Names:
    """The kinds of report that a command writes."""

    def found(prefix: str, call: argparse.Namespace) -> Iterable[str]:
        kind, equals, path = prefix.partition("=")
        if equals:
            return [f"{kind}={each}" for each in _files(("",))(path, call)]
        known = kinds(getattr(command, "ROOM", "shootlint.reports"))
        return [f"{each}=" for each in known]

    return found


def rule_names(_: str, call: argparse.Namespace) -> list[str]:
    """The shipped rules, the program's own, and those of the house.rules that holds where the call asks of."""
    from shootlint.rulebook.house import house_file

    texts = [each.read_text("utf-8") for folder in files("shootlint.rules").iterdir() if folder.is_dir() for each in folder.iterdir()
             if each.name.endswith(".rules")]  # fmt: skip
    house = house_file(Path(getattr(call, "plan", None) or "-").resolve())
    texts += [house.read_text("utf-8")] if house is not None else []
    own = files("shootlint.rulebook").joinpath("own.py").read_text("utf-8")
    return sorted({*_OWN_RULE.findall(own), *(name for text in texts for name in _RULE.findall(text))})


def reading_names(_: str, __: argparse.Namespace) -> list[str]:
    return sorted(name or function.replace("_", "-") for function, name in _declared("shootlint.readings", ("reading", "given")))


def lever_names(_: str, __: argparse.Namespace) -> list[str]:
    return sorted(name for _, name in _declared("shootlint.remedies", ("lever",)) if name)


def _declared(room: str, decorators: tuple[str, ...]) -> Iterator[tuple[str, str | None]]:
    """The functions of a room that carry one of these decorators, and the name that it gives: by `name`, or, for levers, first."""
    for module in files(room).iterdir():
        if not module.name.endswith(".py"):
            continue
        text = module.read_text("utf-8")
        if not any(f"\n@{each}(" in text for each in decorators):
            continue
        for node in ast.parse(text).body:
            for call in node.decorator_list if isinstance(node, ast.FunctionDef) else ():
                if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in decorators:
                    assert isinstance(node, ast.FunctionDef)
                    told = [each.value for each in call.keywords if each.arg == "name"]
                    told += call.args[:1] if call.func.id == "lever" else []
                    name = told[0] if told else None
                    yield node.name, str(name.value) if isinstance(name, ast.Constant) else None


def word_names(_: str, __: argparse.Namespace) -> list[str]:
    from shootlint.commands.words import known_words

    return sorted(known_words())


def kit_kinds(_: str, __: argparse.Namespace) -> list[str]:
    from shootlint.language.loading import KIT_FIELDS

    return list(KIT_FIELDS)


def setup_names(_: str, call: argparse.Namespace) -> list[str]:
    """The setups of the plan that the call names."""
    from shootlint.language.loading import read_one
    from shootlint.language.source import read_source

    tree = read_one(read_source(Path(call.plan), call.plan)).tree
    names = [line.clauses[0][1].string for line in tree.lines if line.head.text == "setup" and len(line.clauses[0]) > 1]
    return [name for name in names if name.isprintable()]


def folders(prefix: str, call: argparse.Namespace) -> Iterable[str]:
    return (each for each in _files(())(prefix, call) if each.endswith("/"))


BY_METAVAR: dict[str, Names] = {
    "RULE": rule_names,
    "READING": reading_names,
    "LEVER": lever_names,
    "WORD": word_names,
    "SETUP": setup_names,
    "KIND": kit_kinds,
    "FOLDER": folders,
    "FILE": _files((".rules",)),
}
