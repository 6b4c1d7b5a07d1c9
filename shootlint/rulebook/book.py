"""The rulebook that applies to a plan: shipped rules, a house's own, and what a house makes of them."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path

from shootlint.language.complaint import Complaints, did_you_mean
from shootlint.language.folders import root_of
from shootlint.language.slots import Mismatch
from shootlint.language.source import Place, Source, Unreadable, read_source
from shootlint.language.values import Name, Quantity
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook import dimensions as d
from shootlint.rulebook import packages
from shootlint.rulebook.compiling import Compiler
from shootlint.rulebook.model import Adjust, Bound, Caution, Forbid, Month, Prefer, Rule, Uncertain, Use
from shootlint.rulebook.own import OWN, SHARE, SHARE_READING, own_rules
from shootlint.rulebook.ready import ReadyCaution, ReadyRule, ready_rule
from shootlint.rulebook.rule_files import Parsed, parse, shipped_files

MOST_FILES = 100
MOST_TIMES_SHIPPED = 20
"""A house may say that something is so many times as uncertain as it is shipped; more is surely a slip of the unit."""


@dataclass
class Book:
    """The rules in force, by name and in the order of their names, and what is wrong with their files."""

    rules: dict[str, ReadyRule] = field(default_factory=dict)
    cautions: dict[str, ReadyCaution] = field(default_factory=dict)
    retired: dict[str, str] = field(default_factory=dict)
    given_up: dict[str, tuple[Rule, str]] = field(default_factory=dict)
    """The retired rules as written, each with its file."""
    complaints: Complaints = field(default_factory=Complaints)
    files: list[str] = field(default_factory=list)
    """The rule files that were read, besides the shipped ones."""
    named: list[tuple[Path, Source]] = field(default_factory=list)
    """Each of them as it was looked for, and what was read there."""
    packages: list[str] = field(default_factory=list)
    """The installed packages that it uses."""
    title: str | None = None
    notes: Complaints = field(default_factory=Complaints)
    """What the rule files might say better, such as a rule's name of today; it changes nothing."""
    forbid: list[Forbid] = field(default_factory=list)
    bound: list[Bound] = field(default_factory=list)
    prefer: list[Prefer] = field(default_factory=list)
    """What the house says of mends, in the order in which its files are read."""
    aliases: dict[str, str] = field(default_factory=dict)
    """Names that rules had before, and the names that they have now."""
    uncertain: dict[str, float] = field(default_factory=dict)
    """How uncertain things are where a house says so, in base units, by name."""

    @cached_property
    def own(self) -> dict[str, ReadyRule]:
        """The program's own rules about trials, judged only when trials are asked for; as shipped unless a house has its say."""
        return {name: _ready_own(_draft(rule, source)) for name, (rule, source) in own_rules().items()}

    def name_now(self, name: str) -> str:
        """A rule's name today, whether it is said by that or by an earlier one."""
        return self.aliases.get(name, name)


@dataclass
class _Draft:
    """A rule as written, with what house files say of it so far."""

    rule: Rule
    source: Source
    level: str
    sets: dict[str, Quantity]
    origin: tuple[str, ...] = ()


