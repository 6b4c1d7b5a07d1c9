"""The report that people read in a terminal, in the form of the GNU Coding Standards so that editors can jump to it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from shootlint.language.complaint import listed
from shootlint.reports.run import JudgedPlan, Run
from shootlint.rulebook.finding import LEVELS, Finding

WIDTH = 80
_COLOURS = {"error": "1;31", "warning": "1;35", "note": "1;36"}


def render(run: Run, colour: bool = False) -> str:
    return "\n".join(_lines(run, colour)) + "\n"


def _lines(run: Run, colour: bool) -> Iterator[str]:
    for name, reason in run.unreadable:
        yield f"{visible(name)}:1:1: {_level('error', colour)}: {reason}"
    for complaint in run.complaints:
        yield f"{visible(str(complaint.place))}: {_level('error', colour)}: {visible(complaint.message)}"
    for plan in run.plans:
        yield from _plan(plan, colour)
    if run.safety:
        yield ""
        yield "Take care:"
        for note in run.safety:
            yield from wrap(note, WIDTH, initial_indent="  - ", subsequent_indent="    ")
        yield ""
    yield counts(run)


def _plan(plan: JudgedPlan, colour: bool) -> Iterator[str]:
    for finding in plan.verdict.findings:
        yield f"{visible(str(finding.place))}: {_level(finding.level, colour)}: {visible(finding.message)} [{finding.rule.name}]"
        yield f"    {visible(where(finding))}"
        if finding.mends:
            yield f"    mend: {visible(listed([mend.title for mend in finding.mends]))}"
        elif finding.rule.rule.remedy:
            yield f"    no single change of {listed([str(word) for word in finding.rule.rule.remedy])} mends this"
    for accepted in plan.verdict.accepted:
        until = f" until {accepted.until}" if accepted.until else ""
        about = accepted.finding
        yield f"{visible(str(about.place))}: accepted{until}: {visible(about.message)} [{about.rule.name}]"
        yield f"    because {visible(accepted.reason)}"
    for missing in plan.verdict.not_judged:
        yield f'{visible(plan.name)}: not judged: {missing.rule} in setup "{visible(missing.setup)}"; it needs {listed(missing.needs, "and")}'
    for setup in plan.document.unsound_setups:
        yield f'{visible(plan.name)}: not judged: setup "{visible(setup)}", until its mistakes are mended'


def where(finding: Finding) -> str:
    """When, in which setup and about whom, in one line."""
    spans = listed([start if start == end else f"{start} to {end}" for start, end in finding.spans], "and")
    about = [f'{axis} "{name}"' for (axis, _), name in zip(finding.index, finding.about, strict=True)]
    return ", ".join([*([spans] if spans else []), f'setup "{finding.setup}"', *about])


def counts(run: Run) -> str:
    """The line that ends every run."""
    parts = [_plural(len(run.plans), "plan")]
    if run.could_not_read:
        parts.append(_plural(len(run.complaints) + len(run.unreadable), "mistake"))
    for level in LEVELS:
        parts.append(_plural(sum(len(plan.verdict.at_level(level)) for plan in run.plans), level))
    parts.append(f"{sum(len(plan.verdict.accepted) for plan in run.plans)} accepted")
    parts.append(f"{sum(len(plan.verdict.not_judged) + len(plan.document.unsound_setups) for plan in run.plans)} not judged")
    return ", ".join(parts)


def _plural(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _level(level: str, colour: bool) -> str:
    return f"\x1b[{_COLOURS[level]}m{level}\x1b[0m" if colour else level


def visible(text: str) -> str:
    """Text that can do nothing to a terminal: control characters are shown, not sent."""
    return "".join(each if each.isprintable() else f"\\u{ord(each):04x}" for each in text)
