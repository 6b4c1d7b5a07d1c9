"""A plan's file and its kits, read whole: the plan with everything that it names found, and all complaints.

A kit is looked for beside the file that names it and must lie in the plan's repository (the nearest folder above it
that holds `.git`), or in the plan's own folder where there is none.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from pathlib import Path

from shootlint.language import clocks
from shootlint.language.complaint import Complaints, did_you_mean, listed, nearest, none_called
from shootlint.language.entry import Entry, shape
from shootlint.language.folders import root_of, stands_at
from shootlint.language.model import Plan, Setup
from shootlint.language.model import kit as kit_model
from shootlint.language.reading import PLANS, Mention, Reader, fields_of
from shootlint.language.slots import Quoted
from shootlint.language.source import Place, Source, Unreadable, read_source
from shootlint.language.syntax import read_tree
from shootlint.language.tree import Tree
from shootlint.language.values import Name

MOST_KITS = 50
KIT_FIELDS = tuple(
    each.name for each in shape(Plan).settings.values() if each.entry is not None and each.entry.__module__ == kit_model.__name__
)
"""What a kit may hold: whatever the model declares for kits."""
HEADINGS = ("shootplan", "title", "kit")
"""What else may stand in a kit."""


@dataclass
class Document:
    """One file as read: its plan, where it could be read, and what is wrong with it and with its kits."""

    source: Source
    tree: Tree
    plan: Plan | None
    complaints: Complaints
    mentions: list[Mention]
    kits: list[Document] = field(default_factory=list)
    named: list[tuple[Path, Source]] = field(default_factory=list)
    """Each file that a line names, here and in the kits, as it was looked for, and what was read there."""
    kits_missing: bool = False
    """Whether a kit could not be used, so that what it declares is not known."""
    kits_refused: int = 0
    """How many lines name a kit that could not be used."""
    unread: set[str] = field(default_factory=set)
    """Names in lines that could not be read, here and in the kits."""
    unnamed: set[str] = field(default_factory=set)
    """Kinds of thing of which one is declared under a name that could not be read."""

    @property
    def is_plan(self) -> bool:
        """Whether the file is a plan rather than a kit: it has a setup, sound or not."""
        return any(line.head.text == "setup" for line in self.tree.lines)

    @property
    def may_be_plan(self) -> bool:
        """Whether it is a plan, or no setup can be made out in it because of mistakes, and yet it begins as one."""
        return self.is_plan or (bool(self.complaints) and any(line.head.text == "shootplan" for line in self.tree.lines))

    @cached_property
    def setups(self) -> dict[str, Place]:
        """Every setup that has a name, sound or not, and where that is said; of two with one name the first."""
        found: dict[str, Place] = {}
        for line in self.tree.lines:
            if line.head.text == "setup" and len(line.clauses[0]) > 1 and line.clauses[0][1].kind == "STRING":
                name = line.clauses[0][1]
                found.setdefault(name.string, self.source.place(line.head.start, name.end))
        return found

    @property
    def unsound_setups(self) -> list[str]:
        """The names of setups that are not judged because of a mistake in them or in what they name."""
        sound = {str(setup.name) for setup in self.plan.setup} if self.plan is not None else set()
        return [name for name in self.setups if name not in sound]

    @cached_property
    def files(self) -> list[Path]:
        """Every file that was read for it."""
        return [each.source.path for each in (self, *self.kits) if each.source.path is not None]


class Loader:
    """Loads plans; a kit that several plans share is read once."""

    def __init__(self, here: bool = True) -> None:
        """A text that is no file's stands in the current folder, or nowhere where that is not wanted; then it has no kits."""
        self._kits: dict[tuple[Path, str], Document] = {}
        self._here = here

    def read(self, path: Path, name: str) -> Source:
        """The text of a file; raises Unreadable. An editor has texts of its own, which are not on the disk yet."""
        return read_source(path, name)

    def still_holds(self, kit: Source) -> bool:
        """Whether a kit that was read before is still what its file says. Within one run no file is read twice."""
        return True

    def load(self, path: Path, name: str) -> Document:
        """The plan in a file; raises Unreadable where there is no text to read."""
        return self.load_source(self.read(path, name))

    def load_source(self, source: Source) -> Document:
        document = read_one(source)
        nowhere = source.path is None and not self._here
        folder = Path("-") if nowhere else stands_at(source.path).resolve()
        if document.plan is not None:
            self._add_kits(document, document, root_of(folder), (folder,))
            document.plan = _resolved(document.plan, document)
        document.complaints.sort(key=lambda each: (each.place.source is source, each.place.start, each.place.end))
        return document

    def _add_kits(self, document: Document, into: Document, root: Path, chain: tuple[Path, ...]) -> None:
        assert document.plan is not None
        for file in document.plan.kit:
            if into.kits_refused > into.complaints.MOST:
                # Looking for more of them would take long, and no complaint about them would be told.
                return
            kit = self._kit(file, document, into, root, chain)
            if kit is None:
                continue
            if any(kit.source.path == each.source.path for each in into.kits):
                continue
            into.kits.append(kit)
            for complaint in kit.complaints:
                into.complaints.add(complaint.place, complaint.message)
            into.mentions += kit.mentions
            into.unread |= kit.unread
            into.unnamed |= kit.unnamed
            if kit.plan is not None and kit.source.path is not None:
                self._add_kits(kit, into, root, (*chain, kit.source.path))

    def _kit(self, file: Name, document: Document, into: Document, root: Path, chain: tuple[Path, ...]) -> Document | None:
        def complain(message: str) -> None:
            assert file.place is not None
            into.complaints.add(file.place, message)
            into.kits_missing = True
            into.kits_refused += 1

        if document.source.path is None and not self._here:
            complain("a text of its own has no folder in which a kit could be looked for; say which")
            return None
        try:
            path = (chain[-1].parent / file).resolve()
        except (OSError, ValueError, RuntimeError):
            complain("this is not the name of a file")
            return None
        if not path.is_relative_to(root):
            complain(f"the kit lies outside the folder of this plan's files ({root.name or root}); move it inside")
            return None
        if path in chain:
            complain("the kit includes itself" if path == chain[-1] else "the kits include each other in a circle")
            return None
        if len(into.kits) >= MOST_KITS:
            complain(f"more than {MOST_KITS} kits are named; join some of them")
            return None
        # What its complaints call a kit hangs on the file that names it, and not on which plan was read first.
        name = os.path.normpath(os.path.join(os.path.dirname(document.source.name), file))
        known = self._kits.get((path, name))
        if known is None or not self.still_holds(known.source):
            try:
                kit = read_one(self.read(path, name))
            except Unreadable as error:
                meant = nearest(str(file), _kits_beside(path, chain[-1]))
                complain(f"the kit cannot be used: {error}" + (f'; did you mean "{meant}"?' if meant else ""))
                return None
            _refuse_what_is_no_kit(kit)
            self._kits[path, name] = kit
        found = self._kits[path, name]
        if found.is_plan:
            complain("this file is a plan, for it has a setup; move what it shares into a kit of its own")
            return None
        into.named.append((chain[-1].parent / file, found.source))
        return found


