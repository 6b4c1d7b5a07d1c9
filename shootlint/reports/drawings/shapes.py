"""What drawings are made of: lines, areas, ellipses and words on a sheet of so many units, each of a kind that says what it
means. How a kind looks (hue, hatching, dashes) is the business of the style sheet alone."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from unicodedata import combining, east_asian_width

from shootlint.reports.visible import visible

Point = tuple[float, float]

LETTER = 12.0
"""Height of the letters in units. A drawing 480 units wide shows them at 9 px on the narrowest phones."""
SMALL_LETTER = 9.0
ROOMY = 10.0
"""Half the width of a mark that has room for a number in usual letters."""
_WIDE = 0.67
"""Width of a usual letter as a share of its height, rather too wide than too narrow (measured on a wide sans-serif, bold)."""


@dataclass(frozen=True)
class Line:
    """Points joined by straight lines; an area where it is closed."""

    kind: str
    points: tuple[Point, ...]
    closed: bool = False

    @property
    def written(self) -> str:
        return " ".join(f"{_short(x)},{_short(y)}" for x, y in self.points)


@dataclass(frozen=True)
class Ellipse:
    kind: str
    x: float
    y: float
    across: float
    """Half of its width."""
    down: float
    """Half of its height."""


@dataclass(frozen=True)
class Words:
    """A few words at a point: `anchor` says whether they begin, are centred or end there, y is their base line."""

    kind: str
    x: float
    y: float
    text: str
    anchor: str = "middle"
    size: float = LETTER

    @property
    def plate(self) -> Box:
        """What lies behind them, so that no line makes them hard to read."""
        box = room(self.x, self.y, self.text, self.anchor, self.size)
        return Box(box.left, box.top - 1, box.right, box.bottom + 1)


Shape = Line | Ellipse | Words


@dataclass(frozen=True)
class Box:
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        return self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom

    def holds(self, point: Point) -> bool:
        return self.left <= point[0] <= self.right and self.top <= point[1] <= self.bottom

    def within(self, other: Box) -> bool:
        return other.left <= self.left and self.right <= other.right and other.top <= self.top and self.bottom <= other.bottom


@dataclass
class Drawing:
    """A drawing with its title and its description in words, which stand for it where it cannot be seen."""

    name: str
    """Unlike that of any other drawing on the page."""
    title: str
    description: str
    width: float
    height: float
    shapes: list[Shape] = field(default_factory=list)
    _taken: list[Box] = field(default_factory=list)

    @property
    def page(self) -> Box:
        return Box(0, 0, self.width, self.height)

    @property
    def in_order(self) -> list[Shape]:
        """The shapes as they lie over each other: words above all else."""
        return sorted(self.shapes, key=lambda shape: isinstance(shape, Words))

    def line(self, kind: str, *points: Point) -> None:
        self._add(Line(kind, points), points)

    def area(self, kind: str, *points: Point) -> None:
        self._add(Line(kind, points, closed=True), points)

    def box(self, kind: str, box: Box) -> None:
        self.area(kind, (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))

    def ellipse(self, kind: str, x: float, y: float, across: float, down: float) -> None:
        self._add(Ellipse(kind, x, y, across, down), [(x, y), (across, down)])

    def arc(self, kind: str, middle: Point, radius: float, start: float, end: float, within: Box) -> None:
        """Part of a circle, from one angle to another in degrees, clockwise from up, as far as it lies within a box."""
        steps = max(2, math.ceil(abs(end - start)))
        angles = (math.radians(start + (end - start) * step / steps) for step in range(steps + 1))
        points = [(middle[0] + radius * math.sin(each), middle[1] - radius * math.cos(each)) for each in angles]
        for inside, run in groupby(points, within.holds):
            if inside and len(found := tuple(run)) > 1:
                self.line(kind, *found)

    def _add(self, shape: Shape, points: Iterable[Point]) -> None:
        """What would lie nowhere, because something about it is not known or all of it is cut off, is not drawn."""
        points = list(points)
        if points and all(math.isfinite(number) for point in points for number in point):
            self.shapes.append(shape)

    def words(self, kind: str, x: float, y: float, text: str, anchor: str = "middle", size: float = LETTER) -> None:
        """Words where they have to stand; what comes later keeps clear of them."""
        if math.isfinite(x) and math.isfinite(y):
            self._taken.append(room(x, y, text, anchor, size))
            self.shapes.append(Words(kind, x, y, visible(text), anchor, size))

    def number(self, x: float, y: float, number: int, half: float) -> None:
        """The number of somebody whose mark is half so wide, in its middle; none beside the page or over another one's."""
        size = LETTER if half > ROOMY else SMALL_LETTER
        middle = y + size / 3
        box = room(x, middle, str(number), "middle", size)
        if box.within(self.page) and not any(box.meets(each) for each in self._taken):
            self.words("number" if size == LETTER else "number-small", x, middle, str(number), size=size)

    def keep_clear(self, box: Box) -> None:
        """Where no label may be put."""
        self._taken.append(box)

    def label(self, kind: str, text: str, spots: Sequence[tuple[float, float, str]], within: Box | None = None) -> bool:
        """Words at the first of some spots where they meet nothing; whether there was one."""
        page = within or self.page
        for x, y, anchor in spots:
            box = room(x, y, text, anchor) if math.isfinite(x) and math.isfinite(y) else None
            if box is not None and box.within(page) and not any(box.meets(each) for each in self._taken):
                self.words(kind, x, y, text, anchor)
                return True
        return False


def clipped(points: Sequence[Point], box: Box) -> list[Point]:
    """The part of an area (or of one line) that lies within a box: cut along one side after another, after Sutherland and
    Hodgman (1974)."""
    found = list(points)
    for axis, edge, sign in ((0, box.left, 1), (0, box.right, -1), (1, box.top, 1), (1, box.bottom, -1)):
        kept: list[Point] = []
        for before, point in zip([found[-1], *found[:-1]] if found else [], found, strict=True):
            was, now = sign * (before[axis] - edge), sign * (point[axis] - edge)
            if (was < 0) != (now < 0):
                share = was / (was - now)
                kept.append((before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1])))
            if now >= 0:
                kept.append(point)
        found = kept
    return found


def around(x: float, y: float, away: float) -> list[tuple[float, float, str]]:
    """Spots for a label beside a point: below, above, to the right, to the left, and a little farther off."""
    return [
        (x, y + away + LETTER, "middle"),
        (x, y - away - 4, "middle"),
        (x + away + 3, y + LETTER / 3, "start"),
        (x - away - 3, y + LETTER / 3, "end"),
        (x, y + away + 2 * LETTER, "middle"),
        (x, y - away - 4 - LETTER, "middle"),
        (x + away + 3, y + 1.4 * LETTER, "start"),
        (x - away - 3, y + 1.4 * LETTER, "end"),
    ]


def room(x: float, y: float, text: str, anchor: str, size: float = LETTER) -> Box:
    """The room that words take."""
    wide = width_of(text) * size / LETTER
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
    return Box(left, y - size * 0.85, left + wide, y + size * 0.25)


def width_of(text: str) -> float:
    """How wide words come out at the most, in units."""
    return LETTER * sum(0 if combining(each) else 1.0 if east_asian_width(each) in "WF" else _WIDE for each in text)


def shortened(text: str, letters: int) -> str:
    """A text of at most so many letters; what is left out is shown by an ellipsis."""
    return text if len(text) <= letters else f"{text[: letters - 1].rstrip()}…"


def _short(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")
