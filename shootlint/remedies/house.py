"""What a house makes of the levers: some it forbids, some it bounds, some it would rather turn than others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from shootlint.language.complaint import Complaint, did_you_mean
from shootlint.language.units import Kind
from shootlint.language.values import Name
from shootlint.readings.graph import Graph
from shootlint.remedies.levers import Lever, Turn, levers
from shootlint.remedies.room import room_for, thinned
from shootlint.rulebook.book import Book
from shootlint.rulebook.model import Bound

APART = 50.0
"""How many times as dear a lever is as one that the house would rather turn: more than the dearest is of the cheapest."""
_AS_NUMBERS: tuple[Kind, ...] = ("number", "share")


@dataclass(frozen=True)
class HouseLevers:
    """The levers that may be turned, at the house's prices."""

    allowed: dict[str, Lever] = field(default_factory=levers)
    bounds: dict[str, tuple[float, float]] = field(default_factory=dict)
    """The least and the most that a lever may be turned to, in base units."""

    def turns(self, graph: Graph) -> Iterator[Turn]:
        """What may be turned in a setup and how far, by all levers that the house allows."""
        for name in self.allowed:
            yield from self.turns_of(name, graph)

    def turns_of(self, name: str, graph: Graph) -> Iterator[Turn]:
        """What one lever may be turned at in a setup, and how far; nothing where the house does not allow it. Of more
        options than can be judged at once, some."""
        if name not in self.allowed:
            return
        room = room_for(graph.scene)
        for turn in self.allowed[name].turns(graph):
            inside = self._inside(turn)
            if len(inside):
                yield thinned(turn if len(inside) == len(turn.titles) else turn.only(inside), room)

    def _inside(self, turn: Turn) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
        low, high = self.bounds.get(turn.lever.name, (-np.inf, np.inf))
        values = turn.values if turn.values is not None else np.abs(turn.sizes) * turn.lever.measure.size
        slack = 1e-9 * np.maximum(np.abs(values), 1.0)
        return np.flatnonzero((values >= low - slack) & (values <= high + slack))

    def only(self, names: set[str]) -> HouseLevers:
        return replace(self, allowed={name: lever for name, lever in self.allowed.items() if name in names})

    def without(self, names: set[str]) -> HouseLevers:
        return replace(self, allowed={name: lever for name, lever in self.allowed.items() if name not in names})


def house_levers(book: Book) -> tuple[HouseLevers, list[Complaint]]:
    """The levers under a rulebook, and what is wrong with what it says of them."""
    complaints = [complaint for name in _named(book) if (complaint := _unknown(name)) is not None]
    forbidden = {str(each.lever) for each in book.forbid}
    bounds: dict[str, tuple[float, float]] = {}
    for bound in book.bound:
        if str(bound.lever) in levers():
            wrong = _wrong_bound(bound, levers()[str(bound.lever)])
            complaints += [wrong] if wrong is not None else []
            low, high = (each.value if each is not None else None for each in (bound.at_least, bound.at_most))
            bounds[str(bound.lever)] = (-np.inf if low is None else low, np.inf if high is None else high)
    ranks, circle = _ranks(book)
    complaints += circle
    allowed = {
        name: replace(each, first=each.first * APART ** ranks.get(name, 0), each=each.each * APART ** ranks.get(name, 0))
        for name, each in levers().items()
        if name not in forbidden
    }
    return HouseLevers(allowed, bounds), complaints


def _named(book: Book) -> Iterator[Name]:
    for rule in book.rules.values():
        yield from rule.rule.remedy
    yield from (each.lever for each in book.forbid)
    yield from (each.lever for each in book.bound)
    for preference in book.prefer:
        yield from (preference.first, preference.second)


def _unknown(name: Name) -> Complaint | None:
    if name in levers() or name.place is None:
        return None
    hint = did_you_mean(name, levers()) or "; shootlint levers lists them"
    return Complaint(name.place, f"no lever is called {name}{hint}")


def _wrong_bound(bound: Bound, lever: Lever) -> Complaint | None:
    told = [each for each in (bound.at_least, bound.at_most) if each is not None]
    for each in told:
        alike = each.kind == lever.bounded or (each.kind in _AS_NUMBERS and lever.bounded in _AS_NUMBERS)
        if not alike and each.place is not None:
            wanted = "a plain number" if lever.bounded in _AS_NUMBERS else f"a value of {lever.bounded}"
            return Complaint(each.place, f"{each.written} does not bound {lever.name}, which is {wanted}")
    low, high = bound.at_least, bound.at_most
    if low is not None and high is not None and low.value > high.value and low.place is not None:
        return Complaint(
            low.place, f"nothing lies between at least {low.written} and at most {high.written}; put the smaller one first"
        )
    return None


def _ranks(book: Book) -> tuple[dict[str, int], list[Complaint]]:
    """How many levers a house would rather turn before each, one after the other; and its preferences that run in a circle."""
    before: dict[str, set[str]] = {}
    for each in book.prefer:
        if not {each.first, each.second} <= levers().keys():
            continue
        if _leads_to(before, str(each.first), str(each.second)):
            place = each.first.place
            itself = each.first == each.second
            message = (
                "a lever cannot come before itself"
                if itself
                else f"{each.first} cannot come before {each.second}, since other lines put {each.second} before it"
            )
            return {}, [Complaint(place, message)] if place is not None else []
        before.setdefault(str(each.second), set()).add(str(each.first))
    ranks: dict[str, int] = {}

    def rank(name: str) -> int:
        if name not in ranks:
            ranks[name] = max((rank(other) + 1 for other in before.get(name, ())), default=0)
        return ranks[name]

    return {name: rank(name) for name in before}, []


def _leads_to(before: dict[str, set[str]], name: str, other: str) -> bool:
    """Whether something comes before a name, by however many lines, or is that itself."""
    reached, left = {name}, [name]
    while left:
        for each in before.get(left.pop(), ()):
            if each not in reached:
                reached.add(each)
                left.append(each)
    return other in reached
