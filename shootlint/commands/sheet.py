"""Writes the field sheet of a plan: one page of HTML to hold on location, on a phone or on paper."""

from __future__ import annotations

import argparse

from shootlint.commands.arguments import add_rules, add_trials, takes_the_place, wrong_with_trials


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--to", required=True, metavar="FILE.html", help="where the sheet goes; - is standard output")
    add_rules(parser)
    add_trials(parser)


def run(call: argparse.Namespace) -> int:
    from shootlint.checking.judge import Judge
    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import one_document, trials_of
    from shootlint.commands.today import today
    from shootlint.language.source import Unreadable
    from shootlint.reports.sheet.gathered import gather
    from shootlint.reports.sheet.page import sheet_page

    if takes_the_place(call.to, [call.plan, *call.rules]):
        return trouble(f"the sheet would take the place of {call.to}; give it another name")
    wrong = wrong_with_trials(call.trials, call.seed)
    if wrong:
        return trouble(wrong)
    try:
        judge = Judge(call.rules, today(), margins=True, trials=trials_of(call))
        name, document = one_document(call.plan, judge.loader)
        if isinstance(document, Unreadable):
            return trouble(f"{name}: {document}")
        judged = judge.judge(document)
    except Unreadable as error:
        return trouble(str(error))
    for complaint in judged.complaints:
        output.complain(complaint)
    plan, record = document.plan, judged.record()
    if plan is None or not plan.setup or judged.book is None:
        return trouble(f"{name}: there is no setup without a mistake in it")
    try:
        output.write(call.to, sheet_page(gather(plan, judged.book, judge.today, record)))
    except OSError as error:
        return trouble(f"the sheet cannot be written to {call.to}: {error.strerror}")
    if judged.complaints:
        return 2
    return 0 if record.holds else 1
