"""The order of the evening: slots beside each other, how long the pictures take, and what the batteries give."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from shootlint.language.clocks import Slot
from shootlint.physics import flash
from shootlint.readings.axes import Array, along, least, most
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.lights import each_lamp
from shootlint.readings.scene import Lamp, Scene
from shootlint.readings.time import ASKS_TIME

PACE = 2.0
"""Seconds from one picture of a group to the next when nothing else holds it up (common practice, no source)."""


@given("clock", "setup", asks=ASKS_TIME, of_others=True)
def other_starts(scene: Scene) -> Array | None:
    """When the plan's other setups begin; endlessly late where there is none."""
    return _others(scene, lambda slot: slot.start.seconds)


@given("clock", "setup", asks=ASKS_TIME, of_others=True)
def other_ends(scene: Scene) -> Array | None:
    """When the plan's other setups end."""
    return _others(scene, lambda slot: slot.end.seconds)


def _others(scene: Scene, instant: Callable[[Slot], float]) -> Array | None:
    if scene.slot is None:
        return None
    told = [instant(slot) for setup, slot in scene.evening.slots if setup is not scene.setup]
    return along("setup", told or [np.inf])


@reading(
    "min",
    formula="the earlier end - the later start, of this setup and the one that shares most, at least 0",
    source="definition",
)
def overlap(instant: Array, other_starts: Array, other_ends: Array) -> Array:
    """How long the setup's slot runs into that of another setup of the plan."""
    ends = np.minimum(most(instant, "minute"), other_ends)
    return most(np.maximum(ends - np.maximum(least(instant, "minute"), other_starts), 0.0), "setup")


@reading("min", formula="the start of the next setup - the last instant", source="definition")
def changeover(instant: Array, other_starts: Array) -> Array:
    """How long there is after the setup until the next one begins; endless after the last, below 0 where it runs into the next."""
    later = np.where(other_starts > least(instant, "minute"), other_starts, np.inf)
    return least(later, "setup") - most(instant, "minute")


@given("1", asks="setup frames")
def frames(scene: Scene) -> float | None:
    """How many pictures the setup takes."""
    return float(scene.setup.frames) if scene.setup.frames is not None else None


@given("s", "light", asks="light recycle")
def recycle_at_full(scene: Scene) -> Array | Missing:
    """How long a light takes to be ready again after a full flash."""
    return each_lamp(scene, lambda lamp: lamp.light.recycle.value if lamp.light.recycle is not None else np.nan)


@reading("s", "light", formula="recycling time at full power × power", source="energy in proportion to power; common practice, no source",
         uncertainty="makers' figures are for fresh batteries in warmth")  # fmt: skip
def recycle(recycle_at_full: Array, power: Array) -> Array:
    """How long a light takes to be ready again at the power that is set."""
    return flash.recycle_time(recycle_at_full, power)


@reading(
    "min",
    formula="frames × the longest recycling time, at least 2 s a picture",
    source="the pace of 2 s is common practice, no source",
)
def frames_take(frames: Array, lights_used: Array, recycle: Array | None = None) -> Array:
    """How long the planned pictures take without a pause."""
    # Without lights nothing recycles; with lights that do not tell, nobody knows.
    slowest = most(recycle, "light") if recycle is not None else np.where(lights_used > 0, np.nan, PACE)
    return frames * np.maximum(slowest, PACE)


@given("1", "light", asks="light flashes")
def flashes(scene: Scene) -> Array | Missing:
    """How many full flashes one battery gives."""
    return each_lamp(scene, lambda lamp: float(lamp.light.flashes) if lamp.light.flashes is not None else np.nan)


@given("1", "light", asks="setup frames", of_others=True)
def full_flashes_elsewhere(scene: Scene) -> Array | Missing:
    """How many full flashes a light gives in the plan's other setups, at the powers that are set there."""
    return each_lamp(scene, lambda lamp: _full_flashes_elsewhere(scene, lamp))


def _full_flashes_elsewhere(scene: Scene, lamp: Lamp) -> float:
    return sum(given for setup, given in scene.evening.full_flashes[lamp.name] if setup is not scene.setup)


@reading(
    "1",
    "light",
    formula="frames × power, and as much of the other setups",
    source="energy in proportion to power; common practice, no source",
)
def full_flashes_planned(frames: Array, power: Array, full_flashes_elsewhere: Array) -> Array:
    """How many full flashes a light gives in all setups of the plan, at the powers that are set."""
    return frames * power + full_flashes_elsewhere


@reading("%", "light", formula="full flashes planned / flashes of one battery", source="energy in proportion to power; common practice, no source",
         uncertainty="a third less in the cold")  # fmt: skip
def battery_used(full_flashes_planned: Array, flashes: Array) -> Array:
    """Share of one battery that all setups of the plan take from a light."""
    return full_flashes_planned / flashes
