"""What a run of `check` gives to its reports."""

from __future__ import annotations

from dataclasses import dataclass, field

from shootlint.language.complaint import Complaint
from shootlint.language.loading import Document
from shootlint.rulebook.finding import LEVELS, Verdict


@dataclass(frozen=True)
class JudgedPlan:
    """One plan, what is wrong with its text, and what judging it gave."""

    document: Document
    complaints: tuple[Complaint, ...]
    """The mistakes in the plan, its kits and its rule files."""
    verdict: Verdict

    @property
    def name(self) -> str:
        return self.document.source.name

    @property
    def title(self) -> str | None:
        plan = self.document.plan
        return str(plan.title) if plan is not None and plan.title is not None else None


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
        return any(finding.level in bad for plan in self.plans for finding in plan.verdict.findings)

    @property
    def complaints(self) -> list[Complaint]:
        """Every complaint of the run once, though several plans may share a kit or a rule file."""
        return list(dict.fromkeys(complaint for plan in self.plans for complaint in plan.complaints))

    @property
    def safety(self) -> list[str]:
        """The safety notes of all plans, each once."""
        return list(dict.fromkeys(note for plan in self.plans for note in plan.verdict.safety))
