"""What the field sheet shows of a plan: drawings, tables and the verdict, gathered from readings and records."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shootlint.language.complaint import listed
from shootlint.language.model import Plan
from shootlint.readings.graph import Graph
from shootlint.readings.order import Order, order_of_evening
from shootlint.readings.packing import Item, packing_list
from shootlint.readings.scene import scenes
from shootlint.readings.wording import number
from shootlint.reports.drawings.evening import Timed, evening_charts
from shootlint.reports.drawings.ground import view_from_above
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.picture import NEEDED, view_through_lens
from shootlint.reports.drawings.shapes import Drawing
from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, MarginRecord, NotJudgedRecord, PlanRecord
from shootlint.reports.sheet.tables import Row, light_row, person_row, settings_of, signed, sky_rows
from shootlint.reports.sure import told
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import hours


@dataclass(frozen=True)
class SetupSheet:
    """One setup as it stands on the sheet."""

    anchor: str
    name: str
    slot: str
    settings: tuple[tuple[str, str], ...]
    """What is dialled in, by its name, in the order in which it is set."""
    lights: tuple[Row, ...]
    people: tuple[Row, ...]
    """In words what both drawings show, under the same numbers."""
    above: Drawing
    picture: Drawing | None
    picture_needs: str
    """What the plan would have to say for the view through the lens."""
    background: str
    sky: tuple[Row, ...]
    """What the sky gives at the start, in the middle and at the end of the slot."""
    findings: tuple[FindingRecord, ...]
    margins: tuple[MarginRecord, ...]
    not_judged: tuple[NotJudgedRecord, ...]


@dataclass(frozen=True)
class Sheet:
    """A plan as it stands on the sheet."""

    record: PlanRecord
    date: str
    place: str
    facts: tuple[tuple[str, str], ...]
    order: Order
    packing: tuple[Item, ...]
    charts: tuple[Drawing, ...]
    """The light against the clock; several where setups lie hours apart."""
    setups: tuple[SetupSheet, ...]
    whole: tuple[FindingRecord, ...]
    """What is found about the plan as a whole."""
    made: str
    """The day on which the sheet was made."""

    @property
    def title(self) -> str:
        return self.record.title or self.record.path

    @property
    def first(self) -> list[FindingRecord]:
        """What must be mended first: the errors."""
        return self.record.at_level("error")

    @property
    def sure(self) -> list[str]:
        """What trials tell, in lines; none where there were none."""
        return list(told(self.record.path, self.record.sureness)) if self.record.sureness is not None else []

    @property
    def counts(self) -> list[tuple[str, int]]:
        """How many findings there are of each level."""
        return [(level, len(self.record.at_level(level))) for level in LEVELS]


def gather(plan: Plan, book: Book, today: datetime.date, record: PlanRecord) -> Sheet:
    """Everything that the sheet of a plan shows, which was judged by a rulebook on a day."""
    found = [Measures(Graph(scene)) for scene in scenes(plan)]
    setups = tuple(_setup(place, measures, record) for place, measures in enumerate(found, 1))
    order = order_of_evening(plan)
    return Sheet(
        record=record,
        date=f"{plan.date.date:%A}, {plan.date.date.day} {plan.date.date:%B %Y}" if plan.date is not None else "no date yet",
        place=_place(plan),
        facts=_facts(plan, order),
        order=order,
        packing=tuple(packing_list(plan)),
        charts=tuple(evening_charts(_timed(plan, book, today, found), "evening")),
        setups=setups,
        whole=tuple(each for each in record.findings if each.setup is None),
        made=today.isoformat(),
    )


def sheet_page(sheet: Sheet) -> str:
    """The sheet as a page that needs nothing but itself."""
    from shootlint.reports.pages import page

    return page("sheet.html.jinja", sheet=sheet)


def _place(plan: Plan) -> str:
    site = plan.site
    if site is None:
        return "no place yet"
    position = site.position
    where = ""
    if position is not None:
        north, east = "N" if position.latitude >= 0 else "S", "E" if position.longitude >= 0 else "W"
        where = f"{abs(position.latitude):.4f} {north}, {abs(position.longitude):.4f} {east}"
    return ", ".join(filter(None, [str(site.name or ""), where])) or "no place yet"


def _facts(plan: Plan, order: Order) -> tuple[tuple[str, str], ...]:
    """Weather, ground, hazards and the sun's events, as far as they are known."""
    facts = [(step.label, order.clock(step.start)) for step in order.steps if step.kind in ("dawn", "sunrise", "sunset", "dusk")]
    weather, site = plan.weather, plan.site
    if weather is not None:
        wind = weather.wind
        if weather.sky is not None:
            facts.append(("sky", str(weather.sky)))
        if wind is not None:
            facts.append(("wind", f"{wind.mean}{f', gusts {wind.gusts}' if wind.gusts is not None else ''}"))
        if weather.air is not None:
            facts.append(("air", str(weather.air)))
    if site is not None:
        if site.ground is not None:
            facts.append(("ground", str(site.ground)))
        facts += [("hazard", f"{hazard.kind}, {hazard.away} away") for hazard in site.hazard]
        facts += [("shade", f"{shade.name}, bearing {shade.bearing}, up to {shade.up_to}") for shade in site.shade]
    facts += [
        ("print", f"{each.name}, {each.size}{f', seen from {each.viewed_from}' if each.viewed_from else ''}")
        for each in plan.print
    ]
    return tuple(facts)


