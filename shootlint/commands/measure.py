"""Prints what a plan measures, without judging it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_reports, asked, write

if TYPE_CHECKING:
    from shootlint.language.loading import Document
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
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import one_document
    from shootlint.language.complaint import did_you_mean
    from shootlint.language.loading import Loader
    from shootlint.language.source import Unreadable
    from shootlint.readings.catalogue import catalogue
    from shootlint.readings.packing import packing_list
    from shootlint.reports.measure.told import Told

    try:
        reports = asked(call.report, [call.plan], ROOM)
    except ValueError as error:
        return trouble(str(error))
    if call.every is not None and call.every < 1:
        return trouble(f"--every takes a number of minutes from 1 on, not {call.every}")
    for name in call.reading:
        if name not in catalogue():
            return trouble(f"no reading is called {name}{did_you_mean(name, catalogue())}")
    name, document = one_document(call.plan, Loader())
    if isinstance(document, Unreadable):
        return trouble(f"{name}: {document}")
    for complaint in document.complaints:
        output.complain(complaint)
    try:
        graphs = [graph_at(scene, call.at) for scene in chosen_scenes(document, call.setup)]
    except ValueError as error:
        return trouble(str(error))
    readings = [each for each in catalogue().values() if not call.reading or each.name in call.reading]
    # Who asks for one setup or one reading does not ask what to pack.
    whole = document.plan is not None and call.setup is None and not call.reading
    items = packing_list(document.plan) if whole and document.plan is not None else []
    told = Told(readings, graphs, call.every, items)
    written = [write(told, report) for report in reports]
    return 2 if document.complaints or not all(written) else 0


def chosen_scenes(document: Document, setup: str | None) -> list[Scene]:
    """The sound setups of a plan, or the one of that name; raises ValueError with a reason where there is none."""
    from shootlint.language.complaint import did_you_mean
    from shootlint.readings.scene import scenes

    found = scenes(document.plan) if document.plan is not None else []
    if not found:
        raise ValueError(f"{document.source.name}: there is no setup without a mistake in it")
    if setup is None:
        return found
    chosen = [scene for scene in found if str(scene.setup.name) == setup]
    if not chosen:
        sound = [str(scene.setup.name) for scene in found]
        raise ValueError(f'no sound setup is called "{setup}"{did_you_mean(setup, sound, quoted=True)}')
    return chosen


def graph_at(scene: Scene, clock: str | None) -> Graph:
    """The readings of a scene over its slot, or at one time of its day; raises ValueError with a reason."""
    import datetime
    import re

    from shootlint.language import clocks
    from shootlint.language.values import Clock
    from shootlint.readings.axes import single
    from shootlint.readings.graph import Graph

    if clock is None:
        return Graph(scene)
    if not re.fullmatch("([01]?[0-9]|2[0-3]):[0-5][0-9]", clock):
        raise ValueError(f"--at takes a time of day such as 18:45, not {clock}")
    if scene.plan.date is None or scene.zone is None:
        raise ValueError("--at needs the plan's date and the site's zone")
    hour, minute = clock.split(":")
    at, date = Clock(int(hour), int(minute)), scene.plan.date.date
    if scene.time is not None and at <= scene.time.end <= scene.time.start:
        # The slot goes past midnight, and this is the part of it that lies on the next day.
        date += datetime.timedelta(days=1)
    return Graph(scene, {"instant": single(clocks.instant(date, at, scene.zone).seconds)})
