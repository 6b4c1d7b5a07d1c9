"""People beside, before and behind each other in the picture: columns, gaps, hidden faces, and the line of their heads."""

from __future__ import annotations

import numpy as np

from shootlint.physics import shadow
from shootlint.readings.axes import INDEX, Array, least, most, place_of_most, truth, turned
from shootlint.readings.catalogue import reading
from shootlint.readings.framing import PERSPECTIVE

LEVEL_STEP = 0.02
"""Heads that differ by less than this are level to the eye (common practice, no source)."""


@reading("yes", "person", "other", formula="next to each other in one row, from left to right", source="definition")
def neighbours(row_number: Array, sideways: Array) -> Array:
    """Whether the other person is the next one to the right in the same row."""
    # By rank, so that two people in one spot still come one after the other.
    axis = INDEX["person"]
    rank = np.argsort(np.argsort(sideways, axis=axis, kind="stable"), axis=axis).astype(np.float64)
    other_row, other_rank = turned(row_number, "person", "other"), turned(rank, "person", "other")
    beside = (row_number == other_row) & (other_rank > rank)
    nearest = least(np.where(beside, other_rank, np.inf), "other")
    return truth(beside & (other_rank == nearest))


@reading("yes", "person", "other", formula="the other's row is the next one nearer to the camera", source="definition")
def in_front(row_number: Array) -> Array:
    """Whether the other person is in the row before this one."""
    return truth(turned(row_number, "person", "other") == row_number - 1)


@reading(
    "1",
    "person",
    "other",
    formula="sideways distance between the heads in the frame / their mean width there",
    source=PERSPECTIVE,
)
def heads_apart(head_x: Array, head_breadth: Array, distance: Array, image_distance: Array, sensor_width: Array) -> Array:
    """How far to the side of another head a head is in the picture, in head widths."""
    width = head_breadth * image_distance / (distance * sensor_width)
    between = np.abs(head_x - turned(head_x, "person", "other"))
    return between / ((width + turned(width, "person", "other")) / 2)


@reading(
    "1", "person", formula="the least of heads-apart over those in the row before; infinite where nobody is", source="definition"
)
def column_offset(heads_apart: Array, in_front: Array) -> Array:
    """How far out of line, in head widths, a head is with the nearest head in the row before it."""
    return least(np.where(in_front > 0, heads_apart, np.inf), "other")


@reading("name", "person", formula="whoever has the least of heads-apart in the row before", source="definition", of="person")
def head_below(heads_apart: Array, in_front: Array) -> Array:
    """Whose head in the row before is nearest to being straight below."""
    candidates = np.where(in_front > 0, heads_apart, np.inf)
    nearest = place_of_most(-candidates, "other")
    return np.where(np.isfinite(least(candidates, "other")), nearest, np.nan)


@reading(
    "cm",
    "person",
    "other",
    formula="distance between their middles - half of both shoulder breadths",
    source="ANSUR II (2012) for shoulder breadths",
)
def gap(sideways: Array, shoulder_breadth: Array) -> Array:
    """Room between one person's shoulder and another's, sideways; negative where they overlap."""
    between = np.abs(sideways - turned(sideways, "person", "other"))
    return between - (shoulder_breadth + turned(shoulder_breadth, "person", "other")) / 2


@reading("cm", "person", "other", formula="the other's crown height - one's own", source="definition")
def rise(crown_height: Array) -> Array:
    """How much higher the other person's head comes."""
    return turned(crown_height, "person", "other") - crown_height


@reading("share", "person", "other", formula="the share of the head's circle that the other's head covers, or the share of its height and breadth below and within the other's shoulders",
         source="circles and rectangles in the plane of the picture; hair, hats and hands are left out", uncertainty="heads differ from circles by a tenth")  # fmt: skip
def hidden_share(
    head_x: Array,
    head_y: Array,
    crown_y: Array,
    chin_y: Array,
    shoulder_y: Array,
    head_breadth: Array,
    shoulder_breadth: Array,
    distance: Array,
    row_distance: Array,
    image_distance: Array,
    sensor_width: Array,
    sensor_height: Array,
) -> Array:
    """Share of a person's head that the other hides, who is in a row nearer to the camera."""
    scale = image_distance / distance
    radius = (chin_y - crown_y) * sensor_height / 2
    sideways = np.abs(head_x - turned(head_x, "person", "other")) * sensor_width
    apart = np.hypot(sideways, (head_y - turned(head_y, "person", "other")) * sensor_height)
    by_head = shadow.hidden_disc_share(radius, turned(radius, "person", "other"), apart)
    # Below the other's shoulders everything is covered as wide as the shoulders are.
    half_width = turned(shoulder_breadth * scale, "person", "other") / 2
    head_half = head_breadth * scale / 2
    beside = np.clip((half_width + head_half - sideways) / (2 * head_half), 0, 1)
    below = np.clip((chin_y - turned(shoulder_y, "person", "other")) / np.maximum(chin_y - crown_y, 1e-9), 0, 1)
    # By rows and not by the distance along the axis: to a tilted camera a tall person in the row behind may be the nearer
    # one along it, and neighbours in one row never stand before each other.
    nearer = turned(row_distance, "person", "other") < row_distance
    return np.where(nearer, np.maximum(by_head, beside * below), 0.0)


