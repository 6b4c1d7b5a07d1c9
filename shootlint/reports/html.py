"""The team's page: all plans of a run by verdict, the rules that fire most, and what is about to run out."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from shootlint.reports.counting import plural
from shootlint.reports.levels import LEVELS
from shootlint.reports.pages import page
from shootlint.reports.records import PlanRecord
from shootlint.reports.run import Run
from shootlint.rulebook.outlook import WEEKS

MOST_RULES = 15


@dataclass(frozen=True)
class Beside:
    """What was found out about a plan while its own sheet was written."""

    link: str
    """Where its sheet lies, from the page; empty where none was written."""
    loses: str
    """What it loses in the next weeks, in words; empty where nothing."""


@dataclass(frozen=True)
class PlanLine:
    """A plan as it stands on the page."""

    record: PlanRecord
    link: str

    @property
    def title(self) -> str:
        return self.record.title or self.record.path

    @property
    def told(self) -> str:
        """What was found, in numbers; what is not there is not told."""
        record = self.record
        counted = [(len(record.complaints), "mistake")]
        counted += [(sum(finding.counts for finding in record.at_level(level)), level) for level in LEVELS]
        words = [plural(count, word) for count, word in counted if count]
        words += [f"{len(record.known)} known"] * bool(record.known)
        missing = len(record.not_judged) + len(record.unsound_setups)
        words += [f"{len(record.accepted)} accepted"] * bool(record.accepted) + [f"{missing} not judged"] * bool(missing)
        return ", ".join(words) or "nothing to find"


@dataclass(frozen=True)
class RuleLine:
    """A rule that fires, in how many plans, and how often."""

    name: str
    title: str
    level: str
    plans: int
    findings: int


def render(run: Run, colour: bool = False, beside: Mapping[str, Beside] | None = None) -> str:
    """The page; `beside` has by a plan's path what was found out while its sheet was written."""
    known = beside or {}
    lines = [
        PlanLine(record, known[record.path].link if record.path in known else "")
        for record in run.plans
        if not record.has_no_setup
    ]
    verdicts = [
        ("Could not be read whole", [each for each in lines if each.record.complaints or each.record.unsound_setups]),
        ("Do not hold", [each for each in lines if not _unread(each) and not run.holds(each.record)]),
        ("Hold, with warnings", [each for each in lines if run.holds(each.record) and _warned(each)]),
        ("Hold", [each for each in lines if run.holds(each.record) and not _warned(each)]),
    ]
    today = run.today
    return page(
        "team.html.jinja",
        run=run,
        plans=len(lines),
        verdicts=[(title, found) for title, found in verdicts if found],
        rules=_rules(run),
        weeks=WEEKS,
        over=[each for each in lines if each.record.date and each.record.date < today.isoformat()],
        expiring=sorted(_expiring(lines, today), key=lambda each: each[0]),
        losing=[
            (each, known[each.record.path].loses) for each in lines if each.record.path in known and known[each.record.path].loses
        ],
    )


def _unread(line: PlanLine) -> bool:
    return bool(line.record.complaints or line.record.unsound_setups)


def _warned(line: PlanLine) -> bool:
    return any(finding.counts for level in LEVELS[:2] for finding in line.record.at_level(level))


def _rules(run: Run) -> list[RuleLine]:
    """The rules that fire, those in most plans first."""
    findings = [(plan.path, finding) for plan in run.plans for finding in plan.findings if finding.counts]
    often = Counter(finding.rule for _, finding in findings)
    wide = Counter(rule for _, rule in {(path, finding.rule) for path, finding in findings})
    # A level may have been changed by one house of several; the worst is told.
    known = {finding.rule: finding for _, finding in sorted(findings, key=lambda each: LEVELS.index(each[1].level), reverse=True)}
    lines = [RuleLine(name, known[name].title, known[name].level, wide[name], often[name]) for name in often]
    return sorted(lines, key=lambda each: (-each.plans, -each.findings, each.name))[:MOST_RULES]


def _expiring(lines: list[PlanLine], today: datetime.date) -> list[tuple[str, PlanLine, str, str]]:
    """What is accepted until a day within the next weeks: the day, the plan, the rule and the reason."""
    last = (today + datetime.timedelta(weeks=WEEKS)).isoformat()
    return [
        (accepted.until, line, accepted.finding.rule, accepted.reason)
        for line in lines
        for accepted in line.record.accepted
        if accepted.until is not None and accepted.until <= last
    ]
