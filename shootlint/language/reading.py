"""Tree to model: each line is read by the declarations of its entry, and every mistake becomes a complaint.

An entry with a mistake anywhere in it is not used, so that nothing is judged on half of what was meant. The names in
it are kept all the same, so that whoever mentions them is not blamed too. What is sound around it is still read.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from shootlint.language.complaint import Complaints, did_you_mean, listed, nearest
from shootlint.language.entry import HOLE, Declared, Entry, Shape, shape
from shootlint.language.model import Setup
from shootlint.language.slots import Choice, Cursor, Mismatch, Quoted
from shootlint.language.source import Place, Source
from shootlint.language.tree import Line, Tree
from shootlint.language.values import Name
from shootlint.language.vocabulary import PLANS, Vocabulary, fields_of

__all__ = ["PLANS", "Mention", "Reader", "Vocabulary", "fields_of"]


class Damaged(Exception):
    """A line whose mistake has been told already."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A name as read, with the slot that says what it names or declares, and the line of the setup that it stands in."""

    slot: Quoted
    name: Name
    setup: Line | None


@dataclass(slots=True)
class Said:
    """What the lines of a block say."""

    values: dict[str, Any] = field(default_factory=dict)
    """The values of the sound lines, by the field's name."""
    seen: dict[str, Place] = field(default_factory=dict)
    """The place of the first line of each field, sound or not."""
    guessed: set[str] = field(default_factory=set)
    """Fields that lines with a misspelled first word were probably meant for."""
    faulty: bool = False
    """Whether some line has a mistake."""
    unclear: bool = False
    """Whether it cannot be told what some line was meant to say."""


