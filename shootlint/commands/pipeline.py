"""The one way through: text to tree to plan to readings to findings to mends."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from shootlint.language.complaint import Complaint
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source, Unreadable, decode, read_source
from shootlint.remedies.search import add_mends, unknown_levers
from shootlint.reports.run import JudgedPlan, Run
from shootlint.rulebook.book import Book, book_of, house_file, shipped_book
from shootlint.rulebook.finding import Verdict
from shootlint.rulebook.judging import judge

STANDARD_INPUT = "-"


class Judge:
    """Judges one plan after another; kits and rulebooks that they share are read once."""

    def __init__(self, rule_files: Iterable[str] = (), today: datetime.date | None = None) -> None:
        """`rule_files` take the place of the house files beside the plans; raises Unreadable where one is no text."""
        self.loader = Loader()
        self.today = today or datetime.date.today()
        self._books: dict[Path, Book] = {}
        sources = [read_source(Path(file), file) for file in rule_files]
        self._named = book_of(sources) if sources else None

    def judge(self, document: Document) -> JudgedPlan:
        """A document judged by the rulebook that applies to it."""
        book, complaints = self.book_for(document.source)
        verdict = judge(document.plan, book, self.today) if document.plan is not None else Verdict()
        add_mends(verdict, book)
        return JudgedPlan(document, (*document.complaints, *complaints), verdict)

    def book_for(self, source: Source) -> tuple[Book, list[Complaint]]:
        """The rulebook for a plan, and what is wrong with its files."""
        book = self._named or self._house_book(source)
        return book, [*book.complaints, *(Complaint(place, message) for place, message in unknown_levers(book))]

    def _house_book(self, source: Source) -> Book:
        file = house_file(source.path if source.path is not None else Path.cwd() / STANDARD_INPUT)
        if file is None:
            return shipped_book()
        if file not in self._books:
            self._books[file] = book_of([read_source(file, shown(file))])
        return self._books[file]


def shown(path: Path) -> str:
    """A path as people know it: from the folder they are in, where it lies below it."""
    here = Path.cwd()
    return str(path.relative_to(here)) if path.is_relative_to(here) else str(path)


def run_over(documents: Iterable[tuple[str, Document | Unreadable]], judge: Judge) -> Run:
    """Judges documents in order. A house file that cannot be read is told with the plan that it is for."""
    run = Run()
    for name, document in documents:
        if isinstance(document, Unreadable):
            run.unreadable.append((name, str(document)))
            continue
        try:
            run.plans.append(judge.judge(document))
        except Unreadable as error:
            run.unreadable.append((name, f"its house.rules cannot be used: {error}"))
    return run


def documents_in(
    paths: Iterable[str], loader: Loader, standard_input: bytes | None = None
) -> Iterator[tuple[str, Document | Unreadable]]:
    """The documents that paths name: a folder stands for every plan below it, each file once, in the order of their names."""
    seen: set[Path] = set()
    for given in paths:
        if given == STANDARD_INPUT:
            yield "standard input", _loaded_text(standard_input or b"", loader)
            continue
        path = Path(given)
        folder = path.is_dir()
        for each in plan_files(path) if folder else [path]:
            real = Path(os.path.realpath(each))
            if real in seen:
                continue
            seen.add(real)
            name = str(each)
            try:
                document = loader.load(each, name)
            except Unreadable as error:
                yield name, error
                continue
            if not folder or document.is_plan:
                yield name, document


def _loaded_text(content: bytes, loader: Loader) -> Document | Unreadable:
    try:
        return loader.load_source(decode(content, "standard input"))
    except Unreadable as error:
        return error


def plan_files(folder: Path) -> Iterator[Path]:
    """Every .shoot file below a folder, in the order of their names; hidden folders and links to folders are left out."""
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(each for each in folders if not each.startswith("."))
        for file in sorted(files):
            if file.endswith(".shoot"):
                yield Path(place) / file
