"""The entry point: finds the command and runs it. Nothing heavy is imported before a command needs it."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from importlib import import_module
from pathlib import Path
from typing import NoReturn

from shootlint.commands import output
from shootlint.commands.refused import Refused
from shootlint.language.source import Unreadable
from shootlint.reports.visible import visible

TROUBLE = 2
INTERRUPTED = 130


def command_names() -> list[str]:
    """The commands are the modules beside this one that take arguments; none is imported to find that out."""
    modules = Path(__file__).parent.glob("*.py")
    return sorted(each.stem for each in modules if b"\ndef add_arguments(" in each.read_bytes())


class Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        super().error(visible(message))


class Version(argparse.Action):
    """Looks the version up when it is asked for: finding the installed package takes longer than all else here."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        from importlib.metadata import version

        print(f"shootlint {version('shootlint')}")
        parser.exit()


def main(arguments: list[str] | None = None) -> int:
    """Runs one command; returns its exit status: 0 holds, 1 findings, 2 the call or a file could not be read."""
    if arguments is None:
        spare_time()
    output.prepare()
    given = sys.argv[1:] if arguments is None else arguments
    names = command_names()
    chosen = [given[0]] if given and given[0] in names else names
    parser = Parser(prog="shootlint", description="Judges plans of location portrait shoots before anyone leaves.")
    parser.add_argument("--version", action=Version, nargs=0, help="print the version and exit")
    subparsers = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    modules = {name: import_module(f"shootlint.commands.{name}") for name in chosen}
    for name, module in modules.items():
        summary = (module.__doc__ or "").split("\n")[0]
        module.add_arguments(subparsers.add_parser(name, help=summary, description=summary, allow_abbrev=False))
    if arguments is None and "_ARGCOMPLETE" in os.environ:
        from shootlint.commands.completing import complete

        complete(parser, modules)
    call = parser.parse_args(given)
    try:
        status: int = modules[call.command].run(call)
    except Refused as refused:
        for complaint in refused.complaints:
            output.complain(complaint)
        return trouble(str(refused))
    except Unreadable as error:
        return trouble(str(error))
    except OSError as error:
        return trouble(f"the output cannot be written: {error.strerror}")
    except KeyboardInterrupt:
        return INTERRUPTED
    except MemoryError:
        return trouble("there is not enough memory for this")
    except Exception:
        if arguments is not None:
            raise
        return broken()
    return status


def spare_time() -> None:
    """Leaves out what makes every start slower and serves nobody in a process that is all ours."""
    # Nearly all that a start makes is kept to the end, so looking for what could be thrown away finds nothing.
    gc.set_threshold(100_000, 50, 50)
    # pydantic would search all installed packages for plugins of its own.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")


def broken() -> int:
    """Tells of a fault of the program itself. Python would end with 1, which says that a plan was judged and does not hold."""
    output.complain_of_fault()
    return trouble("this is a fault of the program itself; nothing is said of the plan")


def trouble(message: str) -> int:
    """Complains about the call itself; returns the exit status for that."""
    output.complain(f"shootlint: {message}")
    return TROUBLE


if __name__ == "__main__":
    sys.exit(main())
