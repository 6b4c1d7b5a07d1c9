"""What the server knows: the documents that are open, and of each what reading and judging its text gave.

Everything is worked out for one version of a text and kept until that text, or a file that it rests on, is another one.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from shootlint.commands.server.files import Files, Seen, source_of
from shootlint.commands.tidy import language_of
from shootlint.commands.today import today
from shootlint.language.complaint import Complaint, Complaints
from shootlint.language.folders import seen_from_here, stands_at
from shootlint.language.loading import Document, Loader
from shootlint.language.reading import PLANS
from shootlint.language.source import BYTE_ORDER_MARK, Source, Unreadable
from shootlint.language.tree import Tree
from shootlint.language.vocabulary import Vocabulary
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.finding_mends import Offers
from shootlint.remedies.house import house_levers
from shootlint.remedies.reading import Rereader, parts
from shootlint.rulebook.acceptances import mistakes, order
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.finding import Finding, Verdict
from shootlint.rulebook.house import house_file, refuse_foreign
from shootlint.rulebook.judging import Judged, judge
from shootlint.rulebook.model import RULE_FILES
from shootlint.rulebook.syntax import read_rule_tree

RULES = "shootrules"
"""What clients call the language of rule files; a document of any other is told by its ending and its first word."""


@dataclass
class Opened:
    """A document that is open in the editor."""

    uri: str
    path: Path | None
    """The file, resolved; None for a text that has none yet."""
    version: int | None
    text: str
    """As the client has it, a byte-order mark included."""
    language_id: str = ""

    @cached_property
    def name(self) -> str:
        return seen_from_here(self.path) if self.path is not None else self.uri

    @property
    def marked(self) -> bool:
        return self.text.startswith(BYTE_ORDER_MARK)

    @property
    def bare(self) -> str:
        """The text without its byte-order mark, in which the program's offsets count."""
        return self.text[1:] if self.marked else self.text


@dataclass
class Checked:
    """One version of a document, read and judged."""

    version: int | None
    source: Source | None
    """None where there is no text to read, and then `unreadable` says why."""
    vocabulary: Vocabulary
    day: datetime.date
    seen: Seen = field(default_factory=dict)
    unreadable: str | None = None
    complaints: list[Complaint] = field(default_factory=list)
    """Mistakes in the text, and in the files that it rests on."""
    notes: list[Complaint] = field(default_factory=list)
    """What the text of a rule file might say better."""
    document: Document | None = None
    """A plan or a kit as read; None for a rule file."""
    book: Book | None = None
    verdict: Verdict | None = None
    fault: str | None = None
    """What went wrong in the program itself while the text was judged."""
    loader: Loader | None = None
    house: Path | None = None
    """The house file that applies to it."""

    @property
    def findings(self) -> list[Finding]:
        return self.verdict.findings if self.verdict is not None else []

    @cached_property
    def graphs(self) -> list[Graph]:
        """The readings of each sound setup."""
        return [Graph(scene) for scene in scenes(self.document.plan)] if self.document and self.document.plan else []

    @cached_property
    def offers(self) -> Offers:
        """What mends its findings; looked for when somebody asks."""
        assert self.document is not None and self.book is not None and self.loader is not None
        return Offers(Rereader(self.document, self.loader, self.book, self.day), house_levers(self.book)[0])

    @cached_property
    def tree(self) -> Tree:
        assert self.source is not None
        if self.document is not None:
            return self.document.tree
        return read_rule_tree(self.source, Complaints(), RULE_FILES.outermost)


class _Loader(Loader):
    """Loads plans with their kits as the editor has them."""

    def __init__(self, files: Files) -> None:
        super().__init__()
        self.files = files

    def read(self, path: Path, name: str) -> Source:
        return self.files.read(path, name)

    def still_holds(self, kit: Source) -> bool:
        return self.files.is_current(kit)


@dataclass
class _Kept:
    """A rulebook, what is wrong with its files, and the files."""

    book: Book
    complaints: list[Complaint]
    seen: Seen


@dataclass
class _Before:
    """What each setup of a document gave, by its text, with all else that this rests on. Sources are compared as objects."""

    rest: str
    kits: tuple[Source, ...]
    book: Book
    setups: dict[str, dict[str, Judged]] = field(default_factory=dict)


