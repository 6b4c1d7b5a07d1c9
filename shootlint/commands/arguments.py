"""Arguments that several commands take, and what is made of them: rule files, and reports of a kind to a place."""

from __future__ import annotations

import argparse
from collections.abc import Callable

REPORTS = "shootlint.reports"
"""The room whose modules are the kinds of report."""


def add_rules(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--rules",
        action="append",
        default=[],
        metavar="FILE",
        help="a rule file instead of the nearest house.rules; may be repeated",
    )


def add_reports(parser: argparse.ArgumentParser, kinds: str) -> None:
    parser.add_argument(
        "--report",
        action="append",
        default=[],
        metavar="KIND=PATH",
        help=f"{kinds}, and where it goes (- is standard output); may be repeated",
    )


def asked(reports: list[str], room: str = REPORTS) -> list[tuple[str, Callable[..., str]]]:
    """The reports that a call asks for, as where each goes and what writes it; raises ValueError with a reason."""
    from shootlint.language.complaint import did_you_mean

    found = []
    for report in reports or ["text=-"]:
        kind, equals, path = report.partition("=")
        if not equals or not path:
            raise ValueError(f"--report takes KIND=PATH, such as json=report.json, not {report}")
        render = renderer(kind, room)
        if render is None:
            raise ValueError(f"no report is called {kind}{did_you_mean(kind, kinds(room))}")
        found.append((path, render))
    return found


def write(judged: object, path: str, render: Callable[..., str]) -> bool:
    """Writes one report; complains where that cannot be done, and the others are written all the same."""
    from shootlint.commands import output

    try:
        output.write(path, render(judged, colour=path == "-" and output.wants_colour()))
    except OSError as error:
        output.complain(f"shootlint: the report cannot be written to {path}: {error.strerror}")
        return False
    return True


def renderer(kind: str, room: str = REPORTS) -> Callable[..., str] | None:
    """What writes a kind of report: the function `render` of the module of that name in a room of reports."""
    from importlib import import_module

    return getattr(import_module(f"{room}.{kind}"), "render", None) if kind in kinds(room) else None


def kinds(room: str = REPORTS) -> list[str]:
    """The kinds of report in a room; none is imported to find that out."""
    from importlib.resources import files

    modules = (each for each in files(room).iterdir() if each.name.endswith(".py"))
    return sorted(each.name.removesuffix(".py") for each in modules if b"\ndef render(" in each.read_bytes())
