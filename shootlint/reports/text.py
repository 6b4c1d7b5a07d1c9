"""The report that people read in a terminal, in the form of the GNU Coding Standards so that editors can jump to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shootlint.language.complaint import listed
from shootlint.reports.counting import A_FEW, plural
from shootlint.reports.layout import wrapped
from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.sure import failing, told
from shootlint.reports.unmended import unmended
from shootlint.reports.visible import visible

_COLOURS = {"error": "1;31", "warning": "1;35", "note": "1;36"}


def render(run: Run, colour: bool = False) -> str:
    lines = [*_mistakes(run, colour), *(line for plan in run.plans for line in _plan(plan, colour))]
    lines += [line for plan in run.plans for line in _margins(plan)]
    lines += [f"{visible(each.place.path)}: gone: {visible(each.message)} [{visible(each.rule)}]" for each in run.gone]
    # Whoever asks of many plans, and all of them hold, wants to hear just that.
    if run.safety and (lines or len(run.plans) <= A_FEW):
        lines += [*[""] * bool(lines), *_cautions(run.safety), ""]
    return "".join(f"{line}\n" for line in [*lines, counts(run)])


def _mistakes(run: Run, colour: bool) -> Iterator[str]:
    for name, reason in run.unreadable:
        yield f"{visible(name)}:1:1: {_level('error', colour)}: {visible(reason)}"
    for complaint in run.complaints:
        yield f"{visible(str(complaint.place))}: {_level('error', colour)}: {visible(complaint.message)}"
    for note in run.notes:
        yield f"{visible(str(note.place))}: {_level('note', colour)}: {visible(note.message)}"


def _cautions(notes: Iterable[str]) -> Iterator[str]:
    yield "Take care:"
    for note in notes:
        yield from wrapped(visible(note), "  - ", 4)


def _margins(plan: PlanRecord) -> Iterator[str]:
    if plan.margins:
        yield f"{visible(plan.path)}: holds by little:"
    for margin in plan.margins:
        drifts = f"; {', '.join(margin.drifts)} would break it" if margin.drifts else ""
        yield from wrapped(visible(f'{margin.words} in setup "{margin.setup}"{drifts}'), 4, 6)


def _plan(plan: PlanRecord, colour: bool) -> Iterator[str]:
    for finding in (each for each in plan.findings if each.counts):
        yield f"{visible(str(finding.place))}: {_level(finding.level, colour)}: {visible(finding.message)} [{finding.rule}]"
        yield from wrapped(f"{visible(where(finding))}{failing(finding)}", 4, 6)
        if mending := _mending(finding):
            yield from wrapped(visible(mending), 4, 6)
    for accepted in plan.accepted:
        until = f" until {accepted.until}" if accepted.until else ""
        about = accepted.finding
        yield f"{visible(str(about.place))}: accepted{until}: {visible(about.message)} [{about.rule}]"
        yield from wrapped(f"because {visible(accepted.reason)}", 4, 6)
    yield from _not_judged(plan)
    if plan.sureness is not None:
        yield from told(plan.path, plan.sureness)
    for setup in plan.unsound_setups:
        yield f'{visible(plan.path)}: not judged: setup "{visible(setup)}", until its mistakes are mended'
    if plan.has_no_setup:
        yield f"{visible(plan.path)}: not judged: the file has no setup; it is a kit"


def _mending(finding: FindingRecord) -> str:
    """What would mend a finding, or what is known of that."""
    return f"mend: {', or '.join(_in_two([mend.title for mend in finding.mends]))}" if finding.mends else unmended(finding)


def _not_judged(plan: PlanRecord) -> Iterator[str]:
    """What cannot be judged; rules that lack the same in the same setup are told together."""
    lacking: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for missing in plan.not_judged:
        lacking.setdefault((missing.setup, tuple(missing.needs)), []).append(missing.rule)
    for (setup, needs), rules in lacking.items():
        what, they = (rules[0], "it needs") if len(rules) == 1 else (plural(len(rules), "rule"), "they need")
        yield f'{visible(plan.path)}: not judged: {what} in setup "{visible(setup)}"; {they} {visible(listed(needs, "and"))}'
        if len(rules) > 1:
            yield from wrapped(", ".join(rules), 4, 4)


def _in_two(titles: list[str]) -> list[str]:
    """All but the last in one text, and the last."""
    return [", ".join(titles[:-1]), titles[-1]] if len(titles) > 1 else titles


def where(finding: FindingRecord) -> str:
    """When, in which setup and about whom, in one line."""
    if finding.setup is None:
        return "the plan as a whole"
    spans = listed([_span(finding, start, end) for start, end in finding.spans], "and")
    about = [f'{axis} "{name}"' for axis, name in zip(finding.axes, finding.about, strict=True)]
    return ", ".join([*([spans] if spans else []), f'setup "{finding.setup}"', *about])


def _span(finding: FindingRecord, start: str, end: str) -> str:
    """Clock times; only the first of them where what was well at first has to the end of the slot gone wrong."""
    if (
        start != end
        and len(finding.spans) == 1
        and finding.slot is not None
        and finding.slot[0] != start
        and finding.slot[1] == end
    ):
        return f"from {start}"
    return start if start == end else f"{start} to {end}"


def counts(run: Run) -> str:
    """The line that ends every run."""
    parts = [plural(sum(plan.is_plan for plan in run.plans), "plan")]
    if run.could_not_read:
        parts.append(plural(len(run.complaints) + len(run.unreadable), "mistake"))
    for level in LEVELS:
        parts.append(plural(sum(finding.counts for plan in run.plans for finding in plan.at_level(level)), level))
    parts.append(f"{sum(len(plan.accepted) for plan in run.plans)} accepted")
    missing = sum(len(plan.not_judged) + len(plan.unsound_setups) + plan.has_no_setup for plan in run.plans)
    parts.append(f"{missing} not judged")
    if run.known is not None:
        parts.append(f"{sum(len(plan.known) for plan in run.plans)} known from {visible(run.known)}, {len(run.gone)} gone")
    if run.since is not None:
        parts.append(f"{plural(run.since.unchanged, 'plan')} not changed since {visible(run.since.revision)}")
    return ", ".join(parts)


def _level(level: str, colour: bool) -> str:
    return f"\x1b[{_COLOURS[level]}m{level}\x1b[0m" if colour else level
