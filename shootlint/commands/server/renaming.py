"""Renaming what a plan or a kit declares, everywhere that it is named.

What a kit declares may be named by plans that nobody has open. All plans below the folders that are known to hold them
are read, and those that use the kit are changed along with it; where it cannot be told which those are, or what they
say, the renaming is refused and nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from shootlint.commands.paths import files_below
from shootlint.commands.refused import Refused
from shootlint.commands.server import names
from shootlint.commands.server.names import Thing
from shootlint.commands.server.session import Checked, Session
from shootlint.language.folders import root_of, seen_from_here
from shootlint.language.loading import Document
from shootlint.language.reading import Mention
from shootlint.language.source import Place, Source, Unreadable
from shootlint.language.tree import as_string

MOST_FILES = 2000
"""So many files are looked through for plans that use a kit."""


@dataclass(frozen=True)
class Rename:
    """New text for a stretch of a file; of the document asked about where it has no path."""

    source: Source
    start: int
    end: int
    text: str


def renamed_at(checked: Checked, offset: int) -> tuple[int, int, str]:
    """The name at an offset that can be renamed, without its quotation marks, and where it stands; raises Refused."""
    mention = names.mention_at(checked, offset)
    if mention is None or mention.name.place is None:
        raise Refused("only a name in quotation marks that a plan or a kit declares can be renamed")
    place = mention.name.place
    return place.start + 1, place.end - 1, str(mention.name)


def renames(session: Session, checked: Checked, offset: int, name: str) -> list[Rename]:
    """All changes that rename what is named at an offset; raises Refused."""
    mention = names.mention_at(checked, offset)
    document = checked.document
    if mention is None or document is None:
        raise Refused("only a name in quotation marks that a plan or a kit declares can be renamed")
    if not name.strip() or not name.isprintable():
        raise Refused("a name is not empty and has neither line ends nor other control characters in it")
    thing = names.thing_of(mention)
    if name == thing.name:
        return []
    changes: dict[tuple[Source, int], Rename] = {}
    for each in _documents(session, document, thing):
        for place in _places(each, thing, name):
            changes[place.source, place.start] = Rename(place.source, place.start, place.end, as_string(name))
    by_file: dict[object, Rename] = {}
    for change in changes.values():
        by_file.setdefault((change.source.path or change.source, change.start), change)
    return list(by_file.values())


def _places(document: Document, thing: Thing, name: str) -> Iterator[Place]:
    """Where a document and its kits name a thing; raises Refused where its new name means another one there, or where
    it cannot be told what some line says."""
    called = f"{document.source.name}: "
    for each in document.mentions:
        other = names.thing_of(each)
        if str(each.name) == name and each.slot.declares and (other.kind, other.setup) == (thing.kind, thing.setup):
            raise Refused(f'{called}there is a {thing.kind} called "{name}" already')
    if document.plan is None:
        raise Refused(f"{called}mistakes in it hide what it says; mend them first")
    if thing.name in document.unread:
        raise Refused(f'{called}a line with a mistake names "{thing.name}"; mend it first')
    found = names.mentions_of(thing, document.mentions)
    yield from (each.name.place for each in found if each.name.place is not None)
    yield from _accepted(document, thing, found)


def _accepted(document: Document, thing: Thing, found: list[Mention]) -> Iterator[Place]:
    """The names in acceptances; raises Refused where it is open whom they mean."""
    about = [each.about for each in document.plan.accept if str(each.about) == thing.name] if document.plan is not None else []
    if not about or not found:
        return
    kinds = {each.slot.declares for each in document.mentions if str(each.name) == thing.name and each.slot.declares}
    kinds &= names.ACCEPTABLE
    if len(kinds) > 1 and about[0].place is not None:
        alike = " and a ".join(sorted(kinds))
        raise Refused(
            f'{document.source.name}: a {alike} are both called "{thing.name}", and the acceptance in line '
            f"{about[0].place.line} may mean either"
        )
    if thing.kind in kinds:
        yield from (each.place for each in about if each.place is not None)


def _documents(session: Session, document: Document, thing: Thing) -> Iterator[Document]:
    """The document, and every other one that names the same thing; raises Refused where they cannot all be known."""
    yield document
    declared = [
        each.name.place.source
        for each in names.mentions_of(thing, document.mentions)
        if each.slot.declares == thing.kind and each.name.place is not None
    ]
    # What a plan declares itself, nothing else can name: only kits are shared.
    kits = {
        source.path for source in declared if source.path is not None and not (source is document.source and document.is_plan)
    }
    if not kits:
        return
    for path in _plans_around(session, kits, document.source.path):
        try:
            other = session.loader.load(path, seen_from_here(path))
        except Unreadable as error:
            raise Refused(f"{seen_from_here(path)} may use the kit and cannot be read: {error}") from None
        if any(each.source.path in kits for each in other.kits):
            yield other
        elif other.kits_missing and thing.name in other.source.text:
            raise Refused(f'{other.source.name} names "{thing.name}", and a kit that it uses cannot be found')


def _plans_around(session: Session, kits: Iterable[Path], asked: Path | None) -> list[Path]:
    """Every file that may use one of these kits; raises Refused where no folder is known that holds them all."""
    roots: set[Path] = set()
    for kit in kits:
        root = root_of(kit)
        around = {each for each in session.folders if kit.is_relative_to(each)}
        if (root / ".git").exists():
            around = {root}
        if not around:
            raise Refused(
                f"plans elsewhere may use {seen_from_here(kit)}, and it is in no repository and in no folder that the editor has open; "
                "open the folder that holds them all"
            )
        roots |= around
    refused: list[OSError] = []
    found = (Path(file).resolve() for root in sorted(roots) for file in files_below(str(root), refused))
    paths = list(dict.fromkeys(islice(found, MOST_FILES + 1)))
    if len(paths) > MOST_FILES:
        raise Refused(f"there are more than {MOST_FILES:,} files in which plans may use this kit")
    if refused:
        raise Refused(f"{refused[0].filename} cannot be looked into, and plans in it may use this kit")
    return [path for path in paths if path != asked]
