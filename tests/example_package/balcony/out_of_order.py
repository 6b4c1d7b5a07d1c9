"""A reading that fails when it is asked for, for the tests of such faults."""

from __future__ import annotations

from shootlint.readings.axes import Array
from shootlint.readings.catalogue import reading


@reading("m", formula="none", source="definition")
def out_of_order(camera_height: Array) -> Array:
    """Something that cannot be worked out."""
    raise RuntimeError("the ladder is gone")