def _kits_beside(path: Path, naming: Path) -> list[str]:
    """Files in the folder where a kit was looked for, as the file that names it would write them."""
    if not path.parent.is_relative_to(naming.parent):
        return []
    found = islice(path.parent.glob("*.shoot"), MOST_KITS)
    return sorted(each.relative_to(naming.parent).as_posix() for each in found if each not in (path, naming))


def read_one(source: Source) -> Document:
    """One file on its own, kits not yet read."""
    complaints = Complaints()
    tree = read_tree(source, complaints, PLANS.outermost, PLANS.opening)
    reader = Reader(source, complaints)
    plan = reader.read(tree)
    complaints.sort(key=lambda complaint: (complaint.place.start, complaint.place.end))
    return Document(source, tree, plan, complaints, reader.mentions, unread=reader.unread, unnamed=reader.unnamed)


def _refuse_what_is_no_kit(kit: Document) -> None:
    of = shape(Plan).settings
    for line in kit.tree.lines:
        if line.head.kind == "WORD" and line.head.text in of and of[line.head.text].name not in (*HEADINGS, *KIT_FIELDS):
            place = kit.source.place(line.head.start, line.head.end)
            kit.complaints.add(
                place, f"{line.head.text} does not belong in a kit; a kit has the lines {listed(KIT_FIELDS, 'and')}"
            )


