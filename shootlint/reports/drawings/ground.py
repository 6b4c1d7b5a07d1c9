"""The view from above: who and what stands where, to scale, with the direction in which the lens points up the sheet.

Around it runs a band that stands for the horizon as seen from the middle of the group: what casts shade is hatched on it,
the sun's way through the slot is a line along it, and north is marked.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shootlint.reports.counting import plural
from shootlint.reports.drawings.horizon import BAND, horizon, on_edge, outside
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.shapes import LETTER, Box, Drawing, Point, around, clipped, shortened

WIDTH = 480.0
TALLEST = 640.0
EDGE = 10.0
AIR = 0.35
"""Metres left free around what stands outermost."""
NARROWEST = 5.0
"""The drawing takes in at least so many metres across."""
SHOULDER_DEPTH = 0.26
"""Front to back of a person, in metres (common practice, no source); a person's width is a reading."""
LAMP_DEPTH = 0.12
FAR = 1e4
"""Metres for what is sharp without end."""
HALF_ARC = 22.0
"""Half the angle over which fall-off is drawn, in degrees; how wide a light's beam is the plan does not say."""


@dataclass(frozen=True)
class Ground:
    """Where metres lie on the sheet: across to the right of the camera's axis, away from the camera up the sheet."""

    scale: float
    """Units a metre."""
    left: float
    """Metres across at the left edge of what is drawn."""
    far: float
    """Metres away at its upper edge."""
    inner: Box

    def at(self, across: float, away: float) -> Point:
        return self.inner.left + (across - self.left) * self.scale, self.inner.top + (self.far - away) * self.scale


def view_from_above(measures: Measures, name: str) -> Drawing:
    """A setup from above; a length or a direction that the plan does not give is left out."""
    ground, height = _laid_out(measures)
    setup = measures.scene.setup
    drawing = Drawing(name, f'"{setup.name}" from above', _in_words(measures), WIDTH, height)
    drawing.box("horizon", outside(ground.inner))
    drawing.box("sheet", ground.inner)
    _dangers(drawing, ground, measures)
    horizon(drawing, ground.inner, ground.at(*_middle(measures)), measures)
    _view(drawing, ground, measures)
    _falls(drawing, ground, measures)
    _people(drawing, ground, measures)
    _lights(drawing, ground, measures)
    _distances(drawing, ground, measures)
    _scale_bar(drawing, ground, measures)
    _names(drawing, ground, measures)
    return drawing


def _laid_out(measures: Measures) -> tuple[Ground, float]:
    """The largest scale at which everything that stands somewhere is on the sheet, and the height that the sheet then has."""
    across, away = [0.0, *measures.of_people("sideways")], [0.0, *measures.of_people("row-distance")]
    reach = [0.3, *([0.5] * (len(across) - 1))]
    for place in range(len(measures.scene.lamps)):
        across.append(measures.one("light-across", light=place))
        away.append(measures.one("light-away", light=place))
        reach.append(max(measures.one("fall-radius", light=place), measures.one("modifier-width", light=place) / 2, 0.3))
    # At the farthest row the frame is widest, as far as that matters.
    half_field = max(away) * measures.one("field-width") / 2 / measures.one("focus-distance")
    across, away, reach = [*across, 0.0], [*away, max(away)], [*reach, half_field]
    known = [each for each in zip(across, away, reach, strict=True) if all(map(math.isfinite, each))]
    left, right = min(x - r for x, _, r in known) - AIR, max(x + r for x, _, r in known) + AIR
    near, far = min(y - r for _, y, r in known) - AIR, max(y + r for _, y, r in known) + AIR
    wider = max(0.0, NARROWEST - (right - left)) / 2
    left, right = left - wider, right + wider
    rim = EDGE + BAND
    scale = min((WIDTH - 2 * rim) / (right - left), (TALLEST - 2 * rim) / (far - near))
    # What the height does not leave to the width is shared out on both sides.
    spare = ((WIDTH - 2 * rim) / scale - (right - left)) / 2
    height = round((far - near) * scale + 2 * rim)
    return Ground(scale, left - spare, far, Box(rim, rim, WIDTH - rim, height - rim)), height


def _middle(measures: Measures) -> tuple[float, float]:
    """Across and away of the middle of the group."""
    across, away = measures.of_people("sideways"), measures.of_people("row-distance")
    return (min(across) + max(across)) / 2, (min(away) + max(away)) / 2