@reading(
    "share", "person", formula="the largest hidden share", source="definition", uncertainty="heads differ from circles by a tenth"
)
def face_hidden(hidden_share: Array) -> Array:
    """Share of a person's head that people nearer to the camera hide; what one of them hides at most."""
    return most(hidden_share, "other")


@reading("name", "person", formula="whoever has the largest hidden share", source="definition", of="person")
def hidden_by(hidden_share: Array) -> Array:
    """Who hides the largest share of a person's head; nobody where nothing is hidden."""
    return np.where(most(hidden_share, "other") > 0, place_of_most(hidden_share, "other"), np.nan)


def _ordered(values: Array, by: Array) -> Array:
    """Values along the people's axis, from left to right."""
    axis = INDEX["person"]
    values, by = np.broadcast_arrays(values, by)
    return np.take_along_axis(values, np.argsort(by, axis=axis, kind="stable"), axis=axis)


@reading("cm", formula="the largest crown height - the smallest", source="definition")
def crown_span(crown_height: Array) -> Array:
    """How much higher the highest head is than the lowest."""
    return most(crown_height, "person") - least(crown_height, "person")


@reading(
    "1",
    formula="changes between rising and falling along the heads from left to right, level steps left out",
    source="definition",
)
def crown_turns(crown_height: Array, head_x: Array) -> Array:
    """How often the line of heads turns from rising to falling or back, across the whole group."""
    unknown = most(crown_height + head_x, "person")
    steps = np.diff(_ordered(crown_height, head_x), axis=INDEX["person"])
    if not steps.size:
        return np.zeros_like(least(crown_height, "person"))
    signs = np.sign(np.where(np.abs(steps) < LEVEL_STEP, 0.0, steps))
    turns = np.zeros_like(least(crown_height, "person"))
    last = np.zeros_like(turns)
    # Along the heads of one group, not over minutes or trials: a dozen short steps.
    for place in range(signs.shape[INDEX["person"]]):
        sign = np.take(signs, [place], axis=INDEX["person"])
        turns = turns + ((sign * last) < 0)
        last = np.where(sign != 0, sign, last)
    return np.where(np.isnan(unknown), np.nan, turns)


@reading(
    "1",
    formula="the longest run of neighbours in a row whose crowns differ by less than 2 cm, counted in heads",
    source="the 2 cm are common practice, no source",
)
def level_run(crown_height: Array, neighbours: Array) -> Array:
    """How many heads in a row stand level at most."""
    level = (neighbours > 0) & (np.abs(turned(crown_height, "person", "other") - crown_height) < LEVEL_STEP)
    run = np.ones_like(most(level.astype(np.float64), "other"))
    for _ in range(level.shape[INDEX["person"]] - 1):
        longer = 1 + most(np.where(level, turned(run, "person", "other"), 0.0), "other")
        if np.array_equal(longer, run):
            break
        run = longer
    return np.where(np.isnan(most(crown_height, "person")), np.nan, most(run, "person"))


@reading("name", formula="whoever has the largest crown height", source="definition", of="person")
def tallest(crown_height: Array) -> Array:
    """Whose head comes highest."""
    return place_of_most(crown_height, "person")


@reading(
    "%", formula="distance of the highest head from the middle of the heads / half the width of the heads", source="definition"
)
def tallest_off_middle(crown_height: Array, head_x: Array) -> Array:
    """How far from the middle of the group the highest head is: 0 in the middle, 100 % at an end."""
    left, right = least(head_x, "person"), most(head_x, "person")
    highest = np.take_along_axis(np.broadcast_to(head_x, np.broadcast_shapes(head_x.shape, crown_height.shape)),
                                 np.argmax(np.broadcast_to(crown_height, np.broadcast_shapes(head_x.shape, crown_height.shape)), axis=INDEX["person"], keepdims=True), axis=INDEX["person"])  # fmt: skip
    half = (right - left) / 2
    # One person, or people in one line to the lens, have no end to be near to.
    off = np.abs(highest - (left + right) / 2) / np.where(half > 0, half, 1.0)
    return np.where(np.isnan(most(crown_height, "person")), np.nan, off)
