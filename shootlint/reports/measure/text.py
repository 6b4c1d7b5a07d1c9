"""What a plan measures, as tables that people read."""

from __future__ import annotations

from shootlint.reports.measure.told import Told
from shootlint.reports.measured import packing, table
from shootlint.reports.visible import visible


def render(told: Told, colour: bool = False) -> str:
    tables = [line for graph in told.graphs for line in table(told.readings, graph, told.every)]
    return "".join(f"{visible(line)}\n" for line in [*tables, *packing(told.items)])
