"""What would mend a plan, as a diff and a few plain lines."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from shootlint.language.edits import unified
from shootlint.reports.counting import plural
from shootlint.reports.layout import wrapped
from shootlint.reports.mend.told import Told
from shootlint.reports.visible import visible

if TYPE_CHECKING:
    from shootlint.language.source import Source
    from shootlint.remedies.plan_mend import PlanMend

TAB = "\t"
MOST_MARGINS = 5


def render(told: Told, colour: bool = False) -> str:
    # A tab does nothing to a terminal, and a line of the diff without its own would be another line.
    lines = _lines(told.mend, told.source, told.was_written)
    return "".join(f"{TAB.join(map(visible, line.split(TAB)))}\n" for line in lines)


def _lines(mend: PlanMend, source: Source, was_written: bool) -> Iterator[str]:
    if mend.after != mend.before:
        yield from unified(mend.before, mend.after, source.name)
        yield ""
    for setup, changes in groupby(mend.changes, key=lambda each: each.step.setup):
        yield f'setup "{setup}"'
        for change in changes:
            cost = f": {change.step.cost}" if change.step.cost else ""
            yield from wrapped(f"{change.step.title} ({change.step.grade}){cost}", 2, 6)
            if change.mends:
                yield from wrapped(f"mends {', '.join(change.mends)}", 4, 6)
    if mend.margins:
        yield "holds then by little"
        for margin in mend.margins[:MOST_MARGINS]:
            where = f' in setup "{mend.setups[margin.at]}"' if len(mend.setups) > 1 else ""
            yield from wrapped(f"{margin.in_words()}{where}", 2, 6)
    if mend.conflicts:
        yield "not mended"
        for conflict in mend.conflicts:
            yield from wrapped(conflict.in_words(), 2, 4)
    if mend.more_conflicts:
        yield f"  and {mend.more_conflicts} more, of which shootlint check tells"
    before, after = mend.failing_before, mend.failing_after
    then = f"{plural(after['error'], 'error')} and {plural(after['warning'], 'warning')}"
    if mend.after == mend.before:
        found = before["error"] + before["warning"]
        yield f"nothing to mend: {then}" if not found else f"no change was found that betters the plan: {then} as it is"
        return
    verb = "made" if was_written else "would do"
    yield (
        f"{plural(len(mend.changes), 'change')} {verb}: {plural(before['error'], 'error')} and "
        f"{plural(before['warning'], 'warning')} become {then}"
    )
