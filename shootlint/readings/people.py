"""People: where they are and how high their heads come, from stature, pose and what is under them."""

from __future__ import annotations

import numpy as np

from shootlint.language.model import Posed
from shootlint.physics import body
from shootlint.readings.axes import INDEX, Array, along, least, turned
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

BODY = "ANSUR II (2012), means of 4,082 men and 1,986 women; children's proportions from memory"
ARM = "Drillis and Contini (1966) for the upper arm, from memory"
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
    """How a person holds himself or herself; standing where the plan says nothing, seated on an arm."""
    return along("person", [body.POSES.index(_pose(sitter.posed)) for sitter in scene.sitters])


def _pose(posed: Posed) -> str:
    """On an arm one lies or sits, whatever else the plan calls it."""
    if posed.on_arm and posed.pose != "lying":
        return "seated"
    return str(posed.pose or "standing")


@given("yes", "person", asks="person seated-only")
def seated_only(scene: Scene) -> Array:
    """Whether a person cannot stand for the picture."""
    return along("person", [sitter.person.seated_only for sitter in scene.sitters])


@given("yes", "person", asks="person held by")
def held(scene: Scene) -> Array:
    """Whether a person is held by another."""
    return along("person", [sitter.posed.held_by is not None for sitter in scene.sitters])


@given("1", "person", asks="person held by")
def held_by(scene: Scene) -> Array:
    """Who holds a person, by place; -1 where nobody does."""
    names = [sitter.name for sitter in scene.sitters]
    return along("person", [names.index(str(sitter.posed.held_by)) if sitter.posed.held_by else -1 for sitter in scene.sitters])


@given("yes", "person", asks="person held by")
def on_arm(scene: Scene) -> Array:
    """Whether a person is borne on the holder's arm: held, and the plan says no height."""
    return along("person", [sitter.posed.on_arm for sitter in scene.sitters])


@given("1", "person", asks="person held by")
def side_of_holder(scene: Scene) -> Array:
    """On which side a person is borne, 1 to the camera's right and -1 to its left; 0 for who has a place of his or her own.

    It is the side on which the plan names the person, as a row is written from left to right; a second one is borne on the
    other arm.
    """
    names = [sitter.name for sitter in scene.sitters]
    sides: dict[str, list[int]] = {}
    found = [0] * len(names)
    for place, sitter in enumerate(scene.sitters):
        if sitter.posed.at_holder:
            taken = sides.setdefault(str(sitter.posed.held_by), [])
            named = 1 if place > names.index(str(sitter.posed.held_by)) else -1
            found[place] = -named if named in taken and -named not in taken else named
            taken.append(found[place])
    return along("person", found)


def of_holders(values: Array, held_by: Array) -> Array:
    """A quantity of people at whoever holds each of them; of those whom nobody holds it says nothing that counts."""
    places = np.maximum(held_by, 0).astype(np.intp).ravel()
    people = INDEX["person"]
    shape = (*values.shape[:people], places.size, *values.shape[people + 1 :])
    found: Array = np.take(np.broadcast_to(values, shape), places, axis=people)
    return found


@given("cm", "person", asks="height of the seat or step under the person")
def support_height(scene: Scene) -> Array:
    """Height of what a person stands, sits, kneels or lies on. For a seat it must be told; else it is the ground."""
    heights = []
    for sitter in scene.sitters:
        if sitter.posed.on is not None:
            heights.append(sitter.posed.on.value)
        else:
            heights.append(np.nan if sitter.posed.pose == "seated" and not sitter.posed.on_arm else 0.0)
    return along("person", heights)


@reading("cm", "person", formula="the support; for who is borne on an arm the holder's elbow, of one who lies the top of the chest",
         source=f"{ARM}; that children are borne there is common practice, no source", uncertainty="10 cm for who is borne")  # fmt: skip
def rest_height(support_height: Array, on_arm: Array, held_by: Array, pose: Array, stature: Array, age: Array) -> Array:
    """Height above the ground of what bears a person: seat, step, ground, or the arm of whoever holds."""
    heights = support_height
    # Who is held may hold another: one more in each round, until nothing changes.
    for _ in range(on_arm.size):
        arms = of_holders(body.arm_height(pose, stature, heights, age), held_by)
        rounded = np.where(on_arm > 0, arms, support_height)
        if np.array_equal(rounded, heights, equal_nan=True):
            break
        heights = rounded
    return heights


