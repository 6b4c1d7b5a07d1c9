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
MOST_THINGS = 300
"""Of each sort that a kit holds, and of prints. This limit and those of other lines are choices, no source: far beyond what one
evening has, and few enough that the largest plan is judged in bounded time and memory (tests/language/test_most_language.py)."""


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
    print: tuple[Print, ...] = setting("print …", "A print to be sold.", (), most=MOST_THINGS)
    camera: tuple[Camera, ...] = setting("camera …", "A camera.", (), most=MOST_THINGS)
    lens: tuple[Lens, ...] = setting("lens …", "A lens.", (), most=MOST_THINGS)
    light: tuple[Light, ...] = setting("light …", "A flash with its modifier.", (), most=MOST_THINGS)
    stand: tuple[Stand, ...] = setting("stand …", "A stand.", (), most=MOST_THINGS)
    gel: tuple[Gel, ...] = setting("gel …", "A gel.", (), most=MOST_THINGS)
    filter: tuple[Filter, ...] = setting("filter …", "A grey filter.", (), most=MOST_THINGS)
    step: tuple[Step, ...] = setting("step …", "A step, a box or a stool, to stand or sit on.", (), most=MOST_THINGS)
    setup: tuple[Setup, ...] = setting("setup …", "One picture and all that it takes.", (), most=200)
    accept: tuple[Acceptance, ...] = setting("accept …", "A finding that is lived with, and why.", (), most=500)

    @model_validator(mode="after")
    def _known_version(self) -> Self:
        if self.shootplan.value != VERSION:
            raise refuse(f"this file says shootplan {self.shootplan}; this program reads shootplan {VERSION}")
        return self
