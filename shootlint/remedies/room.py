"""How much may be judged at once, so that a plan of very many people takes no more memory than another."""

from __future__ import annotations

import numpy as np

from shootlint.readings.scene import Scene
from shootlint.remedies.levers import Turn

MOST_OPTIONS = 1600
FEWEST_OPTIONS = 4
MOST_NUMBERS = 4_000_000
"""In the largest array that one broadcast makes, unless the fewest options take more."""


def numbers_of(scene: Scene) -> int:
    """The numbers of the largest array that judging a setup makes: heads hide heads under each light, or slots lie beside
    slots."""
    return max(len(scene.sitters) ** 2 * max(len(scene.lamps), 1), len(scene.plan.setup) ** 2)


def room_for(*scenes: Scene) -> int:
    """With how many options setups can be judged at once."""
    largest = max(numbers_of(scene) for scene in scenes)
    return min(MOST_OPTIONS, max(MOST_NUMBERS // largest, FEWEST_OPTIONS))


def thinned(turn: Turn, count: int) -> Turn:
    """A turn with so many of its options: close together near what the plan says, and wide apart far from it."""
    if count >= len(turn.titles):
        return turn
    order = np.argsort(turn.prices, kind="stable")
    return turn.only(order[np.unique(np.round(np.linspace(0, 1, count) ** 2 * (len(order) - 1)).astype(int))])
