"""Text to the tree of a rule file: lines as in a plan, and lines that hold an expression."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import lark

from shootlint.language.complaint import Complaints
from shootlint.language.parsing import Parser
from shootlint.language.source import Source
from shootlint.language.syntax import TreeBuilder, atom
from shootlint.language.tree import Line, Tree
from shootlint.rulebook import expression as e
from shootlint.rulebook.slips import slip_at


def _depth(*nodes: e.Node) -> int:
    return 1 + max((node.depth for node in nodes), default=0)


def _span(*nodes: e.Node) -> tuple[int, int, int]:
    return nodes[0].start, nodes[-1].end, _depth(*nodes)


class RuleTreeBuilder(TreeBuilder):
    """As the plan's, with expressions."""

    def condition(self, children: list[Any]) -> Line:
        word, node = children
        return Line(((atom(word)._replace(kind="WORD"), _formula(node)),), None)  # type: ignore[arg-type]

    def scope(self, children: list[Any]) -> Line:
        head, *rest = children
        words = [each for each in rest if isinstance(each, lark.Token) and each.type == "WORD"]
        where = rest[-1] if isinstance(rest[-1], e.Node) else None
        start, end = words[0].start_pos or 0, where.end if where is not None else words[-1].end_pos or 0
        scope = e.Scope(tuple(str(word) for word in words), where, start, end)
        return Line(((atom(head)._replace(kind="WORD"), e.ScopeAtom("SCOPE", " ".join(scope.words), start, end, scope)),), None)  # type: ignore[arg-type]

    def clause(self, tokens: list[Any]) -> Any:
        """Words that join expressions are ordinary words in an ordinary line."""
        atoms = super().clause(tokens)
        return tuple([each if each.kind in _PLAIN else each._replace(kind="WORD") for each in atoms])

    def disjunction(self, children: list[Any]) -> e.Node:
        return self._joined("or", children)

    def conjunction(self, children: list[Any]) -> e.Node:
        return self._joined("and", children)

    def _joined(self, word: Any, children: list[Any]) -> e.Node:
        parts = tuple(each for each in children if isinstance(each, e.Node))
        return e.Joined(*_span(*parts), word, parts)

    def negated(self, children: list[Any]) -> e.Node:
        return e.Negated(children[0].start_pos, children[1].end, _depth(children[1]), children[1])

    def compared(self, children: list[Any]) -> e.Node:
        left, sign, right = children
        return e.Comparison(*_span(left, right), str(sign), left, right)

    def is_word(self, children: list[Any]) -> e.Node:
        left, word = children[0], children[-1]
        text = str(word).strip('"')
        return e.IsWord(left.start, word.end_pos, _depth(left), left, text, len(children) == 4, word.start_pos)

    def between(self, children: list[Any]) -> e.Node:
        value, low, high = (each for each in children if isinstance(each, e.Node))
        return e.Between(value.start, high.end, _depth(value, low, high), value, low, high)

    def added(self, children: list[Any]) -> e.Node:
        left, sign, right = children
        return e.Arithmetic(*_span(left, right), str(sign), left, right)

    multiplied = added

    def negative(self, children: list[Any]) -> e.Node:
        return e.Negative(children[0].start_pos, children[1].end, _depth(children[1]), children[1])

    def measure(self, children: list[Any]) -> e.Node:
        number, unit = children[0], children[1] if len(children) > 1 else None
        return e.Measured(number.start_pos, children[-1].end_pos, 1, str(number), None if unit is None else str(unit))

    def aperture(self, children: list[Any]) -> e.Node:
        return e.FStop(children[0].start_pos, children[0].end_pos, 1, str(children[0]))

    def clock(self, children: list[Any]) -> e.Node:
        return e.TimeOfDay(children[0].start_pos, children[0].end_pos, 1, str(children[0]))

    def name(self, children: list[Any]) -> e.Node:
        return e.Named(children[0].start_pos, children[0].end_pos, 1, str(children[0]))

    def call(self, children: list[Any]) -> e.Node:
        words = {each.type: at for at, each in enumerate(children) if isinstance(each, lark.Token)}
        axis = children[words["OVER"] + 1] if "OVER" in words else None
        where = children[words["WHERE"] + 1] if "WHERE" in words else None
        parts = [each for each in children if isinstance(each, e.Node)]
        arguments = tuple(parts if where is None else parts[:-1])
        return e.Called(
            children[0].start_pos, children[-1].end_pos, _depth(*parts), str(children[0]), arguments,
            None if axis is None else str(axis), 0 if axis is None else axis.start_pos, where,
        )  # fmt: skip

    def grouped(self, children: list[Any]) -> e.Node:
        opening, node, closing = children
        # What is made of several parts is told with its brackets, or what holds it would lose one of the two.
        whole = isinstance(node, e.Named | e.Measured | e.FStop | e.Called)
        return node if whole else replace(node, start=opening.start_pos, end=closing.end_pos)  # type: ignore[no-any-return]


_PLAIN = frozenset({"STRING", "DATE", "CLOCK", "APERTURE", "NUMBER", "WORD", "DAMAGED"})


def _formula(node: e.Node) -> e.Formula:
    return e.Formula("FORMULA", "a condition", node.start, node.end, node)


@cache
def rule_parser(outermost: frozenset[str]) -> Parser:
    return Parser("rule", RuleTreeBuilder(), outermost, slip_at=slip_at)


def read_rule_tree(source: Source, complaints: Complaints, outermost: frozenset[str]) -> Tree:
    """The tree of a rule file; what cannot be read is added to the complaints and left out or marked as damaged."""
    return Tree(source, rule_parser(outermost).parse(source, complaints))
