"""The order of the evening as a table for spreadsheets (CSV, RFC 4180)."""

from __future__ import annotations

from shootlint.reports.evening.told import Told
from shootlint.reports.table_file import table_of


def render(told: Told, colour: bool = False) -> str:
    order = told.order
    rows = [
        (
            str(order.wall(step.start).date()),
            order.clock(step.start),
            order.clock(step.end) if step.end > step.start else "",
            step.minutes if step.end > step.start else "",
            step.kind,
            step.label,
            step.setup,
            ", ".join(step.who),
        )
        for step in order.steps
    ]
    return table_of(("date", "start", "end", "minutes", "kind", "what", "setup", "who"), rows)
