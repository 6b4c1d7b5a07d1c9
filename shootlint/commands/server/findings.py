"""What is said of a document while it is typed: mistakes, findings, and what could not be judged, each with its place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from importlib.resources import files
from math import isnan
from pathlib import Path
from typing import Literal

from shootlint.commands.server.session import Checked
from shootlint.language.complaint import Complaint, listed
from shootlint.language.source import Place, Source
from shootlint.language.tree import Line
from shootlint.reports.counting import plural
from shootlint.rulebook.finding import Finding
from shootlint.rulebook.judging import picked
from shootlint.rulebook.ready import ReadyRule

Level = Literal["error", "warning", "note", "hint"]
MOST_RELATED = 20
"""So many mistakes of another file are pointed at from the line that names it."""


@dataclass(frozen=True)
class Related:
    """Another place that a remark has to do with."""

    path: Path | None
    """The file; None for the document itself."""
    place: Place
    message: str


@dataclass(frozen=True)
class Said:
    """One remark on a document. `start` and `end` are offsets in its text."""

    start: int
    end: int
    level: Level
    message: str
    rule: str | None = None
    page: Path | None = None
    """The file in which its rule stands, where there is one."""
    related: tuple[Related, ...] = ()
    finding: Finding | None = field(default=None, compare=False)


def said_of(checked: Checked) -> list[Said]:
    """All remarks on a document, in the order of its text."""
    if checked.source is None:
        return [Said(0, 0, "error", checked.unreadable or "")]
    found = [*_mistakes(checked), *(_finding(each, checked) for each in checked.findings), *_silent(checked)]
    found += [Said(0, 0, "error", checked.fault)] if checked.fault is not None else []
    return sorted(found, key=lambda each: (each.start, each.end))


def _mistakes(checked: Checked) -> Iterator[Said]:
    """Mistakes in the document at their places; those of files that it rests on at the line that names them."""
    elsewhere: dict[Source, list[Complaint]] = {}
    for level, complaints in (("error", checked.complaints), ("note", checked.notes)):
        for complaint in complaints:
            if is_here(complaint.place, checked):
                yield Said(complaint.place.start, complaint.place.end, level, complaint.message)  # type: ignore[arg-type]
            elif level == "error":
                elsewhere.setdefault(complaint.place.source, []).append(complaint)
    for source, complaints in elsewhere.items():
        first = complaints[0]
        start, end = _naming(source, checked)
        message = (
            f"{plural(len(complaints), 'mistake')} in {source.name}; the first is in line {first.place.line}: {first.message}"
        )
        related = tuple(Related(source.path, each.place, each.message) for each in complaints[:MOST_RELATED])
        yield Said(start, end, "error", message, related=related if source.path is not None else ())


def is_here(place: Place, checked: Checked) -> bool:
    """Whether a place is in the document itself, which a rulebook may know by another name."""
    assert checked.source is not None
    source = place.source
    return source is checked.source or (source.path is not None and source.path == checked.source.path)


def _naming(source: Source, checked: Checked) -> tuple[int, int]:
    """Where a document names a file: its first `kit` line that leads there, else its first line."""
    assert checked.source is not None
    if checked.document is not None and checked.source.path is not None:
        for line in checked.document.tree.lines:
            if line.head.text == "kit" and len(line.clauses[0]) > 1:
                atom = line.clauses[0][1]
                if atom.kind == "STRING" and (checked.source.path.parent / atom.string).resolve() == source.path:
                    return atom.start, atom.end
    first = next(iter(checked.tree.lines), None)
    return (first.start, first.end) if first is not None else (0, 0)


def _finding(finding: Finding, checked: Checked) -> Said:
    place = finding.place
    return Said(
        place.start, place.end, finding.level, "\n".join([finding.message, *_when(finding)]), finding.rule.name,  # type: ignore[arg-type]
        file_of(finding.rule), tuple(_others(finding, checked)), finding,
    )  # fmt: skip


def _when(finding: Finding) -> Iterator[str]:
    """When it does not hold, where that is not the whole of its setup."""
    from shootlint.language import clocks

    scene = finding.scene
    slot = scene.slot
    if slot is None or scene.zone is None:
        return
    whole = tuple(clocks.wall_clock(each.seconds, scene.zone) for each in (slot.start, slot.end))
    if finding.spans and finding.spans != (whole,):
        yield listed([start if start == end else f"{start} to {end}" for start, end in finding.spans], "and")


def _others(finding: Finding, checked: Checked) -> Iterator[Related]:
    """The others that a finding is about: what it stands at is the first of them; and whom its message names besides."""
    scene, index = finding.scene, dict(finding.index)
    others = dict.fromkeys(finding.index[1:])
    for piece in finding.rule.message.readings:
        if piece.reading is not None and piece.reading.of:
            graph = next(each for each in checked.graphs if each.scene.setup is scene.setup)
            place = picked(piece.run(graph), index)
            # At another minute it may be somebody else.
            if not isnan(place) and scene.names[piece.reading.of][int(place)] in finding.message:
                others[piece.reading.of, int(place)] = None
    for axis, place in others:
        where = scene.lamps[place].placement.where if axis == "light" else scene.sitters[place].posed.where
        if where is not None and where != finding.place:
            yield Related(None, where, f"{scene.names[axis][place]} is here")


def file_of(rule: ReadyRule) -> Path | None:
    """The file in which a rule stands on this machine: the house's own, or one that ships with the program."""
    source = rule.source
    if source.path is not None:
        return source.path
    folder, _, inside = source.name.partition("/")
    if folder != "rules" or not inside:
        return None
    path = Path(str(files("shootlint.rules").joinpath(inside)))
    return path if path.is_file() else None


def _silent(checked: Checked) -> Iterator[Said]:
    """What could not be judged, setup by setup, so that nothing passes in silence."""
    document = checked.document
    if document is None:
        return
    if checked.verdict is not None:
        lacking: dict[str, tuple[list[str], dict[str, None]]] = {}
        for each in checked.verdict.not_judged:
            rules, needs = lacking.setdefault(each.setup, ([], {}))
            rules.append(each.rule)
            needs.update(dict.fromkeys(map(str, each.needs)))
        for setup, (rules, needs) in lacking.items():
            message = f"not judged: {listed(sorted(rules), 'and')}; the plan would have to say {listed(needs, 'and')}"
            yield from _at_heads(checked, [setup], message)
    yield from _at_heads(checked, document.unsound_setups, "this setup is not judged until its mistakes are mended")


def _at_heads(checked: Checked, setups: Iterable[str], message: str) -> Iterator[Said]:
    wanted = set(setups)
    for line in checked.tree.lines:
        if line.head.text == "setup" and _named(line) in wanted:
            yield Said(line.start, line.end, "hint", message)


def _named(line: Line) -> str | None:
    clause = line.clauses[0]
    return clause[1].string if len(clause) > 1 and clause[1].kind == "STRING" else None
