"""The one way through: text to tree to plan to readings to findings to mends.

What reads a plan is imported here at once; what judges one, and with it the arrays, only when there is one to judge.
"""

from __future__ import annotations

import argparse
import datetime
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.commands.paths import STANDARD_INPUT, asked, results, rule_source
from shootlint.commands.store import Basis, Store, digest
from shootlint.commands.today import today
from shootlint.language import clocks
from shootlint.language.complaint import Complaint
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source, Unreadable, read_source, standard_input
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


def judge_for(call: argparse.Namespace, day: datetime.date) -> Judge:
    """What judges the plans of a call to `check` on a day; raises Unreadable where a rule file that it names is no text."""
    return Judge(call.rules, day, call.margins, trials_of(call))


def trials_of(call: argparse.Namespace) -> Trials | None:
    """The trials that a call asks for, with progress on the terminal of whoever called, not from processes beside."""
    if call.trials is None:
        return None
    from multiprocessing import parent_process

    from shootlint.commands import output
    from shootlint.rulebook.trials import SEED, Trials

    seed = SEED if call.seed is None else call.seed
    if parent_process() is not None:
        return Trials(call.trials, seed)
    return Trials(call.trials, seed, progress=output.progress(call.trials, "trials"))


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
        """`rule_files` take the place of the house files beside the plans; with `margins` what holds by little is told
        too, with `trials` how sure it is. A text that is no file's stands in the current folder, or nowhere where that
        is not wanted: then files are called by their whole names, too. Raises Unreadable where a rule file is no text."""
        self.margins = margins
        self.trials = trials
        self.loader = Loader(here)
        self._here = here
        self.today = day or today()
        self._sources = [rule_source(file) for file in rule_files]
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
        standing = plan if plan is not None else Path.cwd() / STANDARD_INPUT
        file = house_file(standing)
        if file is None:
            return shipped_book()
        refuse_foreign(file, standing)
        if file not in self._houses:
            self._houses[file] = book_of([read_source(file, shown(file) if self._here else str(file))])
        return self._houses[file]


def shown(path: Path) -> str:
    """A path as people know it: from the folder they are in, where it lies below it or beside a folder above it."""
    here = Path.cwd()
    if path.is_relative_to(here):
        return str(path.relative_to(here))
    return os.path.relpath(path, here) if here.is_relative_to(path.parent) else str(path)


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


def opened(plan: str, rule_files: Iterable[str]) -> Opened:
    """What commands on one plan begin with; raises Unreadable where the plan or a rule file is no text."""
    judge = Judge(rule_files)
    name, document = one_document(plan, judge.loader)
    if isinstance(document, Unreadable):
        raise Unreadable(f"{name}: {document}")
    return opened_document(judge, document)


def opened_document(judge: Judge, document: Document) -> Opened:
    """A document with the rulebook that applies to it; raises Unreadable where a rule file is no text."""
    from shootlint.rulebook.acceptances import mistakes

    book, in_rules = judge.book_for(document.source)
    in_acceptances = mistakes(document.plan, book) if document.plan is not None else []
    return Opened(judge, document, book, (*document.complaints, *in_acceptances), tuple(in_rules))


def one_document(path: str, loader: Loader) -> tuple[str, Document | Unreadable]:
    """The only document that a path names."""
    found = list(results(asked([path]), lambda file: load(file, loader), _may_be_plan))
    return found[0] if len(found) == 1 else (path, Unreadable("this is a folder of several plans; name one of them"))


def _may_be_plan(found: Document | Unreadable) -> bool:
    return isinstance(found, Unreadable) or found.may_be_plan


def load(file: str, loader: Loader) -> Document | Unreadable:
    try:
        if file == STANDARD_INPUT:
            return loader.load_source(standard_input())
        return loader.load(Path(file), file)
    except Unreadable as error:
        return error


def outcome(file: str, judge: Judge, store: Store | None) -> PlanRecord | Unreadable:
    """Judges a file and keeps what came of it. A house file that cannot be read is told with the plan that it is for."""
    document = load(file, judge.loader)
    if isinstance(document, Unreadable):
        return document
    try:
        judged = judge.judge(document)
    except Unreadable as error:
        return Unreadable(f"its house.rules cannot be used: {error}")
    record = judged.record()
    bases = bases_of(judged, store) if store is not None and document.source.path is not None else None
    if store is not None and bases is not None:
        days = [each.until.date.isoformat() for each in document.plan.accept if each.until] if document.plan is not None else []
        store.keep(file, document.source.content, record, bases, days)
    return record


def bases_of(judged: JudgedPlan, store: Store) -> list[Basis] | None:
    """What a verdict rests on besides the plan's own text; None where it hangs on what is not there, such as a missing
    kit or a zone of another name, and what would have to be looked for is more than a few files."""
    document, book = judged.document, judged.book
    if document.kits_missing or (book is not None and book.complaints):
        return None
    named = [*document.named, *(book.named if book is not None else [])]
    bases: list[Basis | None] = [Basis(str(path), str(source.path), digest(source.content)) for path, source in named]
    zone = document.plan.site.zone if document.plan is not None and document.plan.site is not None else None
    if zone is not None:
        if clocks.zone(zone) is None:
            return None
        bases += [store.basis(path) for path in clocks.zone_files(zone)]
    if book is not None and book.packages:
        from shootlint.rulebook.packages import places

        bases += [store.basis(path) for name in book.packages for path in places(name)]
    return [each for each in bases if each is not None] if None not in bases else None
