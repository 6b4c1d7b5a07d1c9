"""Lists what mends may turn, the cheapest first, or tells of one lever: its grade, its price and what a turn costs."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.remedies.levers import Lever

WIDTH = 100


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="LEVER", help="only this lever")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.language.complaint import did_you_mean
    from shootlint.remedies.levers import levers

    known = levers()
    if call.name is None:
        output.say(listing(known))
        return 0
    if call.name not in known:
        return trouble(f"no lever is called {call.name}{did_you_mean(call.name, known)}")
    output.say(page(known[call.name]))
    return 0


def listing(levers: Mapping[str, Lever]) -> Iterator[str]:
    width = max(map(len, levers))
    for name, each in levers.items():
        yield f"{name:{width}}  {each.grade:10}  {price(each):18}  {each.meaning}"


def price(lever: Lever) -> str:
    """What a mend by a lever weighs against another one."""
    return f"{lever.first:g}" + (f" + {lever.each:g} a {lever.measure.name.removesuffix('s') or 'step'}" if lever.each else "")


def _bounded_by(lever: Lever) -> str:
    if not lever.each:
        return ""
    return f"a value of {lever.bounded}" if lever.bounded not in ("number", "share") else "a plain number"


def page(lever: Lever) -> Iterator[str]:
    from textwrap import wrap

    yield lever.name
    yield from wrap(lever.meaning, WIDTH, initial_indent="  ", subsequent_indent="  ")
    facts = {
        "grade": f"{lever.grade}, which {'keeps' if lever.grade == 'mechanical' else 'changes'} the picture",
        "price": f"{price(lever)} (common practice, no source)",
        "bounded by": _bounded_by(lever),
        "turned up": lever.more.format("…"),
        "turned down": lever.less.format("…"),
    }
    for name, fact in facts.items():
        if fact:
            yield from wrap(fact, WIDTH, initial_indent=f"  {name:12}", subsequent_indent=" " * 14)