class _Builder:
    def __init__(self, book: Book, root: Path | None, read: Callable[[Path, str], Source] = read_source) -> None:
        self.book = book
        self.source_in = read
        self.root = root
        """The folder that the rule files in hand may not leave; None for text made in memory."""
        self.drafts: dict[str, _Draft] = {}
        self.cautions: dict[str, tuple[Caution, Source]] = {}
        self.read: dict[Path, Source] = {}
        self.shipped_taken = False
        self.newest: Month | None = None
        """The month that the house keeps to."""

    @cached_property
    def own(self) -> dict[str, _Draft]:
        """The program's own rules, which few houses speak of: they are read only when one does."""
        return {name: _draft(rule, source) for name, (rule, source) in own_rules().items()}

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
        self.book.forbid += file.forbid
        self.book.bound += file.bound
        self.book.prefer += file.prefer
        for adjust in file.adjust:
            self.adjust(adjust, source)
        for uncertain in file.uncertain:
            self.uncertain(uncertain)
        for levelled in file.level:
            draft = self.draft(levelled.rule)
            if draft is not None:
                draft.level = str(levelled.level)
                draft.origin += (f"level {levelled.level} in {_where(levelled.where)}",)
        for retire in file.retire:
            draft = self.draft(retire.rule)
            if draft is not None:
                (self.own if str(draft.rule.name) in OWN else self.drafts).pop(str(draft.rule.name))
                self.book.retired[str(draft.rule.name)] = str(retire.because)
                self.book.given_up[str(draft.rule.name)] = draft.rule, draft.source.name

    def use(self, use: Use, source: Source, chain: tuple[Path, ...]) -> None:
        if use.shipped:
            self.newest = max(filter(None, (self.newest, use.month)), default=None)
            self.take_shipped()
            return
        if use.package is not None:
            self.take_package(use.package)
            return
        if use.file is None:
            self.complain(use.where, 'use takes `shipped` or the name of a rule file, such as use "studio.rules"')
            return
        if source.path is None:
            self.complain(use.file.place, "standard input cannot use other rule files")
            return
        wanted = source.path.parent / use.file
        try:
            path = wanted.resolve()
        except (OSError, ValueError, RuntimeError):
            # Links that lead to each other are such a name.
            self.complain(use.file.place, "this is not the name of a file")
            return
        if self.root is not None and not path.is_relative_to(self.root):
            self.complain(use.file.place, "the rule file lies outside this folder; move it inside")
        elif path in chain:
            self.complain(use.file.place, "the rule files use each other in a circle")
        elif len(self.read) >= MOST_FILES:
            self.complain(use.file.place, f"more than {MOST_FILES} rule files are used")
        elif path not in self.read:
            try:
                # By the name from where we are, as kits are called: an editor must find it, wherever the naming file lies.
                used = self.source_in(path, os.path.normpath(os.path.join(os.path.dirname(source.name), use.file)))
            except Unreadable as error:
                self.complain(use.file.place, f"the rule file cannot be used: {error}")
                return
            self.read[path] = used
            self.book.files.append(str(use.file))
            self.book.named.append((wanted, used))
            self.take(parse(used), used, (*chain, path))
        else:
            self.book.named.append((wanted, self.read[path]))

    def take_package(self, name: Name) -> None:
        """Takes in what an installed package offers. A fault in it is one complaint that names it, and the rest goes on."""
        if str(name) in self.book.packages:
            return
        self.book.packages.append(str(name))
        try:
            for source in packages.offered_by(str(name)):
                self.take(parse(source), source, ())
        except packages.Fault as fault:
            self.complain(name.place, str(fault))

    def add(self, rule: Rule, source: Source) -> None:
        name = str(rule.name)
        if name in OWN:
            self.complain(rule.name.place, f"{name} is the program's own rule; adjust it, or name this one otherwise")
            return
        if name in self.drafts:
            first = self.drafts[name]
            self.complain(rule.name.place, f"rule {name} is declared twice; the first is at {_where(first.rule.name.place)}")
            return
        for place, each in enumerate(rule.sets):
            if str(each.name) in {str(before.name) for before in rule.sets[:place]}:
                self.complain(each.name.place, f"{each.name} is set twice in this rule")
        self.drafts[name] = _draft(rule, source)
        self.book.aliases |= {str(former): name for former in rule.formerly}

    def draft(self, name: Name) -> _Draft | None:
        now = self.book.name_now(str(name))
        found = (self.own if now in OWN else self.drafts).get(now)
        if found is not None and now != name and name.place is not None:
            self.book.notes.add(name.place, f"{name} is called {now} today; the old name still works")
        if found is None:
            retired = " any more; it was retired before" if str(name) in self.book.retired else ""
            self.complain(name.place, f"no rule is called {name}{retired or did_you_mean(name, [*self.drafts, *OWN])}")
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
            if wanted != found or shipped.kind != each.value.kind:
                hint = f"write it as {shipped.written} is written"
                said = (
                    f"{each.name} is {wanted}, and {each.value} is {found}"
                    if wanted != found
                    else f"{each.value} is not such a value"
                )
                self.complain(each.value.place, f"{said}; {hint}")
                continue
            draft.sets[str(each.name)] = each.value
            draft.origin += (f"{each.name} {each.value} in {_where(each.where)}",)

    def uncertain(self, told: Uncertain) -> None:
        from shootlint.readings.uncertainty import UNCERTAINTIES

        known = UNCERTAINTIES.get(str(told.name))
        if known is None:
            self.complain(told.name.place, f"nothing uncertain is called {told.name}{did_you_mean(told.name, UNCERTAINTIES)}")
            return
        most = MOST_TIMES_SHIPPED * known.size
        write = f"write it in {known.unit.name}, such as {known.unit.from_base(known.size):g} {known.unit.name}"
        if told.size.value == 0:
            self.book.uncertain[known.name] = 0.0
        elif d.of_kind(told.size.kind) != d.of_kind(known.unit.kind):
            self.complain(told.size.place, f"{told.size} does not say how uncertain {known.name} is; {write}")
        elif not 0 < told.size.value <= most:
            limit = f"{known.unit.from_base(most):g} {known.unit.name}"
            self.complain(told.size.place, f"{told.name} is uncertain by 0 to {limit}, not by {told.size}")
        else:
            self.book.uncertain[known.name] = told.size.value

    def finish(self) -> None:
        # Packages that another rulebook of the same run uses are loaded as well, and are none of this one's.
        known = {name: each for name, each in catalogue().items() if not each.package or each.package in self.book.packages}
        for name in sorted(self.drafts):
            draft = self.drafts[name]
            since = draft.rule.since
            if self.newest is not None and since is not None and since > self.newest and draft.level == draft.rule.level:
                draft.level = "note"
                draft.origin += (f"a note, since it came in {since} and the house keeps to {self.newest}",)
            try:
                self.book.rules[name] = ready_rule(draft.rule, draft.source, draft.level, draft.sets, draft.origin, known)
            except Mismatch as mismatch:
                self.complain(mismatch.place, mismatch.message)
        if "own" in self.__dict__:
            self.book.own = {name: _ready_own(draft) for name, draft in self.own.items()}
        for name in sorted(self.cautions):
            caution, source = self.cautions[name]
            compiler = Compiler(source, {}, frozenset(), "each setup", readings=known)
            try:
                self.book.cautions[name] = ReadyCaution(caution, compiler.condition(caution.when))
            except Mismatch as mismatch:
                self.complain(mismatch.place, mismatch.message)


