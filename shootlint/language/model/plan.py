"""A whole file: a plan with its setups, or a kit."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from shootlint.language.entry import Entry, part, refuse, setting
from shootlint.language.model import kinds as k
from shootlint.language.model.kit import Camera, Filter, Gel, Lens, Light, Stand, Step
from shootlint.language.model.place import Meter, People, Print, Site, Weather
from shootlint.language.model.setup import Setup
from shootlint.language.values import Count

VERSION = 1


class Acceptance(Entry):
    """A finding that somebody has looked at and lives with."""

    rule: k.RuleName = part("…", "Which rule.")
    about: k.Text = part("for …", "Whom, or which setup, light or print, it is accepted for.")
    because: k.Text = part(", because …", "Why it is accepted.")
    until: k.LastDay | None = part(", until …", "The last day on which it is accepted.", None)


class Plan(Entry):
    shootplan: Annotated[Count, k.Whole()] = setting(
        "shootplan …", "The version of the language; 1 is the only one so far.", example="1"
    )
    title: k.Text | None = setting("title …", "What the plan is called.", None)
    kit: tuple[k.FileName, ...] = setting(
        "kit …", "A file that cameras, lenses, lights, stands, gels, filters and steps are taken from.", ()
    )
    date: k.Calendar | None = setting("date …", "The day of the shoot.", None)
    window: k.ClockTimes | None = setting("window …", "The span of time for setups that name none.", None)
    site: Site | None = setting("site", "Where the shoot is.", None)
    weather: Weather | None = setting("weather", "The weather to be expected.", None)
    meter: tuple[Meter, ...] = setting("meter …", "A scout's incident reading, which corrects the modelled light.", (), most=200)
    people: People | None = setting("people", "Who comes.", None)
    print: tuple[Print, ...] = setting("print …", "A print to be sold.", (), most=300)
    camera: tuple[Camera, ...] = setting("camera …", "A camera.", (), most=300)
    lens: tuple[Lens, ...] = setting("lens …", "A lens.", (), most=300)
    light: tuple[Light, ...] = setting("light …", "A flash with its modifier.", (), most=300)
    stand: tuple[Stand, ...] = setting("stand …", "A stand.", (), most=300)
    gel: tuple[Gel, ...] = setting("gel …", "A gel.", (), most=300)
    filter: tuple[Filter, ...] = setting("filter …", "A grey filter.", (), most=300)
    step: tuple[Step, ...] = setting("step …", "A step, a box or a stool, to stand or sit on.", (), most=300)
    setup: tuple[Setup, ...] = setting("setup …", "One picture and all that it takes.", (), most=200)
    accept: tuple[Acceptance, ...] = setting("accept …", "A finding that is lived with, and why.", (), most=500)

    @model_validator(mode="after")
    def _known_version(self) -> Self:
        if self.shootplan.value != VERSION:
            raise refuse(f"this file says shootplan {self.shootplan}; this program reads shootplan {VERSION}")
        return self