@given("cm", "person", asks="person at")
def mark(scene: Scene) -> Array:
    """How far to the right of the camera's axis a person is to stand; where the plan says nothing a row stands shoulder to
    shoulder, centred. 0 for who is held and has no place of his or her own."""
    places = np.zeros(len(scene.sitters))
    for row in scene.setup.row:
        members = [place for place, each in enumerate(scene.sitters) if each.row is row and not each.posed.at_holder]
        abreast = [place for place in members if scene.sitters[place].posed.at is None]
        for place in members:
            at = scene.sitters[place].posed.at
            places[place] = at.value if at is not None else 0.0
        if abreast:
            people = [scene.sitters[place].person for place in abreast]
            ages = [float(each.age) if each.age is not None else GROWN_UP for each in people]
            widths = body.shoulder_breadth([each.stature.value for each in people], ages)
            places[abreast] = np.cumsum(widths) - widths / 2 - widths.sum() / 2
    return along("person", places)


@reading("cm", "person", formula="the mark; for who is borne the holder's place and, to the side of the arm, half of the holder's shoulder breadth less half of the own head's",
         source="a head within the holder's arm: common practice, no source", uncertainty="10 cm for who is borne")  # fmt: skip
def sideways(mark: Array, side_of_holder: Array, held_by: Array, shoulder_breadth: Array, head_breadth: Array) -> Array:
    """How far to the right of the camera's axis a person is; who is held, where the holder is, unless the plan says where."""
    arm = side_of_holder * (of_holders(shoulder_breadth, held_by) - head_breadth) / 2
    places = mark
    for _ in range(side_of_holder.size):
        moved = np.where(side_of_holder != 0, of_holders(places, held_by) + arm, mark)
        if np.array_equal(moved, places, equal_nan=True):
            break
        places = moved
    return places


@reading("name", "person", formula="whoever holds the person", source="definition", of="person")
def holder(held_by: Array) -> Array:
    """Who holds a person; nobody where nobody does."""
    return np.where(held_by >= 0, held_by, np.nan)


@reading("cm", "person", formula="along the ground, from the middle of the one to the middle of the other; 0 where nobody holds",
         source="definition")  # fmt: skip
def holder_distance(sideways: Array, row_distance: Array, held_by: Array) -> Array:
    """How far a person is from whoever holds him or her."""
    apart = np.hypot(sideways - of_holders(sideways, held_by), row_distance - of_holders(row_distance, held_by))
    return np.where(held_by >= 0, apart, 0.0)


@reading("m", "person", formula="rest height + a share of stature by pose and age", source=BODY, uncertainty=SPREAD)
def crown_height(pose: Array, stature: Array, rest_height: Array, age: Array) -> Array:
    """Height of the top of the head above the ground."""
    return body.crown_height(pose, stature, rest_height, age)


@reading("m", "person", formula="crown height - a share of the head by age", source=BODY, uncertainty=SPREAD)
def eye_height(pose: Array, stature: Array, rest_height: Array, age: Array) -> Array:
    """Height of the eyes above the ground."""
    return body.eye_height(pose, stature, rest_height, age)


@reading("m", "person", formula="crown height - head height", source=BODY, uncertainty=SPREAD)
def chin_height(pose: Array, stature: Array, rest_height: Array, age: Array) -> Array:
    """Height of the chin above the ground."""
    return body.chin_height(pose, stature, rest_height, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty=SPREAD)
def head_height(stature: Array, age: Array) -> Array:
    """From chin to crown."""
    return body.head_height(stature, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty=SPREAD)
def head_breadth(stature: Array, age: Array) -> Array:
    """Width of the head without hair."""
    return body.head_breadth(stature, age)


@reading("m", "person", formula="crown height - a share of stature by age", source=BODY, uncertainty=SPREAD)
def shoulder_height(pose: Array, stature: Array, rest_height: Array, age: Array) -> Array:
    """Height of the top of the shoulders above the ground."""
    return body.shoulder_height(pose, stature, rest_height, age)


@reading("cm", "person", formula="a share of stature by age", source=BODY, uncertainty="1.7 % of stature; clothes add to it")
def shoulder_breadth(stature: Array, age: Array) -> Array:
    """Width over both shoulders."""
    return body.shoulder_breadth(stature, age)


@reading("cm", "person", formula="the ground for those on a seat, else what bears the person", source="definition")
def foot_height(pose: Array, rest_height: Array, on_arm: Array) -> Array:
    """Height above the ground on which a person's feet rest; on an arm they are as high as it."""
    return np.where((pose == body.POSES.index("seated")) & (on_arm == 0), 0.0, rest_height)


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
