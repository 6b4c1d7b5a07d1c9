"""The rulebook that applies to a plan: shipped rules, a house's own, and what a house makes of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from shootlint.language.complaint import Complaints, did_you_mean, listed
from shootlint.language.loading import root_of
from shootlint.language.reading import Reader
from shootlint.language.slots import Mismatch
from shootlint.language.source import Place, Source, Unreadable, decode, read_source
from shootlint.language.values import Name, Quantity
from shootlint.rulebook import dimensions as d
from shootlint.rulebook import message as m
from shootlint.rulebook.compiling import Compiler, Ready
from shootlint.rulebook.expression import Scope
from shootlint.rulebook.model import RULE_FILES, Adjust, Caution, Rule, RuleFile, Use
from shootlint.rulebook.syntax import read_rule_tree

HOUSE_FILE = "house.rules"
MOST_FILES = 100

SCOPES: dict[str, tuple[str, ...]] = {
    "plan": (),
    "each setup": (),
    "each print": (),
    "each minute": (),
    "each person": ("person",),
    "each light": ("light",),
    "each pair of neighbours": ("person", "other"),
}
"""What a rule may be for, and the axes along which it then has an answer each."""


@dataclass(frozen=True)
class ReadyRule:
    """A rule, checked and ready to judge by, with the values and the level that the house gives it."""

    rule: Rule
    source: Source
    level: str
    sets: dict[str, Quantity]
    require: Ready
    where: Ready | None
    message: m.Message
    scope: str
    origin: tuple[str, ...] = ()
    """Where the house changed it, in words."""

    @property
    def name(self) -> str:
        return str(self.rule.name)

    @property
    def axes(self) -> tuple[str, ...]:
        return SCOPES[self.scope]


@dataclass(frozen=True)
class ReadyCaution:
    caution: Caution
    when: Ready


@dataclass
class Book:
    """The rules in force, by name and in the order of their names, and what is wrong with their files."""

    rules: dict[str, ReadyRule] = field(default_factory=dict)
    cautions: dict[str, ReadyCaution] = field(default_factory=dict)
    retired: dict[str, str] = field(default_factory=dict)
    complaints: Complaints = field(default_factory=Complaints)
    files: list[str] = field(default_factory=list)
    """The rule files that were read, besides the shipped ones."""
    title: str | None = None


@dataclass
class _Draft:
    """A rule as written, with what house files say of it so far."""

    rule: Rule
    source: Source
    level: str
    sets: dict[str, Quantity]
    origin: tuple[str, ...] = ()


class _Builder:
    def __init__(self, book: Book, root: Path | None) -> None:
        self.book = book
        self.root = root
        """The folder that the rule files in hand may not leave; None for text made in memory."""
        self.drafts: dict[str, _Draft] = {}
        self.cautions: dict[str, tuple[Caution, Source]] = {}
        self.read: set[Path] = set()
        self.shipped_taken = False

    def complain(self, place: Place | None, message: str) -> None:
        assert place is not None
        self.book.complaints.add(place, message)

    def take_shipped(self) -> None:
        """Takes the shipped rules in, once: of several rule files each may say that it uses them."""
        if not self.shipped_taken:
            self.shipped_taken = True
            for file, source in shipped_files():
                self.take(file, source, ())

    def take(self, parsed: Parsed, source: Source, chain: tuple[Path, ...]) -> None:
        for complaint in parsed.complaints:
            self.book.complaints.add(complaint.place, complaint.message)
        if parsed.file is None:
            return
        file = parsed.file
        self.book.title = file.rulebook or self.book.title
        for use in file.use:
            self.use(use, source, chain)
        for rule in file.rule:
            self.add(rule, source)
        for caution in file.caution:
            if str(caution.name) in self.cautions:
                self.complain(caution.name.place, f"{caution.name} is declared twice")
            self.cautions.setdefault(str(caution.name), (caution, source))
        for adjust in file.adjust:
            self.adjust(adjust, source)
        for levelled in file.level:
            draft = self.draft(levelled.rule)
            if draft is not None:
                draft.level = str(levelled.level)
                draft.origin += (f"level {levelled.level} in {_where(levelled.where)}",)
        for retire in file.retire:
            if self.draft(retire.rule) is not None:
                del self.drafts[str(retire.rule)]
                self.book.retired[str(retire.rule)] = str(retire.because)

    def use(self, use: Use, source: Source, chain: tuple[Path, ...]) -> None:
        if use.shipped:
            self.take_shipped()
            return
        if use.file is None:
            self.complain(use.where, 'use takes `shipped` or the name of a rule file, such as use "studio.rules"')
            return
        if source.path is None:
            self.complain(use.file.place, "standard input cannot use other rule files")
            return
        path = (source.path.parent / use.file).resolve()
        if self.root is not None and not path.is_relative_to(self.root):
            self.complain(use.file.place, "the rule file lies outside this folder; move it inside")
        elif path in chain:
            self.complain(use.file.place, "the rule files use each other in a circle")
        elif len(self.read) >= MOST_FILES:
            self.complain(use.file.place, f"more than {MOST_FILES} rule files are used")
        elif path not in self.read:
            try:
                used = read_source(path, str(use.file))
            except Unreadable as error:
                self.complain(use.file.place, f"the rule file cannot be used: {error}")
                return
            self.read.add(path)
            self.book.files.append(str(use.file))
            self.take(parse(used), used, (*chain, path))

    def add(self, rule: Rule, source: Source) -> None:
        name = str(rule.name)
        if name in self.drafts:
            first = self.drafts[name]
            self.complain(rule.name.place, f"rule {name} is declared twice; the first is at {_where(first.rule.name.place)}")
            return
        sets: dict[str, Quantity] = {}
        for each in rule.sets:
            if str(each.name) in sets:
                self.complain(each.name.place, f"{each.name} is set twice in this rule")
            sets.setdefault(str(each.name), each.value)
        self.drafts[name] = _Draft(rule, source, str(rule.level), sets)

    def draft(self, name: Name) -> _Draft | None:
        found = self.drafts.get(str(name))
        if found is None:
            retired = " any more; it was retired before" if str(name) in self.book.retired else ""
            self.complain(name.place, f"no rule is called {name}{retired or did_you_mean(name, self.drafts)}")
        return found

    def adjust(self, adjust: Adjust, source: Source) -> None:
        draft = self.draft(adjust.rule)
        if draft is None:
            return
        for each in adjust.values:
            shipped = draft.sets.get(str(each.name))
            if shipped is None:
                there = did_you_mean(each.name, draft.sets) if draft.sets else "; it sets none"
                self.complain(each.name.place, f"{adjust.rule} sets no value called {each.name}{there}")
                continue
            wanted, found = d.of_kind(shipped.kind), d.of_kind(each.value.kind)
            if wanted != found:
                hint = f"write it as {shipped.written} is written"
                self.complain(each.value.place, f"{each.name} is {wanted}, and {each.value} is {found}; {hint}")
                continue
            draft.sets[str(each.name)] = each.value
            draft.origin += (f"{each.name} {each.value} in {_where(each.where)}",)

    def finish(self) -> None:
        for name in sorted(self.drafts):
            draft = self.drafts[name]
            try:
                self.book.rules[name] = ready_rule(draft.rule, draft.source, draft.level, draft.sets, draft.origin)
            except Mismatch as mismatch:
                self.complain(mismatch.place, mismatch.message)
        for name in sorted(self.cautions):
            caution, source = self.cautions[name]
            compiler = Compiler(source, {}, frozenset(), "each setup")
            try:
                self.book.cautions[name] = ReadyCaution(caution, compiler.condition(caution.when))
            except Mismatch as mismatch:
                self.complain(mismatch.place, mismatch.message)


def ready_rule(rule: Rule, source: Source, level: str, sets: dict[str, Quantity], origin: tuple[str, ...] = ()) -> ReadyRule:
    """Checks a rule whole; raises Mismatch at what is wrong in it."""
    scope = scope_of(rule.scope, source)
    axes = frozenset(SCOPES[scope])
    compiler = Compiler(source, sets, axes, scope, over_setups=scope == "plan")
    for name, value in sets.items():
        if name in compiler.readings:
            raise Mismatch(value.place or source.place(0, 0), f"{name} is a reading; call the value something else")
    where = compiler.condition(rule.scope.where) if rule.scope.where is not None else None
    require = compiler.condition(rule.require)
    text = m.compile_message(rule.say, compiler, m.NAMES[scope])
    return ReadyRule(rule, source, level, dict(sets), require, where, text, scope, origin)


def scope_of(scope: Scope, source: Source) -> str:
    words = " ".join(scope.words)
    if words not in SCOPES:
        place = source.place(scope.start, scope.where.start if scope.where is not None else scope.end)
        known = list(SCOPES)
        raise Mismatch(place, f"a rule is not for {words}{did_you_mean(words, known) or f'; it is for {listed(known)}'}")
    return words


def _where(place: Place | None) -> str:
    return f"{place.source.name}:{place.line}" if place is not None else "another file"


@dataclass(frozen=True)
class Parsed:
    """A rule file as read: what it says, and what is wrong with it."""

    source: Source
    file: RuleFile | None
    complaints: Complaints


def parse(source: Source) -> Parsed:
    complaints = Complaints()
    tree = read_rule_tree(source, complaints, RULE_FILES.outermost)
    file = Reader(source, complaints, RULE_FILES).read(tree)
    return Parsed(source, file, complaints)


@cache
def shipped_files() -> tuple[tuple[Parsed, Source], ...]:
    """The rule files that come with the program, by the path of each in the folder of rules."""
    found = []
    for path, file in sorted(_rule_files(files("shootlint.rules"), "")):
        source = decode(file.read_bytes(), f"rules/{path}")
        found.append((parse(source), source))
    return tuple(found)


def _rule_files(folder: Traversable, prefix: str) -> Iterable[tuple[str, Traversable]]:
    for each in folder.iterdir():
        if each.is_dir() and not each.name.startswith(("_", ".")):
            yield from _rule_files(each, f"{prefix}{each.name}/")
        elif each.name.endswith(".rules"):
            yield f"{prefix}{each.name}", each


@cache
def shipped_book() -> Book:
    """The shipped rules alone."""
    book = Book()
    builder = _Builder(book, None)
    builder.take_shipped()
    builder.finish()
    return book


def house_file(plan: Path) -> Path | None:
    """The nearest house.rules in the folder of a plan or above it, within its repository where it is in one."""
    root = root_of(plan)
    within = (root / ".git").exists()
    for folder in plan.parents:
        candidate = folder / HOUSE_FILE
        if candidate.is_file():
            return candidate
        if within and folder == root:
            return None
    return None


def house_book(path: Path, name: str) -> Book:
    """The rulebook that a house file makes; raises Unreadable where there is no text to read."""
    return book_of([read_source(path, name)])


def book_of(sources: list[Source]) -> Book:
    """The rulebook that rule files make together, later ones having the last word."""
    book = Book()
    builder = _Builder(book, None)
    for source in sources:
        if source.path is not None and source.path in builder.read:
            continue
        book.files.append(source.name)
        chain = (source.path,) if source.path is not None else ()
        builder.read |= set(chain)
        builder.root = root_of(source.path) if source.path is not None else None
        builder.take(parse(source), source, chain)
    builder.finish()
    return book
