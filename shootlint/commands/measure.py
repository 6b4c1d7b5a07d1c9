"""Prints what a plan measures, without judging it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_reports, asked_reports, clock_of, write
from shootlint.commands.refused import Refused

if TYPE_CHECKING:
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import Scene

ROOM = "shootlint.reports.measure"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--setup", metavar="SETUP", help="only this setup")
    parser.add_argument("--at", metavar="CLOCK", help="at this time of day instead of the whole slot")
    parser.add_argument(
        "--every", type=int, metavar="MINUTES", help="a row for every so many minutes of the slot, instead of its first and last"
    )
    parser.add_argument("--reading", action="append", default=[], metavar="READING", help="only this reading; may be repeated")
    add_reports(parser, ROOM)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.pipeline import chosen_scenes, one_document
    from shootlint.language.complaint import none_called
    from shootlint.language.loading import Loader
    from shootlint.readings.catalogue import catalogue
    from shootlint.readings.packing import packing_list
    from shootlint.reports.measure.told import Told

    reports = asked_reports(call.report, [call.plan], ROOM)
    if call.every is not None and call.every < 1:
        raise Refused(f"--every takes a number of minutes from 1 on, not {call.every}")
    for name in call.reading:
        if name not in catalogue():
            raise Refused(none_called("reading", name, catalogue()))
    document = one_document(call.plan, Loader())
    for complaint in document.complaints:
        output.complain(complaint)
    graphs = [graph_at(scene, call.at) for scene in chosen_scenes(document, call.setup)]
    readings = [each for each in catalogue().values() if not call.reading or each.name in call.reading]
    # Who asks for one setup or one reading does not ask what to pack.
    whole = document.plan is not None and call.setup is None and not call.reading
    items = packing_list(document.plan) if whole and document.plan is not None else []
    told = Told(readings, graphs, call.every, items)
    written = [write(told, report) for report in reports]
    return 2 if document.complaints or not all(written) else 0


def graph_at(scene: Scene, clock: str | None) -> Graph:
    """The readings of a scene over its slot, or at one time of its day; raises Refused."""
    import datetime

    from shootlint.language import clocks
    from shootlint.readings.axes import single
    from shootlint.readings.graph import Graph

    if clock is None:
        return Graph(scene)
    at = clock_of("--at", clock)
    if scene.plan.date is None or scene.zone is None:
        raise Refused("--at needs the plan's date and the site's zone")
    date = scene.plan.date.date
    if scene.time is not None and at <= scene.time.end <= scene.time.start:
        # The slot goes past midnight, and this is the part of it that lies on the next day.
        date += datetime.timedelta(days=1)
    return Graph(scene, {"instant": single(clocks.instant(date, at, scene.zone).seconds)})
