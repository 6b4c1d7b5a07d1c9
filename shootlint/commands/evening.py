"""Tells what happens when on the evening, and what to pack: for people, for spreadsheets and for calendars."""

from __future__ import annotations

import argparse

from shootlint.commands.arguments import add_reports, asked_reports, write

ROOM = "shootlint.reports.evening"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    add_reports(parser, ROOM)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.pipeline import one_document, sound_plan
    from shootlint.commands.today import today
    from shootlint.language.complaint import listed
    from shootlint.language.loading import Loader
    from shootlint.readings.order import order_of_evening
    from shootlint.readings.packing import packing_list
    from shootlint.reports.evening.told import Told

    reports, day = asked_reports(call.report, [call.plan], ROOM), today()
    document = one_document(call.plan, Loader())
    for complaint in document.complaints:
        output.complain(complaint)
    name, plan = document.source.name, sound_plan(document)
    told = Told(name, plan, order_of_evening(plan), packing_list(plan), day)
    if told.order.needs:
        output.complain(f"{name}: note: the order of the evening lacks something; it needs {listed(told.order.needs, 'and')}")
    written = [write(told, report) for report in reports]
    return 2 if document.complaints or not all(written) else 0
