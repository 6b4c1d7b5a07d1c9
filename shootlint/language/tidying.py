"""Tidying a text: its canonical layout, and the proof that it means what it meant."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import lark

from shootlint.language.complaint import Complaints
from shootlint.language.formatting import Formatter
from shootlint.language.parsing import Parser
from shootlint.language.reading import Reader
from shootlint.language.recovery import DEEPEST
from shootlint.language.sameness import same
from shootlint.language.source import LARGEST_FILE, Source
from shootlint.language.tree import Line, Tree
from shootlint.language.vocabulary import Vocabulary


class Mistaken(Exception):
    """A text with mistakes of syntax, which has no layout; they are told by the complaints."""

    def __init__(self, complaints: Complaints) -> None:
        super().__init__("the text has mistakes")
        self.complaints = complaints


class Unproven(Exception):
    """A layout that cannot be used. Its text says why, for a person."""


@dataclass(frozen=True)
class Language:
    """One of the two languages: its words and its parser."""

    vocabulary: Vocabulary
    parser: Parser

    def first_word(self, source: Source) -> str | None:
        """The first word in a text, as far as there is one."""
        with suppress(lark.exceptions.UnexpectedCharacters):
            return next((str(token) for token in self.parser.lark.lex(source.text) if token.type == "WORD"), None)
        return None

    def understood(self, source: Source) -> Understood:
        """A text read in every way that a layout must not change; raises Mistaken. Mistakes of meaning are no hindrance."""
        complaints = Complaints()
        tree = Tree(source, self.parser.parse(source, complaints))
        if not complaints:
            _refuse_deep_blocks(tree, complaints)
        if complaints:
            raise Mistaken(complaints)
        said = Reader(source, Complaints(), self.vocabulary).read(tree)
        return Understood(tree, self.parser.tokens(source.text), said)


@dataclass(frozen=True)
class Understood:
    tree: Tree
    tokens: list[lark.Token]
    said: Any
    """The plan or the rule file, as far as it is sound."""

    @property
    def words(self) -> list[tuple[str, str]]:
        """Every token but spaces and line ends, comments included, in order."""
        return [(token.type, str(token).rstrip(" \t")) for token in self.tokens if token.type not in ("SPACE", "_SEPARATOR")]


def tidied(source: Source, language: Language) -> str:
    """The text in its canonical layout, proven to mean the same; raises Mistaken or Unproven."""
    before = language.understood(source)
    text = Formatter(before.tree, before.tokens, language.vocabulary).text()
    if text == source.text:
        return text
    if len(source.encoded(text)) > LARGEST_FILE:
        raise Unproven(f"tidied, the file would be larger than {LARGEST_FILE:,} bytes")
    try:
        after = language.understood(Source(source.name, text, source.path, source.marked))
    except Mistaken as mistaken:
        raise Unproven(f"tidied, it could no longer be read: {mistaken.complaints[0].message}") from None
    if before.words != after.words:
        raise _changed("words and comments")
    if not same(before.tree.lines, after.tree.lines):
        raise _changed("lines and blocks")
    if not same(before.said, after.said):
        raise _changed("meaning")
    return text


def _changed(what: str) -> Unproven:
    return Unproven(f"tidied, its {what} would not be the same; please report this")


def _refuse_deep_blocks(tree: Tree, complaints: Complaints) -> None:
    lines: list[tuple[int, Line]] = [(0, line) for line in tree.lines]
    while lines:
        depth, line = lines.pop()
        if line.block is None:
            continue
        if depth == DEEPEST:
            place = tree.place(line.block)
            complaints.add(tree.source.place(place.start, place.start + 1), f"blocks nest more than {DEEPEST} deep here")
            return
        lines += [(depth + 1, each) for each in line.block.lines]
