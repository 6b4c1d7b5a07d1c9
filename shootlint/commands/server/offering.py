"""What a value may be, by its kind: the words and names that are known, and the units that a number may carry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import Literal

from shootlint.commands.server.names import ACCEPTABLE, PLACED
from shootlint.commands.server.session import Checked
from shootlint.commands.server.where import Where
from shootlint.language.cursor import Slot
from shootlint.language.entry import Declared, Entry, shape
from shootlint.language.model import Acceptance
from shootlint.language.slots import (
    Choice,
    Coordinates,
    Dotted,
    Measure,
    Power,
    Quoted,
    Sideways,
    Sized,
    Spanning,
    TimeSpan,
    WholeSpan,
)
from shootlint.language.tree import Atom
from shootlint.language.units import ALL, BY_SPELLING, Unit, of_kind
from shootlint.readings.axes import PLURALS
from shootlint.readings.catalogue import catalogue
from shootlint.readings.uncertainty import UNCERTAINTIES
from shootlint.remedies.levers import levers
from shootlint.rulebook.book import Book, shipped_book
from shootlint.rulebook.compiling import FUNCTIONS
from shootlint.rulebook.message import NAMES
from shootlint.rulebook.model import RULE_FILES, Bare, For, Rule, Value, Words
from shootlint.rulebook.ready import SCOPES
from shootlint.rulebook.syntax import rule_parser

Sort = Literal["word", "name", "unit", "rule", "reading", "value", "function", "file"]
MOST_FILES, MOST_FOLDERS = 200, 200
ACCEPTED_FOR = next(each for each in shape(Acceptance).parts if each.name == "about")
"""Whom an acceptance is for: a text, since it may be the name of several kinds of thing."""


@dataclass(frozen=True)
class Item:
    """One thing that may stand somewhere. `insert` is what is written where that is more than its text."""

    text: str
    detail: str
    sort: Sort
    insert: str = ""
    quoted: bool = False


@dataclass
class Offering:
    """What is known where a cursor stands."""

    checked: Checked
    here: Where
    around: Sequence[type[Entry]]

    @cached_property
    def book(self) -> Book:
        return self.checked.book or shipped_book()

    def values(self, declared: Declared, slot: Slot, atoms: Sequence[Atom], comma: bool = False) -> Iterator[Item]:
        """What may come next in a value of a kind of which these atoms are there."""
        last = atoms[-1] if atoms else None
        match slot:
            case Quoted():
                yield from self._quoted(declared, slot) if last is None else ()
            case Choice():
                for word in slot.words if last is None else ():
                    yield _name(word, declared.meaning) if slot.quoted else Item(word, declared.meaning, "value")
            case Dotted():
                yield from self._rules()
            case Words():
                yield from self._bare(slot.of) if last is None or comma else ()
            case Bare():
                yield from self._bare(slot) if last is None else ()
            case Value():
                yield from _units(ALL, None) if last is not None and last.kind == "NUMBER" else ()
            case Measure():
                yield from self._units_of(slot, declared.unit, last)
            case Spanning() | Sized():
                joint = "to" if isinstance(slot, Spanning) else "x"
                if last is None or last.text == joint:
                    yield from self.values(declared, slot.of, ())
                elif last.kind == "NUMBER":
                    yield from self.values(declared, slot.of, [last])
                else:
                    yield Item(joint, declared.meaning, "word")
            case TimeSpan() | WholeSpan():
                yield from [Item("to", declared.meaning, "word")] if last is not None and last.text != "to" else []
            case Power():
                yield from _units([BY_SPELLING["stops"]], None) if last is not None and last.kind == "NUMBER" else ()
            case Sideways():
                if last is None:
                    yield from (Item(word, declared.meaning, "value") for word in ("left", "right"))
                elif last.kind == "NUMBER":
                    yield from _units(of_kind("angle"), None)
            case Coordinates():
                letters = ("E", "W") if any(atom.text in ("N", "S") for atom in atoms) else ("N", "S")
                yield from (
                    Item(each, declared.meaning, "unit") for each in letters if last is not None and last.kind == "NUMBER"
                )

    def _units_of(self, slot: Measure, likely: str | None, last: Atom | None) -> Iterator[Item]:
        if last is not None and last.kind == "NUMBER":
            yield from _units([unit for unit in of_kind(*slot.kinds) if unit.kind != "wind force"], likely)
        elif last is None and "wind force" in slot.kinds:
            yield Item("force", "a Beaufort number", "word", "force ")

    def _bare(self, slot: Bare) -> Iterator[Item]:
        if slot.of == "lever":
            yield from (Item(name, each.meaning, "value") for name, each in levers().items())
        elif slot.of == "uncertainty":
            yield from (Item(name, each.meaning, "value") for name, each in UNCERTAINTIES.items())
        elif slot.of == "value":
            opened = self.here.blocks[-1].split()
            rule = self._all_rules().get(opened[-1]) if opened else None
            yield from (Item(name, f"{value} as it stands", "value") for name, value in (rule or {}).items())

    def _quoted(self, declared: Declared, slot: Quoted) -> Iterator[Item]:
        if slot.name == "FILE":
            yield from self._files()
            return
        kinds = {slot.of} if slot.of else set()
        if declared is ACCEPTED_FOR:
            kinds = set(ACCEPTABLE)
        document = self.checked.document
        for mention in document.mentions if document is not None else ():
            if mention.slot.declares in kinds:
                yield _name(str(mention.name), mention.slot.declares.removeprefix(PLACED))

    def _files(self) -> Iterator[Item]:
        source = self.checked.source
        if source is None or source.path is None:
            return
        ending = ".rules" if self.checked.vocabulary is RULE_FILES else ".shoot"
        for path in islice(_files_below(source.path.parent, ending), MOST_FILES):
            if path != source.path:
                yield Item(path.relative_to(source.path.parent).as_posix(), "a file", "file", quoted=True)

    def _rules(self) -> Iterator[Item]:
        for book in (shipped_book(), self.book):
            for name, rule in {**book.rules, **book.own}.items():
                yield Item(name, str(rule.rule.title), "rule")

    def _all_rules(self) -> dict[str, dict[str, object]]:
        books = (shipped_book(), self.book)
        return {name: dict(rule.sets) for book in books for name, rule in {**book.rules, **book.own}.items()}

    # --- conditions and messages of rules

    def in_condition(self, declared: Declared, before: str) -> Iterator[Item]:
        """What may come next in a condition, or in what a rule is for."""
        words = before.replace("(", " ( ").replace(")", " ) ").split()
        if isinstance(declared.slot, For) and "where" not in words:
            if before in SCOPES:
                yield Item("where", "only those for which a condition holds", "word")
            for scope in SCOPES:
                if scope.startswith(before):
                    yield Item(scope[len(before) :].strip(), declared.meaning, "word")
            return
        last = words[-1] if words else ""
        known = catalogue()
        if last == "is" or words[-2:] == ["is", "not"]:
            asked = known.get(words[words.index("is", len(words) - 2) - 1]) if len(words) > 1 else None
            yield from (Item(word, "", "value") for word in (asked.words if asked is not None else ()))
        elif last == "over":
            yield from (Item(word, "", "word") for word in PLURALS)
        elif last[:1].isdigit():
            yield from _units(ALL, None)
        elif last == ")" or last in known or last in self._sets() or last in BY_SPELLING:
            joining = (each for each in rule_parser(RULE_FILES.outermost).keywords if each not in RULE_FILES.words)
            # Inside the brackets of what takes together, `where` narrows it.
            inside = words.count("(") > words.count(")")
            yield from (Item(word, "", "word") for word in joining if word != "where" or inside)
        elif last in PLURALS:
            yield Item("where", "only those for which a condition holds", "word")
        else:
            yield from self._quantities()
            yield from (Item(name, "", "function", f"{name}(") for name in FUNCTIONS)
            yield Item("not", "", "word")

    def in_message(self) -> Iterator[Item]:
        """What may stand in the braces of a message."""
        for name in sorted({name for names in NAMES.values() for name in names}):
            yield Item(name, "a name", "value", quoted=True)
        for each in self._quantities():
            yield Item(each.text, each.detail, each.sort, quoted=True)

    def _quantities(self) -> Iterator[Item]:
        for name, value in self._sets().items():
            yield Item(name, f"set in this rule: {value}", "value")
        for name, reading in catalogue().items():
            if not reading.package or reading.package in self.book.packages:
                yield Item(
                    name, f"{reading.unit.name}, for each {', '.join(reading.axes) or 'setup'}. {reading.meaning}", "reading"
                )

    def _sets(self) -> dict[str, str]:
        """The values that the rule sets in whose block the cursor is."""
        if self.around[-1] is not Rule or self.checked.source is None:
            return {}
        for line in self.checked.tree.lines:
            if line.block is not None and line.block.start < self.here.start and (self.here.start <= line.block.end):
                lines = [each for each in line.block.lines if each.head.text == "set" and len(each.clauses[0]) > 1]
                return {each.clauses[0][1].text: " ".join(atom.text for atom in each.clauses[0][2:]) for each in lines}
        return {}


def _name(name: str, detail: str) -> Item:
    return Item(name, detail, "name", quoted=True)


def _units(units: Iterable[Unit], likely: str | None) -> Iterator[Item]:
    """Units by the spelling that is written, the likely one first."""
    for unit in sorted(units, key=lambda each: each.name != likely):
        yield Item(unit.name, f"{', '.join(unit.spellings[1:3])} ({unit.kind})" if unit.spellings[1:] else unit.kind, "unit")


def _files_below(folder: Path, ending: str) -> Iterator[Path]:
    """Files below a folder with an ending, those of a folder before those of its folders; hidden ones are left out, and
    so is what lies too far away to be looked for while somebody types."""
    waiting = [folder]
    for _ in range(MOST_FOLDERS):
        if not waiting:
            return
        place = waiting.pop(0)
        try:
            there = sorted((each for each in place.iterdir() if not each.name.startswith(".")), key=lambda each: each.name)
        except OSError:
            continue
        yield from (each for each in there if each.name.endswith(ending) and each.is_file())
        waiting += [each for each in there if each.is_dir() and not each.is_symlink()]
