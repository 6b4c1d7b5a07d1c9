"""The print: how large the picture becomes, from how far it is seen, and what the eye makes of it there."""

from __future__ import annotations

import numpy as np

from shootlint.physics import framing
from shootlint.readings.axes import Array
from shootlint.readings.catalogue import given, reading
from shootlint.readings.scene import Scene


@given("cm", asks="setup print")
def print_width(scene: Scene) -> float | None:
    """Width of the print; its long side lies along the frame's long side."""
    if scene.print is None:
        return None
    short, long = scene.print.size.sides
    return long if scene.setup.frame.orientation == "landscape" else short


@given("cm", asks="setup print")
def print_height(scene: Scene) -> float | None:
    """Height of the print."""
    if scene.print is None:
        return None
    short, long = scene.print.size.sides
    return short if scene.setup.frame.orientation == "landscape" else long


@given("m", asks="print viewed from")
def viewed_from(scene: Scene) -> float | None:
    """The distance from which the plan says that the print is looked at."""
    told = scene.print.viewed_from if scene.print is not None else None
    return told.value if told is not None else None


@given("ppi", asks="print at least")
def resolution_wanted(scene: Scene) -> float | None:
    """The fewest pixels per inch that the plan asks of the print."""
    told = scene.print.at_least if scene.print is not None else None
    return told.value if told is not None else None


@reading("m", formula="as told, else the print's diagonal", source="the diagonal is common practice, no source")
def viewing_distance(print_width: Array, print_height: Array, viewed_from: Array | None = None) -> Array:
    """How far away the print is looked at."""
    return viewed_from if viewed_from is not None else np.hypot(print_width, print_height)


@reading(
    "1",
    formula="the larger of print width / sensor width and print height / sensor height",
    source="filling the print; what does not fit is cut",
)
def enlargement(sensor_width: Array, sensor_height: Array, print_width: Array, print_height: Array) -> Array:
    """Size on the print over size on the sensor."""
    return framing.enlargement(sensor_width, sensor_height, print_width, print_height)


@reading("mm", formula="viewing distance tan(1/60 deg)", source="one arcminute, the acuity of a normal eye (20/20)",
         uncertainty="the classic 0.2 mm at 250 mm allows 2.75 times as much")  # fmt: skip
def sharp_limit(viewing_distance: Array) -> Array:
    """The widest blur on the print that the eye takes for sharp, seen from the viewing distance."""
    return framing.eye_limit(viewing_distance)


@reading("ppi", formula="pixels across / (sensor width enlargement)", source="definition of pixels per inch")
def print_resolution(pixels_across: Array, sensor_width: Array, enlargement: Array) -> Array:
    """Pixels of the picture in each inch of the print."""
    return framing.print_resolution(pixels_across, sensor_width * enlargement)


@reading("mm", formula="sharp limit / enlargement", source="definition of the circle of confusion")
def sensor_blur_limit(sharp_limit: Array, enlargement: Array) -> Array:
    """The widest blur on the sensor that the print still takes for sharp."""
    return sharp_limit / enlargement


@reading("share", formula="print width / (enlargement sensor width)", source="filling the print")
def printed_width(print_width: Array, enlargement: Array, sensor_width: Array) -> Array:
    """Share of the frame's width that the print shows."""
    return print_width / (enlargement * sensor_width)


@reading("share", formula="print height / (enlargement sensor height)", source="filling the print")
def printed_height(print_height: Array, enlargement: Array, sensor_height: Array) -> Array:
    """Share of the frame's height that the print shows."""
    return print_height / (enlargement * sensor_height)


@reading("%", formula="1 - printed width × printed height", source="filling the print")
def lost_to_shape(printed_width: Array, printed_height: Array) -> Array:
    """Share of the frame that is cut off because the print has another shape."""
    return 1 - printed_width * printed_height


@reading("ppi", formula="1 / (viewing distance tan(1/60 deg))", source="one arcminute, the acuity of a normal eye (20/20)")
def resolution_for_eye(viewing_distance: Array) -> Array:
    """Pixels per inch beyond which the eye sees no more from the viewing distance."""
    return framing.resolution_for_eye(viewing_distance)


@reading("cm", formula="sqrt(width² + height²)", source="geometry")
def print_diagonal(print_width: Array, print_height: Array) -> Array:
    """Diagonal of the print."""
    return np.hypot(print_width, print_height)