@dataclass
class Reader:
    """Reads the tree of one file."""

    source: Source
    complaints: Complaints
    vocabulary: Vocabulary = PLANS
    mentions: list[Mention] = field(default_factory=list)
    """Every name in the file, in sound lines and in others as far as they could be read."""
    unread: set[str] = field(default_factory=set)
    """Names in lines that could not be read."""
    unnamed: set[str] = field(default_factory=set)
    """Kinds of thing of which one is declared under a name that could not be read."""
    setup: Line | None = None
    times: Counter[Declared] = field(default_factory=Counter)
    """How often each line has been said in the file."""

    def read(self, tree: Tree) -> Any:
        """What a file says, as its root entry; what has a mistake is left out. None where its first line is missing."""
        root = self.vocabulary.root
        said = self.settings(root, tree.lines)
        whole = self.source.place(0, min(len(self.source.text), 1))
        missing = [each for each in shape(root).settings.values() if each.required and each.name not in said.values]
        for each in missing:
            if each.name in said.seen or each.name in said.guessed:
                continue
            empty = not tree.lines and not self.complaints
            message = "the file is empty; it begins with" if empty else f"{self.vocabulary.file} begins with the line"
            self.complaints.add(whole, f"{message} `{each.example()}`")
        return None if missing else self.build(root, said.values, whole)

    def settings(self, entry: type[Entry], lines: Sequence[Line]) -> Said:
        """What the lines of a block say. A line that begins with a misspelled word is read as the word that was meant,
        so that its mistakes are told and its names are known, but it is not used."""
        of = shape(entry)
        said = Said()
        repeated: dict[str, list[Any]] = {}
        times: Counter[str] = Counter()
        homes: set[str] = set()
        for line in lines:
            if self.complaints.full:
                said.faulty = said.unclear = True
                break
            declared = self.setting_of(of, line, homes)
            # Lines that belong in the same other block and follow each other have lost its first line: one mistake.
            homes = self.homes_of(line) if declared is None else set()
            meant = declared or self.meant(of, line)
            if meant is None:
                said.unclear |= line.head.kind == "DAMAGED"
                self.leave_unread(line)
            elif declared is not None and declared.name in said.seen and not declared.repeated:
                self.complaints.add(
                    self.place(line), f"{line.head.text} is said twice; the first is in line {said.seen[declared.name].line}"
                )
                self.leave_unread(line)
                meant = None
            elif declared is not None and declared.repeated:
                times[declared.name] += 1
                if self.one_too_many(of, declared, times[declared.name], line):
                    self.leave_unread(line)
                    meant = None
            value = self.value_of(meant, line) if meant is not None else None
            said.faulty |= value is None or declared is None
            if declared is None:
                said.guessed |= {meant.name} if meant is not None else set()
                continue
            said.seen.setdefault(declared.name, self.place(line))
            if value is not None and declared.repeated:
                repeated.setdefault(declared.name, []).append(value)
            elif value is not None:
                said.values[declared.name] = value
        said.values |= {name: tuple(values) for name, values in repeated.items()}
        return said

    def called(self, of: Shape) -> str:
        """What a block is called in a complaint."""
        return self.vocabulary.file if of.entry is self.vocabulary.root else f"`{of.entry.word()}`"

    def one_too_many(self, of: Shape, declared: Declared, times: int, line: Line) -> bool:
        """Whether a line is said more often than it may be, in its block or in the file; the first such line is told of."""
        self.times[declared] += 1
        told = f"lines of `{declared.head}`" if declared.head is not None else "names"
        limits = ((declared.most, times, self.called(of)), (declared.most_in_all, self.times[declared], self.vocabulary.file))
        for most, said, whole in limits:
            if most is not None and said > most:
                if said == most + 1:
                    what = told if whole == self.called(of) else f"{told} in {self.called(of)} in all"
                    message = f"{whole} takes {most:,} {what} at most; leave out the rest, or put it into {self.vocabulary.file} of its own"
                    self.complaints.add(self.source.place(line.head.start, line.head.end), message)
                return True
        return False

    def value_of(self, declared: Declared, line: Line) -> Any:
        """The value of one line, or None where it has a mistake, which is told."""
        before = len(self.mentions)
        try:
            value = self.line(declared, line)
        except Mismatch as mismatch:
            self.complain(mismatch, line)
            value = None
        except Damaged:
            value = None
        if value is None:
            self.leave_unread(Line(line.clauses, None), {each.name.place for each in self.mentions[before:]})
        return value

    def complain(self, mismatch: Mismatch, line: Line) -> None:
        """Tells of a mistake in a line, unless the mistake that has damaged the line explains it."""
        damage = next((atom.start for clause in line.clauses for atom in clause if atom.kind == "DAMAGED"), None)
        if damage is not None and mismatch.place.start >= damage:
            return
        if damage is not None and self.source.text[damage : damage + 1] == '"':
            # What opens a text that is never closed was meant to close one that was never opened.
            self.complaints[:] = [
                each for each in self.complaints if each.place.source is not self.source or each.place.start != damage
            ]
        self.complaints.add(mismatch.place, mismatch.message)

    def leave_unread(self, line: Line, known: Collection[Place | None] = ()) -> None:
        """Remembers the names in a line that is not read, so that whoever mentions them is not blamed."""
        lines = [line]
        while lines:
            line = lines.pop()
            for atom in (atom for clause in line.clauses for atom in clause):
                if atom.kind == "STRING" and self.source.place(atom.start, atom.end) not in known:
                    self.unread.add(atom.string)
                elif atom.kind == "DAMAGED":
                    skipped = self.source.text[atom.start :].partition("\n")[0]
                    self.unread.update(re.findall(r'"([^"\r]*)"', skipped))
            lines += line.block.lines if line.block is not None else ()

    def meant(self, of: Shape, line: Line) -> Declared | None:
        """The setting whose first word is misspelled in a line."""
        if line.head.kind != "WORD" or line.head.text in self.vocabulary.words:
            return None
        found = nearest(line.head.text, of.settings, likeness=0.75)
        return of.settings[found] if found is not None else None

    def homes_of(self, line: Line) -> set[str]:
        """The words that begin the blocks in which a line belongs; a line that begins with a name may belong in several."""
        return set(self.vocabulary.homes.get(line.head.text, ())) if line.head.kind == "WORD" else {line.head.kind}

    def setting_of(self, of: Shape, line: Line, lost: set[str]) -> Declared | None:
        """The setting that a line says; where there is none, that is told. `lost` holds the blocks in which the line
        before belongs, where it is misplaced too."""
        head = line.head
        if head.kind == "DAMAGED":
            return None
        if head.kind == "WORD" and head.text in of.settings:
            return of.settings[head.text]
        opening = shape(of.named.entry).parts[0].slot if of.named is not None and of.named.entry is not None else None
        if opening is not None and opening.accepts(head):
            return of.named
        place = self.source.place(head.start, head.end)
        root, block = self.vocabulary.root, self.called(of)
        only_names = of.named is not None and not of.settings
        homes = self.homes_of(line)
        if homes & lost:
            return None
        owners = [f"in `{owner}`" for owner in sorted(homes)] if head.kind == "WORD" else []
        owners += ["outside every block"] if head.kind == "WORD" and head.text in shape(root).settings else []
        if owners:
            self.complaints.add(place, f"{head.text} does not belong in {block}; it stands {listed(owners)}")
        elif head.kind != "WORD":
            wanted = "a name" if only_names else "a word of the language"
            self.complaints.add(place, f"a line in {block} begins with {wanted}, not with {head.text}")
        elif only_names:
            self.complaints.add(place, f'names stand in double quotation marks; write "{head.text}"')
            self.unread.add(head.text)
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
        value = self.phrase(declared, cursor, line.head.text)
        self.finished(cursor)
        if cursor.next_clause():
            raise Mismatch(
                cursor.here(), f"nothing more belongs on this line after {cursor.source.text[line.start : cursor.reached]}"
            )
        return value

    def phrase(self, declared: Declared, cursor: Cursor, head: str | None = None) -> Any:
        """Reads a phrase: its words, and its value; True where it has no value. `head` is its first word as written."""
        value: Any = True
        for at, word in enumerate(declared.phrase):
            if word == HOLE:
                assert declared.slot is not None, declared
                value = declared.slot.read(cursor, declared.unit)
                self.mention(declared, value)
            elif not cursor.take_word(word if at or head is None else head):
                cursor.refuse(f"`{declared.written()}`" if cursor.next is not None else f"`{word}`")
        return value

    def mention(self, declared: Declared, value: Any) -> None:
        if isinstance(declared.slot, Quoted) and isinstance(value, Name) and (declared.slot.of or declared.slot.declares):
            self.mentions.append(Mention(declared.slot, value, self.setup))

    def finished(self, cursor: Cursor) -> None:
        if cursor.next is not None:
            raise Mismatch(cursor.here(), f"nothing more belongs here; delete {cursor.here().text}")

    def entry(self, entry: type[Entry], line: Line, cursor: Cursor) -> Any:
        """An entry with its block; None where it has a mistake, which is told. The block of a faulty line is read too,
        so that all mistakes are told in one run."""
        of = shape(entry)
        takes_block = bool(of.settings) or of.named is not None
        before = len(self.mentions)
        values: dict[str, Any] | None = None
        try:
            values = self.parts(of, cursor, line)
            if line.block is not None and not takes_block:
                raise Mismatch(self.source.place(line.block.start, line.block.start + 1), f"{line.head.text} takes no block")
        except Mismatch as mismatch:
            self.complain(mismatch, line)
            values = None
        except Damaged:
            pass
        first = of.parts[0].slot if of.parts else None
        if values is None and isinstance(first, Quoted) and len(self.mentions) == before:
            self.unnamed.add(first.declares)
        said = self.settings(entry, line.block.lines) if line.block is not None and takes_block else Said()
        missing = [
            each
            for each in of.settings.values()
            if each.required and each.name not in said.seen and each.name not in said.guessed
        ]
        if missing and not said.unclear:
            called = f' "{values["name"]}"' if values is not None and "name" in values else ""
            lines = "a line such as" if len(missing) == 1 else "lines such as"
            examples = listed([f"`{each.example()}`" for each in missing], "and")
            words = listed([each.phrase[0] for each in missing])
            self.complaints.add(self.place(line), f"{entry.word()}{called} has no {words}; add {lines} {examples}")
        if missing or said.faulty or values is None:
            return None
        return self.build(entry, values | said.values, self.place(line))

    def parts(self, of: Shape, cursor: Cursor, line: Line) -> dict[str, Any]:
        values: dict[str, Any] = {}
        repeated: dict[str, list[Any]] = {}
        open_ = list(of.parts)
        first = True
        while first or cursor.next_clause():
            while cursor.next is not None:
                declared = self.part_of(of, open_, cursor, first)
                value = self.phrase(declared, cursor)
                if declared.repeated:
                    repeated.setdefault(declared.name, []).append(value)
                else:
                    values[declared.name] = value
                    open_.remove(declared)
                if not first:
                    self.clause_ends(open_, cursor)
            first = False
        for declared in of.parts:
            if declared.required and declared.name not in values:
                raise Mismatch(self.place(line), self.lacks(declared))
        return values | {name: tuple(each) for name, each in repeated.items()}

    def lacks(self, declared: Declared) -> str:
        what = (
            f"`{declared.head}` is missing in this line"
            if declared.head
            else f"this line lacks its {declared.name.replace('_', ' ')}"
        )
        return f"{what}; add `{', ' if declared.clause else ''}{declared.example()}`"

    def part_of(self, of: Shape, open_: list[Declared], cursor: Cursor, first: bool) -> Declared:
        """The part that begins at the cursor."""
        atom = cursor.next
        assert atom is not None
        if atom.kind == "DAMAGED":
            raise Damaged
        alike = [each for each in open_ if each.head == atom.text and atom.kind == "WORD"]
        valued = (each for each in open_ if each.head is None and each.slot is not None and each.slot.accepts(atom))
        # Of phrases that begin with the same word, such as `at least` and `at most`, that one which goes on as the line does.
        declared = max(alike, key=lambda each: _words_met(each, cursor)) if alike else next(valued, None)
        if declared is not None and not (first and declared.clause):
            return declared
        lacking = next((each for each in open_ if each.required and each.clause != first), None)
        if lacking is not None and lacking.slot is not None and lacking.head is None:
            lacking.slot.read(cursor, lacking.unit)
        if declared is not None:
            raise Mismatch(cursor.here(), f"a comma belongs before {atom.text}")
        if atom.kind == "WORD" and any(each.head == atom.text for each in of.parts):
            raise Mismatch(cursor.here(), f"{atom.text} is said twice in this line")
        possible = [each for each in open_ if each.clause != first]
        # What may stand here, by the word that tells it apart; the number only keeps phrases without one apart.
        options = {each.head or str(at): f"`{each.written()}`" for at, each in enumerate(possible)}
        for at, each in enumerate(possible):
            if isinstance(each.slot, Choice) and each.head is None:
                options.pop(str(at))
                options |= {word: word for word in each.slot.words}
        meant = nearest(atom.text, options) if atom.kind == "WORD" else None
        if meant is not None:
            raise Mismatch(cursor.here(), f"{atom.text} is not understood here; did you mean {options[meant]}?")
        if options:
            cursor.refuse(listed(dict.fromkeys(options.values())))
        raise Mismatch(cursor.here(), f"nothing more belongs on this line; delete {atom.text}")

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
                value = values.get(str(each["loc"][0])) if each["loc"] else None
                places = (
                    each.get("ctx", {}).get("place"),
                    getattr(each["input"], "place", None),
                    getattr(value, "place", None),
                    place,
                )
                self.complaints.add(next(each for each in places if isinstance(each, Place)), each["msg"])
            return None

    def place(self, line: Line) -> Place:
        return self.source.place(line.start, line.end)


def _words_met(declared: Declared, cursor: Cursor) -> int:
    """How many words of a phrase come next, before its value."""
    met = 0
    for word in declared.phrase:
        atom = cursor.after(met)
        if word == HOLE or atom is None or atom.kind != "WORD" or atom.text != word:
            break
        met += 1
    return met
