"""The frame: where heads fall in it, how large, and how far they are from its edges and from each other."""

from __future__ import annotations

import numpy as np

from shootlint.physics import framing, optics
from shootlint.readings.axes import INDEX, Array, least, truth, turned
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


@reading("m", "person", formula="row distance cos(tilt) + (eye height - camera height) sin(tilt)", source=PERSPECTIVE)
def distance(
    row_distance: Array, camera_tilt: Array, eye_height: Array | None = None, camera_height: Array | None = None
) -> Array:
    """Distance from the lens to a person's eyes along the camera's axis, which is what focus goes by."""
    if not camera_tilt.any():
        return row_distance
    if eye_height is None or camera_height is None:
        return np.full_like(row_distance, np.nan)
    tilt = np.radians(camera_tilt)
    return row_distance * np.cos(tilt) + (eye_height - camera_height) * np.sin(tilt)


@reading("mm", formula="f s / (s - f)", source="thin-lens equation")
def image_distance(focal_length: Array, focus_distance: Array) -> Array:
    """Distance from the lens to the sensor."""
    return optics.image_distance(focal_length, focus_distance)


@reading("1", "person", formula="1/2 + sideways image distance / (distance sensor width)", source=PERSPECTIVE)
def head_x(sideways: Array, distance: Array, image_distance: Array, sensor_width: Array) -> Array:
    """Where the middle of a head falls in the frame: 0 is its left edge, 1 its right edge."""
    return 0.5 + sideways * image_distance / (distance * sensor_width)


def _down(
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
    row_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where the middle of a head falls in the frame: 0 is its top edge, 1 its bottom edge."""
    middle = (crown_height + chin_height) / 2
    return _down(middle, row_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", "person", formula="as for head-y, of the crown", source=PERSPECTIVE)
def crown_y(
    crown_height: Array,
    row_distance: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
) -> Array:
    """Where the top of a head falls in the frame: 0 is its top edge, 1 its bottom edge."""
    return _down(crown_height, row_distance, camera_height, camera_tilt, image_distance, sensor_height)


@reading("1", "person", formula="as for head-y, of the chin", source=PERSPECTIVE)
def chin_y(
    chin_height: Array, row_distance: Array, camera_height: Array, camera_tilt: Array, image_distance: Array, sensor_height: Array
) -> Array:
    """Where a chin falls in the frame: 0 is its top edge, 1 its bottom edge."""
    return _down(chin_height, row_distance, camera_height, camera_tilt, image_distance, sensor_height)


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


@reading("1", formula="print width / (enlargement sensor width)", source="filling the print")
def printed_width(print_width: Array, enlargement: Array, sensor_width: Array) -> Array:
    """Share of the frame's width that the print shows."""
    return print_width / (enlargement * sensor_width)


@reading("1", formula="print height / (enlargement sensor height)", source="filling the print")
def printed_height(print_height: Array, enlargement: Array, sensor_height: Array) -> Array:
    """Share of the frame's height that the print shows."""
    return print_height / (enlargement * sensor_height)


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
    nearest = np.argmin(candidates, axis=INDEX["other"], keepdims=True).astype(np.float64)
    return np.where(np.isfinite(least(candidates, "other")), nearest, np.nan)
