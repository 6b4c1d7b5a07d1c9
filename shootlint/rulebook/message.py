"""Messages: text with readings in braces, checked when the rule is read and filled in when it fails."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from shootlint.language.complaint import did_you_mean
from shootlint.language.slots import Mismatch
from shootlint.language.values import Name
from shootlint.rulebook.compiling import Compiler, Ready
from shootlint.rulebook.expression import Named

_HOLE = re.compile(r"\{([^{}]*)\}")
NAMES = {
    "plan": ("plan", "setup", "print"),
    "setup": ("plan", "setup", "print"),
    "person": ("plan", "setup", "print", "person", "row"),
    "light": ("plan", "setup", "print", "light"),
    "pair": ("plan", "setup", "print", "person", "other", "row"),
}
"""What a message may name besides readings, by the kind of scope."""


@dataclass(frozen=True)
class Message:
    """A text in pieces: plain text, a name to fill in, or a reading to fill in."""

    pieces: tuple[str | tuple[str, None] | Ready, ...]

    @property
    def readings(self) -> list[Ready]:
        return [piece for piece in self.pieces if isinstance(piece, Ready)]

    def filled(self, names: Mapping[str, str], values: Mapping[str, str]) -> str:
        """The message with names, and with each reading's value by its text."""
        parts = []
        for piece in self.pieces:
            if isinstance(piece, Ready):
                parts.append(values[piece.text])
            else:
                parts.append(piece if isinstance(piece, str) else names[piece[0]])
        return "".join(parts)


def compile_message(text: Name, compiler: Compiler, names: tuple[str, ...]) -> Message:
    """A message's pieces; raises Mismatch at the hole that names nothing."""
    pieces: list[str | tuple[str, None] | Ready] = []
    at = 0
    for match in _HOLE.finditer(text):
        pieces.append(text[at : match.start()])
        at = match.end()
        word = match.group(1).strip()
        if word in names:
            pieces.append((word, None))
            continue
        assert text.place is not None
        # One further for the opening quotation mark; escaped quotation marks before the hole are two characters each.
        start = text.place.start + 1 + match.start() + text[: match.start()].count('"')
        place = compiler.source.place(start, start + len(match.group(0)))
        if word not in compiler.sets and word not in compiler.readings:
            known = [*names, *compiler.sets, *compiler.readings]
            raise Mismatch(place, f"{{{word}}} is neither a reading nor a name here{did_you_mean(word, known)}")
        try:
            pieces.append(compiler.value(Named(place.start, place.end, 1, word)))
        except Mismatch as mismatch:
            raise Mismatch(place, mismatch.message) from None
    pieces.append(text[at:])
    return Message(tuple(piece for piece in pieces if piece != ""))
