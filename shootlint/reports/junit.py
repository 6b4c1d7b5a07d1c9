"""The report that test tabs read: JUnit XML, in a shape that is valid under the schemas of both of its common readers.

A plan is a suite and each rule in force a test of it, under the same name from run to run; whether the plan can be read is a
test too. A test fails where the rule makes the exit status 1, and is skipped where the rule could not be judged or all that it
finds is accepted or known. What is found below that level is told in the output of a test that passes, so that the tests say
what the exit status says. Places stand in the texts, for only one of the schemas has attributes for them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import chain
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from shootlint.language.complaint import listed
from shootlint.reports.counting import plural
from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.sure import told as told_of_trials
from shootlint.reports.text import where
from shootlint.reports.visible import visible

READS = "can be read"
"""The test that is about the text of a file and not about a rule."""


@dataclass
class Case:
    """One test: what is wrong, why it may be passed over, and what is to be told besides."""

    errors: list[str] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)
    level: str = LEVELS[-1]
    """The level of its worst failure."""
    spared: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    @property
    def is_skipped(self) -> bool:
        return bool(self.spared) and not (self.errors or self.failures or self.told)


@dataclass
class Suite:
    name: str
    cases: dict[str, Case]
    told: list[str] = field(default_factory=list)


def render(run: Run, colour: bool = False) -> str:
    suites = list(_suites(run))
    root = Element("testsuites", {"name": "shootlint", **_counts(chain(*(suite.cases.values() for suite in suites)))})
    for suite in suites:
        _write(root, suite)
    indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{tostring(root, encoding="unicode")}\n'


def _suites(run: Run) -> Iterator[Suite]:
    for name, reason in run.unreadable:
        yield Suite(name, {READS: Case(errors=[f"{name}:1:1: error: {reason}"])})
    for plan in run.plans:
        gone = [f"{each.place}: gone: {each.message} [{each.rule}]" for each in run.gone if each.place.path == plan.path]
        trials = told_of_trials(plan.path, plan.sureness) if plan.sureness is not None else ()
        yield Suite(plan.path, _cases(plan, run), [*trials, *gone, *(f"Take care: {note}" for note in plan.safety)])
    if run.since is not None:
        # Some readers take a report without a test for one that went wrong.
        left_out = f"{plural(run.since.unchanged, 'plan')} not changed since {run.since.revision}"
        yield Suite(f"changed since {run.since.revision}", {left_out: Case(spared=["not judged"])})


def _cases(plan: PlanRecord, run: Run) -> dict[str, Case]:
    """The tests of a plan, by name: first its text, then the rules in the order of their names."""
    reads = Case(errors=[f"{each.place}: error: {each.message}" for each in plan.complaints])
    reads.spared += [f'not judged: setup "{setup}", until its mistakes are mended' for setup in plan.unsound_setups]
    if plan.has_no_setup:
        reads.spared.append("not judged: the file has no setup; it is a kit")
    book = run.rulebook(plan)
    cases = {each.rule.name: Case() for each in (book.rules if book is not None else ()) if each.retired is None}
    for finding in plan.findings:
        case = cases.setdefault(finding.rule, Case())
        if run.fails(finding):
            case.failures.append(_told(finding))
            case.level = min(case.level, finding.level, key=LEVELS.index)
        else:
            (case.told if finding.counts else case.spared).append(f"{'' if finding.counts else 'known: '}{_told(finding)}")
    for accepted in plan.accepted:
        until = f" until {accepted.until}" if accepted.until else ""
        text = f"accepted{until}, because {accepted.reason}: {_told(accepted.finding)}"
        cases.setdefault(accepted.finding.rule, Case()).spared.append(text)
    for missing in plan.not_judged:
        text = f'not judged in setup "{missing.setup}"; it needs {listed(missing.needs, "and")}'
        cases.setdefault(missing.rule, Case()).spared.append(text)
    return {READS: reads, **{name: cases[name] for name in sorted(cases)}}


def _told(finding: FindingRecord) -> str:
    mends = f"; mend: {listed([mend.title for mend in finding.mends])}" if finding.mends else ""
    return f"{finding.place}: {finding.level}: {finding.message} ({where(finding)}){mends}"


def _write(root: Element, suite: Suite) -> None:
    written = SubElement(root, "testsuite", {"name": visible(suite.name), **_counts(suite.cases.values(), skipped=True)})
    for name, case in suite.cases.items():
        test = SubElement(written, "testcase", {"classname": visible(suite.name), "name": visible(name)})
        if case.is_skipped:
            SubElement(test, "skipped")
        for kind, level, texts in (("error", "error", case.errors), ("failure", case.level, case.failures)):
            if texts:
                more = f" (and {len(texts) - 1} more)" if len(texts) > 1 else ""
                wrong = SubElement(test, kind, {"type": level, "message": visible(texts[0]) + more})
                wrong.text = _lines(texts)
        _output(test, [*case.told, *case.spared])
    _output(written, suite.told)


def _output(of: Element, texts: list[str]) -> None:
    if texts:
        SubElement(of, "system-out").text = _lines(texts)


def _lines(texts: Iterable[str]) -> str:
    return "\n".join(map(visible, texts))


def _counts(cases: Iterable[Case], skipped: bool = False) -> dict[str, str]:
    """How many tests there are and how they end. Only a suite, and not all of them together, may tell the skipped ones."""
    cases = list(cases)
    counts = {
        "tests": len(cases),
        "failures": sum(bool(case.failures) for case in cases),
        "errors": sum(bool(case.errors) for case in cases),
        **({"skipped": sum(case.is_skipped for case in cases)} if skipped else {}),
    }
    return {name: str(count) for name, count in counts.items()}