def _draft(rule: Rule, source: Source) -> _Draft:
    """A rule as its file has it; of a value that is set twice the first counts."""
    sets = {str(each.name): each.value for each in reversed(rule.sets)}
    return _Draft(rule, source, str(rule.level), dict(reversed(sets.items())))


def _ready_own(draft: _Draft) -> ReadyRule:
    """One of the program's own rules, whose reading is known to it alone."""
    return ready_rule(draft.rule, draft.source, draft.level, draft.sets, draft.origin, {SHARE: SHARE_READING})


def _where(place: Place | None) -> str:
    return f"{place.source.name}:{place.line}" if place is not None else "another file"


@cache
def shipped_book() -> Book:
    """The shipped rules alone."""
    book = Book()
    builder = _Builder(book, None)
    builder.take_shipped()
    builder.finish()
    return book


def book_of(sources: list[Source], read: Callable[[Path, str], Source] = read_source) -> Book:
    """The rulebook that rule files make together, later ones having the last word; what they use is read by `read`."""
    book = Book()
    builder = _Builder(book, None, read)
    for source in sources:
        if source.path is not None:
            book.named.append((Path.cwd() / source.name, source))
            if source.path in builder.read:
                continue
        book.files.append(source.name)
        chain = (source.path,) if source.path is not None else ()
        builder.read |= dict.fromkeys(chain, source)
        builder.root = root_of(source.path) if source.path is not None else None
        builder.take(parse(source), source, chain)
    builder.finish()
    return book