def _view(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """The camera, what its frame takes in, and from where to where it is sharp on the print."""
    lens = ground.at(0.0, 0.0)
    slope = measures.one("field-width") / 2 / measures.one("focus-distance")
    near, far = measures.one("near-limit"), measures.one("far-limit")
    if math.isfinite(near) and math.isfinite(slope):
        corners = ((side * slope * away, away) for side, away in ((-1, near), (1, near), (1, min(far, FAR)), (-1, min(far, FAR))))
        drawing.area("sharp", *clipped([ground.at(*corner) for corner in corners], ground.inner))
    # A focus inside the focal length takes in no field.
    if math.isfinite(slope):
        for side in (-1, 1):
            drawing.line("field", lens, on_edge(ground.inner, lens, side * math.degrees(math.atan(slope))))
        focus = measures.one("focus-distance")
        drawing.line("focus", *clipped([ground.at(-slope * focus, focus), ground.at(slope * focus, focus)], ground.inner))
    x, y = lens
    drawing.area(
        "camera", (x - 9, y + 12), (x + 9, y + 12), (x + 9, y + 3), (x + 4, y + 3), (x, y), (x - 4, y + 3), (x - 9, y + 3)
    )
    drawing.keep_clear(Box(x - 10, y, x + 10, y + 13))


def _falls(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """The circle that a falling stand would sweep, and the one on which its feet stand."""
    for place, lamp in enumerate(measures.scene.lamps):
        if lamp.stand is None:
            continue
        x, y = ground.at(measures.one("light-across", light=place), measures.one("light-away", light=place))
        reach, feet = measures.one("fall-radius", light=place), measures.one("stand-spread", light=place) / 2
        drawing.ellipse("fall", x, y, reach * ground.scale, reach * ground.scale)
        drawing.ellipse("feet", x, y, feet * ground.scale, feet * ground.scale)


def _people(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """Everyone as wide as their shoulders, with a nose toward the camera and the number that tables have for them. Who is on
    an arm is drawn over those beside."""
    wide, sitters = measures.of_people("shoulder-breadth"), measures.scene.sitters
    places = list(zip(*(measures.of_people(each) for each in ("sideways", "row-distance")), strict=True))
    for place in sorted(range(len(sitters)), key=lambda each: sitters[each].posed.on_arm):
        x, y = ground.at(*places[place])
        half, deep = wide[place] / 2 * ground.scale, SHOULDER_DEPTH / 2 * ground.scale
        drawing.area("nose", (x - deep / 2, y + deep * 0.7), (x + deep / 2, y + deep * 0.7), (x, y + deep * 1.6))
        drawing.ellipse("person", x, y, half, deep)
        drawing.number(x, y, place + 1, half)
        drawing.keep_clear(Box(x - half, y - deep, x + half, y + deep * 1.6))


def _lights(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """Each light as wide as it is, square to where it aims, with where it gives a stop more and less than there."""
    for place in range(len(measures.scene.lamps)):
        across, away = measures.one("light-across", light=place), measures.one("light-away", light=place)
        aim = measures.one("aim-across", light=place), measures.one("aim-away", light=place)
        x, y = ground.at(across, away)
        turn = math.degrees(math.atan2(aim[0] - across, aim[1] - away))
        drawing.line("aim", (x, y), ground.at(*aim))
        rise = measures.one("aim-height", light=place) - measures.one("light-height", light=place)
        for kind, reading, text in (("more", "stop-more-at", "+1"), ("less", "stop-less-at", "-1")):
            _fall_off(drawing, ground, (x, y), turn, measures.one(reading, light=place), rise, kind, text)
        _body(
            drawing, (x, y), turn, max(measures.one("modifier-width", light=place) * ground.scale, 8.0), LAMP_DEPTH * ground.scale
        )


def _fall_off(
    drawing: Drawing, ground: Ground, at: Point, turn: float, distance: float, rise: float, kind: str, text: str
) -> None:
    """An arc over the ground below the heads at which a light gives a stop more or less than where it aims."""
    level = distance**2 - rise**2
    if not level > 0:
        return
    radius = math.sqrt(level) * ground.scale
    drawing.arc(kind, at, radius, turn - HALF_ARC, turn + HALF_ARC, ground.inner)
    for angle in (turn + HALF_ARC, turn - HALF_ARC):
        x, y = at[0] + radius * math.sin(math.radians(angle)), at[1] - radius * math.cos(math.radians(angle))
        if drawing.label("stops", text, [(x, y + LETTER / 3, "start"), (x, y + LETTER / 3, "end")], ground.inner):
            return


def _body(drawing: Drawing, at: Point, turn: float, wide: float, deep: float) -> None:
    """A light's face, square to its aim, and the lamp behind it."""
    right, up = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def point(along: float, back: float) -> Point:
        return at[0] + along * right - back * up, at[1] + along * up + back * right

    deep = max(deep, 5.0)
    drawing.area("lamp", point(-wide / 2, 0), point(wide / 2, 0), point(wide / 5, deep), point(-wide / 5, deep))
    drawing.line("face", point(-wide / 2, 0), point(wide / 2, 0))
    half = max(wide / 2, deep)
    drawing.keep_clear(Box(at[0] - half, at[1] - half, at[0] + half, at[1] + half))


def _distances(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """How far each row is from the camera and from the row before it, along a line beside the group."""
    rows = sorted(set(measures.of_people("row-distance")))
    edge = ground.inner.left + 12
    for before, row in zip([0.0, *rows[:-1]], rows, strict=True):
        (_, near), (_, far) = ground.at(0, before), ground.at(0, row)
        drawing.line("distance", (edge, near), (edge, far))
        for y in (near, far):
            drawing.line("distance", (edge - 4, y), (edge + 4, y))
        drawing.label(
            "length",
            measures.length(row - before),
            [(edge + 7, (near + far) / 2 + LETTER / 3, "start"), (edge + 7, far - 3, "start")],
            ground.inner,
        )
    for place in range(len(measures.scene.lamps)):
        (x, y), (u, v) = (
            ground.at(measures.one(across, light=place), measures.one(away, light=place))
            for across, away in (("light-across", "light-away"), ("aim-across", "aim-away"))
        )
        spots = [(x + (u - x) * share, y + (v - y) * share + LETTER / 3, "middle") for share in (0.5, 0.4, 0.6, 0.3, 0.7)]
        drawing.label("length", measures.length(measures.one("light-distance", light=place)), spots, ground.inner)


def _scale_bar(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    inner = ground.inner
    metres, text = (0.3048 * 3, "3 ft") if measures.scene.in_feet else (1.0, "1 m")
    right, y = inner.right - 8, inner.bottom - 8
    left = right - metres * ground.scale
    drawing.line("distance", (left, y), (right, y))
    for x in (left, right):
        drawing.line("distance", (x, y - 4), (x, y + 4))
    drawing.words("length", (left + right) / 2, y - 6, text)


def _names(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """Lights by their names and what lies behind the group; people go by their numbers."""
    for place, lamp in enumerate(measures.scene.lamps):
        x, y = ground.at(measures.one("light-across", light=place), measures.one("light-away", light=place))
        away = max(measures.one("modifier-width", light=place) / 2 * ground.scale, 8.0)
        drawing.label("light-name", shortened(f"{lamp.name}, {lamp.placement.role}", 26), around(x, y, away), ground.inner)
    site = measures.scene.plan.site
    inner = ground.inner
    if site is not None and site.background is not None:
        told = f"background {site.background.distance} behind{f', {site.background.light}' if site.background.light else ''}"
        edges = ((inner.left + 6, "start"), ((inner.left + inner.right) / 2, "middle"), (inner.right - 6, "end"))
        drawing.label(
            "remark", told, [(x, inner.top + line * LETTER, anchor) for line in (1.2, 2.5, 3.8) for x, anchor in edges], inner
        )


def _dangers(drawing: Drawing, ground: Ground, measures: Measures) -> None:
    """What could hurt someone, with how far it is; where it lies the plan does not say."""
    site, inner = measures.scene.plan.site, ground.inner
    for line, hazard in enumerate(reversed(site.hazard if site is not None else ())):
        x, y = inner.left + 6, inner.bottom - 6 - line * (LETTER + 6)
        drawing.area("danger", (x, y + 1), (x + 13, y + 1), (x + 6.5, y - 10))
        drawing.words("danger-name", x + 18, y, f"{hazard.kind}, {hazard.away} away", "start")


def _in_words(measures: Measures) -> str:
    """What the drawing shows, for whoever cannot see it; tables beside it have every number."""
    people, lights = len(measures.scene.sitters), measures.scene.lamps
    rows = sorted(set(measures.of_people("row-distance")))
    told = [
        f"The camera stands at the foot and points up the sheet. {plural(people, 'person').replace('persons', 'people')} in "
        f"{plural(len(rows), 'row')}, {measures.length(rows[0])} to {measures.length(rows[-1])} away."
    ]
    told += [
        f"{lamp.name}, the {lamp.placement.role} light, stands {lamp.placement.angle}, {lamp.placement.distance} from the front row."
        for lamp in lights
    ]
    near, far = measures.one("near-limit"), measures.one("far-limit")
    if math.isfinite(near):
        told.append(f"Sharp on the print from {measures.length(near)} to {measures.length(far)}.")
    bearings = measures.of_minutes("sun-bearing")
    if math.isfinite(bearings[0]):
        told.append(
            f"The sun goes from {measures.said('sun-altitude', minute=0)} to {measures.said('sun-altitude', minute=len(bearings) - 1)} "
            f"above the horizon, {measures.said('sun-angle', minute=0)} to the side of the lens's axis at first."
        )
    return " ".join(told)
