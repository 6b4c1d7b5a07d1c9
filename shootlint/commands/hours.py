"""Tells when a plan holds: the spans of a day, or of each day of a season."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_reports, add_rules, asked_reports, clock_of, day_of, write
from shootlint.commands.refused import Refused
from shootlint.reports.levels import LEVELS

if TYPE_CHECKING:
    import datetime

    from shootlint.language.model import Plan
    from shootlint.language.values import Clock
    from shootlint.reports.hours.told import Told
    from shootlint.rulebook.book import Book

ROOM = "shootlint.reports.hours"
MOST_DAYS = 1100
"""Three years and some: what is kept of each minute to say why none of them holds must fit into memory."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--from", dest="first", metavar="DATE", help="the first of several days, such as 2026-10-01; needs --to")
    parser.add_argument("--to", dest="last", metavar="DATE", help="the last of them")
    parser.add_argument("--longest", action="store_true", help="tell only of the day with the longest span")
    parser.add_argument("--after", metavar="CLOCK", help="only the part of each day from this time on")
    parser.add_argument("--before", metavar="CLOCK", help="only the part of each day up to this time")
    add_rules(parser)
    add_reports(parser, ROOM)
    parser.add_argument(
        "--fail-on", choices=LEVELS, default="warning", help="the level from which on a rule has to hold (warning)"
    )


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.pipeline import opened, sound_plan

    if call.longest and call.first is None:
        raise Refused("--longest asks which of several days has the longest span; say which days with --from and --to")
    dates = _dates(call.first, call.last)
    within = _within(call.after, call.before)
    reports = asked_reports(call.report, [call.plan, *call.rules], ROOM)
    found = opened(call.plan, call.rules)
    for complaint in found.complaints:
        output.complain(complaint)
    plan = sound_plan(found.document)
    if not dates and plan.date is not None:
        dates = [plan.date.date]
    told = _told(found.document.source.name, plan, found.book, found.judge.today, dates, call, within)
    written = [write(told, report) for report in reports]
    if found.complaints or not all(written):
        return 2
    return 0 if told.hours.holds else 1


def _told(
    name: str,
    plan: Plan,
    book: Book,
    today: datetime.date,
    dates: list[datetime.date],
    call: argparse.Namespace,
    within: tuple[Clock, Clock] | None,
) -> Told:
    from shootlint.commands import output
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import scenes
    from shootlint.remedies.following import ends_of_following
    from shootlint.remedies.laying import lay
    from shootlint.reports.hours.told import Evening, Told
    from shootlint.rulebook.evening import evening
    from shootlint.rulebook.hours import Question, hours

    setups = len(scenes(plan))
    tell = output.progress(len(dates) * setups, "days" if setups == 1 else f"days of {setups} setups")
    found = hours(plan, book, today, dates, call.fail_on, within, tell)
    rooms = {place: room for place in range(len(found.dates)) if (room := found.longest_on(place)) is not None}
    best = max(rooms, key=lambda place: rooms[place], default=None)
    day = found.dates[0] if len(found.dates) == 1 else found.dates[best] if call.longest and best is not None else None
    layout = lay(plan, book, today, day, call.fail_on, within) if day is not None else None
    evenings = []
    if day is not None and plan.date is not None and day == plan.date.date:
        for scene in scenes(plan):
            question = Question(plan, book, today, Graph(scene))
            evenings.append(Evening(question.graph, evening(question, book), ends_of_following(question, book)))
    return Told(name, plan, found, best, layout, evenings, today, call.longest)


def _dates(first: str | None, last: str | None) -> list[datetime.date]:
    """The days from one to another; raises Refused."""
    import datetime

    if first is None and last is None:
        return []
    if first is None or last is None:
        raise Refused("--from and --to go together: the first and the last of the days")
    start, end = (day_of(option, text) for option, text in (("--from", first), ("--to", last)))
    if start > end:
        raise Refused(f"--from {start} is later than --to {end}; the first day comes first")
    count = (end - start).days + 1
    if count > MOST_DAYS:
        raise Refused(f"from {start} to {end} are {count:,} days; the most is {MOST_DAYS:,}")
    return [start + datetime.timedelta(days=day) for day in range(count)]


def _within(after: str | None, before: str | None) -> tuple[Clock, Clock] | None:
    """The part of each day that is asked of; raises Refused."""
    from shootlint.language.values import Clock

    if after is None and before is None:
        return None
    start = clock_of("--after", after) if after is not None else Clock(0, 0)
    end = clock_of("--before", before) if before is not None else Clock(23, 59)
    if start.minutes > end.minutes:
        raise Refused(f"--after {start} is later than --before {end}; both lie in one day, which ends at midnight")
    return start, end
