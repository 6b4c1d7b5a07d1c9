"""The frame: where heads fall in it, how large, and how far they are from its edges and from each other."""

from __future__ import annotations

import numpy as np

from shootlint.language.model.setup import FRAMINGS
from shootlint.physics import framing, optics
from shootlint.physics.body import POSES
from shootlint.readings.axes import Array, least, most, single
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene

PERSPECTIVE = "central projection onto the sensor; Ray, Applied Photographic Optics (3rd ed. 2002)"


@given("m", asks="setup support height")
def camera_height(scene: Scene) -> float | None:
    """Height of the lens above the group's ground."""
    support = scene.setup.support
    return support.height.value if support is not None and support.height is not None else None


@given("deg", asks="setup support tilt")
def camera_tilt(scene: Scene) -> float:
    """How far the camera looks up; level where the plan says nothing."""
    support = scene.setup.support
    return support.tilt.value if support is not None and support.tilt is not None else 0.0


@reading("m", "person", formula="row distance", source="definition")
def head_distance(row_distance: Array) -> Array:
    """Distance of a person's head from the camera along the ground: that of the row, for one who does not lean."""
    return row_distance


def _along_axis(away: Array, camera_tilt: Array, eye_height: Array | None, camera_height: Array | None) -> Array:
    """Distance along the camera's axis of eyes that are so far away along the ground."""
    if not camera_tilt.any():
        return away
    if eye_height is None or camera_height is None:
        return np.full_like(away, np.nan)
    tilt = np.radians(camera_tilt)
    return away * np.cos(tilt) + (eye_height - camera_height) * np.sin(tilt)


@reading("m", "person", formula="head distance cos(tilt) + (eye height - camera height) sin(tilt)", source=PERSPECTIVE)
def distance(
    head_distance: Array, camera_tilt: Array, eye_height: Array | None = None, camera_height: Array | None = None
) -> Array:
    """Distance from the lens to a person's eyes along the camera's axis, which is what focus goes by."""
    return _along_axis(head_distance, camera_tilt, eye_height, camera_height)


@reading("m", "person", formula="as for distance, of the row", source=PERSPECTIVE)
def posed_distance(
    row_distance: Array, camera_tilt: Array, eye_height: Array | None = None, camera_height: Array | None = None
) -> Array:
    """Distance along the camera's axis to a person's eyes as posed, when the focus is set and nobody leans yet."""
    return _along_axis(row_distance, camera_tilt, eye_height, camera_height)


@reading("mm", formula="f s / (s - f)", source="thin-lens equation")
def image_distance(focal_length: Array, focus_distance: Array) -> Array:
    """Distance from the lens to the sensor."""
    return optics.image_distance(focal_length, focus_distance)


@reading("1", "person", formula="1/2 + sideways image distance / (distance sensor width)", source=PERSPECTIVE)
def head_x(sideways: Array, distance: Array, image_distance: Array, sensor_width: Array) -> Array:
    """Where the middle of a head falls in the frame: 0 is its left edge, 1 its right edge."""
    return 0.5 + sideways * image_distance / (distance * sensor_width)


def down_the_frame(
    height: Array, row_distance: Array, camera_height: Array, camera_tilt: Array, image_distance: Array, sensor_height: Array
) -> Array:
    """Where a height above the ground falls in the frame, counted down from its top."""
    tilt = np.radians(camera_tilt)
    forward = row_distance * np.cos(tilt) + (height - camera_height) * np.sin(tilt)
    upward = (height - camera_height) * np.cos(tilt) - row_distance * np.sin(tilt)
    return 0.5 - upward * image_distance / (forward * sensor_height)


