"""The order of the evening: what happens when, from the crew's arrival until everything is packed, and what the sun does.

The slots of the setups and the sun's events are the plan's and the sky's. What lies around them (when the crew comes, how
long rigging takes, when people are asked to be there) no plan says; it is reckoned back and forth from the slots.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal
from zoneinfo import ZoneInfo

from shootlint.language import clocks
from shootlint.language.model import Plan
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Scene, scenes

MINUTE = 60.0
UNLOADING = 15 * MINUTE
"""From the crew's arrival until the first stand is opened: unloading, and a walk over the site."""
RIGGING, RIGGING_EACH_LIGHT = 15 * MINUTE, 10 * MINUTE
"""What it takes to put the camera up and try it, and what each light of the first setup takes on top."""
PEOPLE_BEFORE = 15 * MINUTE
"""How long before the first setup in which they are wanted people are asked to be there."""
PACKING, PACKING_EACH_LIGHT = 15 * MINUTE, 5 * MINUTE
"""What it takes to pack up, and what each light that was used takes on top."""
# All of these lead times are common practice, without a source; they stand here and nowhere else.

Kind = Literal["arrive", "rig", "call", "change", "setup", "pack", "dawn", "sunrise", "sunset", "dusk"]
SUN: dict[Kind, tuple[str, str]] = {
    "dawn": ("civil-dawn", "civil twilight begins"),
    "sunrise": ("sunrise", "the sun rises"),
    "sunset": ("sunset", "the sun sets"),
    "dusk": ("civil-dusk", "civil twilight ends"),
}
"""The sun's part in the order: the reading that it is taken from, and what it is called."""


@dataclass(frozen=True)
class Step:
    """One thing that happens. Instants are seconds since 1970 in UTC; a moment ends when it begins."""

    kind: Kind
    start: float
    end: float
    label: str
    who: tuple[str, ...] = ()
    """The people of the plan whom it asks for; nobody where it is the crew's alone or the sky's."""
    setup: str = ""
    """The setup that it belongs to."""

    @property
    def minutes(self) -> int:
        """How long it lasts."""
        return round((self.end - self.start) / MINUTE)


@dataclass(frozen=True)
class Order:
    """The steps of an evening by the time at which they begin, and what the plan would have to say for those that are missing."""

    steps: tuple[Step, ...]
    zone: ZoneInfo | None
    needs: tuple[str, ...] = ()

    def wall(self, instant: float) -> datetime.datetime:
        """The day and time on the wall at the site; asked for only where there are steps."""
        assert self.zone is not None
        return datetime.datetime.fromtimestamp(instant, self.zone)

    def clock(self, instant: float) -> str:
        """The hour and minute on the wall; "again" where the clocks are put back and show it for the second time."""
        assert self.zone is not None
        return clocks.told_clock(instant, self.zone)


def order_of_evening(plan: Plan) -> Order:
    """What happens when; without a step where no setup of the plan is told a date, a time and a zone."""
    all_scenes = scenes(plan)
    graphs = {scene: Graph(scene) for scene in all_scenes}
    timed = sorted((scene for scene in all_scenes if scene.slot is not None), key=_slot)
    needs = {need: None for scene in all_scenes if scene.slot is None for need in sorted(graphs[scene]["instant"].needs)}
    if not timed:
        return Order((), None, tuple(needs))
    sky = graphs[timed[0]]
    for reading, _ in SUN.values():
        needs |= dict.fromkeys(sorted(sky[reading].needs))
    steps = sorted(
        [*_before(timed), *_setups(timed), _packing(timed), *_sun(sky, timed)], key=lambda step: (step.start, step.end)
    )
    return Order(tuple(steps), timed[0].zone, tuple(needs))


def _slot(scene: Scene) -> tuple[float, float]:
    assert scene.slot is not None
    return scene.slot.start.seconds, scene.slot.end.seconds


def _lights(timed: list[Scene]) -> int:
    return len({lamp.name for scene in timed for lamp in scene.lamps})


def _before(timed: list[Scene]) -> Iterator[Step]:
    """What the crew does before anybody comes, and whom it waits for when."""
    first = timed[0]
    lights = _lights([first])
    ready = _slot(first)[0] - PEOPLE_BEFORE
    rigging = ready - RIGGING - RIGGING_EACH_LIGHT * lights
    yield Step("arrive", rigging - UNLOADING, rigging, "arrive, unload and walk the site")
    what = f"rig and try {lights} light{'s' if lights > 1 else ''}" if lights else "put the camera up and try it"
    yield Step("rig", rigging, ready, what, setup=str(first.setup.name))
    called: set[str] = set()
    for scene in timed:
        new = tuple(name for name in scene.names["person"] if name not in called)
        called.update(new)
        if new:
            start = _slot(scene)[0]
            yield Step("call", start - PEOPLE_BEFORE, start, "people come", new, str(scene.setup.name))


def _setups(timed: list[Scene]) -> Iterator[Step]:
    """The setups, and the time to change to the next one, where there is any."""
    ended = math.inf
    for scene in timed:
        start, end = _slot(scene)
        name = str(scene.setup.name)
        if ended < start:
            yield Step("change", ended, start, f'change to "{name}"', setup=name)
        yield Step("setup", start, end, f'"{name}"', tuple(scene.names["person"]), name)
        ended = end if math.isinf(ended) else max(ended, end)


def _packing(timed: list[Scene]) -> Step:
    ended = max(_slot(scene)[1] for scene in timed)
    return Step("pack", ended, ended + PACKING + PACKING_EACH_LIGHT * _lights(timed), "pack up")


def _sun(sky: Graph, timed: list[Scene]) -> Iterator[Step]:
    """The sun's events in the halves of the day in which pictures are made; what never happens that day has no place here."""
    noon = sky["solar-noon"].array.item()
    morning = any(_slot(scene)[0] < noon for scene in timed)
    evening = any(_slot(scene)[1] > noon for scene in timed)
    for kind, (reading, label) in SUN.items():
        when = sky[reading].array.item()
        if math.isfinite(when) and (morning if kind in ("dawn", "sunrise") else evening):
            # Nobody plans by seconds; this is the minute that clock times show everywhere else.
            minute = MINUTE * math.floor(when / MINUTE)
            yield Step(kind, minute, minute, label)
