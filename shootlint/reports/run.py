"""What a run of `check` gives to its reports."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from shootlint.reports.levels import LEVELS
from shootlint.reports.records import PlanRecord, Remark


@dataclass
class Run:
    """All plans of a run, in order, and the files that could not be read at all."""

    plans: list[PlanRecord] = field(default_factory=list)
    unreadable: list[tuple[str, str]] = field(default_factory=list)
    """File and reason."""
    today: datetime.date = field(default_factory=datetime.date.today)
    """The day on which the plans were judged."""

    @property
    def could_not_read(self) -> bool:
        return bool(self.unreadable) or any(plan.complaints for plan in self.plans)

    def fails_at(self, level: str) -> bool:
        """Whether there is a finding as bad as this level or worse."""
        bad = LEVELS[: LEVELS.index(level) + 1]
        return any(finding.level in bad for plan in self.plans for finding in plan.findings)

    @property
    def notes(self) -> list[Remark]:
        """Every note on the rule files of the run, once."""
        return list({(str(each.place), each.message): each for plan in self.plans for each in plan.notes}.values())

    @property
    def complaints(self) -> list[Remark]:
        """Every complaint of the run once, though several plans may share a kit or a rule file."""
        return list({(str(each.place), each.message): each for plan in self.plans for each in plan.complaints}.values())

    @property
    def safety(self) -> list[str]:
        """The safety notes of all plans, each once."""
        return list(dict.fromkeys(note for plan in self.plans for note in plan.safety))
