"""The report for programs: one JSON object, described by report.schema.json beside this file."""

from __future__ import annotations

import json
import math
from typing import Any

from shootlint.reports.records import FindingRecord, PlaceRecord, PlanRecord, Remark
from shootlint.reports.run import Run
from shootlint.reports.sure import as_json

REPORT = 1


def render(run: Run, colour: bool = False) -> str:
    report = {
        **heading(),
        "plans": [_plan(plan) for plan in run.plans],
        "unreadable": [{"path": name, "message": reason} for name, reason in run.unreadable],
        **_beside(run),
    }
    return written(report)


def written(report: dict[str, Any]) -> str:
    """An object as JSON text, in which only what prints stands as it is: neither a name nor a file's name can do anything
    to a terminal, and half a surrogate pair, as in a file's name that is no text, is not lost."""
    text = json.dumps(report, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    if text.replace("\n", "").isprintable():
        return text
    return "".join(each if each.isprintable() or each == "\n" else json.dumps(each)[1:-1] for each in text)


def heading() -> dict[str, Any]:
    """What every JSON that we write begins with."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        ours = version("shootlint")
    except PackageNotFoundError:
        ours = "unknown"
    return {"shootlint": ours, "report": REPORT}


def _beside(run: Run) -> dict[str, Any]:
    """What is told only where the call names an earlier report, or a revision."""
    told: dict[str, Any] = {}
    if run.known is not None:
        told["known"] = run.known
        told["gone"] = [
            {"path": each.place.path, "rule": each.rule, "level": each.level, "message": each.message} for each in run.gone
        ]
    if run.since is not None:
        told["changed-since"] = {"revision": run.since.revision, "not-changed": run.since.unchanged}
    return told


def _plan(plan: PlanRecord) -> dict[str, Any]:
    return {
        "path": plan.path,
        "title": plan.title,
        "holds": plan.holds,
        "notes": [_remark(each) for each in plan.notes],
        "complaints": [_remark(each) for each in plan.complaints],
        "findings": [_finding(finding) for finding in plan.findings],
        "accepted": [{**_finding(each.finding), "reason": each.reason, "until": each.until} for each in plan.accepted],
        "not-judged": [
            *({"rule": each.rule, "setup": each.setup, "needs": list(each.needs)} for each in plan.not_judged),
            *({"rule": None, "setup": setup, "needs": ["its mistakes mended"]} for setup in plan.unsound_setups),
            *([{"rule": None, "setup": None, "needs": ["a setup"]}] if plan.has_no_setup else []),
        ],
        "held": plan.held,
        "trials": as_json(plan.sureness) if plan.sureness is not None else None,
        "safety": list(plan.safety),
        "margins": [
            {"rule": each.rule, "setup": each.setup, "about": list(each.about), "words": each.words, "drifts": list(each.drifts)}
            for each in plan.margins
        ],
    }


def _remark(remark: Remark) -> dict[str, Any]:
    return {"path": remark.place.path, "place": place(remark.place), "message": remark.message}


def _finding(finding: FindingRecord) -> dict[str, Any]:
    measured = finding.measured
    return {
        "rule": finding.rule,
        "level": finding.level,
        "message": finding.message,
        "place": place(finding.place),
        "setup": finding.setup,
        "about": list(finding.about),
        "measured": None
        if measured is None
        else {
            "reading": measured.reading,
            "value": plain(measured.value),
            "unit": measured.unit,
            "limit": plain(measured.limit),
        },
        "spans": [list(span) for span in finding.spans],
        "share-of-trials": None if finding.share is None else plain(finding.share),
        "mends": [
            {
                "title": mend.title,
                "grade": mend.grade,
                "cost": mend.cost,
                "changes": [{"place": place(change.place), "text": change.text} for change in mend.changes],
            }
            for mend in finding.mends
        ],
        "because": finding.because,
        "source": finding.source,
        **({"state": finding.state} if finding.state is not None else {}),
    }


def place(where: PlaceRecord) -> dict[str, int]:
    return {"line": where.line, "column": where.column, "end-line": where.end_line, "end-column": where.end_column}


def plain(value: float) -> float | str | None:
    """A number as JSON can hold it: unknown is null, without end is "infinity", and noise of the last bits is cut."""
    if math.isnan(value):
        return None
    if math.isinf(value):
        return "infinity" if value > 0 else "-infinity"
    return float(f"{value:.9g}")