def _resolved(plan: Plan, document: Document) -> Plan:
    """The plan with its kits' things in it, without the setups that name what is not there."""
    update = {}
    for field_name in KIT_FIELDS:
        things = list(getattr(plan, field_name))
        for kit in document.kits:
            if kit.plan is not None:
                things += getattr(kit.plan, field_name)
        most = shape(Plan).settings[field_name].most
        if most is not None and len(things) > most and things[most].name.place is not None:
            message = f"a plan takes {most} lines of `{field_name}` at most with its kits; leave out what nobody uses"
            document.complaints.add(things[most].name.place, message)
        update[field_name] = tuple(things[:most])
    plan = plan.model_copy(update=update)
    _check_names(document)
    _check_zone(plan, document.complaints)
    there = {kind: {str(thing.name) for thing in getattr(plan, kind)} for kind in (*KIT_FIELDS, "print")}
    there["person"] = {str(person.name) for person in plan.people.members} if plan.people is not None else set()
    return plan.model_copy(update={"setup": tuple(setup for setup in plan.setup if _is_whole(setup, there))})


def _is_whole(setup: Setup, there: dict[str, set[str]]) -> bool:
    """Whether everything that a setup names is there and sound."""
    here: dict[str, set[str]] = {}
    named = list(_names(setup))
    for slot, name in named:
        here.setdefault(slot.declares, set()).add(str(name))
    return all(name in (there.get(slot.of) or here.get(slot.of) or ()) for slot, name in named if slot.of)


def _names(entry: Entry) -> Iterator[tuple[Quoted, Name]]:
    for declared in fields_of(shape(type(entry))):
        value = getattr(entry, declared.name)
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, Entry):
                yield from _names(each)
            elif isinstance(declared.slot, Quoted) and isinstance(each, Name):
                yield declared.slot, each


def _check_zone(plan: Plan, complaints: Complaints) -> None:
    name = plan.site.zone if plan.site is not None else None
    if name is None or name.place is None or clocks.zone(name) is not None:
        return
    if name in clocks.zone_names():
        file = next(filter(os.path.isfile, clocks.zone_files(name)), None)
        write = f"put another in place of {file}" if file is not None else "install the Python package tzdata anew"
        complaints.add(name.place, f"this computer's record of the time zone {name} is damaged; {write}")
    else:
        complaints.add(name.place, f"{name} is not a time zone{zone_hint(name)}")


def _check_names(document: Document) -> None:
    """Complains of names that are declared twice, or named and not declared. A row, or who stands in it, is known
    within its own setup only."""
    declared: dict[tuple[str, int | None], dict[str, Name]] = {}
    for mention in document.mentions:
        if mention.slot.declares:
            _declare(declared.setdefault(scope_of(mention.slot.declares, mention), {}), mention, document.complaints)
    for mention in document.mentions:
        if document.complaints.full:
            return
        kind, name = mention.slot.of, mention.name
        known = declared.get(scope_of(kind, mention), {})
        if not kind or name in known or name.place is None or (document.kits_missing and kind in KIT_FIELDS):
            continue
        if name in document.unread or kind in document.unnamed:
            continue
        bare = kind.removeprefix("placed ")
        if bare != kind and name in declared.get((bare, None), {}):
            document.complaints.add(name.place, f'"{name}" does not stand in this setup')
        else:
            document.complaints.add(name.place, none_called(bare, name, known, quoted=True))


def scope_of(kind: str, mention: Mention) -> tuple[str, int | None]:
    """A kind of name, and where it is known: in the setup that begins there, or everywhere."""
    local = kind == "row" or kind.startswith("placed ")
    return kind, mention.setup.start if local and mention.setup is not None else None


def _declare(known: dict[str, Name], mention: Mention, complaints: Complaints) -> None:
    name = mention.name
    first = known.setdefault(str(name), name)
    if first is name or name.place is None:
        return
    kind = mention.slot.declares
    if kind.startswith("placed "):
        verb = "stands" if kind == "placed person" else "is placed"
        complaints.add(
            name.place, f'"{name}" {verb} twice in this setup; the first is in line {first.place.line if first.place else "?"}'
        )
    else:
        complaints.add(name.place, f'{kind} "{name}" is declared twice; the first is {_where(first.place, name.place)}')


def _where(place: Place | None, seen_from: Place) -> str:
    if place is None:
        return "elsewhere"
    return f"in line {place.line}" if place.source is seen_from.source else f"at {place}"


def zone_hint(name: str) -> str:
    """The zone that was meant. Abbreviations are no help: near one of them lies another, hours away."""
    places = {each for each in clocks.zone_names() if "/" in each}
    return did_you_mean(name, places, quoted=True) or '; write the place\'s, such as "Europe/Copenhagen"'
