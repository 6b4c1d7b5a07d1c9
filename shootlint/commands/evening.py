"""Tells what happens when on the evening, and what to pack: for people, for spreadsheets and for calendars."""

from __future__ import annotations

import argparse

from shootlint.commands.arguments import add_reports, asked, write

ROOM = "shootlint.reports.evening"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    add_reports(parser, ROOM)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import one_document
    from shootlint.commands.today import today
    from shootlint.language.complaint import listed
    from shootlint.language.loading import Loader
    from shootlint.language.source import Unreadable
    from shootlint.readings.order import order_of_evening
    from shootlint.readings.packing import packing_list
    from shootlint.reports.evening.told import Told

    try:
        reports, day = asked(call.report, [call.plan], ROOM), today()
    except (ValueError, Unreadable) as error:
        return trouble(str(error))
    name, document = one_document(call.plan, Loader())
    if isinstance(document, Unreadable):
        return trouble(f"{name}: {document}")
    for complaint in document.complaints:
        output.complain(complaint)
    if document.plan is None or not document.plan.setup:
        return trouble(f"{name}: there is no setup without a mistake in it")
    told = Told(name, document.plan, order_of_evening(document.plan), packing_list(document.plan), day)
    if told.order.needs:
        output.complain(f"{name}: note: the order of the evening lacks something; it needs {listed(told.order.needs, 'and')}")
    written = [write(told, report) for report in reports]
    return 2 if document.complaints or not all(written) else 0
