"""What nobody knows exactly before the shoot: each uncertain input declared once, for trials.

    @uncertain("cm", 3, "head-distance", each="person", anew=True, source="common practice, no source",
               watch='have {name} hold still', more="back", less="forward")
    def leaning(age):
        '''How far a head is before or behind its place.'''
        return ...

An uncertainty's name is its function's name with hyphens. It changes the readings named after its size: by so much of
its unit, normally distributed about what the plan says, or by a factor whose logarithm is. The size is one standard
deviation. The function's parameters are readings, as in the catalogue, and its answer is by how many times the size
holds for each element: children lean more. One that a parameter is not known for is not drawn.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from shootlint.language.units import BY_SPELLING, Unit
from shootlint.readings.axes import INDEX, RANK, Array, single
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Scene

Each = Literal["plan", "setup", "row", "person", "light", "shade"]
Kind = Literal["normal", "lognormal"]
NO_SOURCE = "common practice, no source"
_AXES: dict[Each, str | None] = {
    "plan": None, "setup": None, "row": "person", "person": "person", "light": "light", "shade": "obstruction",
}  # fmt: skip


@dataclass(frozen=True)
class Uncertainty:
    """One thing that is not known exactly, and how much."""

    name: str
    unit: Unit
    size: float
    """One standard deviation in the base unit; of a lognormal one the share by which a factor usually differs from 1."""
    changes: tuple[str, ...]
    """The readings that it moves, all by the same draw."""
    kind: Kind
    each: Each
    anew: bool
    """Whether it is drawn anew in each setup, rather than once for the evening."""
    positive: bool
    """Whether what it moves makes no sense below nought: no draw then leaves less than a tenth of what the plan says."""
    meaning: str
    source: str
    watch: str
    """What to do about it on location; {name} stands for whom or what."""
    more: str
    less: str
    function: Callable[..., Any]
    needs: tuple[tuple[str, bool], ...]

    @property
    def axis(self) -> str | None:
        return _AXES[self.each]

    def owners(self, scene: Scene) -> list[str]:
        """Whose it is, for each element along its axis: people in one row share one draw."""
        match self.each:
            case "row":
                return [str(sitter.row.name) for sitter in scene.sitters]
            case "person" | "light":
                return scene.names[self.each]
            case "shade":
                return [str(shade.name) for shade in scene.plan.site.shade] if scene.plan.site is not None else []
            case _:
                return [""]

    def scale(self, graph: Graph) -> Array | None:
        """How many times the size holds for each element; None where a reading that says so is unknown."""
        arguments: list[Array | None] = []
        for name, optional in self.needs:
            value = graph[name]
            if value.unknown and not optional:
                return None
            arguments.append(None if value.unknown else value.array)
        times = self.function(*arguments)
        return times if isinstance(times, np.ndarray) and times.ndim == RANK else single(float(times))

    def moved(self, value: Array, by: Array) -> Array:
        """What a reading is when it is off by so many standard deviations of so much, which `by` has multiplied."""
        if self.kind == "lognormal":
            return value * np.exp(by)
        return np.maximum(value + by, value / 10) if self.positive else value + by

    def step(self, size: float) -> float:
        """One standard deviation as `moved` takes it."""
        return float(np.log1p(size)) if self.kind == "lognormal" else size

    def laid(self, draws: Array) -> Array:
        """Draws, one row a trial and one column an element, along the axes of trials and of elements."""
        shape = [1] * RANK
        shape[INDEX["trial"]] = draws.shape[0]
        if self.axis is not None:
            shape[INDEX[self.axis]] = draws.shape[1]
        return draws.reshape(shape)


UNCERTAINTIES: dict[str, Uncertainty] = {}


def uncertain(
    unit: str,
    size: float,
    *changes: str,
    each: Each,
    watch: str,
    more: str,
    less: str,
    kind: Kind = "normal",
    anew: bool = False,
    positive: bool = False,
    source: str = NO_SOURCE,
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Declares an uncertainty; its function says by how many times the size holds."""

    def declare(function: Callable[..., Any]) -> Callable[..., Any]:
        name = function.__name__.replace("_", "-")
        if name in UNCERTAINTIES:
            raise ValueError(f"an uncertainty called {name} is there already")
        needs = tuple(
            (parameter.name.replace("_", "-"), parameter.default is not inspect.Parameter.empty)
            for parameter in inspect.signature(function).parameters.values()
        )
        UNCERTAINTIES[name] = Uncertainty(
            name, BY_SPELLING[unit], BY_SPELLING[unit].to_base(size), changes, kind, each, anew or each in ("setup", "row"),
            positive, " ".join((inspect.getdoc(function) or "").split()), source, watch, more, less, function, needs,
        )  # fmt: skip
        return function

    return declare


def in_force(sizes: dict[str, float]) -> Iterator[tuple[Uncertainty, float]]:
    """The uncertainties with their sizes in base units, some of which a house has set; those of nought are left out."""
    for name, each in UNCERTAINTIES.items():
        size = sizes.get(name, each.size)
        if size > 0:
            yield each, size


GROWN_UP_AT = 13.0
OLD_AT = 70.0


