"""What a plan measures, for programs."""

from __future__ import annotations

from shootlint.reports.json import heading, written
from shootlint.reports.measure.told import Told
from shootlint.reports.measured import as_json_all


def render(told: Told, colour: bool = False) -> str:
    setups = {str(graph.scene.setup.name): {"readings": as_json_all(told.readings, graph)} for graph in told.graphs}
    packed = [{"kind": each.kind, "name": each.name, "count": each.count} for each in told.items]
    return written({**heading(), "setups": setups, "packing": packed})
