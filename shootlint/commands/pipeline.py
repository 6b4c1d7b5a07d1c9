"""The one way through: text to tree to plan to readings to findings to mends.

What reads a plan is imported here at once; what judges one, and with it the arrays, only when there is one to judge.
"""

from __future__ import annotations

import datetime
import os
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.language.complaint import Complaint
from shootlint.language.loading import Document, Loader
from shootlint.language.source import LARGEST_FILE, Source, Unreadable, decode, read_source
from shootlint.reports.recording import plan_record
from shootlint.reports.records import PlanRecord
from shootlint.reports.run import Run

if TYPE_CHECKING:
    from shootlint.rulebook.book import Book
    from shootlint.rulebook.finding import Verdict

STANDARD_INPUT = "-"


@dataclass(frozen=True)
class JudgedPlan:
    """One document, what is wrong with its text, and what judging it gave."""

    document: Document
    complaints: tuple[Complaint, ...]
    """The mistakes in the plan, its kits and its rule files."""
    verdict: Verdict | None
    """None where there was nothing to judge: no setup, or none without a mistake."""
    notes: tuple[Complaint, ...] = ()
    """What its rule files might say better; nothing hangs on it."""

    def record(self) -> PlanRecord:
        return plan_record(self.document, self.complaints, self.notes, self.verdict)


class Judge:
    """Judges one plan after another; kits and rulebooks that they share are read once."""

    def __init__(self, rule_files: Iterable[str] = (), today: datetime.date | None = None) -> None:
        """`rule_files` take the place of the house files beside the plans; raises Unreadable where one is no text."""
        self.loader = Loader()
        self.today = today or _today()
        self._sources = [_rule_source(file) for file in rule_files]
        self._named: Book | None = None
        self._houses: dict[Path, Book] = {}

    def judge(self, document: Document) -> JudgedPlan:
        """A document judged by the rulebook that applies to it."""
        if document.plan is None or not document.plan.setup:
            # Rule files that the call names are read all the same: whoever names them wants to know of their mistakes.
            complaints = self.book_for(document.source)[1] if self._sources else []
            return JudgedPlan(document, (*document.complaints, *complaints), None)
        from shootlint.remedies.finding_mends import add_mends
        from shootlint.remedies.house import house_levers
        from shootlint.remedies.reading import Rereader
        from shootlint.rulebook.acceptances import mistakes
        from shootlint.rulebook.judging import judge

        book, complaints = self.book_for(document.source)
        complaints = [*complaints, *mistakes(document.plan, book)]
        verdict = judge(document.plan, book, self.today)
        if verdict.findings:
            add_mends(verdict, Rereader(document, self.loader, book, self.today), house_levers(book)[0])
        return JudgedPlan(document, (*document.complaints, *complaints), verdict, tuple(book.notes))

    def book_for(self, source: Source) -> tuple[Book, list[Complaint]]:
        """The rulebook for a plan, and what is wrong with its files."""
        from shootlint.remedies.house import house_levers

        book = self._named_book() if self._sources else self._house_book(source)
        return book, [*book.complaints, *house_levers(book)[1]]

    def _named_book(self) -> Book:
        from shootlint.rulebook.book import book_of

        if self._named is None:
            self._named = book_of(self._sources)
        return self._named

    def _house_book(self, source: Source) -> Book:
        from shootlint.rulebook.book import book_of, shipped_book
        from shootlint.rulebook.rule_files import house_file

        file = house_file(source.path if source.path is not None else Path.cwd() / STANDARD_INPUT)
        if file is None:
            return shipped_book()
        if file not in self._houses:
            self._houses[file] = book_of([read_source(file, shown(file))])
        return self._houses[file]


def _today() -> datetime.date:
    """The day on which acceptances are asked whether they are still good; SHOOTLINT_TODAY says another one, for CI."""
    told = os.environ.get("SHOOTLINT_TODAY")
    try:
        return datetime.date.fromisoformat(told) if told else datetime.date.today()
    except ValueError:
        raise Unreadable(f"SHOOTLINT_TODAY is a date such as 2026-11-24, not {told}") from None


