"""The one place that turns what judging gave into the records that reports read."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from typing import TYPE_CHECKING

from shootlint.reports.records import (
    AcceptanceRecord,
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
    SetupRecord,
    SurenessRecord,
    WatchedRecord,
)
from shootlint.reports.rule_records import InForceRecord, RulebookRecord, RuleRecord

if TYPE_CHECKING:
    from shootlint.language.complaint import Complaint
    from shootlint.language.loading import Document
    from shootlint.language.model import Acceptance
    from shootlint.language.source import Place
    from shootlint.language.values import Quantity
    from shootlint.readings.scene import Scene
    from shootlint.remedies.margins import ByLittle
    from shootlint.rulebook.book import Book
    from shootlint.rulebook.finding import Accepted, Finding, Measured, Sureness, Verdict
    from shootlint.rulebook.model import Rule
    from shootlint.rulebook.ready import ReadyRule


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
        complaints=remarks(complaints, document),
        notes=remarks(notes, document),
        unsound_setups=tuple(document.unsound_setups),
        date=str(plan.date) if plan is not None and plan.date is not None else None,
        setups=tuple(SetupRecord(name, place_record(place)) for name, place in document.setups.items()),
        digest=sha256(document.source.content).hexdigest(),
    )
    if verdict is None:
        return read
    return read._replace(
        findings=tuple(_finding(each) for each in verdict.findings),
        accepted=tuple(_accepted(each) for each in verdict.accepted),
        not_judged=tuple(NotJudgedRecord(each.rule, each.setup, tuple(map(str, each.needs))) for each in verdict.not_judged),
        held=verdict.held,
        safety=tuple(verdict.safety),
        sureness=None if verdict.sureness is None else _sureness(verdict.sureness),
        margins=tuple(MarginRecord(each.rule, each.setup, each.about, each.words, each.drifts) for each in margins),
    )


def rulebook_record(book: Book, with_trials: bool = False) -> RulebookRecord:
    """The rules of a rulebook, those that it has given up and the program's own among them."""
    from shootlint.rulebook.acceptances import own_rules
    from shootlint.rulebook.rule_files import shipped_sources

    shipped = {source.name for source in shipped_sources()}
    own = {**(book.own if with_trials else {}), **own_rules()}
    return RulebookRecord(
        book.title,
        tuple(dict.fromkeys(source.name for _, source in book.named)),
        (
            *(_in_force(rule, rule.source.path is None and rule.source.name in shipped) for rule in book.rules.values()),
            *(_in_force(rule, True) for rule in own.values()),
            *(_retired(rule, file, book.retired[name]) for name, (rule, file) in book.given_up.items()),
        ),
    )


def _in_force(ready: ReadyRule, is_shipped: bool) -> InForceRecord:
    where = f" where {ready.where.text}" if ready.where is not None else ""
    written = _rule(ready.rule, ready.source.name, f"{ready.scope}{where}", ready.require.text)
    return InForceRecord(written, ready.level, _values(ready.sets), ready.origin, None, is_shipped)


def _retired(rule: Rule, file: str, because: str) -> InForceRecord:
    written = _rule(rule, file, " ".join(rule.scope.words), "")
    return InForceRecord(written, written.level, written.values, (), because, True)


def _rule(rule: Rule, file: str, scope: str, requires: str) -> RuleRecord:
    return RuleRecord(
        name=str(rule.name),
        title=str(rule.title),
        level=str(rule.level),
        scope=scope,
        requires=requires,
        because=str(rule.because),
        source=str(rule.source) if rule.source is not None else None,
        remedy=tuple(map(str, rule.remedy)),
        formerly=tuple(map(str, rule.formerly)),
        values=_values({str(each.name): each.value for each in rule.sets}),
        file=file,
    )


def _values(values: dict[str, Quantity]) -> tuple[tuple[str, str], ...]:
    return tuple((name, str(value)) for name, value in values.items())


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
        formerly=tuple(map(str, rule.formerly)),
        lapsed=None if finding.lapsed is None else _acceptance(finding.lapsed),
    )


def _accepted(accepted: Accepted) -> AcceptedRecord:
    told = _acceptance(accepted.by)
    return AcceptedRecord(_finding(accepted.finding), told.reason, told.until, told.place)


def _acceptance(acceptance: Acceptance) -> AcceptanceRecord:
    assert acceptance.where is not None
    until = str(acceptance.until) if acceptance.until else None
    return AcceptanceRecord(str(acceptance.because), until, place_record(acceptance.where))


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


def remarks(complaints: Iterable[Complaint], document: Document) -> tuple[Remark, ...]:
    texts = [each.source for each in (document, *document.kits)]
    # As they were found, a file at a time, and in each from its beginning to its end.
    complaints = list(complaints)
    first: dict[str, int] = {}
    for each in complaints:
        first.setdefault(each.place.source.name, len(first))
    complaints.sort(key=lambda each: (first[each.place.source.name], each.place.start))
    return tuple(Remark(place_record(each.place), each.message, each.place.source not in texts) for each in complaints)


def place_record(place: Place) -> PlaceRecord:
    return PlaceRecord(place.source.name, place.line, place.column, place.end_line, place.end_column)
