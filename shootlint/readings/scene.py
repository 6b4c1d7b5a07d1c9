"""One setup with everything that it names: what readings take from the plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from zoneinfo import ZoneInfo

from shootlint.language import clocks
from shootlint.language.complaint import none_called
from shootlint.language.model import Camera, Filter, Gel, Lens, Light, Person, Placement, Plan, Posed, Print, Row, Setup, Stand
from shootlint.language.values import ClockSpan


@dataclass(frozen=True)
class Sitter:
    """A person as posed in the setup."""

    person: Person
    posed: Posed
    row: Row
    """Where the person stands: the holder's row for who is held and has no place of his or her own."""

    @property
    def name(self) -> str:
        return str(self.posed.name)


@dataclass(frozen=True)
class Lamp:
    """A light as placed in the setup."""

    light: Light
    placement: Placement
    gels: tuple[Gel, ...]
    stand: Stand | None

    @property
    def name(self) -> str:
        return str(self.placement.light)


@dataclass(frozen=True, eq=False)
class Scene:
    """A setup, resolved. It is made only of sound setups, so every name is found."""

    plan: Plan
    setup: Setup
    among: Evening | None = field(default=None, repr=False)
    """The plan's setups, where scenes of more than one of them are made."""

    @cached_property
    def evening(self) -> Evening:
        """This setup and the others of its plan."""
        return self.among or Evening(self.plan)

    @cached_property
    def camera(self) -> Camera:
        return next(each for each in self.plan.camera if each.name == self.setup.camera)

    @cached_property
    def lens(self) -> Lens:
        return next(each for each in self.plan.lens if each.name == self.setup.lens.name)

    @cached_property
    def filters(self) -> list[Filter]:
        return [next(each for each in self.plan.filter if each.name == name) for name in self.setup.filter]

    @cached_property
    def print(self) -> Print | None:
        if self.setup.print is None:
            return None
        return next(each for each in self.plan.print if each.name == self.setup.print)

    @cached_property
    def sitters(self) -> list[Sitter]:
        people = {str(person.name): person for person in self.plan.people.members} if self.plan.people else {}
        placed = {str(posed.name): (row, posed) for row, posed in self.setup.people}
        found = []
        for row, posed in self.setup.people:
            bearer = posed
            while bearer.at_holder:
                # It ends: a setup in which people hold each other in a ring is refused when it is read.
                row, bearer = placed[str(bearer.held_by)]
            found.append(Sitter(people[str(posed.name)], posed, row))
        return found

    @cached_property
    def lamps(self) -> list[Lamp]:
        lights = {str(light.name): light for light in self.plan.light}
        gels = {str(gel.name): gel for gel in self.plan.gel}
        stands = {str(stand.name): stand for stand in self.plan.stand}
        return [
            Lamp(
                lights[str(each.light)],
                each,
                tuple(gels[str(gel)] for gel in each.gel),
                stands[str(each.stand)] if each.stand else None,
            )
            for each in self.setup.place
        ]

    @cached_property
    def names(self) -> dict[str, list[str]]:
        """The names along each axis that has names."""
        sitters = [sitter.name for sitter in self.sitters]
        return {"person": sitters, "other": sitters, "light": [lamp.name for lamp in self.lamps]}

    @cached_property
    def zone(self) -> ZoneInfo | None:
        name = self.plan.site.zone if self.plan.site is not None else None
        return clocks.zone(name) if name is not None else None

    @cached_property
    def in_feet(self) -> bool:
        """Whether the plan is written in feet and inches rather than in metres, as its rows are."""
        told = [row.distance for row in self.setup.row]
        return sum(each.unit.name in ("ft", "in") for each in told) * 2 > len(told)

    @property
    def time(self) -> ClockSpan | None:
        return self.setup.time or self.plan.window

    @cached_property
    def slot(self) -> clocks.Slot | None:
        """When it is shot; None where date, time or zone are not told."""
        if self.plan.date is None or self.time is None or self.zone is None:
            return None
        return clocks.slot(self.plan.date.date, self.time, self.zone)


class Evening:
    """All setups of a plan. What each of them asks of the others is gathered once: a plan may have thousands, and each
    looking at all the others by itself took minutes."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    @cached_property
    def slots(self) -> list[tuple[Setup, clocks.Slot]]:
        """The setups of which it is told when they are shot."""
        told = ((setup, Scene(self.plan, setup).slot) for setup in self.plan.setup)
        return [(setup, slot) for setup, slot in told if slot is not None]

    @cached_property
    def full_flashes(self) -> dict[str, list[tuple[Setup, float]]]:
        """How many full flashes each light gives, setup by setup; nan where it is not told how many pictures one takes."""
        found = defaultdict(list)
        for setup in self.plan.setup:
            frames = float(setup.frames) if setup.frames is not None else float("nan")
            for placement in setup.place:
                found[str(placement.light)].append((setup, frames * placement.power.value))
        return found


def scenes(plan: Plan) -> list[Scene]:
    """The setups of a plan as scenes, in the order written."""
    evening = Evening(plan)
    return [Scene(plan, setup, evening) for setup in plan.setup]


def places_of(names: Iterable[str], known: Sequence[Scene]) -> list[int]:
    """Where among scenes the setups of these names are; raises ValueError with a reason where there is none of a name."""
    there = [str(scene.setup.name) for scene in known]
    found = list(names)
    for name in found:
        if name not in there:
            raise ValueError(none_called("sound setup", name, there, quoted=True))
    return [there.index(name) for name in found]
