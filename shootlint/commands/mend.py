"""Shows the least set of changes that makes a plan hold, as a unified diff; --write makes them."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_reports, add_rules, asked_reports, write
from shootlint.commands.refused import Refused

if TYPE_CHECKING:
    from shootlint.language.source import Source
    from shootlint.remedies.house import HouseLevers
    from shootlint.remedies.plan_mend import PlanMend
    from shootlint.remedies.reading import Rereader
    from shootlint.rulebook.book import Book

ROOM = "shootlint.reports.mend"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("--write", action="store_true", help="write the changes that keep the picture into the plan's file")
    parser.add_argument("--editorial", action="store_true", help="with --write: write those that change the picture too")
    parser.add_argument(
        "--rule", action="append", default=[], metavar="RULE", help="mend only findings of this rule; may be repeated"
    )
    parser.add_argument("--setup", action="append", default=[], metavar="SETUP", help="mend only this setup; may be repeated")
    parser.add_argument(
        "--with", action="append", default=[], dest="only", metavar="LEVER", help="turn only this; may be repeated"
    )
    parser.add_argument("--without", action="append", default=[], metavar="LEVER", help="turn anything but this; may be repeated")
    add_rules(parser)
    add_reports(parser, ROOM)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.paths import STANDARD_INPUT
    from shootlint.commands.pipeline import opened
    from shootlint.remedies.house import house_levers
    from shootlint.remedies.plan_mend import mend_plan
    from shootlint.remedies.proposals import MOST_EFFORT
    from shootlint.remedies.reading import Rereader
    from shootlint.reports.mend.told import Told

    reports = asked_reports(call.report, [call.plan], ROOM)
    for report in reports:
        # The search may take long, and with --write the plan is changed before a report is written.
        if report.path != STANDARD_INPUT and not os.path.isdir(os.path.dirname(report.path) or "."):
            raise Refused(f"the report cannot be written to {report.path}: there is no such folder")
    if call.editorial and not call.write:
        raise Refused("--editorial goes with --write; without it all changes are shown, and none is made")
    if call.write and call.plan == STANDARD_INPUT:
        raise Refused("standard input cannot be written to; name a file")
    found = opened(call.plan, call.rules)
    judge, document, book, name = found.judge, found.document, found.book, found.document.source.name
    for complaint in found.complaints:
        output.complain(complaint)
    if found.in_plan or document.plan is None or not document.plan.setup:
        raise Refused(f"{name}: only a plan that reads without a mistake, and has a setup, can be mended")
    if found.in_rules:
        raise Refused(f"{name}: it cannot be mended by rule files that have mistakes")
    house = _chosen_levers(house_levers(book)[0], call)
    rules = _chosen_rules(book, call.rule)
    rereader = Rereader(document, judge.loader, _weighed(book, rules), judge.today)
    setups = _chosen_setups(rereader, call.setup)
    _leave_the_rest(rereader, rules, call.setup)
    tell = output.progress(MOST_EFFORT, "the longest search", most=True)
    mend = mend_plan(rereader, house, setups, only_mechanical=call.write and not call.editorial, tell=tell)
    if tell is not None:
        tell(MOST_EFFORT)
    if call.write and mend.after != mend.before and not _written(document.source, mend):
        return 2
    told = Told(mend, document.source, call.write)
    written = [write(told, report) for report in reports]
    if not all(written):
        if call.write and mend.after != mend.before:
            output.complain("shootlint: the plan was changed all the same")
        return 2
    return 0 if mend.holds else 1


def _chosen_levers(house: HouseLevers, call: argparse.Namespace) -> HouseLevers:
    """The levers that the call and the house allow; raises Refused where one is named that does not exist."""
    from shootlint.language.complaint import none_called
    from shootlint.remedies.levers import levers

    for name in (*call.only, *call.without):
        if name not in levers():
            raise Refused(none_called("lever", name, levers()))
        if name in call.only and name not in house.allowed:
            raise Refused(f"the house forbids to turn {name}")
    chosen = house.only(set(call.only)) if call.only else house
    return chosen.without(set(call.without))


def _chosen_rules(book: Book, names: list[str]) -> list[str]:
    """The rules that the call names, by their names of today; raises Refused where one is not in force."""
    from shootlint.language.complaint import none_called

    for name in names:
        if name in book.retired:
            raise Refused(f"{name} is retired here, because {book.retired[name]}")
        if book.name_now(name) not in book.rules:
            raise Refused(none_called("rule", name, book.rules))
    return [book.name_now(name) for name in names]


def _weighed(book: Book, rules: list[str]) -> Book:
    """The rulebook in which a note that is to be mended counts as a fault."""
    from dataclasses import replace

    notes = {name: replace(book.rules[name], level="warning") for name in rules if book.rules[name].level == "note"}
    return replace(book, rules={**book.rules, **notes})


def _leave_the_rest(rereader: Rereader, rules: list[str], setups: list[str]) -> None:
    """Leaves what fails by other rules and in other setups than these as it is, where any are named."""
    if rules or setups:
        rereader.leave_as_it_is(
            lambda thing: bool(rules and thing[0] not in rules) or bool(setups and thing[1] and thing[1] not in setups)
        )


def _chosen_setups(rereader: Rereader, names: list[str]) -> list[int] | None:
    """Where the setups are that the call names; None for all of them. Raises Refused where there is none of a name."""
    from shootlint.readings.scene import places_of

    try:
        return places_of(names, rereader.start.scenes) if names else None
    except ValueError as error:
        raise Refused(str(error)) from None


def _written(source: Source, mend: PlanMend) -> bool:
    """Puts the mended text into the plan's file; tells where that cannot be done, and the file is then as it was."""
    from shootlint.commands import output
    from shootlint.commands.writing import ChangedMeanwhile, rewrite

    assert source.path is not None
    try:
        rewrite(source.path, source.content, source.encoded(mend.after))
    except ChangedMeanwhile as error:
        output.complain(f"shootlint: {source.name}: {error}; nothing was written")
    except OSError as error:
        output.complain(f"shootlint: {source.name} cannot be written: {error.strerror}; it is as it was")
    else:
        return True
    return False
