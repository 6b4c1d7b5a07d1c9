"""What may stand where the cursor is: words of the language, names, units, rules and readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shootlint.commands.server.offering import Item, Offering
from shootlint.commands.server.saying import Following, has_block
from shootlint.commands.server.session import Checked
from shootlint.commands.server.where import Where, clauses, entries, takes_names, where
from shootlint.commands.words import meaning
from shootlint.language.complaint import Complaints
from shootlint.language.cursor import Cursor, Mismatch
from shootlint.language.entry import HOLE, Declared, Shape, shape
from shootlint.language.reading import Damaged
from shootlint.language.source import Source
from shootlint.language.tree import Clause
from shootlint.rulebook.model import Condition, For, Words


def completions(checked: Checked, offset: int) -> tuple[Where, list[Item]]:
    """What may stand at an offset, and the stretch before it that this would take the place of."""
    assert checked.source is not None
    here = where(checked.source.text, offset)
    around = entries(here.blocks, checked.vocabulary)
    if here.in_comment or around is None:
        return here, []
    offering = Offering(checked, here, around)
    found = _in_line(here, shape(around[-1]), offering)
    items = {each.text: each for each in found if each.quoted or not here.in_name}
    return here, list(items.values())


def _in_line(here: Where, of: Shape, offering: Offering) -> Iterator[Item]:
    line = here.line.strip()
    if not line:
        yield from _beginnings(of, offering)
        return
    comma = line.endswith(",")
    found = clauses(line.removesuffix(",").rstrip())
    if not found or not found[0]:
        return
    head = found[0][0]
    declared = of.settings.get(head.text) if head.kind == "WORD" else of.named
    if declared is None:
        return
    if isinstance(declared.slot, Condition | For):
        yield from offering.in_condition(declared, line[len(head.text) :].strip())
    elif here.in_name and "{" in here.typed.rpartition("}")[2]:
        yield from offering.in_message()
    else:
        yield from _after(line.removesuffix(",").rstrip(), found, declared, comma, offering)


def _beginnings(of: Shape, offering: Offering) -> Iterator[Item]:
    """What a line of a block may begin with."""
    for word, declared in of.settings.items():
        yield Item(word, meaning(declared), "word", f"{word} " if declared.slot is not None or has_block(declared) else word)
    if of.named is not None and of.named.entry is not None:
        first = shape(of.named.entry).parts[0]
        assert first.slot is not None
        if takes_names(of) or not of.settings:
            yield from offering.values(first, first.slot, ())


def _after(line: str, found: tuple[Clause, ...], declared: Declared, comma: bool, offering: Offering) -> Iterator[Item]:
    """What may come after what is on a line already."""
    source = Source("", line)
    reader = Following(source, Complaints(), offering.checked.vocabulary)
    cursor = Cursor(source, found, reader.vocabulary.connecting)
    head = found[0][0].text
    if declared.entry is None:
        try:
            reader.phrase(declared, cursor, head)
        except Mismatch:
            yield from _within(reader, cursor, comma, offering)
        else:
            if comma and isinstance(declared.slot, Words):
                yield from offering.values(declared, declared.slot, ())
        return
    if declared.head is not None:
        cursor.take()
    of = shape(declared.entry)
    open_ = list(of.parts)
    try:
        first = True
        while first or cursor.next_clause():
            while cursor.next is not None:
                part = reader.part_of(of, open_, cursor, first)
                reader.phrase(part, cursor)
                if not part.repeated:
                    open_.remove(part)
            first = False
    except (Mismatch, Damaged):
        yield from _within(reader, cursor, comma, offering)
        return
    yield from _parts(
        [each for each in open_ if each.clause == (comma or cursor.clause > 0) and (comma or not each.clause)], offering
    )


def _within(reader: Following, cursor: Cursor, comma: bool, offering: Offering) -> Iterator[Item]:
    """What goes on with a phrase that is not at its end, where it broke off because the line did."""
    if reader.at is None or cursor.next is not None:
        return
    declared, at, start = reader.at
    if declared.phrase[at] != HOLE:
        yield Item(declared.phrase[at], meaning(declared), "word")
        return
    assert declared.slot is not None
    atoms = [atom for clause in cursor.clauses for atom in clause if atom.start >= start]
    yield from offering.values(declared, declared.slot, atoms, comma)


def _parts(open_: Iterable[Declared], offering: Offering) -> Iterator[Item]:
    """The parts of a line that may come next, each by its first word or, where it begins with a value, by that."""
    for declared in open_:
        if declared.head is not None:
            yield Item(declared.head, meaning(declared), "word", declared.head + (" " if declared.slot is not None else ""))
        elif declared.slot is not None:
            yield from offering.values(declared, declared.slot, ())
