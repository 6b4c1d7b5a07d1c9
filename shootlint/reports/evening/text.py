"""The evening as people read it in a terminal: what happens when, and what to pack."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from shootlint.language.complaint import listed
from shootlint.reports.counting import day_in_words
from shootlint.reports.evening.told import Told
from shootlint.reports.layout import wrapped
from shootlint.reports.measured import packing
from shootlint.reports.visible import visible


def render(told: Told, colour: bool = False) -> str:
    return "".join(f"{visible(line)}\n" for line in [*_order(told), *packing(told.items)])


def _order(told: Told) -> Iterator[str]:
    order = told.order
    clocks = {
        step: f"{order.clock(step.start)}{f' to {order.clock(step.end)}' if step.end > step.start else ''}"
        for step in order.steps
    }
    width = max(map(len, clocks.values()), default=0)
    for day, steps in groupby(order.steps, lambda step: order.wall(step.start).date()):
        yield f"{told.name} on {day_in_words(day)}"
        for step in steps:
            who = f": {listed(step.who, 'and')}" if step.kind == "call" else ""
            first = f"  {clocks[step]:{width}}  "
            yield from wrapped(f"{step.label}{who}", first, len(first))
        yield ""
    if not order.steps:
        yield f"{told.name}: the order of the evening cannot be told"
        yield ""
