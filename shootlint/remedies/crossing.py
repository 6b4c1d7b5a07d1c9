"""Two turns at once: every option of the one with every option of the other, along the one axis of options."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from shootlint.readings.axes import INDEX
from shootlint.readings.scene import Scene
from shootlint.remedies.levers import Setting, Turn
from shootlint.remedies.room import room_for, thinned

OPTION = INDEX["option"]


def overlap(one: Turn, other: Turn) -> bool:
    """Whether two turns write in the same place, so that they cannot both be made."""
    places = [change.place for changes in (one.changes[0], other.changes[0]) for change in changes]
    spans = sorted((place.start, place.end) for place in places)
    return any(end > start for (_, end), (start, _) in pairwise(spans))


def crossed_turns(one: Turn, other: Turn, scene: Scene) -> tuple[Turn, Callable[[int], tuple[tuple[Turn, int], ...]]]:
    """One turn whose options are all pairs of two turns', and what each pair is made of. Of turns with very many options
    fewer are crossed."""
    one, other = shortened_for(one, other, [scene])
    first, second = len(one.titles), len(other.titles)
    left, right = (each.replaced for each in laid_out(one, other))
    replaced = {
        name: left[name] if name not in right else right[name] if name not in left else _over(left[name], right[name])
        for name in {**left, **right}
    }
    pairs = [(a, b) for a in range(first) for b in range(second)]
    prices = (one.prices[:, np.newaxis] + other.prices[np.newaxis, :]).ravel()
    both = Turn(
        replaced,
        [f"{one.titles[a]} and {other.titles[b]}" for a, b in pairs],
        [(*one.changes[a], *other.changes[b]) for a, b in pairs],
        prices,
    )
    return both, lambda place: ((one, pairs[place][0]), (other, pairs[place][1]))


def laid_out(one: Turn, other: Turn) -> tuple[Turn, Turn]:
    """Two turns with all pairs of their options along the axis of options of both: the first one's slowly, the second
    one's fast."""
    first, second = len(one.titles), len(other.titles)
    places = np.arange(first * second)
    return (
        replace(
            one.only(places // second),
            replaced={name: _laid(setting, first, second, inner=False) for name, setting in one.replaced.items()},
        ),
        replace(
            other.only(places % second),
            replaced={name: _laid(setting, first, second, inner=True) for name, setting in other.replaced.items()},
        ),
    )


def shortened_for(one: Turn, other: Turn, scenes: Sequence[Scene]) -> tuple[Turn, Turn]:
    """Two turns of setups with fewer options, where there are more pairs than can be judged at once."""
    room = room_for(*scenes)
    first, second = len(one.titles), len(other.titles)
    if first * second > room:
        share = int(np.sqrt(room))
        first = min(first, max(share, room // max(second, 1)))
        second = min(second, room // first)
        one, other = thinned(one, first), thinned(other, second)
    return one, other


def _laid(setting: Setting, first: int, second: int, inner: bool) -> Setting:
    values = setting.values
    values = np.broadcast_to(values, [*values.shape[:OPTION], second if inner else first, *values.shape[OPTION + 1 :]])
    if inner:
        reps = [1] * values.ndim
        reps[OPTION] = first
        return Setting(np.tile(values, reps), setting.where)
    return Setting(np.repeat(values, second, axis=OPTION), setting.where)


def _over(under: Setting, over: Setting) -> Setting:
    """Two settings of one reading: the second one where it applies, else the first."""
    if over.where is None:
        return over
    values = np.where(over.where, over.values, under.values)
    return Setting(values, None if under.where is None else over.where | under.where)
