"""People: where they are and how high their heads come, from stature, pose and what is under them."""

from __future__ import annotations

import numpy as np

from shootlint.physics import body
from shootlint.readings.axes import INDEX, Array, along, least, turned
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

BODY = "ANSUR II (2012), means of 4,082 men and 1,986 women; children's proportions from memory"
SPREAD = "proportions differ between people by about 1 % of stature; shoes are not counted"


@given("m", "person", asks="row distance")
def row_distance(scene: Scene) -> Array:
    """Distance of a person's row from the camera, along the ground below its axis."""
    return along("person", [sitter.row.distance.value for sitter in scene.sitters])


@reading("1", "person", formula="1 + the number of distances that are less than one's own", source="definition")
def row_number(row_distance: Array) -> Array:
    """Which row a person is in, counted from the nearest, which is row 1. Rows at one distance count as one."""
    other, alike = turned(row_distance, "person", "other"), turned(_in_the_row(row_distance), "person", "other")
    # Everybody nearer counts for a share of the row, so that each row counts for one.
    rows: Array = np.round(((other < row_distance) / alike).sum(axis=INDEX["other"], keepdims=True))
    return 1.0 + rows


def _in_the_row(row_distance: Array) -> Array:
    """How many people stand at each person's distance, that person too."""
    alike: Array = (turned(row_distance, "person", "other") == row_distance).sum(axis=INDEX["other"], keepdims=True)
    return alike


@given("cm", "person", asks="person stature")
def stature(scene: Scene) -> Array:
    """How tall a person is, standing."""
    return along("person", [sitter.person.stature.value for sitter in scene.sitters])


@given("1", "person", asks="person age")
def age(scene: Scene) -> Array:
    """Years of age; 30 where the plan says nothing, since then the person is grown up."""
    return along("person", [float(sitter.person.age) if sitter.person.age is not None else GROWN_UP for sitter in scene.sitters])


GROWN_UP = 30.0


@given("1", "person", asks="person pose", words=body.POSES)
def pose(scene: Scene) -> Array:
    """How a person holds himself or herself; standing where the plan says nothing."""
    return along("person", [body.POSES.index(sitter.posed.pose or "standing") for sitter in scene.sitters])


@given("yes", "person", asks="person seated-only")
def seated_only(scene: Scene) -> Array:
    """Whether a person cannot stand for the picture."""
    return along("person", [sitter.person.seated_only for sitter in scene.sitters])


@given("yes", "person", asks="person held by")
def held(scene: Scene) -> Array:
    """Whether a person is held by another."""
    return along("person", [sitter.posed.held_by is not None for sitter in scene.sitters])


@given("cm", "person", asks="height of the seat or step under the person")
def support_height(scene: Scene) -> Array:
    """Height of what a person stands, sits, kneels or lies on. For a seat it must be told; else it is the ground."""
    heights = []
    for sitter in scene.sitters:
        if sitter.posed.on is not None:
            heights.append(sitter.posed.on.value)
        else:
            heights.append(np.nan if sitter.posed.pose == "seated" else 0.0)
    return along("person", heights)


@given("cm", "person", asks="person at")
def sideways(scene: Scene) -> Array:
    """How far to the right of the camera's axis a person is; where the plan says nothing a row stands shoulder to shoulder, centred."""
    places: list[float] = []
    for row in scene.setup.row:
        sitters = [sitter for sitter in scene.sitters if sitter.row is row]
        if sitters[0].posed.at is not None:
            places += [sitter.posed.at.value if sitter.posed.at is not None else np.nan for sitter in sitters]
            continue
        ages = [float(sitter.person.age) if sitter.person.age is not None else GROWN_UP for sitter in sitters]
        widths = body.shoulder_breadth([sitter.person.stature.value for sitter in sitters], ages)
        places += list(np.cumsum(widths) - widths / 2 - widths.sum() / 2)
    return along("person", places)


@reading("m", "person", formula="support + a share of stature by pose and age", source=BODY, uncertainty=SPREAD)
def crown_height(pose: Array, stature: Array, support_height: Array, age: Array) -> Array:
    """Height of the top of the head above the ground."""
    return body.crown_height(pose, stature, support_height, age)


@reading("m", "person", formula="crown height - a share of the head by age", source=BODY, uncertainty=SPREAD)
def eye_height(pose: Array, stature: Array, support_height: Array, age: Array) -> Array:
    """Height of the eyes above the ground."""
    return body.eye_height(pose, stature, support_height, age)


@reading("m", "person", formula="crown height - head height", source=BODY, uncertainty=SPREAD)
def chin_height(pose: Array, stature: Array, support_height: Array, age: Array) -> Array:
    """Height of the chin above the ground."""
    return body.chin_height(pose, stature, support_height, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty=SPREAD)
def head_height(stature: Array, age: Array) -> Array:
    """From chin to crown."""
    return body.head_height(stature, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty=SPREAD)
def head_breadth(stature: Array, age: Array) -> Array:
    """Width of the head without hair."""
    return body.head_breadth(stature, age)


@reading("m", "person", formula="crown height - a share of stature by age", source=BODY, uncertainty=SPREAD)
def shoulder_height(pose: Array, stature: Array, support_height: Array, age: Array) -> Array:
    """Height of the top of the shoulders above the ground."""
    return body.shoulder_height(pose, stature, support_height, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty="1.7 % of stature; clothes add to it")
def shoulder_breadth(stature: Array, age: Array) -> Array:
    """Width over both shoulders."""
    return body.shoulder_breadth(stature, age)


@reading("cm", "person", formula="the ground for those on a seat, else what is under the person", source="definition")
def foot_height(pose: Array, support_height: Array) -> Array:
    """Height above the ground on which a person's feet rest."""
    return np.where(pose == body.POSES.index("seated"), 0.0, support_height)


@given("1", asks="setup row")
def people_count(scene: Scene) -> float:
    """How many people are in the picture."""
    return float(len(scene.sitters))


@reading("1", formula="the number of distances that differ", source="definition")
def rows_count(row_distance: Array) -> Array:
    """How many rows they stand in."""
    rows: Array = np.round((1 / _in_the_row(row_distance)).sum(axis=INDEX["person"], keepdims=True))
    return rows


@reading("m", formula="the least difference between the distances of people in rows that follow each other", source="definition")
def least_row_gap(row_distance: Array, row_number: Array) -> Array:
    """The least distance between two rows; infinite for a single row."""
    behind = turned(row_number, "person", "other") == row_number + 1
    gaps = np.where(behind, turned(row_distance, "person", "other") - row_distance, np.inf)
    return least(least(gaps, "person"), "other")
