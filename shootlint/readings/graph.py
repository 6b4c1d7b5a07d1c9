"""The graph: readings are worked out when asked for, once, from the readings that their parameters name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from shootlint.readings.axes import AXES, INDEX, RANK, UNKNOWN, Array, single
from shootlint.readings.catalogue import Missing, Reading, behind, catalogue, kept_off_output
from shootlint.readings.scene import Scene


class Value(NamedTuple):
    """A reading's numbers; nan where unknown, and then what the plan lacks."""

    array: Array
    needs: frozenset[str] = frozenset()

    @property
    def unknown(self) -> bool:
        """Whether nothing of it is known."""
        return bool(self.needs) and self.array.size == 1 and bool(np.isnan(self.array.flat[0]))


class Graph:
    """The readings of one scene.

    `replaced` puts arrays in the place of readings: one longer along trial or option asks the same question of many
    variants at once, with no other change. `base` is the graph of the same scene without them, from which everything
    is taken that does not rest on what was replaced.
    """

    def __init__(self, scene: Scene, replaced: Mapping[str, Array] | None = None, base: Graph | None = None) -> None:
        self.scene = scene
        self.replaced = frozenset(replaced or ())
        self._base = base
        self._readings = catalogue()
        self._values: dict[str, Value] = {name: Value(array) for name, array in (replaced or {}).items()}

    def __getitem__(self, name: str) -> Value:
        value = self._values.get(name)
        if value is None:
            if self._base is not None and self.replaced.isdisjoint(behind(name)):
                value = self._base[name]
            else:
                value = self._work_out(self._readings[name])
            self._values[name] = value
        return value

    def _work_out(self, reading: Reading) -> Value:
        if not reading.package:
            return self._worked_out(reading)
        # What an installed package does is its own fault: its reading is then unknown, and the rest goes on.
        try:
            # What it takes is worked out first: a mistake there would be none of its own.
            for name, _ in reading.needs:
                self[name]
            with kept_off_output():
                value = self._worked_out(reading)
            self._check(reading, value.array)
        except KeyboardInterrupt:
            # Whoever runs the program has had enough of waiting.
            raise
        except BaseException as error:
            fault = f"package {reading.package} mended: its reading {reading.name} gave {type(error).__name__}: {error}"
            return Value(UNKNOWN, frozenset({fault}))
        return value

    def _check(self, reading: Reading, array: Array) -> None:
        """Raises ValueError where what a package's reading gave is no array of numbers with the axes of the scene."""
        if array.ndim != RANK:
            raise ValueError(f"an array of {array.ndim} axes instead of {RANK}")
        if array.dtype.kind not in "fiub":
            raise ValueError(f"an array of {array.dtype} instead of numbers")
        for axis, size in zip(AXES, array.shape, strict=True):
            known = {1, *(self[name].array.shape[INDEX[axis]] for name, _ in reading.needs)}
            if axis in reading.axes:
                known.add(self["instant"].array.shape[INDEX[axis]] if axis == "minute" else len(self.scene.names.get(axis, ())))
            if size not in known:
                raise ValueError(f"{size} values along {axis}, which has {max(known)}")

    def _worked_out(self, reading: Reading) -> Value:
        if reading.given:
            return self._look_up(reading)
        if reading.enough and not self[reading.enough].needs:
            alone = [self[name].array if name == reading.enough else None for name, _ in reading.needs]
            return Value(reading.function(*alone))
        arguments: list[Array | None] = []
        needs: frozenset[str] = frozenset()
        missed: frozenset[str] = frozenset()
        unknown = False
        for name, optional in reading.needs:
            value = self[name]
            if not value.needs:
                arguments.append(value.array)
            elif value.unknown and optional:
                arguments.append(None)
                if name != reading.enough:
                    missed |= value.needs
            else:
                needs |= value.needs
                unknown = unknown or value.unknown
                arguments.append(value.array)
        if unknown:
            return Value(UNKNOWN, needs)
        array: Array = reading.function(*arguments)
        # What can do without an input may still turn out not to: a shutter that follows a light which nobody knows.
        return Value(array, needs | missed if needs | missed and np.isnan(array).any() else frozenset())

    def _look_up(self, reading: Reading) -> Value:
        found = reading.function(self.scene)
        if found is None or isinstance(found, Missing):
            return Value(UNKNOWN, frozenset({str(found or reading.asks)}))
        array = found if isinstance(found, np.ndarray) and found.ndim == RANK else single(found)
        return Value(array, frozenset({reading.asks}) if np.isnan(array).any() else frozenset())

    def known(self) -> Mapping[str, Value]:
        """What has been worked out so far."""
        return self._values


class VariedGraph(Graph):
    """The readings of a scene with some of them varied: each of these is worked out and then changed by its function.

    Whatever rests on one of them follows. All else, and what is `kept`, is taken from the graph of the scene as it
    stands, and is worked out only there.
    """

    def __init__(self, standing: Graph, varied: Mapping[str, Callable[[Array], Array]], kept: Iterable[str] = ()) -> None:
        super().__init__(standing.scene, base=standing)
        self.replaced = frozenset(varied)
        self._values |= {name: standing[name] for name in kept}
        self._varied = varied

    def _work_out(self, reading: Reading) -> Value:
        value = super()._work_out(reading)
        vary = self._varied.get(reading.name)
        return value if vary is None or value.unknown else Value(vary(value.array), value.needs)


class PlanGraph(Graph):
    """The readings of all setups of a plan, side by side along the axis of setups. Only readings of whole setups have a
    place in it."""

    def __init__(self, graphs: Sequence[Graph]) -> None:
        super().__init__(graphs[0].scene)
        self._graphs = graphs

    def _work_out(self, reading: Reading) -> Value:
        values = [graph[reading.name] for graph in self._graphs]
        needs = frozenset().union(*(value.needs for value in values))
        # One setup may be tried with many options while the others stand as they are.
        arrays = np.broadcast_arrays(*(value.array for value in values))
        return Value(np.concatenate(arrays, axis=INDEX["setup"]), needs)
