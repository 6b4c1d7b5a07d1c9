"""Tells when a plan holds: the spans of a day, or of each day of a season."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_reports, add_rules, asked, write
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
    from shootlint.commands.main import trouble
    from shootlint.commands.pipeline import opened
    from shootlint.language.source import Unreadable

    if call.longest and call.first is None:
        return trouble("--longest asks which of several days has the longest span; say which days with --from and --to")
    try:
        dates = _dates(call.first, call.last)
        within = _within(call.after, call.before)
        reports = asked(call.report, [call.plan, *call.rules], ROOM)
        found = opened(call.plan, call.rules)
    except (ValueError, Unreadable) as error:
        return trouble(str(error))
    document = found.document
    for complaint in found.complaints:
        output.complain(complaint)
    if document.plan is None or not document.plan.setup:
        return trouble(f"{document.source.name}: there is no setup without a mistake in it")
    if not dates and document.plan.date is not None:
        dates = [document.plan.date.date]
    told = _told(document.source.name, document.plan, found.book, found.judge.today, dates, call, within)
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
    """The days from one to another; raises ValueError with a reason."""
    import datetime

    if first is None and last is None:
        return []
    if first is None or last is None:
        raise ValueError("--from and --to go together: the first and the last of the days")
    start, end = (_date(option, text) for option, text in (("--from", first), ("--to", last)))
    if start > end:
        raise ValueError(f"--from {start} is later than --to {end}; the first day comes first")
    count = (end - start).days + 1
    if count > MOST_DAYS:
        raise ValueError(f"from {start} to {end} are {count:,} days; the most is {MOST_DAYS:,}")
    return [start + datetime.timedelta(days=day) for day in range(count)]


def _date(option: str, text: str) -> datetime.date:
    import datetime

    try:
        found = datetime.date.fromisoformat(text) if re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", text, re.ASCII) else None
    except ValueError:
        raise ValueError(f"{option}: there is no day {text}") from None
    if found is None:
        raise ValueError(f"{option} takes a date such as 2026-10-01, not {text}")
    if not 1900 <= found.year <= 2100:
        raise ValueError(f"{option}: the sun's place is worked out for the years 1900 to 2100 only, not for {text}")
    return found


def _within(after: str | None, before: str | None) -> tuple[Clock, Clock] | None:
    """The part of each day that is asked of; raises ValueError with a reason."""
    from shootlint.language.values import Clock

    if after is None and before is None:
        return None
    start = _clock("--after", after) if after is not None else Clock(0, 0)
    end = _clock("--before", before) if before is not None else Clock(23, 59)
    if start.minutes > end.minutes:
        raise ValueError(f"--after {start} is later than --before {end}; both lie in one day, which ends at midnight")
    return start, end


def _clock(option: str, text: str) -> Clock:
    from shootlint.language.values import Clock

    if not re.fullmatch("([01]?[0-9]|2[0-3]):[0-5][0-9]", text, re.ASCII):
        raise ValueError(f"{option} takes a time of day such as 18:45, not {text}")
    hour, minute = text.split(":")
    return Clock(int(hour), int(minute))
