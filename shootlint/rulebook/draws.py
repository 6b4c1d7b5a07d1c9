"""Draws of what is uncertain: which inputs a plan's setups have, and the readings of a setup with them drawn.

Every input has its own stream of random numbers, keyed by the seed, by what it is and by whose it is. So a person's draws
stay the same when another person, light or setup comes to the plan, and whatever the size of the blocks in which trials
are worked out, since each stream is read in order.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shootlint.readings.axes import INDEX, Array
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph, VariedGraph
from shootlint.readings.uncertainty import Uncertainty, in_force

KEPT = ("neighbours",)
"""What no draw changes: people who stand off their marks stay in the order in which they were placed."""


@dataclass(frozen=True)
class Input:
    """One number that is drawn: an uncertainty of one person, row, light or other thing."""

    uncertainty: Uncertainty
    size: float
    """One standard deviation, in base units."""
    setup: str
    """The setup for which it is drawn anew; empty where one draw is for the whole evening."""
    owner: str

    @property
    def key(self) -> str:
        return "\0".join((self.uncertainty.name, self.setup, self.owner))


class Streams:
    """The random numbers of all inputs, standard normal, in as many pieces as wanted."""

    def __init__(self, seed: int, inputs: Iterable[Input]) -> None:
        self._bits = {each: np.random.Philox(key=_key(seed, each)) for each in inputs}

    def next(self, count: int) -> dict[Input, Array]:
        """The numbers of so many more trials."""
        return {each: _normal(bits.random_raw(2 * count)) for each, bits in self._bits.items()}


def _normal(bits: NDArray[np.uint64]) -> Array:
    """Normal numbers of two times 64 random bits each, by Box and Muller (1958).

    numpy keeps the bits of its generators the same from version to version, but not the normal numbers made of them.
    """
    uniform = ((bits >> np.uint64(11)) + 0.5) * 2.0**-53
    normal: Array = np.sqrt(-2.0 * np.log(uniform[::2])) * np.cos(2.0 * np.pi * uniform[1::2])
    return normal


def _key(seed: int, each: Input) -> int:
    return int.from_bytes(hashlib.blake2b(f"{seed}\0{each.key}".encode(), digest_size=16).digest(), "little")


@dataclass(frozen=True)
class _Use:
    """An uncertainty as it works on the readings of one setup."""

    uncertainty: Uncertainty
    readings: tuple[str, ...]
    inputs: tuple[Input, ...]
    """One for each element along its axis."""
    step: Array
    """One standard deviation of each element, as the uncertainty takes it."""


class Drawn:
    """A setup in which what is uncertain can be drawn."""

    def __init__(self, standing: Graph, sizes: dict[str, float], needed: frozenset[str]) -> None:
        """`needed` are the readings that somebody will ask for, with all behind them; others are not drawn."""
        self.standing = standing
        self._uses = [use for each, size in in_force(sizes) if (use := _use(each, size, standing, needed)) is not None]

    @property
    def inputs(self) -> list[Input]:
        return list(dict.fromkeys(each for use in self._uses for each, step in _elements(use) if step > 0))

    @property
    def readings(self) -> frozenset[str]:
        """The readings that draws move, each by itself."""
        return frozenset(name for use in self._uses for name in use.readings)

    def step_of(self, wanted: Input) -> float:
        """One standard deviation of an input here, in base units or as the logarithm of a factor."""
        return max((step for use in self._uses for each, step in _elements(use) if each == wanted), default=0.0)

    def graph(self, draws: Mapping[Input, Array]) -> VariedGraph:
        """The readings with inputs drawn, in standard deviations, along the axis of trials; others stay as they stand."""
        moves: dict[str, list[tuple[Uncertainty, Array]]] = {}
        for use in self._uses:
            if not any(each in draws for each in use.inputs):
                continue
            still = np.zeros_like(next(iter(draws.values())))
            by = use.uncertainty.laid(np.stack([draws.get(each, still) for each in use.inputs]).T) * use.step
            for name in use.readings:
                moves.setdefault(name, []).append((use.uncertainty, by))
        return VariedGraph(self.standing, {name: _moving(each) for name, each in moves.items()}, KEPT)


def _use(uncertainty: Uncertainty, size: float, standing: Graph, needed: frozenset[str]) -> _Use | None:
    """How an uncertainty works in a setup; None where it has nothing to work on."""
    readings = tuple(name for name in uncertainty.changes if name in needed and not standing[name].unknown)
    owners = uncertainty.owners(standing.scene)
    scale = uncertainty.scale(standing) if readings and owners else None
    if scale is None or not np.any(scale > 0):
        return None
    setup = str(standing.scene.setup.name) if uncertainty.anew else ""
    inputs = tuple(Input(uncertainty, size, setup, owner) for owner in owners)
    return _Use(uncertainty, readings, inputs, np.nan_to_num(scale) * uncertainty.step(size))


def _elements(use: _Use) -> Iterable[tuple[Input, float]]:
    steps = np.broadcast_to(use.step.ravel(), len(use.inputs))
    return zip(use.inputs, steps.tolist(), strict=True)


def _moving(moves: Sequence[tuple[Uncertainty, Array]]) -> Callable[[Array], Array]:
    def move(value: Array) -> Array:
        for uncertainty, by in moves:
            value = uncertainty.moved(value, by)
        return value

    return move


def largest(graph: Graph, names: Iterable[str]) -> int:
    """How many numbers the largest of some readings has in one trial, by the axes that it may vary along."""
    scene = graph.scene
    shades = scene.plan.site.shade if scene.plan.site is not None else ()
    minutes = int(graph["instant"].array.shape[INDEX["minute"]])
    lengths = {"minute": minutes, "obstruction": len(shades), "meter": len(scene.plan.meter)}
    lengths |= {axis: len(each) for axis, each in scene.names.items()}
    sizes = (np.prod([max(lengths.get(axis, 1), 1) for axis in catalogue()[name].axes], dtype=np.int64) for name in names)
    return int(max(sizes, default=1))
