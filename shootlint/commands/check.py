"""Judges plans; a folder means every plan below it, and - is standard input."""

from __future__ import annotations

import argparse
import os

from shootlint.commands.arguments import add_reports, add_rules, asked, write
from shootlint.reports.levels import LEVELS

MOST_JOBS = 256
A_FEW = 5


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("paths", nargs="+", metavar="PATH", help="a plan, a folder of plans, or - for standard input")
    add_rules(parser)
    add_reports(parser)
    parser.add_argument(
        "--fail-on", choices=LEVELS, default="error", help="the level from which a finding makes the exit status 1 (error)"
    )
    parser.add_argument(
        "--trials", type=int, metavar="N", help="also try the plan N times with what is uncertain drawn, and tell how sure it is"
    )
    parser.add_argument("--seed", type=int, metavar="N", help="which trials: one number always draws the same ones (1)")
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
    from shootlint.commands.many import run_over
    from shootlint.language.source import Unreadable

    try:
        reports = asked(call.report)
    except ValueError as error:
        return trouble(str(error))
    wrong = wrong_with_trials(call.trials, call.seed)
    if wrong:
        return trouble(wrong)
    if call.margins is None:
        # For each plan of many it would cost as much as judging it, and nobody would read it.
        call.margins = len(call.paths) <= A_FEW and not any(map(os.path.isdir, call.paths))
    try:
        judged = run_over(call)
    except Unreadable as error:
        return trouble(f"--rules: {error}")
    judged.fail_on = call.fail_on
    written = [write(judged, path, render) for path, render in reports]
    return judged.status if all(written) else 2


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
