"""The one canonical layout of plans and rule files.

A line of the tree becomes a row of text; comments and blank lines are put back between the rows where they stood. The
columns come from the model: the values in a block begin one column after the longest word that such a block may hold,
whatever it does hold, so that a new line never moves its neighbours. Nothing here knows a word of the language.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import lark

from shootlint.language.entry import HOLE, Declared, Shape, shape
from shootlint.language.source import Source
from shootlint.language.spacing import spaced
from shootlint.language.tree import Block, Line, Tree
from shootlint.language.vocabulary import Vocabulary

INDENT = "  "
VALUE_COLUMN = 12
"""Values begin here at the latest, counted from 0 in their block: a longer word pushes its own value only."""
NAME_COLUMN = 24
"""What is said of a name begins here at the latest."""
CLAUSE_COLUMN = 48
"""A second clause that is aligned begins here at the latest."""
COMMENT_COLUMN = 53
"""Comments at the ends of lines begin here, or two spaces after a longer line."""
WIDTH = 100
"""A block that its author wrote on one line stays there up to this width."""

_BLANK = re.compile(r"\n[ \t\r;]*\n")
_ENDS = ("OPEN", "CLOSE", "_SEPARATOR", "COMMENT")


@dataclass(slots=True)
class Row:
    """One line of the new text, and the stretch of the old one that it stands for."""

    indent: str
    text: str
    start: int
    end: int
    opens: bool = False
    closes: bool = False
    comment: str = ""


@dataclass(slots=True)
class _Said:
    """A line of the tree with its own tokens, and what the model declares of it."""

    line: Line
    tokens: Sequence[lark.Token]
    declared: Declared | None

    @property
    def key(self) -> int:
        """How many tokens the words before the value are: `white-balance`, `viewed from`."""
        phrase = _words(self.declared) if self.declared is not None else []
        written = [str(token) for token in self.tokens[: len(phrase)]]
        return len(phrase) if phrase and phrase == written else 1

    @property
    def has_value(self) -> bool:
        return self.line.block is None and len(self.tokens) > self.key and self.tokens[self.key].type != "_COMMA"

    @property
    def names_value(self) -> bool:
        """Whether the value is a name and what it is given, with nothing between them: such lines form a table."""
        entry = self.declared.entry if self.declared is not None else None
        parts = shape(entry).parts[:2] if entry is not None else ()
        return len(parts) == 2 and all(each.phrase == (HOLE,) and each.required and not each.clause for each in parts)


class Formatter:
    def __init__(self, tree: Tree, tokens: Iterable[lark.Token], vocabulary: Vocabulary) -> None:
        """`tokens` are all of the text's, comments included."""
        self.source = tree.source
        self.tree = tree
        self.root = shape(vocabulary.root)
        self.comments: list[lark.Token] = []
        self.tokens: list[lark.Token] = []
        for token in tokens:
            if token.type == "COMMENT":
                self.comments.append(token)
            if token.type != "SPACE":
                self.tokens.append(token)
        self.starts = [token.start_pos or 0 for token in self.tokens]

    def text(self) -> str:
        """The whole text in the canonical layout, with the line ends of the old one."""
        rows = self.with_comments(list(self.rows(self.tree.lines, self.root, "")))
        lines: list[str] = []
        for before, row in zip([None, *rows], rows, strict=False):
            gap = self.source.text[before.end : row.start] if before is not None else ""
            if before is not None and not before.opens and not row.closes and _BLANK.search(gap):
                lines.append("")
            lines.append(_with_comment(row))
        end = line_end(self.source)
        return "".join(f"{line}{end}" for line in lines)

    # Rows of lines

    def rows(self, lines: Sequence[Line], of: Shape | None, indent: str) -> Iterator[Row]:
        said = [_Said(line, self.tokens_of(line), self.declared(line, of)) for line in lines]
        texts = self.laid_out(said, of)
        for each in said:
            line, text = each.line, texts[id(each.line)]
            start, end = each.tokens[0].start_pos or 0, each.tokens[-1].end_pos or 0
            if line.block is None:
                yield Row(indent, text, start, end)
                continue
            on_one_line = self.on_one_line(line, line.block)
            if on_one_line is not None and len(indent) + len(on_one_line) <= WIDTH:
                yield Row(indent, on_one_line, start, line.block.end)
                continue
            yield Row(indent, f"{text} {{", start, line.block.start + 1, opens=True)
            entry = each.declared.entry if each.declared is not None else None
            yield from self.rows(line.block.lines, shape(entry) if entry is not None else None, indent + INDENT)
            yield Row(indent, "}", line.block.end - 1, line.block.end, closes=True)

    def tokens_of(self, line: Line) -> Sequence[lark.Token]:
        """The tokens of a line without those of its block."""
        first = last = bisect_left(self.starts, line.start)
        while last < len(self.tokens) and self.tokens[last].type not in _ENDS:
            last += 1
        return self.tokens[first:last]

    def declared(self, line: Line, of: Shape | None) -> Declared | None:
        if of is None:
            return None
        return of.settings.get(line.head.text, of.named) if line.head.kind == "WORD" else of.named

    def on_one_line(self, line: Line, block: Block) -> str | None:
        """A line with its block beside it; None where its author gave the block lines of its own."""
        if "\n" in self.source.text[block.start : block.end]:
            return None
        inner = [
            (self.on_one_line(each, each.block) if each.block is not None else None) or spaced(self.tokens_of(each))
            for each in block.lines
        ]
        return " ".join([spaced(self.tokens_of(line)), "{", *["; ".join(inner)] * bool(inner), "}"])

    # Columns

    def laid_out(self, said: Sequence[_Said], of: Shape | None) -> dict[int, str]:
        """The text of each line of a block, without its own block, by the line."""
        texts = {id(each.line): spaced(each.tokens) for each in said}
        named = [each for each in said if _is_named(each, of)]
        texts |= dict(_list_of_names(named))
        for paragraph in self.paragraphs(said, of):
            texts |= dict(self.settings(paragraph, of))
        return texts

    def paragraphs(self, said: Sequence[_Said], of: Shape | None) -> Iterator[list[_Said]]:
        """Lines that follow each other with no blank line and no block between them; those that begin with names may lie
        between, and belong to none."""
        paragraph: list[_Said] = []
        before: Line | None = None
        for each in said:
            if before is not None and (
                before.block or each.line.block or _BLANK.search(self.source.text, before.end, each.line.start)
            ):
                yield paragraph
                paragraph = []
            before = each.line
            if not _is_named(each, of):
                paragraph.append(each)
        yield paragraph

    def settings(self, paragraph: Sequence[_Said], of: Shape | None) -> Iterator[tuple[int, str]]:
        """The lines of one paragraph, their values in one column."""
        # The first line of a file says what it is, and stands for itself.
        valued = [each for each in paragraph if each.has_value and each.line is not self.tree.lines[0]]
        column = self.value_column(valued, of)
        for _, alike in groupby(valued, lambda each: str(each.tokens[0])):
            table = list(alike)
            inner = _column((len(each.tokens[each.key]) for each in table), NAME_COLUMN) if table[0].names_value else 0
            for each in table:
                key, rest = spaced(each.tokens[: each.key]), each.tokens[each.key :]
                value = _padded(str(rest[0]), inner, spaced(rest[1:])) if inner and len(rest) > 1 else spaced(rest)
                yield id(each.line), _padded(key, column, value)

    def value_column(self, valued: Sequence[_Said], of: Shape | None) -> int:
        """Where the values of a paragraph begin; 0 where each follows its own word."""
        if of is None or of is self.root:
            # Outside every block stand lines that have little to do with each other.
            return _column((len(spaced(each.tokens[: each.key])) for each in valued), VALUE_COLUMN)
        declared = valued[0].declared if valued else None
        if declared is not None and declared.repeated and all(each.declared is declared for each in valued):
            # A list of things of one kind has nothing to be aligned with.
            return 0
        words = (" ".join(_words(each)) for each in of.settings.values() if _takes_value(each))
        return _column(map(len, words), VALUE_COLUMN)

    # Comments

    def with_comments(self, rows: list[Row]) -> list[Row]:
        """The rows with each comment at the end of the row, or between the rows, where it stood."""
        merged: list[Row] = []
        at = 0
        under: tuple[int, Row] | None = None
        for comment in self.comments:
            start, end = comment.start_pos or 0, comment.end_pos or 0
            while at < len(rows) and rows[at].end <= start:
                merged.append(rows[at])
                at += 1
            text = str(comment).rstrip(" \t")
            before = merged[-1] if merged else None
            column = self.source.line_and_column(start)[1]
            gap = self.source.text[before.end : start] if before is not None else ""
            if before is not None and not before.comment and not before.text.startswith("#") and "\n" not in gap:
                before.comment, before.end = text, end
                under = column, before
            elif under is not None and before is not None and gap.count("\n") == 1 and under[0] == column and before.comment:
                # The author went on under a comment at the end of a line.
                first = under[1]
                merged.append(Row(first.indent, " " * len(first.text), start, end, opens=first.opens, comment=text))
            else:
                indent = "" if before is None else before.indent + INDENT * before.opens
                merged.append(Row(indent, text, start, end))
        return merged + rows[at:]


