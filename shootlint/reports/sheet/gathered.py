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
from shootlint.readings.scene import Scene, scenes
from shootlint.readings.wording import number
from shootlint.reports.drawings.evening import Timed, evening_charts, shutter_in_words
from shootlint.reports.drawings.ground import view_from_above
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.picture import NEEDED, view_through_lens
from shootlint.reports.drawings.shapes import Drawing
from shootlint.reports.levels import LEVELS
from shootlint.reports.records import FindingRecord, MarginRecord, NotJudgedRecord, PlanRecord
from shootlint.reports.sure import told
from shootlint.rulebook.book import Book
from shootlint.rulebook.hours import hours

Row = tuple[tuple[str, str], ...]
"""One row of a table: each cell under its label. All rows of a table have the same labels."""


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
        charts=tuple(evening_charts(_timed(plan, book, today, found, record), "evening")),
        setups=setups,
        whole=tuple(each for each in record.findings if each.setup is None),
        made=today.isoformat(),
    )


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


def _timed(plan: Plan, book: Book, today: datetime.date, found: Sequence[Measures], record: PlanRecord) -> list[Timed]:
    """The setups that have a slot, with the spans in which they would hold by the rules that are errors and warnings."""
    slots = [measures.scene.slot for measures in found]
    if plan.date is None or not any(slots):
        return []
    judged = hours(plan, book, today, [plan.date.date], "warning").setups
    timed = []
    for measures, slot, setup in zip(found, slots, judged, strict=True):
        if slot is not None:
            spans = [(span.start, span.end) for day in setup.days for span in day.spans]
            levels = [each.level for each in record.findings if each.setup == setup.name]
            timed.append(Timed(measures, slot.start.seconds, slot.end.seconds, spans, min(levels, key=LEVELS.index, default="")))
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
        settings=tuple(_settings(measures)),
        lights=tuple(_light(measures, light) for light in range(len(scene.lamps))),
        people=tuple(_person(measures, person) for person in range(len(scene.sitters))),
        above=view_from_above(measures, f"above-{place}"),
        picture=picture,
        picture_needs=listed(list(needs), "and"),
        background=_background(measures),
        sky=tuple(_sky(measures)),
        findings=tuple(each for each in record.findings if each.setup == name),
        margins=tuple(each for each in record.margins if each.setup == name),
        not_judged=tuple(each for each in record.not_judged if each.setup == name),
    )


def _slot(measures: Measures) -> str:
    slot, time = measures.scene.slot, measures.scene.time
    if slot is not None:
        return f"{measures.clock(slot.start.seconds)} to {measures.clock(slot.end.seconds)}"
    return str(time) if time is not None else "no time yet"


def _settings(measures: Measures) -> list[tuple[str, str]]:
    scene = measures.scene
    setup, support = scene.setup, scene.setup.support
    focal = setup.lens.focal if setup.lens.focal is not None else scene.lens.focal
    held = [
        str(support.kind) if support is not None else "",
        f"{support.height} high" if support is not None and support.height is not None else "",
        f"tilt {support.tilt}" if support is not None and support.tilt is not None else "",
    ]
    settings = [
        ("focal length", str(focal)),
        ("aperture", str(setup.aperture)),
        ("shutter", shutter_in_words(measures)),
        ("ISO", str(setup.iso)),
        ("white balance", str(setup.white_balance or "not told")),
        ("focus", f"{_focus(scene)}, {measures.length(measures.one('focus-distance'))}"),
        ("camera", str(setup.camera)),
        ("lens", str(setup.lens.name)),
        ("held by", ", ".join(filter(None, held)) or "not told"),
        ("faces", f"{setup.facing} from true north" if setup.facing is not None else "not told"),
        ("frame", f"{setup.frame.orientation}{f', {setup.frame.framing}' if setup.frame.framing else ''}"),
        ("pictures", str(setup.frames) if setup.frames is not None else "not told"),
        ("print", str(setup.print or "none named")),
    ]
    if setup.filter:
        settings.insert(4, ("filter", listed([str(each) for each in setup.filter], "and")))
    return settings


