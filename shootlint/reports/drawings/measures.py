"""The readings of one setup as plain numbers, for drawing and for tables."""

from __future__ import annotations

import numpy as np

from shootlint.language import clocks
from shootlint.language.units import BY_SPELLING
from shootlint.readings.axes import INDEX, RANK
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Scene
from shootlint.readings.wording import in_plans_units, in_words
from shootlint.rulebook.judging import picked, shown
from shootlint.rulebook.running import of_reading


class Measures:
    """Asks a graph for numbers in base units, nan where they are not known, and for the words that people have for them."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph

    @property
    def scene(self) -> Scene:
        return self.graph.scene

    def one(self, reading: str, **at: int) -> float:
        """A number for one element, such as `one("flash", light=0, person=2)`."""
        return picked(self.graph[reading], at)

    def along(self, reading: str, axis: str) -> list[float]:
        """The numbers along an axis; as many as it is long, even where they are all the same."""
        size = self.size(axis)
        others = tuple(place for place in range(RANK) if place != INDEX[axis])
        array = self.graph[reading].array
        # A reading that varies along another axis too has no one number for each here.
        assert all(array.shape[place] == 1 for place in others)
        return np.broadcast_to(array.ravel(), (size,)).tolist() if size else []

    def of_people(self, reading: str) -> list[float]:
        return self.along(reading, "person")

    def of_minutes(self, reading: str) -> list[float]:
        return self.along(reading, "minute")

    def size(self, axis: str) -> int:
        if axis in self.scene.names:
            return len(self.scene.names[axis])
        return int(self.graph["instant"].array.shape[INDEX[axis]])

    def said(self, reading: str, **at: int) -> str:
        """A reading as people say it, in the plan's own units."""
        return shown(of_reading(catalogue()[reading]), self.one(reading, **at), self.scene)

    def needs(self, reading: str) -> list[str]:
        """What the plan would have to say for a reading to be known."""
        return sorted(map(str, self.graph[reading].needs))

    def length(self, metres: float) -> str:
        return in_words(metres, in_plans_units(BY_SPELLING["m"], self.scene.in_feet))

    def clock(self, instant: float) -> str:
        """A time on the wall at the site; empty where it is not known."""
        return "" if self.scene.zone is None or not np.isfinite(instant) else clocks.wall_clock(instant, self.scene.zone)
