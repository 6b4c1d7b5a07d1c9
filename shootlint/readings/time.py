"""When the picture is made: the minutes of the setup, as instants."""

from __future__ import annotations

import numpy as np

from shootlint.language import clocks
from shootlint.readings.axes import Array, along, least, most
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

NAMINGS = ("once", "skipped", "repeated")
ASKS_TIME = "date, site zone, and the setup's time or the plan's window"


@given("clock", "minute", asks=ASKS_TIME)
def instant(scene: Scene) -> Array | None:
    """Each minute of the setup, from its first to its last."""
    slot = scene.slot
    if slot is None:
        return None
    return along("minute", slot.start.seconds + 60.0 * np.arange(max(slot.minutes, 0) + 1))


@given("clock", "meter", asks="meter, date and site zone")
def meter_instant(scene: Scene) -> Array | None:
    """When the scout's readings were taken."""
    if not scene.plan.meter or scene.plan.date is None or scene.zone is None:
        return None
    times = [clocks.instant(scene.plan.date.date, meter.at, scene.zone) for meter in scene.plan.meter]
    return along("meter", [time.seconds for time in times])


@given("1", asks=ASKS_TIME, words=NAMINGS)
def start_on_the_clock(scene: Scene) -> float | None:
    """Whether the clock shows the setup's first minute once that day, skips it or repeats it."""
    return float(NAMINGS.index(scene.slot.start.naming)) if scene.slot is not None else None


@given("1", asks=ASKS_TIME, words=NAMINGS)
def end_on_the_clock(scene: Scene) -> float | None:
    """Whether the clock shows the setup's last minute once that day, skips it or repeats it."""
    return float(NAMINGS.index(scene.slot.end.naming)) if scene.slot is not None else None


@reading("clock", formula="the first instant", source="definition")
def slot_start(instant: Array) -> Array:
    """When the setup begins."""
    return least(instant, "minute")


@reading("clock", formula="the last instant", source="definition")
def slot_end(instant: Array) -> Array:
    """When the setup ends."""
    return most(instant, "minute")


@reading("min", formula="last instant - first instant", source="definition")
def slot_length(instant: Array) -> Array:
    """How long the setup lasts."""
    return most(instant, "minute") - least(instant, "minute")
