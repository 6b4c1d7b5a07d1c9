"""What would mend a plan, for programs: one JSON object, described by mend.schema.json beside this file."""

from __future__ import annotations

from typing import Any

from shootlint.language.edits import unified
from shootlint.reports.json import heading, place, written
from shootlint.reports.mend.told import Told
from shootlint.reports.recording import place_record


def render(told: Told, colour: bool = False) -> str:
    mend, source = told.mend, told.source
    report: dict[str, Any] = {
        **heading(),
        "path": source.name,
        "holds": mend.holds,
        "before": mend.failing_before,
        "after": mend.failing_after,
        "steps": [
            {
                "setup": each.step.setup,
                "lever": each.step.lever,
                "grade": each.step.grade,
                "title": each.step.title,
                "cost": each.step.cost,
                "mends": list(each.mends),
            }
            for each in mend.changes
        ],
        "changes": [
            {"place": place(place_record(source.place(each.start, each.end))), "text": each.text} for each in mend.edits.edits
        ],
        "left": [{"rule": rule, "setup": setup or None, "about": list(about)} for rule, setup, about in sorted(mend.left)],
        "not-mended": [
            {
                "rule": each.rule.name,
                "setup": each.setup or None,
                "about": list(each.about),
                "nearest": each.nearest or None,
                "breaks": list(each.breaks),
            }
            for each in mend.conflicts
        ],
        "margins": [{"rule": each.rule.name, "about": list(each.about), "words": each.in_words()} for each in mend.margins],
        "diff": "\n".join(unified(mend.before, mend.after, source.name)),
    }
    return written(report)
