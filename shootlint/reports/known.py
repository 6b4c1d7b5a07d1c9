"""An earlier SARIF report of ours, and what of a run is new beside it, known from it or gone.

A finding is known where the earlier report has one of the same fingerprint in the same file that counted then and was at least
as bad. One that was accepted then, or milder, is `updated` in SARIF's words and counts as a new one does.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from shootlint.reports.fingerprints import KEY, of_findings, of_missing, renamed, subject_of
from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, GoneRecord, PlaceRecord, PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.sarif import TOOL
from shootlint.reports.sarif_parts import as_written
from shootlint.reports.sarif_rules import MISTAKE, NOT_JUDGED
from shootlint.reports.uris import path_of, uri_of

Key = tuple[str, str]
"""The URI of a file and a fingerprint."""


class EarlierResult(NamedTuple):
    rule: str
    kind: str
    level: str
    counted: bool
    """Whether it was not accepted then."""
    setup: str | None
    message: str
    place: PlaceRecord


@dataclass
class Earlier:
    """What an earlier report knows."""

    name: str
    guid: str | None
    results: dict[Key, EarlierResult]


class NoReport(Exception):
    """What was named is no SARIF report of ours. Its text says why, for a person."""


def earlier(content: bytes, name: str) -> Earlier:
    """Reads an earlier report; raises NoReport."""
    try:
        log = json.loads(content)
    except (ValueError, RecursionError):
        raise NoReport("it is not JSON") from None
    try:
        return _earlier(log, name)
    except (TypeError, KeyError, IndexError, AttributeError, ValueError):
        raise NoReport("it is not SARIF 2.1.0 as shootlint writes it") from None


def _earlier(log: Any, name: str) -> Earlier:
    if type(log) is not dict or log.get("version") != "2.1.0" or type(log.get("runs")) is not list:
        raise NoReport("it is not SARIF 2.1.0")
    tools = [run["tool"]["driver"]["name"] for run in log["runs"]]
    if tools.count(TOOL) != 1:
        others = ", ".join(sorted(map(str, tools))) or "nobody"
        raise NoReport(f"it has no run of {TOOL}, but of {others}" if TOOL not in tools else f"it has several runs of {TOOL}")
    run = log["runs"][tools.index(TOOL)]
    guid = run.get("automationDetails", {}).get("guid")
    return Earlier(name, guid if type(guid) is str else None, dict(_results(run["results"])))


def _results(results: list[dict[str, Any]]) -> Iterator[tuple[Key, EarlierResult]]:
    for each in results:
        if each.get("baselineState") == "absent" or each["ruleId"] in (MISTAKE, NOT_JUDGED):
            # What was gone already is none of its own; a mistake is none that may be passed over.
            continue
        if KEY not in each.get("partialFingerprints", {}):
            raise NoReport(f"its results have no fingerprints of the kind {KEY}; write it anew with this version")
        (location,) = each["locations"]
        where = location["physicalLocation"]
        uri, region = _text(where["artifactLocation"]["uri"]), where.get("region", {})
        numbers = [region.get(part, 1) for part in ("startLine", "startColumn", "endLine", "endColumn")]
        if each["kind"] == "fail" and each["level"] not in LEVELS:
            raise ValueError(each["level"])
        spared = each.get("suppressions", [])
        yield (
            (uri, _text(each["partialFingerprints"][KEY])),
            EarlierResult(
                rule=_text(each["ruleId"]),
                kind=_text(each["kind"]),
                level=_text(each["level"]),
                counted=not spared or any(one.get("status", "accepted") != "accepted" for one in spared),
                setup=each.get("properties", {}).get("setup"),
                message=as_written(_text(each["message"]["text"])),
                place=PlaceRecord(path_of(uri), *map(int, numbers)),
            ),
        )


def _text(value: Any) -> str:
    if type(value) is not str:
        raise TypeError
    return value


def compare(run: Run, known: Earlier, is_there: Callable[[str], bool]) -> None:
    """Tells in a run's findings how they compare with an earlier report, and in the run what is gone.

    `is_there` tells whether there still is a file at a path: what was found in one that is no more is gone.
    """
    run.known, run.known_guid = known.name, known.guid
    met: set[Key] = set()
    run.plans = [_compared(plan, known, met) for plan in run.plans]
    judged = {uri_of(plan.path): plan for plan in run.plans}
    unreadable = {uri_of(name) for name, _ in run.unreadable}
    for key, result in known.results.items():
        if key in met or result.kind != "fail" or key[0] in unreadable:
            continue
        plan = judged.get(key[0])
        if _is_judged(plan, result) if plan is not None else not is_there(result.place.path):
            run.gone.append(GoneRecord(result.rule, result.level, result.message, result.place, key[1]))


def _is_judged(plan: PlanRecord, result: EarlierResult) -> bool:
    """Whether a plan was asked what an earlier result tells, so that its silence says that it is gone."""
    if plan.complaints or plan.unsound_setups or plan.has_no_setup:
        return False
    from shootlint.rulebook.own import NOT_SURE

    if result.rule == NOT_SURE and plan.sureness is None:
        return False
    return not any(each.rule == result.rule and result.setup in (None, each.setup) for each in plan.not_judged)


def _compared(plan: PlanRecord, known: Earlier, met: set[Key]) -> PlanRecord:
    uri = uri_of(plan.path)
    states: dict[int, str] = {}
    for finding, fingerprint in of_findings(plan):
        names = [fingerprint, *(renamed(fingerprint, former, subject_of(finding)) for former in finding.formerly)]
        key = next((key for name in names if (key := (uri, name)) in known.results and key not in met), None)
        states[id(finding)] = "new"
        if key is not None:
            met.add(key)
            accepted = any(each.finding is finding for each in plan.accepted)
            states[id(finding)] = _state(finding, accepted, known.results[key])
    missing = {id(each): _missing_state(known.results.get((uri, fingerprint))) for each, fingerprint in of_missing(plan)}
    return plan._replace(
        findings=tuple(each._replace(state=states[id(each)]) for each in plan.findings),
        accepted=tuple(each._replace(finding=each.finding._replace(state=states[id(each.finding)])) for each in plan.accepted),
        not_judged=tuple(each._replace(state=missing[id(each)]) for each in plan.not_judged),
    )


def _state(finding: FindingRecord, accepted: bool, before: EarlierResult) -> str:
    if before.kind != "fail" or before.counted == accepted:
        return "updated"
    return "unchanged" if LEVELS.index(before.level) <= LEVELS.index(finding.level) else "updated"


def _missing_state(before: EarlierResult | None) -> str:
    return "new" if before is None else "unchanged" if before.kind == "open" else "updated"
