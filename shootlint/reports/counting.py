"""Numbers of things, in words."""

from __future__ import annotations


def plural(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