@uncertain("cm", 15, "row-distance", each="setup", positive=True,
           watch="measure how far the group stands from the camera", more="farther", less="nearer")  # fmt: skip
def group_distance() -> float:
    """How far the whole group stands from the camera against the plan, paced or read by eye."""
    return 1.0


@uncertain("cm", 5, "row-distance", each="row", positive=True,
           watch='measure how far row "{name}" stands from the camera', more="farther", less="nearer")  # fmt: skip
def row_distance() -> float:
    """How far each row stands from its place within the group."""
    return 1.0


@uncertain("cm", 3, "head-distance", each="person", anew=True, positive=True,
           watch='have "{name}" stand at ease and upright, and look at each picture', more="back", less="forward")  # fmt: skip
def leaning(age: Array) -> Array:
    """How far a head is before or behind its place as people lean and sway; children and the old lean more."""
    return np.where(age < GROWN_UP_AT, 2.5, np.where(age >= OLD_AT, 1.5, 1.0))


@uncertain("cm", 3, "mark", each="person", anew=True,
           watch='mark where "{name}" stands', more="to the right", less="to the left")  # fmt: skip
def off_mark(age: Array) -> Array:
    """How far beside the place that the plan gives a person stands; children twice as far."""
    return np.where(age < GROWN_UP_AT, 2.0, 1.0)


@uncertain("cm", 2, "stature", each="person", positive=True,
           source="adults overstate their stature by 2.5 cm on average and shoes add as much, so that the mean stays; the spread from memory",
           watch='measure how tall "{name}" is', more="taller", less="shorter")  # fmt: skip
def stature_told() -> float:
    """How far a person's stature, in shoes, is from what was told."""
    return 1.0


@uncertain("%", 50, "sway", each="person", anew=True, kind="lognormal",
           source="the factor of 2 between people that the reading of sway names, taken as not quite two standard deviations",
           watch='take more pictures, so that one finds "{name}" still', more="as fast", less="as fast")  # fmt: skip
def restlessness() -> float:
    """How much faster or slower than usual a head moves."""
    return 1.0


@uncertain("%", 70, "hand-shake", each="plan", kind="lognormal",
           source="the factor of 3 between hands that the reading of hand-shake names, taken as two standard deviations",
           watch="put the camera on a tripod or lean it on something", more="as much shake", less="as much shake")  # fmt: skip
def steadiness() -> float:
    """How much more or less than usual this photographer's hand shakes."""
    return 1.0


@uncertain("cm", 5, "focus-distance", each="setup", positive=True,
           watch="enlarge the eyes on the camera's screen and focus again", more="behind where it was meant",
           less="before where it was meant")  # fmt: skip
def focus_placement() -> float:
    """How far the plane of focus lies from where it was meant to be."""
    return 1.0


@uncertain("stops", 0.2, "flash-at-full", each="light",
           watch='meter "{name}" at the group before the people come', more="brighter", less="weaker")  # fmt: skip
def light_output() -> float:
    """How far a light's output is from its maker's figure or from the day it was metered: unit, tube and battery."""
    return 1.0


@uncertain("stops", 0.4, "flash-at-full", each="light",
           watch='meter "{name}" with its modifier on', more="brighter", less="weaker")  # fmt: skip
def modifier_loss(light_metered: Array) -> Array:
    """How far what a modifier passes is from what its guide number promises; a light metered with it on has none."""
    return np.where(light_metered > 0, 0.0, 1.0)


@uncertain("cm", 10, "light-distance", each="light", anew=True, positive=True,
           watch='measure how far "{name}" stands from the group', more="farther", less="nearer")  # fmt: skip
def light_placing() -> float:
    """How far a light stands from where the plan places it, read by eye."""
    return 1.0


@uncertain("stops", 0.7, "ambient", "background-exposure", "sky-exposure", each="plan",
           source="0.7 stop, 0.3 near a meter reading, as the reading of ambient names them: common practice, no source",
           watch="meter the daylight at the group when you arrive", more="brighter", less="darker")  # fmt: skip
def daylight_model(meter_excess: Array | None = None) -> float:
    """How far the evening's light is from what the model of daylight gives; less where a scout has metered."""
    return 1.0 if meter_excess is None else 0.3 / 0.7


@uncertain("stops", 0.2, "ambient", "background-exposure", "sky-exposure", each="setup",
           watch="watch the sky and meter again when it changes", more="brighter", less="darker")  # fmt: skip
def passing_cloud(sky: Array) -> Array:
    """What clouds and haze that come and go add to the light or take from it; most under a sky of broken cloud."""
    return np.asarray(_CLOUD_TIMES)[sky.astype(np.intp)]


_CLOUD_TIMES = (1.0, 1.5, 4.0, 2.0)
"""Clear, hazy, cloudy, overcast."""


@uncertain("deg", 2, "shade-top", each="shade", source="a skyline read by eye is good to about 2 deg: common practice, no source",
           watch='measure how high "{name}" stands above the horizon', more="higher", less="lower")  # fmt: skip
def skyline() -> float:
    """How far the height of what casts shade is from what was read by eye."""
    return 1.0
