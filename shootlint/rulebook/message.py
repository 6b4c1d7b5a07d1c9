"""Messages: text with readings in braces, checked when the rule is read and filled in when it fails."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from shootlint.language.complaint import Complaints, did_you_mean
from shootlint.language.slots import Mismatch
from shootlint.language.source import Place, Source
from shootlint.language.values import Name
from shootlint.rulebook.compiling import Compiler
from shootlint.rulebook.expression import Formula, Named
from shootlint.rulebook.running import Ready
from shootlint.rulebook.syntax import read_rule_tree

_HOLE = re.compile(r"\{([^{}]*)\}|[{}]")
_WORKED_OUT = re.compile(r"\(|\s[-+*/]\s")
"""What tells an expression from a name."""
_EVERYWHERE = ("plan", "setup", "print")
NAMES = {
    "plan": ("plan",),
    "each setup": _EVERYWHERE,
    "each print": _EVERYWHERE,
    "each minute": _EVERYWHERE,
    "each person": (*_EVERYWHERE, "person", "row"),
    "each light": (*_EVERYWHERE, "light"),
    "each pair of neighbours": (*_EVERYWHERE, "person", "other", "row"),
}
"""What a message may name besides readings, by what its rule is for."""


LONGEST = 2_000
"""How many characters a message has at most when it is filled in, so that a report has a bounded size whatever names hold."""
LONGEST_WRITTEN = 20_000
"""How many it may have as written, so that filling it in takes bounded time."""


@dataclass(frozen=True)
class Hole:
    """A place for the name of what a finding is about: "person", "setup" and such."""

    name: str


@dataclass(frozen=True)
class Message:
    """A text in pieces: plain text, names to fill in and readings to fill in."""

    pieces: tuple[str | Hole | Ready, ...]

    @property
    def readings(self) -> list[Ready]:
        return [piece for piece in self.pieces if isinstance(piece, Ready)]

    def filled(self, names: Mapping[str, str], values: Mapping[str, str]) -> str:
        """The message with names, and with each reading's value by its text. The middle of a very long one is left out."""
        parts = []
        for piece in self.pieces:
            if isinstance(piece, Ready):
                parts.append(values[piece.text])
            else:
                parts.append(names[piece.name] if isinstance(piece, Hole) else piece)
        text = "".join(parts)
        return text if len(text) <= LONGEST else f"{text[: LONGEST // 2]}…{text[-LONGEST // 2 :]}"


def compile_message(text: Name, compiler: Compiler, names: tuple[str, ...]) -> Message:
    """A message's pieces; raises Mismatch at the hole that names nothing."""
    assert text.place is not None
    if len(text) > LONGEST_WRITTEN:
        raise Mismatch(text.place, f"this message is {len(text):,} characters long; the most is {LONGEST_WRITTEN:,}")
    pieces: list[str | Hole | Ready] = []
    at = 0
    # The same holes as they are written, where quotation marks and backslashes take two characters each.
    for match, written in zip(_HOLE.finditer(text), _HOLE.finditer(text.place.text), strict=True):
        pieces.append(text[at : match.start()])
        at = match.end()
        place = compiler.source.place(text.place.start + written.start(), text.place.start + written.end())
        if match.group(1) is None:
            raise Mismatch(place, f"this {match.group(0)} stands alone; a reading or a name stands in braces, such as {{setup}}")
        word = match.group(1).strip()
        if word in names:
            pieces.append(Hole(word))
            continue
        if any(word in each for each in NAMES.values()):
            raise Mismatch(place, f"a rule for {compiler.scope_in_words} names no {word}")
        if _WORKED_OUT.search(word):
            pieces.append(_worked_out(word, compiler, place))
            continue
        if word not in compiler.sets and word not in compiler.readings:
            known = [*names, *compiler.sets, *compiler.readings]
            raise Mismatch(place, f"{{{word}}} is neither a reading nor a name here{did_you_mean(word, known)}")
        try:
            pieces.append(compiler.value(Named(place.start, place.end, 1, word)))
        except Mismatch as mismatch:
            raise Mismatch(place, mismatch.message) from None
    pieces.append(text[at:])
    return Message(tuple(piece for piece in pieces if piece != ""))


def _worked_out(text: str, compiler: Compiler, place: Place) -> Ready:
    """A hole that holds an expression, such as {min(headroom)}; raises Mismatch at the hole."""
    complaints = Complaints()
    source = Source(compiler.source.name, f"require {text}")
    lines = read_rule_tree(source, complaints, frozenset()).lines
    formula = lines[0].clauses[0][-1] if len(lines) == 1 else None
    if complaints or not isinstance(formula, Formula):
        raise Mismatch(place, f"{{{text}}} is not a reading and nothing that can be worked out from readings")
    try:
        return replace(compiler, source=source).value(formula.node)
    except Mismatch as mismatch:
        raise Mismatch(place, mismatch.message) from None
