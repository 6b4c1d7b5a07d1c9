"""The print and the eye, worked by hand."""

from __future__ import annotations

import math

import pytest

INCH = 0.0254


@pytest.mark.parametrize(
    ("size", "lost"),
    # 3:2 fills 60 x 90; of 50 x 90 a sixth is lost, of a square a third, of 20 x 25 (4:5) a sixth, of 30 x 90 a half.
    [
        ("60 cm x 90 cm", 0),
        ("50 cm x 90 cm", 1 / 6),
        ("60 cm x 60 cm", 1 / 3),
        ("20 cm x 25 cm", 1 / 6),
        ("30 cm x 90 cm", 1 / 2),
    ],
)
@pytest.mark.parametrize("frame", ["landscape", "portrait"])
def test_what_the_shape_of_the_print_takes(shoot, size, lost, frame):
    assert shoot(print=size, frame=frame)("lost-to-shape") == pytest.approx(lost, abs=1e-12)


def test_the_print_is_seen_from_its_diagonal_unless_told(shoot):
    found = shoot(print="30 cm x 40 cm")
    assert found("print-diagonal") == pytest.approx(0.5)
    assert found("viewing-distance") == pytest.approx(0.5)
    assert shoot(print="30 cm x 40 cm; viewed from 2 m")("viewing-distance") == 2


@pytest.mark.parametrize(("distance", "ppi"), [("250 mm", 349), ("300 mm", 291), ("500 mm", 175), ("720 mm", 121), ("1 m", 87)])
def test_pixels_that_the_eye_can_tell_apart(shoot, distance, ppi):
    # One arcminute, the common figure for a normal eye: 87 318 / V(mm) pixels per inch.
    found = shoot(print=f"60 cm x 90 cm; viewed from {distance}")
    assert found("resolution-for-eye") * INCH == pytest.approx(ppi, abs=0.5)
    assert found("sharp-limit") == pytest.approx(found("viewing-distance") * math.tan(math.radians(1 / 60)))
    assert found("resolution-for-eye") * found("sharp-limit") == pytest.approx(1)
    assert found("sensor-blur-limit") == pytest.approx(found("sharp-limit") / 25)


def test_pixels_on_the_print(shoot):
    # 6000 px on 900 mm are 169.3 ppi; the crop to a square of 600 mm is enlarged as much and has as many.
    assert shoot()("print-resolution") * INCH == pytest.approx(6000 / 900 * 25.4)
    assert shoot(print="60 cm x 60 cm")("print-resolution") == pytest.approx(shoot()("print-resolution"))
    assert shoot(frame="portrait")("print-resolution") == pytest.approx(shoot()("print-resolution"))
    assert shoot(print="60 cm x 90 cm; at least 180 ppi")("resolution-wanted") * INCH == pytest.approx(180)
