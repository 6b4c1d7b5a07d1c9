"""The words of a language, found from the declarations of its entries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from shootlint.language.entry import HOLE, Declared, Entry, Shape, shape
from shootlint.language.model import Plan


def fields_of(of: Shape) -> list[Declared]:
    return [*of.parts, *of.settings.values(), *([of.named] if of.named else [])]


@dataclass(frozen=True)
class Vocabulary:
    """All the words of a language, found from the entry that stands for a whole file."""

    root: type[Entry]
    file: str
    """What such a file is called in a sentence."""

    @cached_property
    def entries(self) -> tuple[type[Entry], ...]:
        """Every entry of the language, outermost first."""
        return tuple(dict.fromkeys([self.root, *_inner(self.root)]))

    @cached_property
    def outermost(self) -> frozenset[str]:
        """Words that begin a line outside every block and open a block there, or stand nowhere else."""
        heads = shape(self.root).settings
        inner = {head for entry in self.entries if entry is not self.root for head in shape(entry).settings}
        opens = {head for head, each in heads.items() if each.entry is not None and shape(each.entry).settings}
        return frozenset((heads.keys() - inner) | (opens - inner))

    @cached_property
    def opening(self) -> frozenset[str]:
        """Every word that begins a line which may open a block."""
        declared = [(head, each.entry) for entry in self.entries for head, each in shape(entry).settings.items()]
        return frozenset(head for head, entry in declared if entry is not None and (shape(entry).settings or shape(entry).named))

    @cached_property
    def connecting(self) -> frozenset[str]:
        """Every word that a phrase is made of."""
        words = {word for entry in self.entries for each in fields_of(shape(entry)) for word in each.phrase if word != HOLE}
        return frozenset(words | {"to", "x"})

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that begins a line somewhere."""
        return frozenset(head for entry in self.entries for head in shape(entry).settings)

    @cached_property
    def homes(self) -> dict[str, list[str]]:
        """For each word that begins a line, the words that begin the blocks in which it does."""
        owners: dict[str, set[str]] = {}
        for entry in self.entries:
            for name, declared in shape(entry).settings.items():
                for head in shape(declared.entry).settings if declared.entry is not None else ():
                    owners.setdefault(head, set()).add(name)
        return {head: sorted(names) for head, names in owners.items()}


def _inner(entry: type[Entry]) -> Iterator[type[Entry]]:
    for declared in fields_of(shape(entry)):
        if declared.entry is not None:
            yield declared.entry
            yield from _inner(declared.entry)


PLANS = Vocabulary(Plan, "a plan")
