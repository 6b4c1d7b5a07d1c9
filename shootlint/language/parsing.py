"""The door to lark: text to tree.

A sound text takes the straight way through. Only when that fails is the text read again, as recovery.py tells.
"""

from __future__ import annotations

from collections.abc import Collection
from hashlib import sha256
from importlib.resources import files
from typing import Any

import lark

from shootlint.language.complaint import Complaints
from shootlint.language.recovery import DAMAGED, Recovery, SlipAt
from shootlint.language.source import Source

__all__ = ["DAMAGED", "GRAMMARS", "Parser", "build", "grammar_digest", "load"]

GRAMMARS = ("plan", "rule")


def grammar_digest(name: str) -> str:
    """A digest of a grammar and the terminals it shares, by which prepared tables are known to be its own."""
    folder = files("shootlint.grammar")
    text = b"".join(folder.joinpath(f"{each}.lark").read_bytes() for each in (name, "terminals"))
    return sha256(text.replace(b"\r\n", b"\n")).hexdigest()


def build(name: str, transformer: Any = None, strict: bool = False) -> lark.Lark:
    """The parser of a grammar, worked out from the grammar file: tens of milliseconds."""
    return lark.Lark.open_from_package(
        "shootlint.grammar",
        f"{name}.lark",
        parser="lalr",
        lexer="basic",
        maybe_placeholders=False,
        strict=strict,
        transformer=transformer,
    )


def load(name: str, transformer: Any = None) -> lark.Lark:
    """The parser of a grammar, from the tables prepared for this version of lark where they are still true."""
    from shootlint.language import tables

    if lark.__version__ == tables.LARK_VERSION and tables.DIGESTS[name] == grammar_digest(name):
        data, memo = tables.TABLES[name]
        parser: lark.Lark = lark.Lark._load_from_dict(data, memo, transformer=transformer)  # type: ignore[no-untyped-call]
        return parser
    return build(name, transformer)


class Parser:
    """Reads one of the two languages.

    Parameters
    ----------
    name : the grammar, "plan" or "rule".
    transformer : builds the tree as lark reduces; its `start` returns the result.
    outermost : the words that begin a line only outside every block. Where the blocks of a file do not balance, such
        a word in the first column is taken as the end of the block that was left open.
    opening : the words that begin a line which opens a block, where a brace may have been forgotten; None for any.
    slip_at : tells the known slip, if it is one, at which a line broke off that the grammar itself reads.
    """

    def __init__(
        self,
        name: str,
        transformer: Any,
        outermost: Collection[str],
        opening: Collection[str] | None = None,
        slip_at: SlipAt | None = None,
    ) -> None:
        self.lark = load(name, transformer)
        self.outermost = frozenset(outermost)
        self.opening = None if opening is None else frozenset(opening)
        self.slip_at = slip_at

    def parse(self, source: Source, complaints: Complaints) -> Any:
        try:
            return self.lark.parse(source.text)
        except lark.exceptions.UnexpectedInput:
            return Recovery(self.lark, self.outermost, self.opening, source, complaints, self.slip_at).run()

    @property
    def keywords(self) -> list[str]:
        """The words that the grammar itself knows: those that join expressions."""
        fixed = [str(each.pattern.value) for each in self.lark.terminals if each.pattern.type == "str"]
        return sorted(each for each in fixed if each.isalpha())

    def tokens(self, text: str) -> list[lark.Token]:
        """All tokens of a sound text, with the spaces and comments that parsing leaves out."""
        return list(self.lark.lex(text, dont_ignore=True))