def line_end(source: Source) -> str:
    """The line end that most lines of a text have."""
    with_return = source.text.count("\r\n")
    return "\r\n" if 2 * with_return > source.text.count("\n") else "\n"


def _with_comment(row: Row) -> str:
    text = row.indent + row.text
    return f"{text.ljust(max(COMMENT_COLUMN, len(text) + 2))}{row.comment}" if row.comment else text


def _is_named(said: _Said, of: Shape | None) -> bool:
    """Whether a line begins with a name rather than with a word of the language."""
    if said.line.head.kind != "WORD":
        return True
    return of is not None and of.named is not None and said.declared is of.named


def _list_of_names(said: Sequence[_Said]) -> Iterator[tuple[int, str]]:
    """Lines that begin with names: what is said of each in one column, and the second clauses too if all begin alike."""
    said = [each for each in said if each.line.block is None and len(each.tokens) > 1]
    if not said:
        return
    column = _column((len(each.tokens[0]) for each in said), NAME_COLUMN)
    pairs = []
    for each in said:
        comma = next((at for at, token in enumerate(each.tokens) if token.type == "_COMMA"), len(each.tokens))
        first = _padded(str(each.tokens[0]), column, spaced(each.tokens[1:comma])) if comma > 1 else str(each.tokens[0])
        pairs.append((each.line, first, each.tokens[comma + 1 :]))
    alike = len({str(rest[0]) if rest else "" for *_, rest in pairs}) == 1
    clause = _column((len(first) + 1 for _, first, _ in pairs), CLAUSE_COLUMN) if alike else 0
    for line, first, rest in pairs:
        yield id(line), _padded(f"{first},", clause, spaced(rest)) if rest else first


def _words(declared: Declared) -> list[str]:
    """The words of a phrase before its value."""
    return list(declared.phrase[: declared.phrase.index(HOLE)] if HOLE in declared.phrase else declared.phrase)


def _takes_value(declared: Declared) -> bool:
    """Whether lines that say it have a value after their words, and no block."""
    if declared.entry is None:
        return True
    of = shape(declared.entry)
    return not of.settings and of.named is None and any(not each.clause for each in of.parts)


def _column(widths: Iterable[int], furthest: int) -> int:
    """The column after the widest, but none past the furthest; 0 where there is none."""
    return min(max((width + 1 for width in widths), default=0), furthest)


def _padded(text: str, column: int, rest: str) -> str:
    return f"{text.ljust(column - 1)} {rest}"
