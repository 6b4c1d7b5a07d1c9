"""What a run of `measure` gives to its reports."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.readings.catalogue import Reading
    from shootlint.readings.graph import Graph
    from shootlint.readings.packing import Item


@dataclass(frozen=True)
class Told:
    """The readings asked for, of each setup, and what to pack."""

    readings: list[Reading]
    graphs: list[Graph]
    every: int | None
    """Show what changes with the minute in a row every so many minutes."""
    items: list[Item]
