"""What a run of `check` gives to its reports."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from shootlint.reports.levels import LEVELS

if TYPE_CHECKING:
    from shootlint.language.complaint import Complaint
    from shootlint.language.loading import Document
    from shootlint.rulebook.finding import Accepted, Finding, NotJudged, Verdict


@dataclass(frozen=True)
class JudgedPlan:
    """One plan, what is wrong with its text, and what judging it gave."""

    document: Document
    complaints: tuple[Complaint, ...]
    """The mistakes in the plan, its kits and its rule files."""
    verdict: Verdict | None
    """None where there was nothing to judge: no setup, or none without a mistake."""
    notes: tuple[Complaint, ...] = ()
    """What its rule files might say better; nothing hangs on it."""

    @property
    def name(self) -> str:
        return self.document.source.name

    @property
    def title(self) -> str | None:
        plan = self.document.plan
        return str(plan.title) if plan is not None and plan.title is not None else None

    @property
    def findings(self) -> list[Finding]:
        return self.verdict.findings if self.verdict is not None else []

    @property
    def accepted(self) -> list[Accepted]:
        return self.verdict.accepted if self.verdict is not None else []

    @property
    def not_judged(self) -> list[NotJudged]:
        return self.verdict.not_judged if self.verdict is not None else []

    @property
    def safety(self) -> list[str]:
        return self.verdict.safety if self.verdict is not None else []

    @property
    def held(self) -> int:
        return self.verdict.held if self.verdict is not None else 0

    @property
    def holds(self) -> bool:
        """Whether it reads without a mistake and has no error."""
        return not self.complaints and not self.document.unsound_setups and not self.at_level("error")

    @property
    def has_no_setup(self) -> bool:
        """Whether it is sound and yet nothing in it can be judged: a kit."""
        return not self.complaints and not self.document.is_plan

    def at_level(self, level: str) -> list[Finding]:
        return [finding for finding in self.findings if finding.level == level]


@dataclass
class Run:
    """All plans of a run, in order, and the files that could not be read at all."""

    plans: list[JudgedPlan] = field(default_factory=list)
    unreadable: list[tuple[str, str]] = field(default_factory=list)
    """File and reason."""

    @property
    def could_not_read(self) -> bool:
        return bool(self.unreadable) or any(plan.complaints for plan in self.plans)

    def fails_at(self, level: str) -> bool:
        """Whether there is a finding as bad as this level or worse."""
        bad = LEVELS[: LEVELS.index(level) + 1]
        return any(finding.level in bad for plan in self.plans for finding in plan.findings)

    @property
    def notes(self) -> list[Complaint]:
        """Every note on the rule files of the run, once."""
        return list({(str(each.place), each.message): each for plan in self.plans for each in plan.notes}.values())

    @property
    def complaints(self) -> list[Complaint]:
        """Every complaint of the run once, though several plans may share a kit or a rule file."""
        return list({(str(each.place), each.message): each for plan in self.plans for each in plan.complaints}.values())

    @property
    def safety(self) -> list[str]:
        """The safety notes of all plans, each once."""
        return list(dict.fromkeys(note for plan in self.plans for note in plan.safety))