def _focus(scene: Scene) -> str:
    focus = scene.setup.focus
    if focus.row is not None:
        return f"row {focus.row}"
    if focus.person is not None:
        return str(focus.person)
    return "between the rows" if focus.between_rows else "set"


def _light(measures: Measures, place: int) -> Row:
    lamp = measures.scene.lamps[place]
    spot = lamp.placement
    flashes = [measures.one("flash", light=place, person=person) for person in range(len(measures.scene.sitters))]
    middle = sum(flashes) / len(flashes)
    return (
        ("light", lamp.name),
        ("role", str(spot.role)),
        ("power", str(spot.power)),
        ("gel", listed([str(each) for each in spot.gel], "and") or "none"),
        ("distance", str(spot.distance)),
        ("angle", str(spot.angle)),
        ("height", str(spot.height)),
        ("aimed at", str(spot.aim or "the group")),
        ("stand", str(spot.stand or "none")),
        ("bag", str(spot.bag or "none")),
        ("tips at", measures.said("stand-tips-at", light=place) if lamp.stand is not None else "no stand"),
        ("over the setting", signed(middle) if math.isfinite(middle) else "not known"),
    )


def _person(measures: Measures, place: int) -> Row:
    sitter = measures.scene.sitters[place]
    on = f" on {sitter.posed.on}" if sitter.posed.on is not None else ""
    across, hidden = measures.one("sideways", person=place), measures.one("face-hidden", person=place)
    side = f"{measures.said('sideways', person=place).lstrip('-')} {'right' if across > 0 else 'left'}"
    return (
        ("who", sitter.name),
        ("number", str(place + 1)),
        ("row, from the camera", f"{sitter.row.name}, {measures.said('row-distance', person=place)}"),
        ("how", f"{sitter.posed.pose or 'standing'}{on}"),
        ("from the axis", side if abs(across) >= 0.005 else "on it"),
        ("on the print", sharpness(measures.one("blur", person=place), measures.one("sharp-limit"))),
        ("head, chin to crown", measures.said("head-on-print", person=place)),
        ("hidden", "not known" if math.isnan(hidden) else f"{number(hidden * 100, 0)} %" if hidden >= 0.005 else "no"),
    )


def sharpness(blur: float, limit: float) -> str:
    """How sharp somebody is on the print, in words: blur and what the eye takes for sharp are in metres."""
    if not (math.isfinite(blur) and math.isfinite(limit) and limit > 0):
        return "not known"
    measured = f"{number(blur * 1000, 2)} of {number(limit * 1000, 2)} mm"
    if blur <= limit / 2:
        return f"sharp, {measured}"
    return f"just sharp, {measured}" if blur <= limit else f"soft, {measured}"


def signed(stops: float) -> str:
    """Stops with their sign, where there is any to tell."""
    text = f"{stops:+.1f}"
    return f"{'0.0' if text in ('+0.0', '-0.0') else text} stops"


def _background(measures: Measures) -> str:
    blur, limit = measures.one("background-blur"), measures.one("sharp-limit")
    if not (math.isfinite(blur) and limit > 0):
        return ""
    text = f"The background is {measures.said('background-blur')} soft on the print, {number(blur / limit, 1)} times what the eye takes for sharp"
    light = measures.one("background-exposure", minute=0)
    return f"{text}, and lies {signed(light)} from the setting." if math.isfinite(light) else f"{text}."


def _sky(measures: Measures) -> list[Row]:
    if measures.scene.slot is None:
        return []
    readings = {
        "clock": "instant",
        "sun's height": "sun-altitude",
        "from the axis": "sun-angle",
        "sun on the group": "sunlit",
        "daylight on faces": "ambient",
        "under the key": "ambient-under-key",
        "shutter": "shutter",
    }
    last = measures.size("minute") - 1
    return [
        tuple((label, measures.said(reading, minute=minute)) for label, reading in readings.items())
        for minute in dict.fromkeys((0, last // 2, last))
    ]
