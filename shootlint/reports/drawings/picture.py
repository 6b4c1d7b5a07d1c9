"""The view through the lens: the frame with everyone at their true place and size in it, as the readings have them."""

from __future__ import annotations

import math

import numpy as np

from shootlint.reports.counting import plural
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.shapes import LETTER, Box, Drawing, Point, shortened

LONG_SIDE = 432.0
"""Units of the frame's long side."""
RIM = 24.0
"""What is shown around the frame, so that what is cut off can be seen."""
LOWEST = 0.55
"""How far down from shoulders to feet the hips are (common practice, no source); only for the outline."""
BELOW = 1.2
"""Where in the frame a body ends whose feet are not known: below it."""
NAMED = 14
"""So many people are named above their heads; more go by their numbers alone."""
SMALLEST = 0.1
"""Metres across of a light that has no modifier to speak of; only for the outline."""
LIGHT_NEAR = 0.15
"""A light is drawn while it is no farther outside the frame than this share of its width or height."""

NEEDED = ("head-x", "head-y", "crown-y", "chin-y")


def view_through_lens(measures: Measures, name: str) -> Drawing | None:
    """What the camera sees of a setup; None where the plan does not say enough to know where heads fall."""
    if any(measures.graph[each].unknown for each in NEEDED):
        return None
    wide, high = measures.one("sensor-width"), measures.one("sensor-height")
    unit = LONG_SIDE / max(wide, high)
    frame = Box(RIM, RIM, RIM + wide * unit, RIM + high * unit)
    drawing = Drawing(
        name, f'"{measures.scene.setup.name}" through the lens', _in_words(measures), frame.right + RIM, frame.bottom + RIM
    )
    drawing.box("sheet", Box(0, 0, drawing.width, drawing.height))
    _lights(drawing, frame, measures, behind=True)
    _people(drawing, frame, measures)
    _lights(drawing, frame, measures, behind=False)
    printed = _printed(frame, measures)
    _outside(drawing, printed, Box(0, 0, drawing.width, drawing.height))
    _thirds(drawing, printed)
    drawing.box("frame", frame)
    if printed != frame:
        drawing.box("printed", printed)
    _numbers(drawing, frame, measures)
    _names(drawing, frame, measures)
    return drawing


def at(frame: Box, x: float, y: float) -> Point:
    """A place in the frame, counted from its upper left corner in widths and heights, on the sheet."""
    return frame.left + x * (frame.right - frame.left), frame.top + y * (frame.bottom - frame.top)


def far_first(measures: Measures) -> list[int]:
    """The people by place, the farthest first, so that whoever is drawn later hides them as in the picture."""
    distances = measures.of_people("distance")
    return sorted(range(len(distances)), key=lambda place: -distances[place])


def across_per_metre(measures: Measures, person: int) -> float:
    """Share of the frame's width that a metre takes at a person."""
    return measures.one("image-distance") / (measures.one("distance", person=person) * measures.one("sensor-width"))


def head_box(frame: Box, measures: Measures, person: int) -> Box:
    """The room of somebody's head on the sheet, from crown to chin and as wide as it is."""
    x, crown, chin = (measures.one(each, person=person) for each in ("head-x", "crown-y", "chin-y"))
    half = measures.one("head-breadth", person=person) * across_per_metre(measures, person) / 2
    return Box(*at(frame, x - half, crown), *at(frame, x + half, chin))


def _people(drawing: Drawing, frame: Box, measures: Measures) -> None:
    limit = measures.one("sharp-limit")
    for place in far_first(measures):
        x, y, chin, shoulder, feet = (
            measures.one(each, person=place) for each in ("head-x", "head-y", "chin-y", "shoulder-y", "feet-y")
        )
        if math.isfinite(shoulder):
            wide = measures.one("shoulder-breadth", person=place) * across_per_metre(measures, place)
            _body(drawing, frame, x, wide, chin, shoulder, max(feet if math.isfinite(feet) else BELOW, shoulder))
        head, middle = head_box(frame, measures, place), at(frame, x, y)
        size = ((head.right - head.left) / 2, (head.bottom - head.top) / 2)
        drawing.ellipse("head", *middle, *size)
        if measures.one("blur", person=place) > limit:
            drawing.ellipse("head-soft", *middle, *size)


def _numbers(drawing: Drawing, frame: Box, measures: Measures) -> None:
    """The number of each head, but of those behind another one's number; and no name is put over a head."""
    heads = {place: head_box(frame, measures, place) for place in reversed(far_first(measures))}
    for place, head in heads.items():
        y = at(frame, 0, measures.one("head-y", person=place))[1]
        drawing.number((head.left + head.right) / 2, y, place + 1, (head.right - head.left) / 2)
    for head in heads.values():
        drawing.keep_clear(head)


def _body(drawing: Drawing, frame: Box, x: float, wide: float, chin: float, shoulder: float, feet: float) -> None:
    """An outline from the neck over the shoulders and hips to the feet; no more than a hint of a body."""
    hips = shoulder + (feet - shoulder) * LOWEST
    neck = (chin * 2 + shoulder) / 3
    right = [
        (0.12, neck),
        (0.16, (chin + shoulder * 2) / 3),
        (0.42, shoulder),
        (0.5, shoulder + (hips - shoulder) * 0.12),
        (0.38, hips),
        (0.3, feet),
    ]
    outline = [(x + side * wide * share, y) for side, points in ((1, right), (-1, right[::-1])) for share, y in points]
    drawing.area("body", *(at(frame, *point) for point in outline))


