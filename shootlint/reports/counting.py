"""Numbers of things, in words."""

from __future__ import annotations

A_FEW = 5
"""Of so many plans a person reads what holds, too; of more only what does not."""


def plural(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
