"""Judges plans; a folder means every plan below it, and - is standard input."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from shootlint.commands import output
from shootlint.commands.arguments import Report, add_reports, add_rules, add_trials, asked_reports, refuse_wrong_trials, write
from shootlint.commands.refused import Refused
from shootlint.reports.counting import A_FEW
from shootlint.reports.levels import LEVELS

if TYPE_CHECKING:
    from shootlint.reports.known import Earlier
    from shootlint.reports.run import Run

MOST_JOBS = 256
LARGEST_REPORT = 200_000_000
"""Bytes of an earlier report; ten thousand plans with a finding each are less."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("paths", nargs="+", metavar="PATH", help="a plan, a folder of plans, or - for standard input")
    add_rules(parser)
    add_reports(parser)
    parser.add_argument(
        "--fail-on", choices=LEVELS, default="error", help="the level from which a finding makes the exit status 1 (error)"
    )
    parser.add_argument(
        "--known",
        metavar="FILE.sarif",
        help="an earlier SARIF report: only what is new beside it counts, and what is gone is told",
    )
    parser.add_argument(
        "--changed-since",
        metavar="REVISION",
        help="judge only the plans that have changed since a revision of git, or whose kits or rules have",
    )
    parser.add_argument(
        "--watch", action="store_true", help="judge again at each save, and keep the sheets open in a browser on this machine"
    )
    add_trials(parser)
    parser.add_argument(
        "--margins",
        action=argparse.BooleanOptionalAction,
        help="tell what holds by little, and what may drift; as if said where the call names a few plans and no folder",
    )
    parser.add_argument(
        "--jobs",
        type=jobs,
        default=0,
        metavar="N",
        help="judge in so many processes; auto, as if not said, takes more than one where there are many plans to judge",
    )
    parser.add_argument(
        "--no-cache", dest="cache", action="store_false", help="judge every plan again, and keep no verdict for the next time"
    )


def jobs(told: str) -> int:
    """A number of processes; 0 for as many as serve."""
    if told == "auto":
        return 0
    if not (told.isascii() and told.isdigit() and 1 <= int(told[:9]) <= MOST_JOBS):
        raise argparse.ArgumentTypeError(f"takes a number of processes from 1 to {MOST_JOBS}, or auto, not {told}")
    return int(told)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands.main import trouble
    from shootlint.commands.today import today
    from shootlint.language.source import Unreadable

    reports = asked_reports(call.report, [*call.paths, *call.rules])
    today()
    refuse_wrong_trials(call.trials, call.seed)
    if call.margins is None:
        # For each plan of many it would cost as much as judging it, and nobody would read it.
        call.margins = len(call.paths) <= A_FEW and not any(map(os.path.isdir, call.paths))
    try:
        if call.watch:
            from shootlint.commands.watching import watch

            return watch(call, lambda: _reported(call, reports)[0])
        judged, written = _reported(call, reports)
    except Unreadable as error:
        return trouble(f"--rules: {error}")
    return judged.status if written else 2


def _reported(call: argparse.Namespace, reports: list[Report]) -> tuple[Run, bool]:
    """What came of a call's plans, and whether all reports of it were written."""
    judged = judged_and_compared(call)
    judged.fail_on = call.fail_on
    # Where one cannot be written the others are all the same.
    written = [_write(judged, report, call.rules) for report in reports]
    return judged, all(written)


def judged_and_compared(call: argparse.Namespace) -> Run:
    """What came of the plans of a call, of those alone that have changed and beside an earlier report where it says so.

    Raises Refused, and Unreadable where a rule file that the call names, or the day, cannot be used.
    """
    from shootlint.commands.many import run_over

    # Read before anything is judged, which may take long; and today's report may take the place of the earlier one.
    known = _earlier(call.known) if call.known is not None else None
    judged = run_over(call) if call.changed_since is None else _changed(call)
    if known is not None:
        from shootlint.reports.known import compare

        compare(judged, known, os.path.exists)
    return judged


def _changed(call: argparse.Namespace) -> Run:
    from shootlint.commands.changed import Changed
    from shootlint.commands.many import run_over
    from shootlint.commands.repository import NoAnswer

    changed = Changed(call.changed_since, call.rules)
    try:
        judged = run_over(call, changed.only)
    except NoAnswer as error:
        raise Refused(f"--changed-since: {error}") from None
    judged.since = changed.since
    return judged


def _earlier(file: str) -> Earlier:
    from shootlint.reports.known import NoReport, earlier

    try:
        with open(file, "rb") as report:
            content = report.read(LARGEST_REPORT + 1)
        if len(content) > LARGEST_REPORT:
            raise NoReport(f"it is larger than {LARGEST_REPORT:,} bytes")
        return earlier(content, file)
    except (OSError, ValueError) as error:
        raise Refused(f"--known: {file} cannot be read: {getattr(error, 'strerror', None) or error}") from None
    except NoReport as error:
        raise Refused(f"--known: {file} is no SARIF report of ours: {error}") from None


def _write(judged: Run, report: Report, rule_files: list[str]) -> bool:
    """Writes one report; beside a page of HTML that is a file also the sheets to which it links."""
    if report.kind != "html" or report.path == "-":
        return write(judged, report)
    from shootlint.commands.sheets import NotWritten, beside

    try:
        return write(judged, report, beside=beside(report.path, judged, rule_files))
    except NotWritten as error:
        output.complain(f"shootlint: {error}")
        return False
