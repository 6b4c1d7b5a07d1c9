"""What a run of `check` gives to its reports."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field

from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, GoneRecord, PlanRecord, Remark
from shootlint.reports.rule_records import RulebookRecord


def _no_rulebook(_: PlanRecord) -> None:
    """What is known of a plan's rulebook where nobody has said."""


@dataclass
class Since:
    """The revision since which plans have to have changed to be judged, and how many have not."""

    revision: str
    unchanged: int


@dataclass
class Run:
    """All plans of a run, in order, and the files that could not be read at all."""

    plans: list[PlanRecord] = field(default_factory=list)
    unreadable: list[tuple[str, str]] = field(default_factory=list)
    """File and reason."""
    today: datetime.date = field(default_factory=datetime.date.today)
    """The day on which the plans were judged."""
    fail_on: str = LEVELS[0]
    """The level from which a finding makes the exit status 1."""
    known: str | None = None
    """The earlier report with which the findings were compared."""
    known_guid: str | None = None
    """The identity that the earlier report has by its own word."""
    gone: list[GoneRecord] = field(default_factory=list)
    """What the earlier report has and this run has not."""
    since: Since | None = None
    rulebook: Callable[[PlanRecord], RulebookRecord | None] = _no_rulebook
    """Gives the rules by which a plan was judged; reports that do not list rules never ask."""

    @property
    def could_not_read(self) -> bool:
        return bool(self.unreadable) or any(plan.complaints for plan in self.plans)

    def fails_at(self, level: str) -> bool:
        """Whether there is a finding as bad as this level or worse, besides those that an earlier report knows."""
        bad = LEVELS[: LEVELS.index(level) + 1]
        return any(finding.level in bad for plan in self.plans for finding in plan.findings if finding.counts)

    def fails(self, finding: FindingRecord) -> bool:
        """Whether a finding by itself makes the exit status 1."""
        return finding.counts and LEVELS.index(finding.level) <= LEVELS.index(self.fail_on)

    def holds(self, plan: PlanRecord) -> bool:
        """Whether a plan reads without a mistake and nothing in it makes the exit status 1."""
        return not (plan.complaints or plan.unsound_setups or any(map(self.fails, plan.findings)))

    @property
    def status(self) -> int:
        """The exit status, as long as every report can be written."""
        return 2 if self.could_not_read else 1 if self.fails_at(self.fail_on) else 0

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
