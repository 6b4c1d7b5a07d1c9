"""What a finding is known by from one report to the next.

Neither its line nor what was measured belongs to that: both change while the finding stays. It is known by its rule, its
setup and whom or what it is about. The file is left out, as SARIF asks of what a reader can tell by itself (2.1.0,
appendix B); whoever compares looks in one file at a time.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from hashlib import sha256

from shootlint.reports.records import FindingRecord, NotJudgedRecord, PlanRecord, Remark

KEY = "ruleAndSubject/v1"
"""The name under which SARIF has it. Whoever changes what it is made of counts the version up."""

Subject = tuple[str | None, tuple[str, ...], tuple[str, ...]]


class Fingerprints:
    """Gives fingerprints to what is told of one plan; equal ones are told apart by a counter, in the order of the plan."""

    def __init__(self) -> None:
        self._met: Counter[str] = Counter()

    def of(self, rule: str, subject: Subject) -> str:
        whole = _digest(rule, subject)
        self._met[whole] += 1
        return f"{whole}:{self._met[whole]}"


def of_findings(plan: PlanRecord) -> Iterator[tuple[FindingRecord, str]]:
    """The findings of a plan, accepted ones among them, in the plan's order and each with its fingerprint.

    Both are counted together, so that accepting one of two equal findings does not make the other one a third.
    """
    prints = Fingerprints()
    for finding in in_order(plan):
        yield finding, prints.of(finding.rule, subject_of(finding))


def in_order(plan: PlanRecord) -> list[FindingRecord]:
    accepted = [each.finding for each in plan.accepted]
    return sorted([*plan.findings, *accepted], key=lambda each: (each.place.line, each.place.column))


def of_missing(plan: PlanRecord) -> Iterator[tuple[NotJudgedRecord, str]]:
    """What could not be judged in a plan, each with its fingerprint."""
    prints = Fingerprints()
    for missing in plan.not_judged:
        yield missing, prints.of(missing.rule, (missing.setup, ("not judged",), ()))


def of_remarks(remarks: Iterable[Remark]) -> Iterator[tuple[Remark, str]]:
    """Mistakes, each with its fingerprint: the message is all that they have."""
    prints = Fingerprints()
    for remark in remarks:
        yield remark, prints.of("", (remark.message, (), ()))


def subject_of(finding: FindingRecord) -> Subject:
    return finding.setup, finding.axes, finding.about


def renamed(fingerprint: str, rule: str, subject: Subject) -> str:
    """The fingerprint that a finding would have were its rule called otherwise."""
    return f"{_digest(rule, subject)}:{fingerprint.rpartition(':')[2]}"


def _digest(rule: str, subject: Subject) -> str:
    # Half of it tells apart more findings than there will ever be.
    return sha256(json.dumps([rule, *subject]).encode()).hexdigest()[:32]
