"""Reads changed texts of a plan, and says how they stand. What did not change is not worked out again."""

from __future__ import annotations

import datetime
from collections.abc import Callable

from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source
from shootlint.remedies.standing import Outcome, Standing, Thing, things
from shootlint.rulebook.book import Book


class Rereader:
    """Reads changed texts of one plan. Its kits, the day and the rulebook stay the same."""

    def __init__(self, document: Document, loader: Loader, book: Book, today: datetime.date) -> None:
        assert document.plan is not None
        self.document = document
        self._loader, self._book, self._today = loader, book, today
        self._known = {complaint.message for complaint in document.complaints}
        self.start = Standing(document.plan, book, today)
        self._seen: dict[tuple[str, str], dict[str, Outcome]] = {}
        self._share(self.start, document)

    def leave_as_it_is(self, which: Callable[[Thing], bool]) -> None:
        """Of what fails now, some may go on failing."""
        left = frozenset(each for each in things(self.start) if which(each))
        self._seen = {}
        self.start = Standing(self.start.plan, self._book, self._today, left=left)
        self._share(self.start, self.document)

    def read(self, text: str, afresh: bool = False) -> Standing | None:
        """How a changed text stands; None where it has a mistake that the plan did not have, or another number of setups.
        Afresh, nothing is taken over from how the plan stood."""
        assert self.document.plan is not None
        source = self.document.source
        changed = self._loader.load_source(Source(source.name, text, source.path, source.marked))
        if changed.plan is None or len(changed.plan.setup) != len(self.document.plan.setup):
            return None
        if not {complaint.message for complaint in changed.complaints} <= self._known:
            return None
        standing = Standing(changed.plan, self._book, self._today, self.start, self.start.left)
        if not afresh:
            self._share(standing, changed)
        return standing

    def _share(self, standing: Standing, document: Document) -> None:
        rest, setups = parts(document)
        standing.own = [self._seen.setdefault((rest, text), own) for text, own in zip(setups, standing.own, strict=True)]


def parts(document: Document) -> tuple[str, list[str]]:
    """A plan's text without its setups, and that of each of its sound setups."""
    assert document.plan is not None
    text, at, rest, found = document.source.text, 0, [], []
    sound = {setup.where.start for setup in document.plan.setup if setup.where is not None}
    for line in document.tree.lines:
        if line.start in sound and line.block is not None:
            rest.append(text[at : line.start])
            found.append(text[line.start : line.block.end])
            at = line.block.end
    return "".join([*rest, text[at:]]), found
