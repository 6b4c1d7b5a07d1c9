"""The packing list as a table for spreadsheets (CSV, RFC 4180)."""

from __future__ import annotations

from shootlint.reports.evening.told import Told
from shootlint.reports.table_file import table_of


def render(told: Told, colour: bool = False) -> str:
    return table_of(("count", "kind", "name"), [(each.count, each.kind, each.name) for each in told.items])