def _rule_source(file: str) -> Source:
    try:
        return read_source(Path(file), file)
    except Unreadable as error:
        raise Unreadable(f"{file}: {error}") from None


def shown(path: Path) -> str:
    """A path as people know it: from the folder they are in, where it lies below it or beside a folder above it."""
    here = Path.cwd()
    if path.is_relative_to(here):
        return str(path.relative_to(here))
    return os.path.relpath(path, here) if here.is_relative_to(path.parent) else str(path)


def run_over(documents: Iterable[tuple[str, Document | Unreadable]], judge: Judge) -> Run:
    """Judges documents in order. A house file that cannot be read is told with the plan that it is for."""
    run = Run()
    for name, document in documents:
        if isinstance(document, Unreadable):
            run.unreadable.append((name, str(document)))
            continue
        try:
            run.plans.append(judge.judge(document).record())
        except Unreadable as error:
            run.unreadable.append((name, f"its house.rules cannot be used: {error}"))
    return run


def one_document(path: str, loader: Loader) -> tuple[str, Document | Unreadable]:
    """The only document that a path names."""
    found = list(documents_in([path], loader))
    return found[0] if len(found) == 1 else (path, Unreadable("this is a folder of several plans; name one of them"))


def documents_in(paths: Iterable[str], loader: Loader) -> Iterator[tuple[str, Document | Unreadable]]:
    """The documents that paths name: a folder stands for every plan below it, each file once, in the order of their names."""
    seen: set[str] = set()
    for given in paths:
        if given == STANDARD_INPUT:
            if given not in seen:
                seen.add(given)
                yield "standard input", _load_standard_input(loader)
        elif os.path.isdir(given):
            yield from _documents_below(given, loader, seen)
        elif is_first(given, seen):
            yield str(Path(given)), _load(given, loader)


def is_first(path: str, seen: set[str]) -> bool:
    """Whether a file has not been seen under this or another name; from now on it has."""
    real = os.path.realpath(path)
    first = real not in seen
    seen.add(real)
    return first


def _documents_below(folder: str, loader: Loader, seen: set[str]) -> Iterator[tuple[str, Document | Unreadable]]:
    """What a folder stands for. One without a plan, and what is in it and cannot be read, does not pass in silence."""
    refused: list[OSError] = []
    empty = True
    for path in files_below(folder, refused):
        if not is_first(path, seen):
            empty = False
            continue
        document = _load(path, loader)
        if isinstance(document, Unreadable) or document.is_plan or document.is_broken_plan:
            empty = False
            yield path, document
    for error in refused:
        yield str(error.filename), Unreadable(f"the folder cannot be read: {error.strerror}")
    if empty and not refused:
        yield folder, Unreadable("there is no plan below this folder")


def _load(path: str, loader: Loader) -> Document | Unreadable:
    try:
        return loader.load(Path(path), str(Path(path)))
    except Unreadable as error:
        return error


def _load_standard_input(loader: Loader) -> Document | Unreadable:
    try:
        return loader.load_source(standard_input())
    except Unreadable as error:
        return error


def standard_input() -> Source:
    """What standard input holds; raises Unreadable."""
    return decode(sys.stdin.buffer.read(LARGEST_FILE + 1) if sys.stdin is not None else b"", "standard input")


def files_below(folder: str, refused: list[OSError], endings: tuple[str, ...] = (".shoot",)) -> Iterator[str]:
    """Every file below a folder with one of these endings, in the order of their names, those of a folder before those
    of its folders; hidden files and folders and links to folders are left out. Folders that cannot be read are added to
    `refused`."""
    for place, folders, files in os.walk(folder, onerror=refused.append):
        folders[:] = sorted(each for each in folders if not each.startswith("."))
        for file in sorted(files):
            if file.endswith(endings) and not file.startswith("."):
                yield str(Path(place, file))
