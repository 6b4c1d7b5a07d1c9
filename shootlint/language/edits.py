"""Changes of a text: stretches of it with what is to stand there instead, made one after another and told as one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shootlint.language.source import Place


@dataclass(frozen=True)
class Change:
    """New text for a stretch of a file."""

    place: Place
    text: str


@dataclass(frozen=True)
class Edit:
    """New text for a stretch of the text as it first was, and by which turns it came about."""

    start: int
    end: int
    text: str
    by: frozenset[int]


@dataclass(frozen=True)
class Edits:
    """What has been changed in a text so far: stretches that do not touch each other, in their order."""

    text: str
    edits: tuple[Edit, ...] = ()

    @property
    def result(self) -> str:
        """The text with all of them made."""
        pieces, at = [], 0
        for edit in self.edits:
            pieces += [self.text[at : edit.start], edit.text]
            at = edit.end
        return "".join([*pieces, self.text[at:]])

    def then(self, changes: Iterable[Change], by: int) -> Edits:
        """These edits and further changes, whose places are in the text with these edits made."""
        edits = self
        for change in sorted(changes, key=lambda each: each.place.start, reverse=True):
            edits = edits._with(change.place.start, change.place.end, change.text, by)
        return edits

    def without(self, turns: frozenset[int]) -> Edits:
        """The edits that came about by other turns alone."""
        return Edits(self.text, tuple(edit for edit in self.edits if edit.by.isdisjoint(turns)))

    def groups(self) -> list[frozenset[int]]:
        """The turns, those that share an edit together: they can be taken back only together."""
        found: list[frozenset[int]] = []
        for edit in self.edits:
            joined = [each for each in found if not each.isdisjoint(edit.by)]
            found = [each for each in found if each not in joined] + [edit.by.union(*joined)]
        return sorted(found, key=min)

    def _with(self, start: int, end: int, text: str, by: int) -> Edits:
        """One more change, which takes in the edits that it overlaps; one that only borders on another stays apart."""
        before: list[Edit] = []
        touched: list[Edit] = []
        after: list[Edit] = []
        shift = first = last = 0
        for edit in self.edits:
            here = edit.start + shift
            there = here + len(edit.text)
            if here < end and start < there:
                first, last = (here if not touched else first), there
                touched.append(edit)
            elif there <= start:
                before.append(edit)
            else:
                after.append(edit)
            shift += len(edit.text) - (edit.end - edit.start)
        gained = sum(len(edit.text) - (edit.end - edit.start) for edit in before)
        if not touched:
            return Edits(self.text, (*before, Edit(start - gained, end - gained, text, frozenset({by})), *after))
        now = self.result
        joined = Edit(
            min(touched[0].start, start - gained),
            touched[-1].end + max(end - last, 0),
            now[min(first, start) : start] + text + now[end : max(last, end)],
            frozenset({by}).union(*(edit.by for edit in touched)),
        )
        return Edits(self.text, (*before, joined, *after))


def changed(text: str, changes: Iterable[Change]) -> str:
    """A text with changes made in it."""
    return Edits(text).then(changes, 0).result


def unified(before: str, after: str, name: str) -> Iterator[str]:
    """What differs, as a unified diff of the two texts, line by line without line ends. Only a line feed ends a line."""
    old, new = (text.removesuffix("\n").split("\n") for text in (before, after))
    for line in difflib.unified_diff(old, new, name, name, lineterm=""):
        yield line.removesuffix("\r")