@reading(
    "1",
    "person",
    formula="1/2 - height above the axis × image distance / (distance sensor height), of the middle of the head",
    source=PERSPECTIVE,
)
def head_y(
    crown_height: Array,
    chin_height: Array,
    head_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where the middle of a head falls in the frame: 0 is its top edge, 1 its bottom edge."""
    middle = (crown_height + chin_height) / 2
    return down_the_frame(middle, head_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", "person", formula="as for head-y, of the crown", source=PERSPECTIVE)
def crown_y(
    crown_height: Array,
    head_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where the top of a head falls in the frame: 0 is its top edge, 1 its bottom edge."""
    return down_the_frame(crown_height, head_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", "person", formula="as for head-y, of the chin", source=PERSPECTIVE)
def chin_y(
    chin_height: Array,
    head_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where a chin falls in the frame: 0 is its top edge, 1 its bottom edge."""
    return down_the_frame(chin_height, head_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("mm", "person", formula="head height × image distance / distance × enlargement", source=PERSPECTIVE)
def head_on_print(head_height: Array, distance: Array, image_distance: Array, enlargement: Array) -> Array:
    """From chin to crown on the print."""
    return head_height * image_distance / distance * enlargement


@reading("px", "person", formula="head height × image distance / distance × pixels across / sensor width", source=PERSPECTIVE)
def head_pixels(head_height: Array, distance: Array, image_distance: Array, pixels_across: Array, sensor_width: Array) -> Array:
    """From chin to crown in pixels."""
    return head_height * image_distance / distance * pixels_across / sensor_width


@reading(
    "1",
    "person",
    formula="1 / cos(angle from the axis)",
    source="a small ball through a rectilinear lens: Pirenne, Optics, Painting and Photography (1970), from memory",
)
def edge_stretch(head_x: Array, head_y: Array, sensor_width: Array, sensor_height: Array, image_distance: Array) -> Array:
    """How much longer than wide the lens draws a round head, away from the middle of the frame."""
    off = np.hypot((head_x - 0.5) * sensor_width, (head_y - 0.5) * sensor_height)
    return framing.edge_stretch(framing.field_angle(off, image_distance))


@reading(
    "cm",
    "person",
    formula="the least distance from crown, chin and both sides of the head to the edge of what is shown, at the person's distance",
    source=PERSPECTIVE,
)
def head_margin(
    head_x: Array,
    crown_y: Array,
    chin_y: Array,
    head_breadth: Array,
    distance: Array,
    image_distance: Array,
    sensor_width: Array,
    sensor_height: Array,
    printed_width: Array | None = None,
    printed_height: Array | None = None,
) -> Array:
    """How far a head is from the edge of the print (of the frame, where no print is named); negative where it is cut."""
    width = printed_width if printed_width is not None else 1.0
    height = printed_height if printed_height is not None else 1.0
    per_width, per_height = distance * sensor_width / image_distance, distance * sensor_height / image_distance
    beside = (width / 2 - np.abs(head_x - 0.5)) * per_width - head_breadth / 2
    above = (crown_y - (0.5 - height / 2)) * per_height
    below = ((0.5 + height / 2) - chin_y) * per_height
    return np.minimum(np.minimum(beside, above), below)


@reading("1", "person", formula="as for head-y, of the shoulder", source=PERSPECTIVE)
def shoulder_y(
    shoulder_height: Array,
    head_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where the top of a shoulder falls in the frame: 0 is its top edge, 1 its bottom edge."""
    return down_the_frame(shoulder_height, head_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", "person", formula="as for head-y, of the ground or the seat's feet below the person", source=PERSPECTIVE)
def feet_y(
    foot_height: Array, row_distance: Array, camera_height: Array, camera_tilt: Array, image_distance: Array, sensor_height: Array
) -> Array:
    """Where the feet fall in the frame: 0 is its top edge, 1 its bottom edge."""
    return down_the_frame(foot_height, row_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", formula="1 / 2 + half of what the print shows", source="filling the print")
def bottom_edge(sensor_height: Array, printed_height: Array | None = None) -> Array:
    """Where the bottom edge of what is printed lies in the frame; the frame's own edge where no print is named."""
    return 0.5 + (printed_height if printed_height is not None else single(1.0)) / 2


@reading(
    "cm", "person", formula="from the feet to the bottom edge of what is shown, at the person's distance", source=PERSPECTIVE
)
def feet_margin(feet_y: Array, bottom_edge: Array, distance: Array, image_distance: Array, sensor_height: Array) -> Array:
    """How far above the bottom edge of the picture the feet are; negative where they are cut."""
    return (bottom_edge - feet_y) * distance * sensor_height / image_distance


@reading(
    "cm",
    "person",
    formula="height above the ground at which the bottom edge crosses the person, projected back",
    source=PERSPECTIVE,
)
def cut_height(
    bottom_edge: Array, row_distance: Array, camera_height: Array, camera_tilt: Array, image_distance: Array, sensor_height: Array
) -> Array:
    """How high above the ground the bottom edge of the picture crosses a person; below the feet where it does not cut."""
    slope = (0.5 - bottom_edge) * sensor_height / image_distance
    tilt = np.radians(camera_tilt)
    # Solves upward = slope × forward for the height, both being turned by the tilt.
    return camera_height + row_distance * (np.sin(tilt) + slope * np.cos(tilt)) / (np.cos(tilt) - slope * np.sin(tilt))


@reading("cm", "person", formula="the least of |cut height - height of ankle, knee, wrist, elbow or waist|, standing people only", source="heights of joints as shares of stature: knee ANSUR II (2012), the others from memory",
         uncertainty="2 % of stature between people")  # fmt: skip
def cut_to_joint(cut_height: Array, foot_height: Array, stature: Array, pose: Array) -> Array:
    """How near to a joint the bottom edge of the picture cuts a standing person; infinite where it cuts nobody."""
    standing = pose == POSES.index("standing")
    cuts = standing & (cut_height > foot_height) & (cut_height < foot_height + stature)
    nearest = np.min([np.abs(cut_height - foot_height - share * stature) for share in JOINTS.values()], axis=0)
    return np.where(cuts, nearest, np.where(np.isnan(cut_height), np.nan, np.inf))


JOINTS = {"ankle": 0.045, "knee": 0.278, "wrist": 0.485, "waist": 0.605, "elbow": 0.630}
"""Heights of joints as shares of stature, standing with hanging arms. Knee: ANSUR II (2012); the others from memory."""


@reading("%", "person", formula="head margin to the top edge / height of what is shown", source=PERSPECTIVE)
def headroom(crown_y: Array, printed_height: Array | None = None) -> Array:
    """Space above a head, as a share of the picture's height."""
    height = printed_height if printed_height is not None else single(1.0)
    return (crown_y - (0.5 - height / 2)) / height


@reading("cm", "person", formula="from the outer shoulder to the nearer side edge, at the person's distance", source=PERSPECTIVE)
def side_margin(
    head_x: Array,
    shoulder_breadth: Array,
    distance: Array,
    image_distance: Array,
    sensor_width: Array,
    printed_width: Array | None = None,
) -> Array:
    """How far inside the side edge of the picture a person's shoulder is; negative where it is cut."""
    width = printed_width if printed_width is not None else single(1.0)
    return (width / 2 - np.abs(head_x - 0.5)) * distance * sensor_width / image_distance - shoulder_breadth / 2


@reading("1", "person", formula="head on print / the largest head on print", source=PERSPECTIVE)
def head_scale(distance: Array) -> Array:
    """How large a head comes out beside the same head in the nearest row."""
    return least(distance, "person") / distance


@reading("1", formula="farthest distance / nearest distance", source=PERSPECTIVE)
def row_scale(distance: Array) -> Array:
    """How much larger heads in the nearest row come out than the same heads in the farthest."""
    return most(distance, "person") / least(distance, "person")


@reading("%", formula="from the leftmost shoulder to the rightmost / width of what is shown", source=PERSPECTIVE)
def group_width(
    head_x: Array,
    shoulder_breadth: Array,
    distance: Array,
    image_distance: Array,
    sensor_width: Array,
    printed_width: Array | None = None,
) -> Array:
    """Share of the picture's width that the group fills."""
    half = shoulder_breadth * image_distance / (distance * sensor_width) / 2
    width = printed_width if printed_width is not None else single(1.0)
    return (most(head_x + half, "person") - least(head_x - half, "person")) / width


@reading(
    "%", formula="from the highest crown to the lowest feet or the bottom edge / height of what is shown", source=PERSPECTIVE
)
def group_height(crown_y: Array, feet_y: Array, bottom_edge: Array, printed_height: Array | None = None) -> Array:
    """Share of the picture's height that the group fills."""
    height = printed_height if printed_height is not None else single(1.0)
    return (most(np.minimum(feet_y, bottom_edge), "person") - least(crown_y, "person")) / height


@given("1", asks="setup frame full-length, three-quarter, half-length or head-and-shoulders", words=FRAMINGS)
def framing_asked(scene: Scene) -> float | None:
    """How much of the people the picture is meant to show."""
    asked = scene.setup.frame.framing
    return float(FRAMINGS.index(asked)) if asked is not None else None
