"""How the pieces of one line stand beside each other: one space between them, and none where none belongs."""

from __future__ import annotations

from collections.abc import Sequence

import lark

_BEFORE_AN_OPERAND = frozenset(
    {
        "PLUS",
        "MINUS",
        "TIMES",
        "DIVIDE",
        "COMPARISON",
        "LEFT",
        "_COMMA",
        "REQUIRE",
        "WHEN",
        "WHERE",
        "AND",
        "OR",
        "NOT",
        "BETWEEN",
    }
)


def spaced(tokens: Sequence[lark.Token]) -> str:
    """The text of a line's tokens, each as its author wrote it."""
    text = ""
    for at, token in enumerate(tokens):
        text += f" {token}" if at and _apart(tokens, at) else str(token)
    return text


def _apart(tokens: Sequence[lark.Token], at: int) -> bool:
    """Whether a space stands before a token."""
    before, token = tokens[at - 1], tokens[at]
    touches = before.end_pos == token.start_pos
    if token.type in ("_COMMA", "RIGHT") or before.type == "LEFT":
        return False
    if token.type == "LEFT" and before.type == "WORD":
        # A function is called; the words that join conditions are of kinds of their own.
        return False
    if touches and before.type == "NUMBER" and (token.type == "NUMBER" or _is_joined(tokens, at - 1)):
        # A month such as 2026-11 reads as two numbers.
        return False
    if token.type == "NUMBER" and touches and before.type == "_COMMA" and at > 1:
        # A decimal comma is a mistake that the reader tells by the missing space.
        first = tokens[at - 2]
        return not (first.type in ("NUMBER", "APERTURE") and first.end_pos == before.start_pos)
    # A sign before a name or a bracket belongs to it; one before a number is a number's own only where it touches it.
    return not (before.type == "MINUS" and _is_sign(tokens, at - 1) and token.type in ("WORD", "LEFT"))


def _is_joined(tokens: Sequence[lark.Token], at: int) -> bool:
    """Whether a number is written onto another one."""
    return at > 0 and tokens[at - 1].type == "NUMBER" and tokens[at - 1].end_pos == tokens[at].start_pos


def _is_sign(tokens: Sequence[lark.Token], at: int) -> bool:
    """Whether a minus turns what follows it about, rather than taking it from what stands before."""
    return at == 0 or tokens[at - 1].type in _BEFORE_AN_OPERAND
