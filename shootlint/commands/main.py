"""The entry point: finds the command and runs it. Nothing heavy is imported before a command needs it."""

from __future__ import annotations

import argparse
import os
import sys
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

COMMANDS = Path(__file__).parent
TROUBLE = 2


def command_names() -> list[str]:
    """The commands are the modules beside this one that can run."""
    from pkgutil import iter_modules

    return sorted(each.name for each in iter_modules([str(COMMANDS)]) if each.name not in ("main", "pipeline", "output"))


def main(arguments: list[str] | None = None) -> int:
    """Runs one command; returns its exit status: 0 holds, 1 findings, 2 the call or a file could not be read."""
    given = sys.argv[1:] if arguments is None else arguments
    names = command_names()
    chosen = [given[0]] if given and given[0] in names else names
    parser = argparse.ArgumentParser(
        prog="shootlint", description="Judges plans of location portrait shoots before anyone leaves."
    )
    parser.add_argument("--version", action="version", version=f"shootlint {version('shootlint')}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    modules: dict[str, ModuleType] = {}
    for name in chosen:
        module = modules[name] = import_module(f"shootlint.commands.{name}")
        summary = (module.__doc__ or "").split("\n")[0]
        module.add_arguments(commands.add_parser(name, help=summary, description=summary))
    call = parser.parse_args(given)
    try:
        status: int = modules[call.command].run(call)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read the output has stopped; what is still unwritten goes nowhere, without a second complaint.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    return status


def trouble(message: str) -> int:
    """Complains about the call itself; returns the exit status for that."""
    print(f"shootlint: {message}", file=sys.stderr)
    return TROUBLE


if __name__ == "__main__":
    sys.exit(main())