def _printed(frame: Box, measures: Measures) -> Box:
    """The part of the frame that the print shows."""
    wide, high = (
        each if math.isfinite(each) else 1.0 for each in (measures.one("printed-width"), measures.one("printed-height"))
    )
    return Box(*at(frame, 0.5 - wide / 2, 0.5 - high / 2), *at(frame, 0.5 + wide / 2, 0.5 + high / 2))


def _outside(drawing: Drawing, printed: Box, page: Box) -> None:
    """Whatever is not on the print is veiled."""
    for box in (
        Box(page.left, page.top, page.right, printed.top),
        Box(page.left, printed.bottom, page.right, page.bottom),
        Box(page.left, printed.top, printed.left, printed.bottom),
        Box(printed.right, printed.top, page.right, printed.bottom),
    ):
        drawing.box("cut-off", box)


def _thirds(drawing: Drawing, printed: Box) -> None:
    for share in (1 / 3, 2 / 3):
        x, y = at(printed, share, share)
        drawing.line("third", (x, printed.top), (x, printed.bottom))
        drawing.line("third", (printed.left, y), (printed.right, y))


def _lights(drawing: Drawing, frame: Box, measures: Measures, behind: bool) -> None:
    """Lights and stands that are in the picture or stand close to its edge, those behind the group before those in front."""
    farthest = max(measures.of_people("row-distance"))
    for place, lamp in enumerate(measures.scene.lamps):
        away = measures.one("light-away", light=place)
        if (away >= farthest) is not behind:
            continue
        x, y, foot = (measures.one(each, light=place) for each in ("light-x", "light-y", "light-foot-y"))
        if not all(map(math.isfinite, (x, y, foot))):
            continue
        half_wide, half_high = half_sizes(measures, place)
        if abs(x - 0.5) - half_wide > 0.5 + LIGHT_NEAR or y + half_high < -LIGHT_NEAR or y - half_high > 1 + LIGHT_NEAR:
            continue
        drawing.line("stand", at(frame, x, y), at(frame, x, foot))
        drawing.area(
            "lamp",
            *(at(frame, x + side * half_wide, y + down * half_high) for side, down in ((-1, -1), (1, -1), (1, 1), (-1, 1))),
        )
        u, v = at(frame, x, y - half_high)
        drawing.label(
            "light-name",
            shortened(lamp.name, 20),
            [
                (u, v - 4, "middle"),
                (u, at(frame, x, y + half_high)[1] + LETTER + 2, "middle"),
                (u - 8, v + LETTER, "end"),
                (u + 8, v + LETTER, "start"),
            ],
        )


def half_sizes(measures: Measures, place: int) -> tuple[float, float]:
    """Half the width and half the height of a light in the picture, in shares of the frame."""
    scale = measures.one("image-distance") / measures.one("light-along-axis", light=place)
    sizes = np.nan_to_num([measures.one(f"modifier-{side}", light=place) for side in ("width", "height")])
    sides = (measures.one("sensor-width"), measures.one("sensor-height"))
    half_wide, half_high = (max(size, SMALLEST) / 2 * scale / side for size, side in zip(sizes, sides, strict=True))
    return half_wide, half_high


def _names(drawing: Drawing, frame: Box, measures: Measures) -> None:
    """Everyone's name above the head while there are few; more go by their numbers."""
    sitters = measures.scene.sitters
    if len(sitters) > NAMED:
        return
    for place in reversed(far_first(measures)):
        head = head_box(frame, measures, place)
        x, half = (head.left + head.right) / 2, (head.right - head.left) / 2
        text = shortened(sitters[place].name, 16)
        spots = [
            (x, head.top - 4, "middle"),
            (x, head.bottom + LETTER + 1, "middle"),
            (x, head.top - 5 - LETTER, "middle"),
            (x, head.bottom + 2.2 * LETTER, "middle"),
            (x + half + 2, head.top + LETTER / 2, "start"),
            (x - half - 2, head.top + LETTER / 2, "end"),
            (x, head.bottom + 3.4 * LETTER, "middle"),
        ]
        drawing.label("person-name", text, spots)


def _in_words(measures: Measures) -> str:
    people = measures.scene.sitters
    limit, blur = measures.one("sharp-limit"), measures.of_people("blur")
    soft = [sitter.name for sitter, each in zip(people, blur, strict=True) if each > limit]
    told = [
        f"{plural(len(people), 'head').capitalize()} in a frame that takes in {measures.length(measures.one('field-width'))} by "
        f"{measures.length(measures.one('field-height'))} where it is in focus."
    ]
    if math.isfinite(measures.one("group-width")) and math.isfinite(measures.one("group-height")):
        told.append(
            f"The group fills {measures.said('group-width')} of its width and {measures.said('group-height')} of its height."
        )
    if math.isfinite(limit):
        told.append(f"Soft on the print: {', '.join(soft)}." if soft else "Everyone is sharp on the print.")
    intruding = [lamp.name for place, lamp in enumerate(measures.scene.lamps) if measures.one("light-in-frame", light=place) == 1]
    if intruding:
        told.append(f"In the picture: {', '.join(intruding)}.")
    return " ".join(told)
