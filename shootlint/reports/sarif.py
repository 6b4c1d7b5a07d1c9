"""The report that code scanning and editors read: SARIF 2.1.0 (OASIS Standard with errata 01, 2023-08-28).

One log is one run over all plans of a call. What does not hold is a result of kind `fail`; what could not be judged is one of
kind `open`, which is neither good nor bad. A mistake in a plan or a kit is a result too, of a rule of its own: most readers
show results and nothing else, at the place where something is to be done. A mistake in a rule file is a notification about
the configuration, and a file that could not be read at all is one about the execution.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from shootlint.language.complaint import listed
from shootlint.reports import sarif_parts as parts
from shootlint.reports.fingerprints import KEY, of_findings, of_missing, of_remarks
from shootlint.reports.json import heading, plain, written
from shootlint.reports.records import (
    AcceptanceRecord,
    AcceptedRecord,
    FindingRecord,
    GoneRecord,
    NotJudgedRecord,
    PlaceRecord,
    PlanRecord,
    Remark,
)
from shootlint.reports.rule_records import RulebookRecord
from shootlint.reports.run import Run
from shootlint.reports.sarif_rules import (
    MISTAKE,
    NOT_JUDGED,
    NOTIFICATIONS,
    RULES_NOTE,
    UNREADABLE,
    WRONG_RULES,
    Rules,
    notification,
)
from shootlint.reports.sure import as_json
from shootlint.reports.text import where

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
TOOL = "shootlint"


def render(run: Run, colour: bool = False) -> str:
    told = _Log(run).told()
    # Made of what it says, so that a report which says the same is the same to the last byte.
    told["automationDetails"] = {"id": f"{TOOL}/check/", "guid": str(uuid5(NAMESPACE_URL, json.dumps(told)))}
    return written({"$schema": SCHEMA, "version": "2.1.0", "runs": [told]})


class _Log:
    """A run as it is written down, plan by plan."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.files = parts.Files()
        self.rules = Rules()
        self.mistakes: set[tuple[str, str]] = set()

    def told(self) -> dict[str, Any]:
        results = [result for plan in self.run.plans for result in self.plan(plan)]
        results += [self.gone(each) for each in self.run.gone]
        invocation = self.invocation()
        version = heading()[TOOL]
        driver = {
            "name": TOOL,
            "fullName": f"{TOOL} {version}",
            "version": version,
            **({"semanticVersion": version} if parts.is_semantic(version) else {}),
            "shortDescription": {"text": "Judges plans of location portrait shoots before anyone leaves."},
            "language": "en-US",
            "rules": self.rules.descriptors,
            "notifications": NOTIFICATIONS,
        }
        return {
            "tool": {"driver": driver},
            **({"policies": self.rules.policies} if self.rules.policies else {}),
            "language": "en-US",
            "columnKind": "unicodeCodePoints",
            "defaultEncoding": "UTF-8",
            **({"baselineGuid": self.run.known_guid} if self.run.known_guid else {}),
            "originalUriBaseIds": {parts.BASE: {"description": {"text": "The folder in which shootlint was started."}}},
            "invocations": [invocation],
            "artifacts": self.files.artifacts,
            "results": results,
            "properties": self.properties(),
        }

    def properties(self) -> dict[str, Any]:
        since, known = self.run.since, self.run.known
        return {
            "fail-on": self.run.fail_on,
            "safety": self.run.safety,
            **({"known": known} if known is not None else {}),
            **({"changed-since": since.revision, "not-changed": since.unchanged} if since is not None else {}),
        }

    def invocation(self) -> dict[str, Any]:
        execution = [
            {
                **notification(UNREADABLE),
                "message": parts.message(parts.sentence(f"{name}: {reason}")),
                "locations": [{"physicalLocation": {"artifactLocation": self.files.location(name)}}],
            }
            for name, reason in self.run.unreadable
        ]
        in_rules = [(WRONG_RULES, each) for each in self.run.complaints if each.in_rules]
        configuration = [
            {
                **notification(kind),
                "message": parts.message(parts.sentence(remark.message)),
                "locations": [{"physicalLocation": self.files.physical(remark.place)}],
            }
            for kind, remark in [*in_rules, *((RULES_NOTE, each) for each in self.run.notes)]
        ]
        for each in configuration:
            self.files.describe_at(each["locations"][0], roles=["userSpecifiedConfiguration"])
        return {
            "executionSuccessful": not self.run.could_not_read,
            "exitCode": self.run.status,
            "toolExecutionNotifications": execution,
            "toolConfigurationNotifications": configuration,
        }

    def plan(self, plan: PlanRecord) -> Iterator[dict[str, Any]]:
        book = self.run.rulebook(plan)
        policy = self.rules.take(book) if book is not None else None
        self.files.describe(plan.path, **_described(plan, policy))
        for remark, fingerprint in of_remarks(each for each in plan.complaints if not each.in_rules):
            # Several plans may share a kit, and its mistake is one.
            if (str(remark.place), remark.message) not in self.mistakes:
                self.mistakes.add((str(remark.place), remark.message))
                yield self.mistake(remark, fingerprint)
        accepted = {id(each.finding): each for each in plan.accepted}
        for finding, fingerprint in of_findings(plan):
            yield self.finding(finding, fingerprint, book, accepted.get(id(finding)))
        begins = {each.name: each.place for each in plan.setups}
        for missing, fingerprint in of_missing(plan):
            yield self.missing(missing, fingerprint, book, begins[missing.setup])
        for setup in plan.unsound_setups:
            text = f'setup "{setup}" was not judged, until its mistakes are mended'
            yield self.not_judged("open", text, self.at_setup(setup, begins[setup]))
        if plan.has_no_setup:
            start = {"artifactLocation": self.files.location(plan.path), "region": {"startLine": 1}}
            yield self.not_judged("notApplicable", "the file has no setup; it is a kit", {"physicalLocation": start})

    def at_setup(self, setup: str, place: PlaceRecord) -> dict[str, Any]:
        return {"physicalLocation": self.files.physical(place), "logicalLocations": [parts.setup(setup)]}

    def finding(
        self, finding: FindingRecord, fingerprint: str, book: RulebookRecord | None, accepted: AcceptedRecord | None
    ) -> dict[str, Any]:
        logical = parts.logical(finding)
        fixes = [self.files.fix(mend) for mend in finding.mends if mend.changes]
        return {
            **self.rules.of(finding.rule, book, finding),
            "kind": "fail",
            "level": finding.level,
            "message": parts.message(parts.sentence(f"{finding.message} ({where(finding)})")),
            "locations": [
                {"physicalLocation": self.files.physical(finding.place), **({"logicalLocations": logical} if logical else {})}
            ],
            "partialFingerprints": {KEY: fingerprint},
            **self.state(finding.state),
            **parts.suppressions(self.spared(finding, accepted)),
            **({"fixes": fixes} if fixes else {}),
            "properties": _measured(finding),
        }

    def spared(self, finding: FindingRecord, accepted: AcceptedRecord | None) -> Iterator[dict[str, Any]]:
        """How a plan speaks of living with a finding, be it that the time for that is over."""
        if accepted is not None and accepted.place is not None:
            yield self.suppression("accepted", AcceptanceRecord(accepted.reason, accepted.until, accepted.place))
        if finding.lapsed is not None:
            yield self.suppression("rejected", finding.lapsed)

    def suppression(self, status: str, by: AcceptanceRecord) -> dict[str, Any]:
        until = {"properties": {"until": by.until}} if by.until is not None else {}
        return {
            "kind": "inSource",
            "status": status,
            "justification": parts.plain_text(by.reason),
            "location": {"physicalLocation": self.files.physical(by.place)},
            **until,
        }

    def mistake(self, remark: Remark, fingerprint: str) -> dict[str, Any]:
        return {
            **self.rules.of(MISTAKE, None),
            "kind": "fail",
            "level": "error",
            "message": parts.message(parts.sentence(remark.message)),
            "locations": [{"physicalLocation": self.files.physical(remark.place)}],
            "partialFingerprints": {KEY: fingerprint},
            # What hides behind a mistake is not known, so no earlier report makes it one to pass over.
            **self.state("new"),
            **parts.suppressions(),
        }

    def missing(
        self, missing: NotJudgedRecord, fingerprint: str, book: RulebookRecord | None, begins: PlaceRecord
    ) -> dict[str, Any]:
        text = f'{missing.rule} could not be judged in setup "{missing.setup}"; it needs {listed(missing.needs, "and")}'
        return {
            **self.rules.of(missing.rule if missing.rule != "everything" else NOT_JUDGED, book),
            "kind": "open",
            "level": "none",
            "message": parts.message(parts.sentence(text)),
            "locations": [self.at_setup(missing.setup, begins)],
            "partialFingerprints": {KEY: fingerprint},
            **self.state(missing.state),
            **parts.suppressions(),
            "properties": {"setup": missing.setup, "needs": list(missing.needs)},
        }

    def not_judged(self, kind: str, text: str, location: dict[str, Any]) -> dict[str, Any]:
        return {
            **self.rules.of(NOT_JUDGED, None),
            "kind": kind,
            "level": "none",
            "message": parts.message(parts.sentence(text)),
            "locations": [location],
            **self.state("new"),
            **parts.suppressions(),
        }

    def gone(self, gone: GoneRecord) -> dict[str, Any]:
        return {
            **self.rules.of(gone.rule, None),
            "kind": "fail",
            "level": gone.level,
            "message": parts.message(parts.sentence(gone.message)),
            "locations": [{"physicalLocation": self.files.physical(gone.place)}],
            "partialFingerprints": {KEY: gone.fingerprint},
            **self.state("absent"),
            **parts.suppressions(),
        }

    def state(self, state: str | None) -> dict[str, str]:
        """How a result compares with the earlier report; all results of a log say so or none does."""
        return {} if self.run.known is None or state is None else {"baselineState": state}


def _described(plan: PlanRecord, policy: str | None) -> dict[str, Any]:
    """What is told of a plan as a whole."""
    return {
        "roles": ["analysisTarget"],
        **({"hashes": {"sha-256": plan.digest}} if plan.digest else {}),
        "properties": {
            "title": plan.title,
            "held": plan.held,
            **({"policy": policy} if policy is not None else {}),
            **({"trials": as_json(plan.sureness)} if plan.sureness is not None else {}),
            **({"margins": [each._asdict() for each in plan.margins]} if plan.margins else {}),
        },
    }


def _measured(finding: FindingRecord) -> dict[str, Any]:
    measured = finding.measured
    return {
        "setup": finding.setup,
        "about": list(finding.about),
        "spans": [list(span) for span in finding.spans],
        **({"share-of-trials": plain(finding.share)} if finding.share is not None else {}),
        **(
            {}
            if measured is None
            else {
                "measured": {
                    "reading": measured.reading,
                    "value": plain(measured.value),
                    "unit": measured.unit,
                    "limit": plain(measured.limit),
                }
            }
        ),
    }
