"""Damages texts: words, lines and characters lost, doubled, swapped, put in from elsewhere, or put as what is hard to bear.

Everything is drawn from a `random.Random`, so that a seed makes the same texts again; hypothesis, whose `randoms` are
such, draws and shrinks them in its own way.
"""

from __future__ import annotations

import random
import re
from collections.abc import Sequence

WORDS = re.compile(r'"[^"\n]*"|[^\s{},;"]+|[{},;]')
LINES = re.compile(r"[^\n]*\n")
NUMBERS = re.compile(r"[+-]?\d+(?:\.\d+)?(?:/\d+)?")
PIECES = (
    "{", "}", "{\n", "\n}\n", "\n", ";", ",", '"', "#", "\\", "\r", "\r\n", " ", "-", "–", "°", "\t", "é", "🎉", "\u2028", "\x0b", "\ufeff", "\u202e",
    "(", ")", "<=", "=", "*", "/", "not", "over", "and", "1/0 s", "f/0", "f/1", "25:70", "24:00", "02:30", "2026-02-30", "2100-12-31", "nan", "inf",
    "1e999 m", "1e9", "5 ft 8", "5 ft 8 in", "to", "x", "0", "%", "force", "force 12", "shootplan 2", "{iso}", "}} {{",
)  # fmt: skip
EDGES = (
    "0", "-0", "-1", "1", "0.000001", "0.0000001", "1/3", "1/0", "0/1", "90", "-90", "180", "360", "361", "1000", "40000", "99999", "100000",
    "1000000", "9999999", "10000000", "9" * 39, "9" * 400, "0." + "0" * 30 + "1", "00", "1/9999999",
)  # fmt: skip


def damaged(text: str, others: Sequence[str], draw: random.Random, most: int = 4) -> str:
    """A text with one to `most` damages, some of them with pieces of the others."""
    for _ in range(draw.randint(1, most)):
        text = _damaged_once(text, others, draw)
    return text


def _damaged_once(text: str, others: Sequence[str], draw: random.Random) -> str:
    how = draw.choice(("character", "word", "word", "line", "number"))
    spans = _spans(text, how)
    if not spans:
        return text + draw.choice(PIECES)
    start, end = draw.choice(spans)
    if how == "number":
        return text[:start] + draw.choice(EDGES) + text[end:]
    match draw.choice(("delete", "insert", "replace", "double", "swap", "borrow", "cut")):
        case "delete":
            return text[:start] + text[end:]
        case "insert":
            return text[:start] + draw.choice(PIECES) + text[start:]
        case "replace":
            return text[:start] + draw.choice(PIECES) + text[end:]
        case "double":
            return text[:end] + text[start:end] + text[end:]
        case "swap":
            (start, end), (other, beyond) = sorted(((start, end), draw.choice(spans)))
            return text[:start] + text[other:beyond] + text[end:other] + text[start:end] + text[beyond:] if end <= other else text
        case "borrow":
            from_there = draw.choice(others)
            there = _spans(from_there, how)
            first, last = draw.choice(there) if there else (0, 0)
            return text[:start] + from_there[first:last] + text[draw.choice((start, end)) :]
        case _:
            # Seldom the most useful: all that follows is lost.
            return text[:start] if draw.random() < 0.2 else text[:start] + text[end:]


def _spans(text: str, how: str) -> list[tuple[int, int]]:
    if how == "character":
        return [(at, at + 1) for at in range(len(text))]
    pattern = {"word": WORDS, "line": LINES, "number": NUMBERS}[how]
    return [match.span() for match in pattern.finditer(text)]
