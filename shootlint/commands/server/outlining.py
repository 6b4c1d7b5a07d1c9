"""The outline of a text and what of it may be folded, from its lines and blocks alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shootlint.commands.server.session import Checked
from shootlint.language.entry import Entry, shape
from shootlint.language.tree import Line


@dataclass(frozen=True)
class Symbol:
    """One line of the outline. `chosen` is the part of it that names it."""

    name: str
    detail: str
    start: int
    end: int
    chosen: tuple[int, int]
    opens: bool
    """Whether it has a block."""
    inner: tuple[Symbol, ...] = ()


@dataclass(frozen=True)
class Fold:
    """Lines, from 0, that may be folded into the first of them."""

    first: int
    last: int
    comment: bool = False


def outline(checked: Checked) -> list[Symbol]:
    """The lines that open a block or declare something, in each other as their blocks are."""
    return [] if checked.source is None else list(_symbols(checked, checked.tree.lines, checked.vocabulary.root, 0))


def _symbols(checked: Checked, lines: list[Line], entry: type[Entry] | None, depth: int) -> Iterator[Symbol]:
    assert checked.source is not None
    of = shape(entry) if entry is not None else None
    for line in lines:
        head = line.head
        if head.kind == "DAMAGED":
            continue
        declared = of.settings.get(head.text) or (of.named if head.kind == "STRING" else None) if of is not None else None
        named = next((atom for atom in line.clauses[0] if atom.kind == "STRING"), None)
        takes_lines = declared is not None and declared.entry is not None
        # What says something of the block around it is no thing of its own; at the top everything is.
        if line.block is None and depth > 0 and not (takes_lines and named is not None):
            continue
        chosen = named or head
        title = named.string if named is not None and head.kind != "WORD" else checked.source.text[head.start : chosen.end]
        detail = " ".join(checked.source.text[chosen.end : line.end].split()).lstrip(", ")
        inner = line.block.lines if line.block is not None else []
        end = line.block.end if line.block is not None else line.end
        yield Symbol(
            title.strip() or head.text, detail, line.start, end, (chosen.start, chosen.end), line.block is not None,
            tuple(_symbols(checked, inner, declared.entry if declared is not None else None, depth + 1)),
        )  # fmt: skip


def folds(checked: Checked) -> list[Fold]:
    """Blocks of several lines, and comments of several lines."""
    if checked.source is None:
        return []
    source = checked.source
    found = []
    lines = list(checked.tree.lines)
    while lines:
        line = lines.pop()
        if line.block is None:
            continue
        lines += line.block.lines
        first, last = source.line_and_column(line.block.start)[0], source.line_and_column(max(line.block.end - 1, 0))[0]
        if last > first:
            # The line with the closing brace stays to be seen.
            found.append(Fold(first - 1, last - 2) if last > first + 1 else Fold(first - 1, last - 1))
    return sorted([*found, *_comments(source.text)], key=lambda each: (each.first, -each.last))


def _comments(text: str) -> Iterator[Fold]:
    first = None
    for number, line in enumerate([*text.split("\n"), ""]):
        is_comment = line.lstrip().startswith("#")
        if is_comment and first is None:
            first = number
        elif not is_comment and first is not None:
            if number - 1 > first:
                yield Fold(first, number - 1, comment=True)
            first = None
