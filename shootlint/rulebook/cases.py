"""A rule's own tests: an example plan, what to change in it, and whether the rule must then fail or hold."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable

from shootlint.language.complaint import did_you_mean, listed, none_called
from shootlint.language.entry import shape
from shootlint.language.loading import Document, Loader, read_one
from shootlint.language.model import Plan
from shootlint.language.reading import PLANS
from shootlint.language.source import Place, Source, Unreadable, decode, read_source
from shootlint.language.tree import Atom, Clause, Line
from shootlint.language.values import Name
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import Verdict
from shootlint.rulebook.judging import judge, said_anyway
from shootlint.rulebook.model import Case
from shootlint.rulebook.ready import ReadyRule

ANY_DAY = datetime.date(2026, 1, 1)


@dataclass(frozen=True)
class CaseResult:
    """What came of a case: None where it did what it should, else what went wrong."""

    rule: str
    kind: str
    case: Case
    fault: str | None

    @property
    def place(self) -> Place | None:
        return self.case.where


def run_cases(rule: ReadyRule, book: Book) -> list[CaseResult]:
    """Runs the cases of one rule, with the values that the rule file itself sets."""
    return [
        CaseResult(rule.name, kind, case, f"{_named(case)}: {fault}" if fault is not None else None)
        for kind, cases in (("fails", rule.rule.fails), ("holds", rule.rule.holds))
        for case in cases
        for fault in [_fault(rule, case, must_fail=kind == "fails")]
    ]


def _named(case: Case) -> str:
    """A case as it is written, on one line."""
    assert case.where is not None
    return " ".join(case.where.text.split())


def _fault(rule: ReadyRule, case: Case, must_fail: bool) -> str | None:
    try:
        example = find_example(case.plan, rule.source)
        document = Loader().load_source(Source(example.name, changed(example, case.changes or ()), example.path))
    except (Unreadable, NoPlaceForChange) as error:
        return str(error)
    if document.complaints or document.plan is None:
        told = f"with this change the example reads as no plan; mend what stands after `with`: {document.complaints[0].message}"
        return told if case.changes else f"the example reads as no plan: {document.complaints[0]}"
    alone = Book(rules={rule.name: rule})
    verdict = judge(document.plan, alone, ANY_DAY)
    if must_fail:
        return None if verdict.findings else f"it must fail, and {_why_not(rule, document.plan, verdict)}"
    if verdict.findings:
        found = verdict.findings[0].message
        return f"it must hold, and it fails: {found}; change the example after `with` so that {_asked(rule)}, or write `fails`"
    if verdict.not_judged:
        return f"it must hold, and {_why_not(rule, document.plan, verdict)}"
    return None


def _asked(rule: ReadyRule) -> str:
    return f"`{rule.require.text}` holds"


def _why_not(rule: ReadyRule, plan: Plan, verdict: Verdict) -> str:
    """Why a rule has found nothing in an example, with what to write instead."""
    if verdict.not_judged:
        return f"it cannot be judged; say after `with`, or in another example, {', '.join(verdict.not_judged[0].needs)}"
    said = said_anyway(rule, plan)
    if said is None:
        narrowed = f" where {rule.where.text}" if rule.where is not None else ""
        return f"the example has nothing that the rule is for, {rule.scope}{narrowed}; change the example after `with` so that it has"
    return f"{_asked(rule)}, where it would say: {said}; change the example after `with` so that it does not, or write `holds`"


def find_example(name: Name, beside: Source) -> Source:
    """An example plan: beside the rule file, in the folder `examples` beside it, or one of the shipped ones."""
    file = f"{name}.shoot"
    if "/" in name or "\\" in name or name.startswith("."):
        raise Unreadable(f'"{name}" is not the name of an example')
    if beside.path is not None:
        for path in (beside.path.parent / file, beside.path.parent / "examples" / file):
            if path.is_file():
                return read_source(path, str(path))
    shipped = files("shootlint.rules").joinpath("examples").joinpath(file)
    if not shipped.is_file():
        raise Unreadable(
            f'no example plan is called "{name}", beside the rule file, in the folder examples beside it or among the shipped '
            f"ones{did_you_mean(name, examples(beside), quoted=True)}"
        )
    return decode(shipped.read_bytes(), f"rules/examples/{file}")


def examples(beside: Source) -> list[str]:
    """The names of all example plans that a rule file may name."""
    folders: list[Traversable] = [files("shootlint.rules").joinpath("examples")]
    folders += [beside.path.parent, beside.path.parent / "examples"] if beside.path is not None else []
    return [
        each.name.removesuffix(".shoot")
        for folder in folders
        if folder.is_dir()
        for each in folder.iterdir()
        if each.name.endswith(".shoot")
    ]


class NoPlaceForChange(Exception):
    """A change that names nothing that an example plan has or could have."""


def changed(example: Source, changes: Iterable[tuple[Clause, ...]]) -> str:
    """The example's text with lines changed.

    A change takes the place of the line that begins as it does, name included. Its first clause replaces the line's
    own where it says more than the head and the name; each further clause replaces the one of its kind or is added.
    Where there is no such line, the change becomes a new line of the block that it belongs in. One that begins with
    `setup "NAME"` is made in that setup, one that begins with `each setup` in all of them.
    """
    source = example
    for clauses in changes:
        document = read_one(source)
        for setup in _setups_meant(document, clauses):
            text = _changed_once(read_one(source), clauses if setup is None else clauses[1:], setup)
            source = Source(source.name, text, source.path)
    return source.text


def _setups_meant(document: Document, clauses: tuple[Clause, ...]) -> list[int | None]:
    """The setups in which a change is made, by their places among all; None alone where it names none."""
    first, second = (*clauses[0][:2], None, None)[:2]
    named = second is not None and second.kind == "STRING" and first is not None and first.text == "setup"
    if second is None or not (named or (first is not None and (first.text, second.text) == ("each", "setup"))):
        return [None]
    said = _said(clauses[0][:2])
    if len(clauses[0]) > 2:
        raise NoPlaceForChange(f"a comma belongs after {said}, and then the line of it")
    if len(clauses) == 1:
        raise NoPlaceForChange(f"a line of the setup belongs after {said}, such as {said}, iso 400")
    setups = [line.clauses[0] for line in _setups(document)]
    found = [at for at, clause in enumerate(setups) if not named or [atom.text for atom in clause[1:]] == [second.text]]
    if not found:
        names = [atom.string for clause in setups for atom in clause[1:2]]
        raise NoPlaceForChange(none_called("setup", second.string, names, quoted=True))
    return list(found)


def _setups(document: Document) -> list[Line]:
    return [line for line in document.tree.lines if line.head.text == "setup" and line.block is not None]


def _changed_once(document: Document, clauses: tuple[Clause, ...], setup: int | None) -> str:
    text = document.source.text
    lines = document.tree.lines if setup is None else [_setups(document)[setup]]
    line = _line_to_change(lines, clauses)
    if line is None:
        return _with_new_line(document, lines, clauses)
    replaced = [_text(text, clause) for clause in line.clauses]
    head = clauses[0]
    named = 2 if head[0].kind == "WORD" and len(head) > 1 and head[1].kind == "STRING" else 1
    if len(head) > named or (len(clauses) == 1 and head[0].kind == "WORD"):
        replaced[0] = _said(head)
    for clause in clauses[1:]:
        same = next((index for index, old in enumerate(line.clauses) if index and _kind(old) == _kind(clause)), None)
        if same is None:
            replaced.append(_said(clause))
        else:
            replaced[same] = _said(clause)
    return text[: line.start] + ", ".join(replaced) + text[line.end :]


def _line_to_change(lines: Iterable[Line], clauses: tuple[Clause, ...]) -> Line | None:
    head = clauses[0]
    name = head[1].text if len(head) > 1 and head[1].kind == "STRING" and head[0].kind == "WORD" else None
    found = [line for line in _all(lines) if line.head.text == head[0].text]
    if name is not None and any(len(line.clauses[0]) > 1 and line.clauses[0][1].text == name for line in found):
        found = [line for line in found if len(line.clauses[0]) > 1 and line.clauses[0][1].text == name]
    kinds = {_kind(clause) for clause in clauses[1:]}
    alike = [line for line in found if kinds & {_kind(clause) for clause in line.clauses[1:]}]
    chosen = alike or found
    return chosen[-1] if chosen else None


def _all(lines: Iterable[Line]) -> Iterator[Line]:
    for line in lines:
        yield line
        if line.block is not None:
            yield from _all(line.block.lines)


def _kind(clause: Clause) -> str:
    """What a clause is recognised by: its first word, or that it begins with a value."""
    first = clause[0]
    if first.kind != "WORD":
        return first.kind
    return "side" if first.text in ("left", "right") else first.text


def _said(clause: Clause) -> str:
    """A clause as text; the atoms of a change know their text but stand in another file."""
    return " ".join(atom.text for atom in clause)


def _text(text: str, clause: Clause) -> str:
    first: Atom = clause[0]
    return text[first.start : clause[-1].end]


def _with_new_line(document: Document, lines: Iterable[Line], clauses: tuple[Clause, ...]) -> str:
    text = document.source.text
    said = ", ".join(_said(clause) for clause in clauses)
    head = clauses[0][0].text
    owners = PLANS.homes.get(head, [])
    block = next((line.block for line in lines if line.head.text in owners and line.block is not None), None)
    if block is not None:
        return f"{text[: block.start + 1]}\n  {said}\n{text[block.start + 1 :]}"
    if head in PLANS.outermost:
        return f"{text.rstrip()}\n{said}\n"
    homes = [f"`{each}`" for each in lines_with_clause(head)]
    if homes:
        raise NoPlaceForChange(
            f"{head} begins no line, it is said in {listed(homes)}; write the line's own word after `with`, then a comma and {head}"
        )
    known = {*PLANS.homes, *PLANS.outermost}
    blocks = f"; it belongs in {listed([f'`{each}`' for each in owners])}, and the example has none" if owners else ""
    raise NoPlaceForChange(f"the example has no line that begins with {head}{blocks or did_you_mean(head, known)}")


def lines_with_clause(word: str) -> list[str]:
    """The words of a plan whose lines may have a clause that begins so."""
    lines = {line for entry in PLANS.entries for line in shape(entry).settings.values() if line.entry is not None}
    return sorted(
        {
            line.phrase[0]
            for line in lines
            if line.entry is not None
            for part in shape(line.entry).parts
            if part.clause and part.phrase[0] == word
        }
    )
