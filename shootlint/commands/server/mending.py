"""Mends as changes of the text that is open: looked for only when somebody asks, as that may take a while."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from shootlint.commands.server.findings import Said, is_here, said_of
from shootlint.commands.server.session import Checked
from shootlint.language.edits import Change
from shootlint.rulebook.finding import Mend


@dataclass(frozen=True)
class Offer:
    """A mend of one remark."""

    said: Said
    title: str
    changes: tuple[Change, ...]
    preferred: bool
    """Whether it is the first that keeps the picture as it is."""


def offers(checked: Checked, start: int, end: int, wanted: Callable[[], bool] = lambda: True) -> Iterator[Offer]:
    """The mends of all findings that touch a stretch of the text, the finding's own order kept. The search ends as soon
    as nobody wants it any more."""
    for said in said_of(checked):
        finding = said.finding
        if finding is None or said.start > end or said.end < start:
            continue
        if not wanted():
            return
        mends = [*finding.mends, *(checked.offers.mends_for(finding) if _has_levers(said) else ())]
        mends = [mend for mend in mends if _can_be_made(mend, checked)]
        first = next((mend for mend in mends if mend.grade == "mechanical"), None)
        for mend in mends:
            yield Offer(said, mend.title, tuple(sorted(mend.changes, key=lambda each: each.place.start)), mend is first)


def _has_levers(said: Said) -> bool:
    return said.finding is not None and bool(said.finding.rule.rule.remedy)


def _can_be_made(mend: Mend, checked: Checked) -> bool:
    """Whether its changes are of this text alone and none runs into another: such would spoil the file."""
    changes = sorted(mend.changes, key=lambda each: (each.place.start, each.place.end))
    apart = all(one.place.end <= other.place.start for one, other in pairwise(changes))
    return bool(changes) and apart and all(is_here(each.place, checked) for each in changes)
