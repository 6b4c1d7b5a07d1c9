"""Lists what mends may turn, the cheapest first, or tells of one lever: its grade, its price and what a turn costs."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.remedies.levers import Lever


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="LEVER", help="only this lever")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.refused import Refused
    from shootlint.language.complaint import none_called
    from shootlint.remedies.levers import levers

    known = levers()
    if call.name is None:
        output.say(listing(known))
        return 0
    if call.name not in known:
        raise Refused(none_called("lever", call.name, known))
    output.say(page_of(known[call.name]))
    return 0


def listing(levers: Mapping[str, Lever]) -> Iterator[str]:
    from shootlint.reports.layout import columns

    yield from columns((name, each.grade, price(each), each.meaning) for name, each in levers.items())


def price(lever: Lever) -> str:
    """What a mend by a lever weighs against another one."""
    return f"{lever.first:g}" + (f" + {lever.each:g} a {lever.measure.name.removesuffix('s') or 'step'}" if lever.each else "")


def _bounded_by(lever: Lever) -> str:
    if not lever.each:
        return ""
    return f"a value of {lever.bounded}" if lever.bounded not in ("number", "share") else "a plain number"


def page_of(lever: Lever) -> Iterator[str]:
    from shootlint.reports.layout import page

    facts = {
        "grade": f"{lever.grade}, which {'keeps' if lever.grade == 'mechanical' else 'changes'} the picture",
        "price": f"{price(lever)} (common practice, no source)",
        "bounded by": _bounded_by(lever),
        "turned up": lever.more.format("…"),
        "turned down": lever.less.format("…"),
    }
    yield from page(lever.name, lever.meaning, facts)
