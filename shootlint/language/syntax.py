"""Text to our own tree of a plan or kit."""

from __future__ import annotations

from functools import cache
from typing import Any

import lark

from shootlint.language.complaint import Complaints
from shootlint.language.parsing import DAMAGED, Parser
from shootlint.language.source import Source
from shootlint.language.tree import Atom, Block, Clause, Line, Tree


class TreeBuilder(lark.Transformer[lark.Token, list[Line]]):
    """Called by lark for each piece as soon as it is complete, so that no tree of lark's is ever built."""

    def start(self, lines: list[Line]) -> list[Line]:
        return lines

    def line(self, children: list[Any]) -> Line:
        block = children.pop() if isinstance(children[-1], Block) else None
        return Line(tuple(children), block)

    def clause(self, tokens: list[Any]) -> Clause:
        return tuple([atom(token) for token in tokens])

    def block(self, children: list[Any]) -> Block:
        return Block(children[1:-1], children[0].start_pos, children[-1].end_pos)


def atom(token: lark.Token) -> Atom:
    text = str(token)
    return Atom(token.type if text != DAMAGED else "DAMAGED", text, token.start_pos, token.end_pos)  # type: ignore[arg-type]


@cache
def plan_parser(outermost: frozenset[str], opening: frozenset[str] | None) -> Parser:
    return Parser("plan", TreeBuilder(), outermost, opening)


def read_tree(source: Source, complaints: Complaints, outermost: frozenset[str], opening: frozenset[str] | None = None) -> Tree:
    """The tree of a plan or a kit; what cannot be read is added to the complaints and left out or marked as damaged."""
    return Tree(source, plan_parser(outermost, opening).parse(source, complaints))
