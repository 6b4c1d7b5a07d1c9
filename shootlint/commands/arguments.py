"""Arguments that several commands take, and what is made of them: rule files, and reports of a kind to a place."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable
from typing import NamedTuple

from shootlint.language.complaint import listed

OURS = (".shoot", ".rules")
REPORTS = "shootlint.reports"
"""The room whose modules are the kinds of report."""


class Refused(Exception):
    """What a call asks for cannot be done. Its text says why, for a person."""


def add_rules(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--rules",
        action="append",
        default=[],
        metavar="FILE",
        help="a rule file instead of the nearest house.rules; may be repeated",
    )


def add_reports(parser: argparse.ArgumentParser, room: str = REPORTS) -> None:
    parser.add_argument(
        "--report",
        action="append",
        default=[],
        metavar="KIND=PATH",
        help=f"{listed(kinds(room))}, and where it goes (- is standard output); may be repeated",
    )


def add_trials(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--trials", type=int, metavar="N", help="also try the plan N times with what is uncertain drawn, and tell how sure it is"
    )
    parser.add_argument("--seed", type=int, metavar="N", help="which trials: one number always draws the same ones (1)")


def wrong_with_trials(count: int | None, seed: int | None) -> str:
    """What is wrong with the trials that a call asks for; nothing where all is well."""
    if count is None:
        return "--seed says which trials are drawn; say how many with --trials" if seed is not None else ""
    from shootlint.rulebook.trials import MOST_TRIALS

    if not 1 <= count <= MOST_TRIALS:
        return f"--trials takes a number from 1 to {MOST_TRIALS:,}, not {count}"
    if seed is not None and seed < 0:
        return f"--seed takes 0 or a larger number, not {seed}"
    return ""


class Report(NamedTuple):
    """A report that a call asks for: its kind, where it goes, and what writes it."""

    kind: str
    path: str
    render: Callable[..., str]


def asked(reports: list[str], given: Iterable[str], room: str = REPORTS) -> list[Report]:
    """The reports that a call asks for, which is given files to read; raises ValueError with a reason."""
    from shootlint.language.complaint import did_you_mean

    found: list[Report] = []
    for report in reports or ["text=-"]:
        kind, equals, path = report.partition("=")
        if not equals or not path:
            raise ValueError(f"--report takes KIND=PATH, such as json=report.json, not {report}")
        render = renderer(kind, room)
        if render is None:
            raise ValueError(f"no report is called {kind}{did_you_mean(kind, kinds(room))}")
        if takes_the_place(path, given):
            raise ValueError(f"the report would take the place of {path}; give it another name")
        place = _file_of(path)
        if place is not None and place in [_file_of(other.path) for other in found]:
            raise ValueError(f"two reports go to {path}, and one would take the other's place; give each a file of its own")
        found.append(Report(kind, path, render))
    return found


def takes_the_place(path: str, given: Iterable[str]) -> bool:
    """Whether what is written to a path would be lost to it: a file that the call reads, or any plan, kit or rule file."""
    if path == "-":
        return False
    real = os.path.realpath(path)
    return real in map(os.path.realpath, given) or (real.endswith(OURS) and os.path.isfile(real))


def _file_of(path: str) -> str | None:
    """The file that a report is renamed to; None for what takes several, such as standard output or a pipe."""
    if path == "-" or (os.path.exists(path) and not os.path.isfile(path) and not os.path.isdir(path)):
        return None
    return os.path.realpath(path)


def write(judged: object, report: Report, **more: object) -> bool:
    """Writes one report; complains where that cannot be done, and the others are written all the same. `more` is what
    reports of its kind are given besides."""
    from shootlint.commands import output

    try:
        colour = report.path == "-" and output.wants_colour()
        output.write(report.path, report.render(judged, colour=colour, **more))
    except OSError as error:
        output.complain(f"shootlint: the report cannot be written to {report.path}: {error.strerror}")
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