def _timed(plan: Plan, book: Book, today: datetime.date, found: Sequence[Measures]) -> list[Timed]:
    """The setups that have a slot, with the spans in which they would hold by the rules that are errors and warnings."""
    slots = [measures.scene.slot for measures in found]
    if plan.date is None or not any(slots):
        return []
    judged = hours(plan, book, today, [plan.date.date], "warning").setups
    timed = []
    for measures, slot, setup in zip(found, slots, judged, strict=True):
        if slot is not None:
            spans = [(span.start, span.end) for day in setup.days for span in day.spans]
            timed.append(Timed(measures, slot.start.seconds, slot.end.seconds, spans))
    return timed


def _setup(place: int, measures: Measures, record: PlanRecord) -> SetupSheet:
    scene = measures.scene
    name = str(scene.setup.name)
    picture = view_through_lens(measures, f"lens-{place}")
    needs = dict.fromkeys(need for each in NEEDED for need in measures.needs(each))
    return SetupSheet(
        anchor=f"setup-{place}",
        name=name,
        slot=_slot(measures),
        settings=tuple(settings_of(measures)),
        lights=tuple(light_row(measures, light) for light in range(len(scene.lamps))),
        people=tuple(person_row(measures, person) for person in range(len(scene.sitters))),
        above=view_from_above(measures, f"above-{place}"),
        picture=picture,
        picture_needs=listed(list(needs), "and"),
        background=_background(measures),
        sky=tuple(sky_rows(measures)),
        findings=tuple(each for each in record.findings if each.setup == name),
        margins=tuple(each for each in record.margins if each.setup == name),
        not_judged=tuple(each for each in record.not_judged if each.setup == name),
    )


def _slot(measures: Measures) -> str:
    slot, time = measures.scene.slot, measures.scene.time
    if slot is not None:
        return f"{measures.clock(slot.start.seconds)} to {measures.clock(slot.end.seconds)}"
    return str(time) if time is not None else "no time yet"


def _background(measures: Measures) -> str:
    blur, limit = measures.one("background-blur"), measures.one("sharp-limit")
    if not (math.isfinite(blur) and limit > 0):
        return ""
    text = f"The background is {measures.said('background-blur')} soft on the print, {number(blur / limit, 1)} times what the eye takes for sharp"
    light = measures.one("background-exposure", minute=0)
    return f"{text}, and lies {signed(light)} from the setting." if math.isfinite(light) else f"{text}."
