"""Where in a text a cursor stands: in which block, how far along which line, in a name or a comment."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from shootlint.language.complaint import Complaints
from shootlint.language.entry import Entry, Shape, shape
from shootlint.language.source import Source
from shootlint.language.syntax import read_tree
from shootlint.language.tree import Atom, Clause
from shootlint.language.vocabulary import Vocabulary

_PIECES = re.compile(r'"(?:[^"\\\n\r]|\\[^\n\r])*+"?|#[^\n\r]*+|[{};\n]')
_WORD = re.compile(r"[\w%./:+-]*\Z")


@dataclass(frozen=True)
class Where:
    """A cursor in a text, as far as the text before it tells."""

    blocks: tuple[str, ...]
    """The lines that open the blocks around it, outermost first, without their braces."""
    line: str
    """Its own line up to the word that is being typed."""
    start: int
    """Where that word begins: with its quotation mark, for a name."""
    typed: str
    """As much of the word as is there; of a name without its quotation mark."""
    in_name: bool = False
    in_comment: bool = False


def where(text: str, offset: int) -> Where:
    """Where an offset is, by the braces and quotation marks before it."""
    before = text[:offset]
    blocks: list[str] = []
    begin = 0
    for piece in _PIECES.finditer(before):
        found = piece.group()
        at_end = piece.end() == offset
        if found.startswith("#") and at_end:
            return Where(tuple(blocks), before[begin : piece.start()], offset, "", in_comment=True)
        if found.startswith('"') and at_end and (len(found) == 1 or not re.fullmatch(r'"(?:[^"\\]|\\.)*"', found)):
            return Where(tuple(blocks), before[begin : piece.start()], piece.start(), found[1:], in_name=True)
        if found == "{":
            blocks.append(before[begin : piece.start()].strip())
        elif found == "}" and blocks:
            blocks.pop()
        if found in "{};\n" or found.startswith("#"):
            begin = piece.end()
    word = _WORD.search(before, begin)
    start = word.start() if word is not None else offset
    return Where(tuple(blocks), before[begin:start], start, before[start:])


def entries(blocks: Iterable[str], vocabulary: Vocabulary) -> list[type[Entry]] | None:
    """What the blocks around a place are, outermost first, the file itself before them; None where one is unknown."""
    found = [vocabulary.root]
    for line in blocks:
        declared = None
        of = shape(found[-1])
        head = first_atom(line)
        if head is not None and head.kind == "WORD":
            declared = of.settings.get(head.text)
        elif head is not None and takes_names(of):
            declared = of.named
        if declared is None or declared.entry is None:
            return None
        found.append(declared.entry)
    return found


def takes_names(of: Shape) -> bool:
    """Whether lines of a block begin with quoted names."""
    if of.named is None or of.named.entry is None:
        return False
    slot = shape(of.named.entry).parts[0].slot
    return slot is not None and "STRING" in slot.starts


def clauses(line: str) -> tuple[Clause, ...]:
    """The clauses of one line by itself; nothing where it is empty. What cannot be read in it is left out."""
    tree = read_tree(Source("", line), Complaints(), frozenset())
    if not tree.lines:
        return ()
    return tuple(tuple(each for each in clause if each.kind != "DAMAGED") for clause in tree.lines[-1].clauses)


def first_atom(line: str) -> Atom | None:
    found = clauses(line)
    return found[0][0] if found and found[0] else None