class Session:
    """The open documents and what is known of them. Nothing here runs beside anything else: whoever calls sees to that."""

    def __init__(self, log: Callable[[str], None] = lambda text: None) -> None:
        self.files = Files()
        self.loader = _Loader(self.files)
        self.documents: dict[str, Opened] = {}
        self.folders: list[Path] = []
        """The folders that the editor works in."""
        self.log = log
        self._checked: dict[str, Checked] = {}
        self._books: dict[Path, _Kept] = {}
        self._before: dict[str, _Before] = {}

    def open(self, uri: str, path: Path | None, version: int | None, text: str, language_id: str = "") -> None:
        """Takes a document in. One without a path is known by its address alone."""
        path = Path(os.path.realpath(path)) if path is not None else None
        self.documents[uri] = Opened(uri, path, version, text, language_id)
        self._checked.pop(uri, None)
        if path is not None:
            self.files.open[path] = text

    def change(self, uri: str, version: int | None, text: str) -> None:
        """Takes the whole of a document's new text."""
        document = self.documents[uri]
        document.version, document.text = version, text
        if document.path is not None:
            self.files.open[document.path] = text

    def close(self, uri: str) -> None:
        """Lets a document go; from now on its file counts as it is on the disk, or as another address has it open."""
        document = self.documents.pop(uri, None)
        self._checked.pop(uri, None)
        self._before.pop(uri, None)
        if document is not None and document.path is not None:
            self.files.open.pop(document.path, None)
            self.files.open |= {each.path: each.text for each in self.documents.values() if each.path == document.path}

    def uri_of(self, path: Path) -> str:
        """The address of a file: the client's own, where it has the file open."""
        return next((each.uri for each in self.documents.values() if each.path == path), None) or path.as_uri()

    def is_stale(self, uri: str) -> bool:
        """Whether what is known of a document is no longer what checking it would give."""
        document, known = self.documents.get(uri), self._checked.get(uri)
        return document is not None and (known is None or not self._still_holds(document, known))

    def checked(self, uri: str) -> Checked:
        """The document as it is now, read and judged."""
        document, known = self.documents[uri], self._checked.get(uri)
        if known is None or not self._still_holds(document, known):
            known = self._checked[uri] = self.check(document)
        return known

    def _still_holds(self, document: Opened, known: Checked) -> bool:
        text = known.source.text if known.source is not None else None
        same = known.version == document.version and (text is None or text == document.bare)
        return same and known.day == today() and known.house == _house(document.path) and self.files.unchanged(known.seen)

    def check(self, document: Opened) -> Checked:
        """Reads and judges a document; a fault of the program in one part of this leaves the others standing."""
        with self.files.watched() as seen:
            try:
                source = source_of(document.text, document.name, document.path)
            except Unreadable as error:
                return Checked(document.version, None, PLANS, today(), seen, str(error), house=_house(document.path))
            is_rules = document.language_id == RULES or language_of(source).vocabulary is RULE_FILES
            checked = Checked(document.version, source, RULE_FILES if is_rules else PLANS, today(), seen)
            checked.house = _house(document.path)
            if is_rules:
                self._judge_rules(checked, source)
            else:
                self._judge_plan(checked, source, document.uri)
            return checked

    def _judge_plan(self, checked: Checked, source: Source, uri: str) -> None:
        document = checked.document = self.loader.load_source(source)
        checked.loader = self.loader
        checked.complaints = [*document.complaints]
        if document.plan is None or not document.plan.setup:
            return
        try:
            if checked.house is not None:
                refuse_foreign(checked.house, stands_at(source.path))
            kept = self._book(checked.house) if checked.house is not None else _Kept(shipped_book(), [], {})
        except Unreadable as error:
            checked.complaints.append(Complaint(source.place(0, 0), f"its house.rules cannot be used: {error}"))
            return
        checked.book = kept.book
        checked.complaints += [*kept.complaints, *mistakes(document.plan, kept.book)]
        try:
            checked.verdict = judge(document.plan, kept.book, checked.day, known=self._known(uri, document, kept.book))
        except Exception as error:
            self.log(f"a fault of the program while {source.name} was judged: {type(error).__name__}: {error}")
            checked.fault, checked.verdict = self._judged_one_by_one(document, kept.book, checked.day)

    def _known(self, uri: str, document: Document, book: Book) -> list[dict[str, Judged]]:
        """What was found before in each setup of a document, where it and all that it rests on read the same."""
        rest, setups = parts(document)
        now = _Before(rest, tuple(kit.source for kit in document.kits), book)
        before = self._before.get(uri)
        if before is not None and before.rest == rest and before.kits == now.kits and before.book is book:
            now.setups = {text: dict(before.setups[text]) for text in setups if text in before.setups}
        self._before[uri] = now
        return [now.setups.setdefault(text, {}) for text in setups]

    def _judged_one_by_one(self, document: Document, book: Book, day: datetime.date) -> tuple[str, Verdict]:
        """What each rule by itself finds, where all together cannot be asked, and which of them cannot be asked at all."""
        assert document.plan is not None
        whole, faulty = Verdict(), []
        for name, rule in book.rules.items():
            try:
                alone = judge(document.plan, replace(book, rules={name: rule}, cautions={}), day)
            except Exception as error:
                self.log(f"rule {name}: {type(error).__name__}: {error}")
                faulty.append(name)
                continue
            whole.findings += alone.findings
            whole.accepted += alone.accepted
            whole.not_judged += alone.not_judged
            whole.held += alone.held
        whole.findings.sort(key=order)
        return f"a fault of the program: {', '.join(faulty) or 'some rule'} could not be asked; the log says more", whole

    def _judge_rules(self, checked: Checked, source: Source) -> None:
        kept = self._book_around(source, checked.house)
        checked.book = kept.book
        checked.complaints = kept.complaints
        checked.notes = list(kept.book.notes)

    def _book_around(self, source: Source, house: Path | None) -> _Kept:
        """The rulebook that a rule file is read in: the house's that uses it, else the one that it makes by itself."""
        if source.path is None:
            return self._made([source])
        if house is not None and house != source.path:
            try:
                kept = self._book(house)
            except Unreadable:
                return self._book(source.path)
            if any(each.path == source.path for _, each in kept.book.named):
                return kept
        return self._book(source.path)

    def _book(self, file: Path) -> _Kept:
        """The rulebook of a file, as kept while none of its files has changed; raises Unreadable."""
        kept = self._books.get(file)
        if kept is None or not self.files.unchanged(kept.seen):
            with self.files.watched() as seen:
                kept = self._made([self.files.read(file, seen_from_here(file))])
            kept.seen = seen
            self._books[file] = kept
        return kept

    def _made(self, sources: list[Source]) -> _Kept:
        book = book_of(sources, self.files.read)
        return _Kept(book, [*book.complaints, *house_levers(book)[1]], {})


def _house(path: Path | None) -> Path | None:
    """The house file that applies to a file, or to a text that has none yet."""
    return house_file(stands_at(path))
