"""Writes the field sheet of a plan: one page of HTML to hold on location, on a phone or on paper."""

from __future__ import annotations

import argparse

from shootlint.commands.arguments import add_rules, add_trials, refuse_wrong_trials, takes_the_place
from shootlint.commands.refused import Refused


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--to", required=True, metavar="FILE.html", help="where the sheet goes; - is standard output")
    add_rules(parser)
    add_trials(parser)


def run(call: argparse.Namespace) -> int:
    from shootlint.checking.judge import Judge
    from shootlint.commands import output
    from shootlint.commands.pipeline import one_document, sound_plan, trials_of
    from shootlint.commands.today import today
    from shootlint.reports.sheet.gathered import gather, sheet_page

    if takes_the_place(call.to, [call.plan, *call.rules]):
        raise Refused(f"the sheet would take the place of {call.to}; give it another name")
    refuse_wrong_trials(call.trials, call.seed)
    judge = Judge(call.rules, today(), margins=True, trials=trials_of(call))
    document = one_document(call.plan, judge.loader)
    judged = judge.judge(document)
    for complaint in judged.complaints:
        output.complain(complaint)
    plan, record = sound_plan(document), judged.record()
    assert judged.book is not None
    try:
        output.write(call.to, sheet_page(gather(plan, judged.book, judge.today, record)))
    except OSError as error:
        raise Refused(f"the sheet cannot be written to {call.to}: {error.strerror}") from None
    if judged.complaints:
        return 2
    return 0 if record.holds else 1
