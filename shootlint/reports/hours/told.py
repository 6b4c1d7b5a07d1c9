"""What a run of `hours` gives to its reports."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shootlint.language import clocks

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from shootlint.language.model import Plan
    from shootlint.readings.graph import Graph
    from shootlint.remedies.following import End
    from shootlint.remedies.laying import Layout
    from shootlint.rulebook.evening import Moment
    from shootlint.rulebook.hours import Hours


@dataclass(frozen=True)
class Evening:
    """One setup, minute by minute over the slot that the plan gives it."""

    graph: Graph
    moments: list[Moment]
    ends: list[End]
    """Where a shutter that follows the light is at its end."""

    @property
    def name(self) -> str:
        return str(self.graph.scene.setup.name)

    @property
    def follows(self) -> bool:
        return self.graph.scene.setup.shutter.follows is not None


@dataclass(frozen=True)
class Told:
    """When one plan holds."""

    name: str
    plan: Plan
    hours: Hours
    best: int | None
    """Which of several days has the longest span for the setup with the least room; None where on none all setups hold."""
    layout: Layout | None
    """How the slots would best be laid, where one day is asked of."""
    evenings: list[Evening]
    """Where that day is the plan's own."""
    today: datetime.date
    best_only: bool = False

    @property
    def title(self) -> str | None:
        return str(self.plan.title) if self.plan.title is not None else None

    @property
    def zone(self) -> ZoneInfo:
        """The zone of the site; asked for only where there are spans to tell."""
        found = self.hours.setups[0].scene.zone
        assert found is not None
        return found

    def wall(self, instant: float) -> datetime.datetime:
        return datetime.datetime.fromtimestamp(instant, self.zone)

    def clock(self, instant: float) -> str:
        """The time on the wall; "again" where the clocks are put back and show it for the second time."""
        return clocks.told_clock(instant, self.zone)
