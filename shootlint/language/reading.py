"""Tree to model: each line is read by the declarations of its entry, and every mistake becomes a complaint.

An entry with a mistake anywhere in it is not used, so that nothing is judged on half of what was meant. The names in
it are kept all the same, so that whoever mentions them is not blamed too. What is sound around it is still read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from shootlint.language.complaint import Complaints, did_you_mean, listed, nearest
from shootlint.language.entry import HOLE, Declared, Entry, Shape, shape
from shootlint.language.model import Plan, Setup
from shootlint.language.slots import Cursor, Mismatch, Quoted
from shootlint.language.source import Place, Source
from shootlint.language.tree import Line, Tree
from shootlint.language.values import Name


class Damaged(Exception):
    """A line whose mistake has been told already."""


def fields_of(of: Shape) -> list[Declared]:
    return [*of.parts, *of.settings.values(), *([of.named] if of.named else [])]


@dataclass(frozen=True)
class Vocabulary:
    """All the words of a language, found from the entry that stands for a whole file."""

    root: type[Entry]
    file: str
    """What such a file is called in a sentence."""

    @cached_property
    def entries(self) -> tuple[type[Entry], ...]:
        """Every entry of the language, outermost first."""
        return tuple(dict.fromkeys([self.root, *_inner(self.root)]))

    @cached_property
    def outermost(self) -> frozenset[str]:
        """Words that begin a line outside every block and open a block there, or stand nowhere else."""
        heads = shape(self.root).settings
        inner = {head for entry in self.entries if entry is not self.root for head in shape(entry).settings}
        opens = {head for head, each in heads.items() if each.entry is not None and shape(each.entry).settings}
        return frozenset((heads.keys() - inner) | (opens - inner))

    @cached_property
    def connecting(self) -> frozenset[str]:
        """Every word that a phrase is made of."""
        words = {word for entry in self.entries for each in fields_of(shape(entry)) for word in each.phrase if word != HOLE}
        return frozenset(words | {"to", "x"})

    @cached_property
    def homes(self) -> dict[str, list[str]]:
        """For each word that begins a line, the words that begin the blocks in which it does."""
        owners: dict[str, set[str]] = {}
        for entry in self.entries:
            for name, declared in shape(entry).settings.items():
                for head in shape(declared.entry).settings if declared.entry is not None else ():
                    owners.setdefault(head, set()).add(name)
        return {head: sorted(names) for head, names in owners.items()}


def _inner(entry: type[Entry]) -> Iterator[type[Entry]]:
    for declared in fields_of(shape(entry)):
        if declared.entry is not None:
            yield declared.entry
            yield from _inner(declared.entry)


PLANS = Vocabulary(Plan, "a plan")


@dataclass(frozen=True, slots=True)
class Mention:
    """A name as read, with the slot that says what it names or declares, and the line of the setup that it stands in."""

    slot: Quoted
    name: Name
    setup: Line | None


@dataclass
class Reader:
    """Reads the tree of one file."""

    source: Source
    complaints: Complaints
    vocabulary: Vocabulary = PLANS
    mentions: list[Mention] = field(default_factory=list)
    """Every name in the file, in sound lines and in others as far as they could be read."""
    setup: Line | None = None

    def read(self, tree: Tree) -> Any:
        """What a file says, as its root entry; what has a mistake is left out. None where its first line is missing."""
        before = len(self.complaints)
        root = self.vocabulary.root
        values, seen = self.settings(root, tree.lines)
        whole = self.source.place(0, min(len(self.source.text), 1))
        missing = [each for each in shape(root).settings.values() if each.required and each.name not in values]
        for each in missing:
            if each.name in seen:
                continue
            empty = not tree.lines and len(self.complaints) == before
            message = "the file is empty; it begins with" if empty else f"{self.vocabulary.file} begins with the line"
            self.complaints.add(whole, f"{message} `{each.example()}`")
        return None if missing else self.build(root, values, whole)

    def settings(self, entry: type[Entry], lines: Sequence[Line]) -> tuple[dict[str, Any], dict[str, Place]]:
        """The values of a block's sound lines, and the place of every line, sound or not, by the field's name."""
        of = shape(entry)
        values: dict[str, Any] = {}
        seen: dict[str, Place] = {}
        for line in lines:
            if self.complaints.full:
                break
            declared = self.setting_of(of, line)
            if declared is None:
                seen["?"] = self.place(line)
                meant = nearest(line.head.text, of.settings)
                if meant is not None:
                    seen.setdefault(of.settings[meant].name, self.place(line))
                continue
            if declared.name in seen and not declared.repeated:
                first = seen[declared.name].line
                self.complaints.add(self.place(line), f"{line.head.text} is said twice; the first is in line {first}")
                seen["?"] = self.place(line)
                continue
            seen.setdefault(declared.name, self.place(line))
            try:
                value = self.line(declared, line)
            except Mismatch as mismatch:
                self.complaints.add(mismatch.place, mismatch.message)
                value = None
            except Damaged:
                value = None
            if value is None:
                seen["?"] = self.place(line)
            elif declared.repeated:
                values[declared.name] = (*values.get(declared.name, ()), value)
            else:
                values[declared.name] = value
        return values, seen

    def setting_of(self, of: Shape, line: Line) -> Declared | None:
        head = line.head
        if head.kind == "DAMAGED":
            return None
        if head.kind == "WORD" and head.text in of.settings:
            return of.settings[head.text]
        opening = shape(of.named.entry).parts[0].slot if of.named is not None and of.named.entry is not None else None
        if opening is not None and opening.accepts(head):
            return of.named
        place = self.source.place(head.start, head.end)
        root, file = self.vocabulary.root, self.vocabulary.file
        block = file if of.entry is root else f"`{of.entry.word()}`"
        if head.kind != "WORD":
            wanted = "a name" if of.named is not None and not of.settings else "a word of the language"
            self.complaints.add(place, f"a line in {block} begins with {wanted}, not with {head.text}")
        elif of.named is not None and not of.settings:
            self.complaints.add(place, f'names stand in double quotation marks; write "{head.text}"')
            assert of.named.entry is not None
            self.mention(shape(of.named.entry).parts[0], Name(head.text, place))
        else:
            owners = [f"in `{owner}`" for owner in self.vocabulary.homes.get(head.text, ())]
            owners += ["outside every block"] if head.text in shape(root).settings else []
            if owners:
                where = listed(owners)
                self.complaints.add(place, f"{head.text} does not belong in {block}; it stands {where}")
            else:
                self.complaints.add(place, f"{head.text} is not a word of {block}{did_you_mean(head.text, of.settings)}")
        return None

    def line(self, declared: Declared, line: Line) -> Any:
        """The value of one line."""
        cursor = Cursor(self.source, line.clauses, self.vocabulary.connecting)
        if declared.entry is not None:
            if declared.head is not None:
                cursor.take()
            outer, self.setup = self.setup, line if declared.entry is Setup else self.setup
            try:
                return self.entry(declared.entry, line, cursor)
            finally:
                self.setup = outer
        if line.damaged:
            raise Damaged
        if line.block is not None:
            raise Mismatch(self.source.place(line.block.start, line.block.start + 1), f"{line.head.text} takes no block")
        value = self.phrase(declared, cursor)
        self.finished(cursor)
        if cursor.next_clause():
            raise Mismatch(cursor.here(), f"nothing more belongs on this line after {cursor.source.text[line.start : cursor.reached]}")
        return value

    def phrase(self, declared: Declared, cursor: Cursor) -> Any:
        """Reads a phrase: its words, and its value; True where it has no value."""
        value: Any = True
        for word in declared.phrase:
            if word == HOLE:
                assert declared.slot is not None, declared
                value = declared.slot.read(cursor, declared.unit)
                self.mention(declared, value)
            elif not cursor.take_word(word):
                cursor.refuse(f"`{declared.written()}`" if cursor.next is not None else f"`{word}`")
        return value

    def mention(self, declared: Declared, value: Any) -> None:
        if isinstance(declared.slot, Quoted) and isinstance(value, Name) and (declared.slot.of or declared.slot.declares):
            self.mentions.append(Mention(declared.slot, value, self.setup))

    def finished(self, cursor: Cursor) -> None:
        if cursor.next is not None:
            raise Mismatch(cursor.here(), f"nothing more belongs here; {cursor.here().text} is too much")

    def entry(self, entry: type[Entry], line: Line, cursor: Cursor) -> Entry | None:
        of = shape(entry)
        place = self.place(line)
        values: dict[str, Any] = {}
        seen: dict[str, Place] = {}
        try:
            values = self.parts(of, cursor, line)
            if line.block is not None and not of.settings and of.named is None:
                raise Mismatch(self.source.place(line.block.start, line.block.start + 1), f"{line.head.text} takes no block")
        finally:
            # The block of a faulty line is read too, so that all its mistakes are told in one run.
            if line.block is not None and (of.settings or of.named is not None):
                inner, seen = self.settings(entry, line.block.lines)
                values |= inner
        missing = [each for each in of.settings.values() if each.required and each.name not in seen]
        if missing:
            called = f' "{values["name"]}"' if "name" in values else ""
            lines = "a line such as" if len(missing) == 1 else "lines such as"
            examples = listed([f"`{each.example()}`" for each in missing], "and")
            words = listed([each.phrase[0] for each in missing])
            self.complaints.add(place, f"{entry.word()}{called} has no {words}; add {lines} {examples}")
        if missing or "?" in seen:
            return None
        return self.build(entry, values, place)

    def parts(self, of: Shape, cursor: Cursor, line: Line) -> dict[str, Any]:
        values: dict[str, Any] = {}
        open_ = list(of.parts)
        first = True
        while first or cursor.next_clause():
            while cursor.next is not None:
                declared = self.part_of(of, open_, cursor, first)
                value = self.phrase(declared, cursor)
                if declared.repeated:
                    values[declared.name] = (*values.get(declared.name, ()), value)
                else:
                    values[declared.name] = value
                    open_.remove(declared)
                if not first:
                    self.clause_ends(open_, cursor)
            first = False
        for declared in of.parts:
            if declared.required and declared.name not in values:
                raise Mismatch(self.source.place(line.start, line.end), f"{self.lacks(declared)}; write it as `{declared.example()}`")
        return values

    def lacks(self, declared: Declared) -> str:
        what = declared.phrase[0] if declared.head else declared.written()
        return f"this line lacks its {what}"

    def part_of(self, of: Shape, open_: list[Declared], cursor: Cursor, first: bool) -> Declared:
        """The part that begins at the cursor."""
        atom = cursor.next
        assert atom is not None
        if atom.kind == "DAMAGED":
            raise Damaged
        fits = [each for each in open_ if (each.head == atom.text if each.head else each.slot is not None and each.slot.accepts(atom))]
        by_word = [each for each in fits if each.head is not None]
        for declared in by_word or fits:
            if first and declared.clause:
                raise Mismatch(cursor.here(), f"a comma belongs before {atom.text}")
            return declared
        if atom.kind == "WORD" and any(each.head == atom.text for each in of.parts):
            raise Mismatch(cursor.here(), f"{atom.text} is said twice in this line")
        lacking = next((each for each in open_ if each.required and each.clause != first), None)
        if lacking is not None and lacking.slot is not None and lacking.head is None:
            lacking.slot.read(cursor, lacking.unit)
        heads = {each.head for each in open_ if each.head and each.clause != first} | {
            word for each in open_ if each.slot is not None and each.head is None for word in getattr(each.slot, "words", ())
        }
        hint = did_you_mean(atom.text, heads) if atom.kind == "WORD" else ""
        expected = listed([f"`{each.written()}`" for each in open_ if each.clause != first])
        raise Mismatch(cursor.here(), f"{atom.text} is not understood here{hint or (f'; what may follow is {expected}' if expected else '')}")

    def clause_ends(self, open_: list[Declared], cursor: Cursor) -> None:
        atom = cursor.next
        if atom is None:
            return
        if any(each.head == atom.text for each in open_):
            raise Mismatch(cursor.here(), f"a comma belongs before {atom.text}")
        self.finished(cursor)

    def build(self, entry: type[Entry], values: dict[str, Any], place: Place) -> Any:
        """Makes the model's object; what its validators refuse becomes a complaint at the value they refuse."""
        try:
            return entry(where=place, **values)
        except ValidationError as error:
            for each in error.errors(include_url=False):
                name = each["loc"][0] if each["loc"] else None
                value = values.get(str(name))
                self.complaints.add(getattr(each["input"], "place", None) or getattr(value, "place", None) or place, each["msg"])
            return None

    def place(self, line: Line) -> Place:
        return self.source.place(line.start, line.end)
