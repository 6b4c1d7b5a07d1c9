"""Arguments that several commands take, and what is made of them: rule files, trials, days, times, and reports to a place."""

from __future__ import annotations

import argparse
import datetime
import os
import re
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, NamedTuple

from shootlint.commands.paths import OURS
from shootlint.commands.refused import Refused
from shootlint.language.complaint import listed, none_called

if TYPE_CHECKING:
    from shootlint.language.values import Clock

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


def refuse_wrong_trials(count: int | None, seed: int | None) -> None:
    """Raises Refused where the trials that a call asks for cannot be had."""
    if count is None:
        if seed is not None:
            raise Refused("--seed says which trials are drawn; say how many with --trials")
        return
    from shootlint.rulebook.trials import MOST_TRIALS

    if not 1 <= count <= MOST_TRIALS:
        raise Refused(f"--trials takes a number from 1 to {MOST_TRIALS:,}, not {count}")
    if seed is not None and seed < 0:
        raise Refused(f"--seed takes 0 or a larger number, not {seed}")


def day_of(option: str, text: str) -> datetime.date:
    """The day that an option names; raises Refused."""
    try:
        found = datetime.date.fromisoformat(text) if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", text, re.ASCII) else None
    except ValueError:
        raise Refused(f"{option}: there is no day {text}") from None
    if found is None:
        raise Refused(f"{option} takes a date such as 2026-10-01, not {text}")
    if not 1900 <= found.year <= 2100:
        raise Refused(f"{option}: the sun's place is worked out for the years 1900 to 2100 only, not for {text}")
    return found


def clock_of(option: str, text: str) -> Clock:
    """The time of day that an option names; raises Refused."""
    from shootlint.language.values import Clock

    if not re.fullmatch("([01]?[0-9]|2[0-3]):[0-5][0-9]", text, re.ASCII):
        raise Refused(f"{option} takes a time of day such as 18:45, not {text}")
    hour, minute = text.split(":")
    return Clock(int(hour), int(minute))


class Report(NamedTuple):
    """A report that a call asks for: its kind, where it goes, and what writes it."""

    kind: str
    path: str
    render: Callable[..., str]


def asked_reports(reports: list[str], given: Iterable[str], room: str = REPORTS) -> list[Report]:
    """The reports that a call asks for, which is given files to read; raises Refused."""
    found: list[Report] = []
    for report in reports or ["text=-"]:
        kind, equals, path = report.partition("=")
        if not equals or not path:
            raise Refused(f"--report takes KIND=PATH, such as json=report.json, not {report}")
        render = renderer(kind, room)
        if render is None:
            raise Refused(none_called("report", kind, kinds(room)))
        if takes_the_place(path, given):
            raise Refused(f"the report would take the place of {path}; give it another name")
        place = _file_of(path)
        if place is not None and place in [_file_of(other.path) for other in found]:
            raise Refused(f"two reports go to {path}, and one would take the other's place; give each a file of its own")
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
