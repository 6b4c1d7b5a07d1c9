"""The order of the evening: slots beside each other, how long the pictures take, and what the batteries give."""

from __future__ import annotations

import numpy as np

from shootlint.physics import flash
from shootlint.readings.axes import Array, most, single
from shootlint.readings.catalogue import Missing, given, reading
from shootlint.readings.lights import each_lamp
from shootlint.readings.scene import Lamp, Scene, scenes
from shootlint.readings.time import ASKS_TIME

PACE = 2.0
"""Seconds from one picture of a group to the next when nothing else holds it up (common practice, no source)."""


@given("min", asks=ASKS_TIME)
def overlap(scene: Scene) -> float | None:
    """How long the setup's slot runs into that of another setup of the plan."""
    slot = scene.slot
    if slot is None:
        return None
    others = [each.slot for each in scenes(scene.plan) if each.setup is not scene.setup and each.slot is not None]
    shared = [min(slot.end.seconds, each.end.seconds) - max(slot.start.seconds, each.start.seconds) for each in others]
    return max((each for each in shared if each > 0), default=0.0)


@given("min", asks=ASKS_TIME)
def changeover(scene: Scene) -> float | None:
    """How long there is after the setup until the next one begins; infinite after the last."""
    slot = scene.slot
    if slot is None:
        return None
    starts = [each.slot.start.seconds for each in scenes(scene.plan) if each.slot is not None]
    return min((each - slot.end.seconds for each in starts if each > slot.start.seconds), default=np.inf)


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
def frames_take(frames: Array, recycle: Array | None = None) -> Array:
    """How long the planned pictures take without a pause."""
    slowest = most(recycle, "light") if recycle is not None else single(PACE)
    return frames * np.maximum(slowest, PACE)


@given("1", "light", asks="light flashes")
def flashes(scene: Scene) -> Array | Missing:
    """How many full flashes one battery gives."""
    return each_lamp(scene, lambda lamp: float(lamp.light.flashes) if lamp.light.flashes is not None else np.nan)


@given("1", "light", asks="setup frames")
def full_flashes_planned(scene: Scene) -> Array | Missing:
    """How many full flashes a light gives in all setups of the plan, at the powers that are set."""
    return each_lamp(scene, lambda lamp: _full_flashes(scene, lamp))


def _full_flashes(scene: Scene, lamp: Lamp) -> float:
    total = 0.0
    for setup in scene.plan.setup:
        for placement in setup.place:
            if placement.light == lamp.placement.light:
                if setup.frames is None:
                    return np.nan
                total += float(setup.frames) * placement.power.value
    return total


@reading("%", "light", formula="full flashes planned / flashes of one battery", source="energy in proportion to power; common practice, no source",
         uncertainty="a third less in the cold")  # fmt: skip
def battery_used(full_flashes_planned: Array, flashes: Array) -> Array:
    """Share of one battery that all setups of the plan take from a light."""
    return full_flashes_planned / flashes
