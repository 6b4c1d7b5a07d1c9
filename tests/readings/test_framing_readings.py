"""The frame against a pinhole camera of vectors, and against figures worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

# 50 mm focused at 5 m: the image lies at 50 × 5000 / 4950 mm, and the frame at 5 m is 3.564 m by 2.376 m.
IMAGE = 0.05 * 5 / 4.95


def pinhole(point, camera_height, tilt, image, width, height):
    """Where a point falls in the frame, by turning the world about the lens.

    x to the right, y ahead, z up; the picture is counted from the frame's left and top.
    """
    seen = Rotation.from_euler("x", -tilt, degrees=True).apply(np.subtract(point, (0.0, 0.0, camera_height)))
    return 0.5 + seen[0] / seen[1] * image / width, 0.5 - seen[2] / seen[1] * image / height, seen[1]


@settings(max_examples=60)
@given(
    tilt=st.floats(-30, 30),
    camera=st.floats(0.3, 4),
    row=st.floats(2, 12),
    at=st.floats(-2, 2),
    focal=st.integers(20, 200),
    step=st.integers(1, 60),
    upright=st.booleans(),
)
def test_a_person_is_drawn_as_a_pinhole_draws(shoot, tilt, camera, row, at, focal, step, upright):
    found = shoot(
        support=f"tripod, height {camera:.4f} m, tilt {tilt:.4f} deg",
        rows=f'  row "front", {row:.4f} m {{ "Ada" standing on {step} cm, at {at:.4f} m }}',
        focal=f"{focal} mm",
        frame="portrait" if upright else "landscape",
    )
    camera, tilt, row, at = round(camera, 4), round(tilt, 4), round(row, 4), round(at, 4)
    width, height = (0.024, 0.036) if upright else (0.036, 0.024)
    image = 1 / (1 / (focal / 1000) - 1 / 5)
    heights = {"crown-y": "crown-height", "chin-y": "chin-height", "shoulder-y": "shoulder-height", "feet-y": "foot-height"}
    for reading, tall in heights.items():
        _, down, _ = pinhole((at, row, found(tall)), camera, tilt, image, width, height)
        assert found(reading) == pytest.approx(down, rel=1e-9, abs=1e-9), reading
    middle = (found("crown-height") + found("chin-height")) / 2
    assert found("head-y") == pytest.approx(pinhole((at, row, middle), camera, tilt, image, width, height)[1], abs=1e-9)
    across, _, forward = pinhole((at, row, found("eye-height")), camera, tilt, image, width, height)
    assert found("head-x") == pytest.approx(across, abs=1e-9)
    assert found("distance") == pytest.approx(forward)
    assert found("foot-height") == pytest.approx(step / 100)
    # The bottom edge crosses the person where a pinhole draws the edge.
    edge = pinhole((at, row, found("cut-height")), camera, tilt, image, width, height)
    if edge[2] > 0:
        assert edge[1] == pytest.approx(found("bottom-edge"), abs=1e-6)
    # A small ball is stretched by one over the cosine of its angle off the axis, here by the scalar product.
    seen = np.array([(found("head-x") - 0.5) * width, (found("head-y") - 0.5) * height, image])
    assert found("edge-stretch") == pytest.approx(np.linalg.norm(seen) / image)


def test_margins_by_hand(shoot):
    # A print of 50 x 90 cm fills the width and shows 5/6 of the height: 1.980 m of 2.376 m, from 2.59 m down to 0.61 m
    # for a lens at 1.6 m.
    found = shoot(print="50 cm x 90 cm", rows='  row "front", 5 m { "Ada" standing, at 100 cm }')
    assert found("bottom-edge") == pytest.approx(0.5 + 5 / 12)
    assert found("cut-height") == pytest.approx(1.6 - 0.99)
    assert found("feet-margin") == pytest.approx(-0.61)
    assert found("headroom") == pytest.approx((2.59 - 1.70) / 1.98)
    assert found("side-margin") == pytest.approx(3.564 / 2 - 1 - found("shoulder-breadth") / 2)
    assert found("group-height") == pytest.approx((1.70 - 0.61) / 1.98)
    left = shoot(print="50 cm x 90 cm", rows='  row "front", 5 m { "Ada" standing, at -100 cm }')
    assert left("side-margin") == pytest.approx(found("side-margin"))
    # 60 x 60 cm from 36 x 24 mm shows two thirds of the width.
    assert shoot(print="60 cm x 60 cm")("side-margin") == pytest.approx(3.564 / 3 - found("shoulder-breadth") / 2)


def test_a_square_print_cuts_heads_at_its_sides(shoot):
    rows = '  row "front", 5 m { "Ada" standing, at 110 cm }'
    whole, square = shoot(rows=rows), shoot(rows=rows, print="60 cm x 60 cm")
    half = whole("head-breadth") / 2
    assert whole("head-margin") == pytest.approx(3.564 / 2 - 1.1 - half)
    assert square("head-margin") == pytest.approx(3.564 / 3 - 1.1 - half)
    # 5/6 of the height is shown: a lens at 0.9 m then sees up to 1.89 m, 0.19 m over the head.
    assert shoot(print="50 cm x 90 cm", support="tripod, height 0.9 m")("head-margin") == pytest.approx(0.19)
    # A lens at 0.4 m sees up to 1.588 m: the head of 1.70 m is cut. One at 4 m sees down to 2.812 m.
    low, high = (shoot(support=f"tripod, height {each} m") for each in (0.4, 4))
    assert low("head-margin") == pytest.approx(1.588 - 1.70)
    assert high("head-margin") == pytest.approx(high("chin-height") - 2.812)


@pytest.mark.parametrize("off", [0.0, 0.03, -0.03])
@pytest.mark.parametrize(("joint", "share"), [("knee", 0.278), ("ankle", 0.045), ("waist", 0.605), ("wrist", 0.485)])
def test_a_cut_at_a_joint(shoot, off, joint, share):
    # The bottom edge lies 1.188 m under the lens at 5 m. Knee: ANSUR II (2012); the other joints from memory.
    height = share * 1.70 + off + 1.188
    found = shoot(support=f"tripod, height {height:.6f} m")
    nearest = abs(off) if joint != "waist" or off <= 0 else min(off, abs(0.630 - 0.605) * 1.70 - off, key=abs)
    assert found("cut-to-joint") == pytest.approx(abs(nearest), abs=2e-6)
    # On a step the joints are higher by the step.
    rows = '  row "front", 5 m { "Ada" standing on 40 cm, at 0 cm }'
    stepped = shoot(support=f"tripod, height {height + 0.4:.6f} m", rows=rows)
    assert stepped("cut-to-joint") == pytest.approx(abs(nearest), abs=2e-6)


def test_nobody_is_cut_whose_feet_are_in_the_picture_or_who_sits(shoot):
    assert shoot(support="tripod, height 1.1 m")("cut-to-joint") == math.inf
    assert shoot(support="tripod, height 1.1 m")("feet-margin") == pytest.approx(0.088)
    seated = shoot(rows='  row "front", 5 m { "Ada" seated on 45 cm, at 0 cm }')
    assert seated("cut-to-joint") == math.inf
    # Above the head nobody is cut either.
    assert shoot(support="tripod, height 3.2 m")("cut-to-joint") == math.inf


@pytest.mark.parametrize(
    ("pose", "foot"),
    [("standing on 20 cm", 0.2), ("standing", 0), ("seated on 45 cm", 0), ("kneeling on 20 cm", 0.2), ("lying on 46 cm", 0.46)],
)
def test_feet_rest_on_the_step_but_hang_from_a_seat(shoot, pose, foot):
    assert shoot(rows=f'  row "front", 5 m {{ "Ada" {pose}, at 0 cm }}')("foot-height") == pytest.approx(foot)


@pytest.mark.parametrize(("near", "far", "ratio"), [(3, 4.5, 1.5), (5, 6.5, 1.3), (8, 9.5, 1.1875)])
def test_heads_of_two_rows(shoot, near, far, ratio):
    # Worked by hand: heads shrink with distance; a row 1.5 m behind the first at 3, 5 and 8 m.
    found = shoot(
        people="Ada 170, Ben 170",
        rows=f'  row "front", {near} m {{ "Ada" standing, at 0 cm }}\n  row "back", {far} m {{ "Ben" standing, at 50 cm }}',
    )
    assert found("row-scale") == pytest.approx(ratio)
    assert found("head-scale") == pytest.approx([1, 1 / ratio])
    first, second = found("head-on-print")
    # On 25 times the sensor; a head of h at the distance is h × 50.505 / distance on it.
    assert first == pytest.approx(found("head-height")[0] * IMAGE / near * 25)
    assert first / second == pytest.approx(ratio)


def test_what_the_group_fills(shoot):
    # Shoulders at -1 m and 1 m of 5 m, and a back row at 10 m whose half metre looks like a quarter.
    found = shoot(
        people="Ada 170, Ben 170, Cor 190",
        rows='  row "front", 5 m { "Ada" standing, at -100 cm; "Ben" standing, at 100 cm }\n  row "back", 10 m { "Cor" standing, at 50 cm }',
    )
    wide = found("shoulder-breadth")[0]
    assert found("group-width") == pytest.approx((2 + wide) / 3.564)
    # Crowns: 0.10 m over the lens at 5 m, 0.30 m at 10 m, which is 0.15 m at 5 m. Feet are below the bottom edge.
    assert found("group-height") == pytest.approx((0.15 + 1.188) / 2.376)
    # A square print shows two thirds of the width.
    square = shoot(print="60 cm x 60 cm")
    assert square("group-width") == pytest.approx(square("shoulder-breadth") / (3.564 * 2 / 3))
    raised = shoot(support="tripod, height 1.1 m")
    assert raised("group-height") == pytest.approx(1.70 / 2.376)


def test_portrait_turns_the_frame(shoot):
    found, turned = shoot(), shoot(frame="portrait")
    for wide, tall in (("sensor-width", "sensor-height"), ("field-width", "field-height"), ("print-width", "print-height")):
        assert found(wide) == turned(tall) and found(tall) == turned(wide)
    assert turned("pixels-across") == 4000
    assert turned("head-pixels") == pytest.approx(found("head-pixels"))
    assert turned("head-on-print") == pytest.approx(found("head-on-print"))
    # 36 mm of height show 3.564 m around the lens: feet and all.
    assert turned("feet-margin") == pytest.approx(3.564 / 2 - 1.6)


def test_readings_hold_their_scale(shoot):
    # Everything twice as large and twice as far fills the frame alike; heads on the print stay.
    one = shoot(people="Ada 100", support="tripod, height 0.8 m", rows='  row "front", 3 m { "Ada" standing, at 20 cm }')
    two = shoot(people="Ada 200", support="tripod, height 1.6 m", rows='  row "front", 6 m { "Ada" standing, at 40 cm }')
    for name in ("head-x", "head-y", "feet-y", "headroom", "group-width", "group-height", "head-on-print", "head-pixels"):
        assert one(name) == pytest.approx(two(name)), name
    for name in ("feet-margin", "side-margin", "head-margin", "cut-height"):
        assert two(name) == pytest.approx(2 * one(name)), name


def test_tilt_without_a_known_seat_leaves_the_picture_open(shoot):
    found = shoot(support="tripod, height 1.6 m, tilt -10 deg", rows='  row "front", 5 m { "Ada" seated, at 0 cm }')
    for name in ("distance", "head-x", "head-y", "headroom", "group-width", "side-margin"):
        assert np.isnan(found.partly(name)).all(), name
