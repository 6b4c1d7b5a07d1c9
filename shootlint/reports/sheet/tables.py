"""The tables of the field sheet: what is dialled in, the lights, the people, and the light through a slot."""

from __future__ import annotations

import math

from shootlint.language.complaint import listed
from shootlint.readings.scene import Scene
from shootlint.readings.wording import number
from shootlint.reports.drawings.evening import shutter_in_words
from shootlint.reports.drawings.measures import Measures

Row = tuple[tuple[str, str], ...]
"""One row of a table: each cell under its label. All rows of a table have the same labels."""


WELL_SHARP = 0.5
"""A blur up to this share of what the eye takes for sharp is told as sharp, more as just sharp (a choice, no source)."""


def settings_of(measures: Measures) -> list[tuple[str, str]]:
    """What is dialled in, by its name: what is set at the camera for each picture first."""
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
        ("support", ", ".join(filter(None, held)) or "not told"),
        ("lens points", f"{setup.facing} from true north" if setup.facing is not None else "not told"),
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


def light_row(measures: Measures, place: int) -> Row:
    """A light as it is to be put up, when its stand tips, and how far it lies over the setting at the group's middle."""
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


def person_row(measures: Measures, place: int) -> Row:
    """Somebody under the number of the drawings: where, how, and how sharp and large on the print."""
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
    if blur <= limit * WELL_SHARP:
        return f"sharp, {measured}"
    return f"just sharp, {measured}" if blur <= limit else f"soft, {measured}"


def signed(stops: float) -> str:
    """Stops with their sign, where there is any to tell."""
    text = f"{stops:+.1f}"
    return f"{'0.0' if text in ('+0.0', '-0.0') else text} stops"


def sky_rows(measures: Measures) -> list[Row]:
    """What the sky gives at the start, in the middle and at the end of a slot; nothing where the plan says no time."""
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
