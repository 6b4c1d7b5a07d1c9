"""Judges plans; a folder means every plan below it, and - is standard input."""

from __future__ import annotations

import argparse
import sys

LEVELS = ("error", "warning", "note")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("paths", nargs="+", metavar="PATH", help="a plan, a folder of plans, or - for standard input")
    parser.add_argument(
        "--rules",
        action="append",
        default=[],
        metavar="FILE",
        help="a rule file instead of the nearest house.rules; may be repeated",
    )
    parser.add_argument(
        "--report",
        action="append",
        default=[],
        metavar="KIND=PATH",
        help="text or json, and where it goes (- is standard output); may be repeated",
    )
    parser.add_argument(
        "--fail-on", choices=LEVELS, default="error", help="the level from which a finding makes the exit status 1 (error)"
    )


def run(call: argparse.Namespace) -> int:
    from importlib import import_module

    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import STANDARD_INPUT, Judge, documents_in, run_over
    from shootlint.language.complaint import did_you_mean
    from shootlint.language.source import Unreadable

    reports = call.report or ["text=-"]
    known = kinds()
    for report in reports:
        kind, equals, path = report.partition("=")
        if not equals or not path:
            return trouble(f"--report takes KIND=PATH, such as json=report.json, not {report}")
        if kind not in known:
            return trouble(f"no report is called {kind}{did_you_mean(kind, known)}")
    try:
        judge = Judge(call.rules)
    except Unreadable as error:
        return trouble(f"--rules: {error}")
    content = sys.stdin.buffer.read() if STANDARD_INPUT in call.paths else None
    judged = run_over(documents_in(call.paths, judge.loader, content), judge)
    if not judged.plans and not judged.unreadable:
        return trouble(f"no plan below {' or '.join(call.paths)}")
    for report in reports:
        kind, _, path = report.partition("=")
        text = import_module(f"shootlint.reports.{kind}").render(judged, colour=path == "-" and output.wants_colour())
        try:
            output.write(path, text)
        except OSError as error:
            return trouble(f"the report cannot be written to {path}: {error.strerror}")
    if judged.could_not_read:
        return 2
    return 1 if judged.fails_at(call.fail_on) else 0


def kinds() -> list[str]:
    """The kinds of report are the modules of shootlint.reports that can render a run."""
    from importlib import import_module
    from pkgutil import iter_modules

    from shootlint import reports

    names = sorted(each.name for each in iter_modules(reports.__path__))
    return [name for name in names if hasattr(import_module(f"shootlint.reports.{name}"), "render")]
