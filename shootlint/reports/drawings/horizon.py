"""The band around the view from above: the horizon as seen from the middle of the group, with shade, sun and north."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.shapes import LETTER, Box, Drawing, Point, shortened

BAND = 14.0
"""How wide the band is, in units."""


def horizon(drawing: Drawing, inner: Box, middle: Point, measures: Measures) -> None:
    """The band of the horizon with shade, sun and north; without directions where the plan does not say where the lens points."""
    outer = outside(inner)
    facing = measures.scene.setup.facing
    if facing is None:
        drawing.words("remark", inner.left + 6, inner.top + LETTER + 2, "facing is not told: no north, no sun", "start")
        return
    site = measures.scene.plan.site
    for shade in site.shade if site is not None else ():
        start, end = (each.value - facing.value for each in shade.bearing)
        end += 360.0 if end < start else 0.0
        _shade(drawing, inner, outer, middle, (start, end), f"{shade.name}, to {shade.up_to}")
    _north(drawing, inner, outer, middle, -facing.value)
    _sun(drawing, inner, outer, middle, measures)


def outside(inner: Box) -> Box:
    """The outer edge of the band around a box."""
    return Box(inner.left - BAND, inner.top - BAND, inner.right + BAND, inner.bottom + BAND)


def _shade(drawing: Drawing, inner: Box, outer: Box, middle: Point, turns: tuple[float, float], text: str) -> None:
    start, end = turns
    steps = max(2, math.ceil((end - start) / 2))
    angles = [start + (end - start) * step / steps for step in range(steps + 1)]
    corners = [
        math.degrees(math.atan2(x - middle[0], middle[1] - y))
        for x in (inner.left, inner.right)
        for y in (inner.top, inner.bottom)
    ]
    angles = sorted({*angles, *(start + (corner - start) % 360 for corner in corners if (corner - start) % 360 < end - start)})
    along_inner = [on_edge(inner, middle, each) for each in angles]
    along_outer = [on_edge(outer, middle, each) for each in angles]
    drawing.area("shade", *along_inner, *reversed(along_outer))
    drawing.label(
        "shade-name",
        shortened(text, 34),
        _inside(inner, middle, [(start + end) / 2, *angles[:: max(1, len(angles) // 8)]]),
        inner,
    )


def _inside(inner: Box, middle: Point, turns: Sequence[float]) -> list[tuple[float, float, str]]:
    """Spots for words just inside the band."""
    spots = []
    for turn in turns:
        x, y = on_edge(inner, middle, turn)
        if abs(x - inner.left) < 1:
            spots.append((x + 5, y + LETTER / 3, "start"))
        elif abs(x - inner.right) < 1:
            spots.append((x - 5, y + LETTER / 3, "end"))
        elif abs(y - inner.top) < 1:
            spots.append((x, y + LETTER + 3, "middle"))
        else:
            spots.append((x, y - 6, "middle"))
    return spots


def _between(inner: Box, outer: Box, middle: Point, turn: float) -> Point:
    """The middle of the band in a direction."""
    (x, y), (u, v) = on_edge(inner, middle, turn), on_edge(outer, middle, turn)
    return (x + u) / 2, (y + v) / 2


def _north(drawing: Drawing, inner: Box, outer: Box, middle: Point, turn: float) -> None:
    x, y = _between(inner, outer, middle, turn)
    drawing.words("north-letter", x, y + LETTER / 3, "N")


def _sun(drawing: Drawing, inner: Box, outer: Box, middle: Point, measures: Measures) -> None:
    """The sun's way through the slot, and where its light comes from at the start and at the end."""
    bearings, altitudes = measures.of_minutes("sun-bearing"), measures.of_minutes("sun-altitude")
    facing = measures.scene.setup.facing
    if facing is None or not all(map(math.isfinite, bearings)):
        return
    turns = np.unwrap(np.array(bearings) - facing.value, period=360.0).tolist()
    up = [place for place, altitude in enumerate(altitudes) if altitude > 0]
    if not up:
        drawing.label("sun-name", "the sun is down", _inside(inner, middle, [turns[0]]), inner)
        return
    instants = measures.of_minutes("instant")
    drawing.line("sun-way", *(_between(inner, outer, middle, turns[place]) for place in up))
    sunlit = measures.of_minutes("sunlit")
    for place in dict.fromkeys((up[0], up[-1])):
        turn = turns[place]
        x, y = _between(inner, outer, middle, turn)
        drawing.line("sun-ray" if sunlit[place] == 1 else "sun-ray-in-shade", on_edge(inner, middle, turn), middle)
        drawing.ellipse("sun", x, y, BAND / 2 - 1, BAND / 2 - 1)
        drawing.ellipse("sun-middle", x, y, 1.5, 1.5)
        shaded = "" if sunlit[place] == 1 else ", in shade" if sunlit[place] == 0 else ""
        text = f"sun {measures.clock(instants[place])}, {altitudes[place]:.0f}° up{shaded}"
        spots = _inside(inner, middle, [turn, *(turn + each for each in (6, -6, 12, -12, 18, -18, 26, -26))])
        drawing.label("sun-name", text, spots, inner)


def on_edge(box: Box, point: Point, turn: float) -> Point:
    """Where a ray from a point, turned clockwise from up by so many degrees, leaves a box."""
    right, up = math.sin(math.radians(turn)), math.cos(math.radians(turn))
    ways = []
    if abs(right) > 1e-9:
        ways.append(((box.right if right > 0 else box.left) - point[0]) / right)
    if abs(up) > 1e-9:
        ways.append((point[1] - (box.top if up > 0 else box.bottom)) / up)
    way = min(ways)
    return point[0] + way * right, point[1] - way * up
