"""A reading of the studio's own."""

from __future__ import annotations

from shootlint.readings.axes import Array
from shootlint.readings.catalogue import reading


@reading("m", "person", formula="camera height - eye height", source="geometry")
def looked_down_on(camera_height: Array, eye_height: Array) -> Array:
    """How far a person's eyes are below the lens."""
    return camera_height - eye_height
