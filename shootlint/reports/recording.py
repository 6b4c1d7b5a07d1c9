"""The one place that turns what judging gave into the records that reports read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from shootlint.reports.records import (
    AcceptedRecord,
    ChangeRecord,
    FindingRecord,
    HeldRecord,
    MarginRecord,
    MeasuredRecord,
    MendRecord,
    NotJudgedRecord,
    PlaceRecord,
    PlanRecord,
    Remark,
    SurenessRecord,
    WatchedRecord,
)

if TYPE_CHECKING:
    from shootlint.language.complaint import Complaint
    from shootlint.language.loading import Document
    from shootlint.language.source import Place
    from shootlint.readings.scene import Scene
    from shootlint.remedies.margins import ByLittle
    from shootlint.rulebook.finding import Finding, Measured, Sureness, Verdict


def plan_record(
    document: Document,
    complaints: Iterable[Complaint],
    notes: Iterable[Complaint],
    verdict: Verdict | None,
    margins: Iterable[ByLittle] = (),
) -> PlanRecord:
    """A document and what judging it gave; no verdict where there was nothing to judge."""
    plan = document.plan
    read = PlanRecord(
        path=document.source.name,
        title=str(plan.title) if plan is not None and plan.title is not None else None,
        is_plan=document.is_plan,
        may_be_plan=document.may_be_plan,
        complaints=remarks(complaints),
        notes=remarks(notes),
        unsound_setups=tuple(document.unsound_setups),
    )
    if verdict is None:
        return read
    return read._replace(
        findings=tuple(_finding(each) for each in verdict.findings),
        accepted=tuple(AcceptedRecord(_finding(each.finding), each.reason, each.until) for each in verdict.accepted),
        not_judged=tuple(NotJudgedRecord(each.rule, each.setup, tuple(map(str, each.needs))) for each in verdict.not_judged),
        held=verdict.held,
        safety=tuple(verdict.safety),
        sureness=None if verdict.sureness is None else _sureness(verdict.sureness),
        margins=tuple(MarginRecord(each.rule, each.setup, each.about, each.words, each.drifts) for each in margins),
    )


def _finding(finding: Finding) -> FindingRecord:
    rule = finding.rule.rule
    return FindingRecord(
        rule=finding.rule.name,
        title=str(rule.title),
        level=finding.level,
        message=finding.message,
        place=place_record(finding.place),
        setup=finding.setup if finding.rule.scope != "plan" else None,
        axes=tuple(axis for axis, _ in finding.index),
        about=finding.about,
        measured=None if finding.measured is None else _measured(finding.measured),
        spans=finding.spans,
        mends=tuple(
            MendRecord(
                mend.title,
                mend.grade,
                mend.cost,
                tuple(ChangeRecord(place_record(each.place), each.text) for each in mend.changes),
            )
            for mend in finding.mends
        ),
        remedy=tuple(map(str, rule.remedy)),
        because=str(rule.because),
        source=str(rule.source) if rule.source is not None else None,
        share=finding.share,
        searched=finding.searched,
        slot=_slot(finding.scene),
    )


def _slot(scene: Scene) -> tuple[str, str] | None:
    if scene.slot is None or scene.zone is None:
        return None
    from shootlint.language import clocks

    return clocks.wall_clock(scene.slot.start.seconds, scene.zone), clocks.wall_clock(scene.slot.end.seconds, scene.zone)


def _sureness(sureness: Sureness) -> SurenessRecord:
    return SurenessRecord(
        sureness.count,
        sureness.seed,
        sureness.whole,
        tuple(HeldRecord(each.rule, each.setup, each.share, each.about) for each in sureness.held),
        tuple(
            WatchedRecord(
                each.uncertainty,
                each.setup,
                each.owner,
                each.words,
                each.decides,
                each.rule,
                each.about,
                None if each.alone is None else each.unit.from_base(each.alone),
                each.unit.name,
            )
            for each in sureness.watch
        ),
    )


def _measured(measured: Measured) -> MeasuredRecord:
    unit = measured.unit
    return MeasuredRecord(measured.reading, unit.from_base(measured.value), unit.from_base(measured.limit), unit.name)


def remarks(complaints: Iterable[Complaint]) -> tuple[Remark, ...]:
    return tuple(Remark(place_record(each.place), each.message) for each in complaints)


def place_record(place: Place) -> PlaceRecord:
    return PlaceRecord(place.source.name, place.line, place.column, place.end_line, place.end_column)
