"""The one way through: text to tree to plan to readings to findings to mends.

What reads a plan is imported here at once; what judges one, and with it the arrays, only when there is one to judge.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.language.complaint import Complaint
from shootlint.language.folders import seen_from_here, stands_at
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source, named_source, read_source
from shootlint.reports.recording import plan_record
from shootlint.reports.records import PlanRecord

if TYPE_CHECKING:
    from shootlint.remedies.margins import ByLittle
    from shootlint.rulebook.book import Book
    from shootlint.rulebook.finding import Finding, Verdict
    from shootlint.rulebook.trials import Trials


@dataclass(frozen=True)
class JudgedPlan:
    """One document, what is wrong with its text, and what judging it gave."""

    document: Document
    complaints: tuple[Complaint, ...]
    """The mistakes in the plan, its kits and its rule files."""
    verdict: Verdict | None
    """None where there was nothing to judge: no setup, or none without a mistake."""
    book: Book | None = None
    """The rulebook that it was judged by; None where no one was asked for."""
    margins: tuple[ByLittle, ...] = ()
    """What holds by little, where that was asked for."""

    @property
    def findings(self) -> list[Finding]:
        return self.verdict.findings if self.verdict is not None else []

    def record(self) -> PlanRecord:
        notes = self.book.notes if self.book is not None and self.verdict is not None else ()
        return plan_record(self.document, self.complaints, notes, self.verdict, self.margins)


class Judge:
    """Judges one plan after another; kits and rulebooks that they share are read once."""

    def __init__(
        self,
        rule_files: Iterable[str] = (),
        day: datetime.date | None = None,
        margins: bool = False,
        trials: Trials | None = None,
        here: bool = True,
    ) -> None:
        """`rule_files` take the place of the house files beside the plans; on `day`, which is the real one where none is said,
        acceptances are asked whether they are still good. With `margins` what holds by little is told too, with `trials` how
        sure it is. A text that is no file's stands in the current folder, or nowhere where that is not wanted: then files
        are called by their whole names, too. Raises Unreadable where a rule file is no text."""
        self.margins = margins
        self.trials = trials
        self.loader = Loader(here)
        self._here = here
        self.today = day or datetime.date.today()
        self._sources = [named_source(file) for file in rule_files]
        self._named: Book | None = None
        self._houses: dict[Path, Book] = {}

    def judge(self, document: Document) -> JudgedPlan:
        """A document judged by the rulebook that applies to it."""
        if document.plan is None or not document.plan.setup:
            # Rule files that the call names are read all the same: whoever names them wants to know of their mistakes.
            book, complaints = self.book_for(document.source) if self._sources else (None, [])
            return JudgedPlan(document, (*document.complaints, *complaints), None, book)
        from shootlint.remedies.finding_mends import add_mends
        from shootlint.remedies.house import house_levers
        from shootlint.remedies.margins import by_little
        from shootlint.remedies.reading import Rereader
        from shootlint.rulebook.acceptances import mistakes
        from shootlint.rulebook.judging import judge

        book, complaints = self.book_for(document.source)
        complaints = [*complaints, *mistakes(document.plan, book)]
        verdict = judge(document.plan, book, self.today, self.trials)
        if not verdict.findings and not self.margins:
            return JudgedPlan(document, (*document.complaints, *complaints), verdict, book)
        rereader, house = Rereader(document, self.loader, book, self.today), house_levers(book)[0]
        add_mends(verdict, rereader, house)
        tight = by_little(rereader.start, house) if self.margins else []
        return JudgedPlan(document, (*document.complaints, *complaints), verdict, book, tuple(tight))

    def opened(self, document: Document) -> Opened:
        """A document with the rulebook that applies to it; raises Unreadable where a rule file is no text."""
        from shootlint.rulebook.acceptances import mistakes

        book, in_rules = self.book_for(document.source)
        in_acceptances = mistakes(document.plan, book) if document.plan is not None else []
        return Opened(self, document, book, (*document.complaints, *in_acceptances), tuple(in_rules))

    def book_for(self, source: Source) -> tuple[Book, list[Complaint]]:
        """The rulebook for a plan, and what is wrong with its files."""
        from shootlint.remedies.house import house_levers

        book = self.book_of(source.path)
        return book, [*book.complaints, *house_levers(book)[1]]

    def book_of(self, file: Path | None) -> Book:
        """The rulebook for the plan in a file, or on standard input."""
        return self._named_book() if self._sources else self._house_book(file)

    def _named_book(self) -> Book:
        from shootlint.rulebook.book import book_of

        if self._named is None:
            self._named = book_of(self._sources)
        return self._named

    def _house_book(self, plan: Path | None) -> Book:
        from shootlint.rulebook.book import book_of, shipped_book
        from shootlint.rulebook.house import house_file, refuse_foreign

        if plan is None and not self._here:
            return shipped_book()
        standing = stands_at(plan)
        file = house_file(standing)
        if file is None:
            return shipped_book()
        refuse_foreign(file, standing)
        if file not in self._houses:
            self._houses[file] = book_of([read_source(file, seen_from_here(file) if self._here else str(file))])
        return self._houses[file]


@dataclass(frozen=True)
class Opened:
    """One plan, the rulebook that applies to it, and all mistakes of both."""

    judge: Judge
    document: Document
    book: Book
    in_plan: tuple[Complaint, ...]
    """Mistakes of the plan and of its kits, acceptances of rules that do not exist among them."""
    in_rules: tuple[Complaint, ...]

    @property
    def complaints(self) -> tuple[Complaint, ...]:
        return (*self.in_plan, *self.in_rules)
