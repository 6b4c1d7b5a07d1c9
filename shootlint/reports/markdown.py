"""The report for a comment on a proposed change: Markdown (CommonMark 0.31, and tables as GitHub Flavored Markdown has them).

Nothing that a plan says can do anything in it, for all of it goes through `literal` and stands after words of ours. It stays
within what sites take as one comment: what does not fit is counted, and the worst findings are told first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from shootlint.language.complaint import listed
from shootlint.reports.counting import plural
from shootlint.reports.levels import LEVELS
from shootlint.reports.literal import code, literal
from shootlint.reports.records import FindingRecord, PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.sure import failing, told
from shootlint.reports.text import where

MOST = 65_536
"""How much a comment may hold, in characters by the usual limit; bytes of UTF-8, of which there are never fewer, are counted."""
FOR_COUNTS = 400
"""What a part takes besides its items: its heading, and the line that counts what is left out."""


@dataclass
class Part:
    """A heading and the items below it, of which as many are told as there is room for."""

    heading: str
    items: list[str]
    room: int = MOST
    """How much its items may take at the most."""
    folded: bool = True
    """Whether it is shown only when somebody opens it."""
    kinds: list[str] = field(default_factory=list)
    """What each item is, where that is to be told of those left out."""

    def within(self, room: int) -> str:
        """Its text in no more than so many bytes."""
        if not self.items:
            return ""
        room = min(room, self.room) - FOR_COUNTS
        shown: list[str] = []
        for item in self.items:
            room -= len(item.encode()) + 1
            if room < 0:
                break
            shown.append(item)
        # An empty line parts the count from a table, which would take it in as a row.
        lines = [self.heading, "", *shown, *self._left_out(len(shown))]
        if self.folded:
            lines = ["<details>", f"<summary>{self.heading}</summary>", *lines[1:], "", "</details>"]
        return "".join(f"{line}\n" for line in [*lines, ""])

    def _left_out(self, shown: int) -> list[str]:
        left = len(self.items) - shown
        kinds = [plural(count, kind) for kind, count in Counter(self.kinds[shown:]).items()]
        return ["", f"… and {listed(kinds, 'and') or left} more, for which a comment has no room."] if left else []


def render(run: Run, colour: bool = False) -> str:
    first, last = (
        _verdict(run),
        [_known(run), _gone(run), _accepted(run), _not_judged(run), _trials(run), _margins(run), _care(run)],
    )
    others = [_plans(run), *last]
    texts = [part.within(MOST) for part in others]
    room = MOST - len(first.encode()) - sum(len(text.encode()) for text in texts)
    mistakes = _mistakes(run).within(room // 2)
    findings = _findings(run).within(room - len(mistakes.encode()))
    return first + texts[0] + mistakes + findings + "".join(texts[1:])


def _verdict(run: Run) -> str:
    plans = [plan for plan in run.plans if plan.is_plan or plan.complaints]
    bad = sum(not run.holds(plan) for plan in plans)
    if not plans:
        said = "no plan was judged"
    elif bad and len(plans) == 1:
        said = "the plan does not hold"
    elif bad:
        said = f"{bad} of {plural(len(plans), 'plan')} {'does' if bad == 1 else 'do'} not hold"
    else:
        said = "the plan holds" if len(plans) == 1 else f"all {len(plans)} plans hold"
    lines = [f"## shootlint: {said}", ""]
    if run.unreadable:
        lines += [f"{plural(len(run.unreadable), 'file')} could not be read.", ""]
    if run.known is not None:
        lines += [f"Only what is new since {literal(run.known)} counts.", ""]
    if run.since is not None:
        lines += [f"{plural(run.since.unchanged, 'plan')} not changed since {literal(run.since.revision)}, and not judged.", ""]
    return "".join(f"{line}\n" for line in lines)


def _plans(run: Run) -> Part:
    heads = ["plan", *(f"{level}s" for level in LEVELS), "accepted", "not judged"]
    rows = ["| " + " | ".join(heads) + " |", "| --- |" + " ---: |" * (len(heads) - 1)]
    by_badness = sorted(run.plans, key=lambda plan: [-_count(plan, level) for level in LEVELS])
    for plan in by_badness:
        missing = len(plan.not_judged) + len(plan.unsound_setups) + plan.has_no_setup
        numbers = [*(_count(plan, level) for level in LEVELS), len(plan.accepted), missing]
        rows.append(f"| {literal(plan.path)} | " + " | ".join(map(str, numbers)) + " |")
    # A table needs both of its first lines; with them it is one item.
    return Part("### Plans", ["\n".join(rows[:3]), *rows[3:]] if run.plans else [], 12_000, folded=False)


def _count(plan: PlanRecord, level: str) -> int:
    return sum(finding.counts for finding in plan.at_level(level))


def _mistakes(run: Run) -> Part:
    items = [f"- {code(name)}: {literal(reason)}" for name, reason in run.unreadable]
    items += [f"- {code(str(each.place))}: {literal(each.message)}" for each in run.complaints]
    return Part("### Mistakes", items, folded=False)


def _findings(run: Run) -> Part:
    findings = [finding for plan in run.plans for finding in plan.findings if finding.counts]
    findings.sort(key=lambda finding: LEVELS.index(finding.level))
    items = [_finding(finding) for finding in findings]
    return Part("### Findings", items, folded=False, kinds=[finding.level for finding in findings])


def _finding(finding: FindingRecord) -> str:
    """A finding as an item of a list, with what mends it below."""
    lines = [_line(finding), f"  - {literal(where(finding) + failing(finding))}"]
    if finding.mends:
        lines.append(f"  - mend: {literal(', or '.join(mend.title for mend in finding.mends))}")
    return "\n".join(lines)


def _line(finding: FindingRecord) -> str:
    return f"- **{finding.level}** {code(str(finding.place))}: {literal(finding.message)} ({code(finding.rule)})"


def _known(run: Run) -> Part:
    known = [finding for plan in run.plans for finding in plan.known]
    known.sort(key=lambda finding: LEVELS.index(finding.level))
    return Part(f"{len(known)} known", [_line(finding) for finding in known], 8_000)


def _gone(run: Run) -> Part:
    items = [f"- {code(str(each.place))}: {literal(each.message)} ({code(each.rule)})" for each in run.gone]
    return Part(f"{len(items)} gone", items, 6_000)


def _accepted(run: Run) -> Part:
    items = []
    for each in (each for plan in run.plans for each in plan.accepted):
        until = f" until {each.until}" if each.until else ""
        items.append(f"{_line(each.finding)}\n  - accepted{until}, because {literal(each.reason)}")
    return Part(f"{len(items)} accepted", items, 8_000)


def _not_judged(run: Run) -> Part:
    items = [f"- {line}" for plan in run.plans for line in _missing(plan)]
    return Part(f"{len(items)} not judged", items, 6_000)


def _missing(plan: PlanRecord) -> Iterator[str]:
    name = code(plan.path)
    for each in plan.not_judged:
        yield f"{name}: {code(each.rule)} in setup {literal(each.setup)}; it needs {literal(listed(each.needs, 'and'))}"
    for setup in plan.unsound_setups:
        yield f"{name}: setup {literal(setup)}, until its mistakes are mended"
    if plan.has_no_setup:
        yield f"{name}: the file has no setup; it is a kit"


def _trials(run: Run) -> Part:
    items = []
    for plan in run.plans:
        if plan.sureness is not None:
            first, *rest = told(plan.path, plan.sureness)
            items.append("\n".join([f"- {literal(first)}", *(f"  - trials: {literal(line.strip())}" for line in rest)]))
    return Part("How sure", items, 6_000)


def _margins(run: Run) -> Part:
    items = []
    for path, each in ((plan.path, each) for plan in run.plans for each in plan.margins):
        drifts = f"; {', '.join(each.drifts)} would break it" if each.drifts else ""
        text = f'{each.words} in setup "{each.setup}"{drifts}'
        items.append(f"- {code(path)}: {literal(text)}")
    return Part(f"{len(items)} holding by little", items, 4_000)


def _care(run: Run) -> Part:
    return Part("Take care", [f"- {literal(note)}" for note in run.safety], 6_000)
