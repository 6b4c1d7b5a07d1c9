"""Where lights stand as faces and the lens see them, against vectors, counted rays and reflected rays."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from shootlint.readings.axes import RANK
from shootlint.readings.catalogue import catalogue

PLACE = 'place "{}" as {}, right {} deg, distance {} m, height {} m, power 1/1'
KIT = """light "Lamp" {{ guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier {}; mass 3 kg }}
light "Other" {{ guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier {}; mass 3 kg }}"""


def kit(first="bare", second="bare"):
    return KIT.format(first, second)


def spot(front, angle, distance, height):
    """A light in the frame of the ground below the camera: x to the right, y ahead, z up."""
    return np.array([distance * math.sin(math.radians(angle)), front - distance * math.cos(math.radians(angle)), height])


def heads(found):
    middle = (np.atleast_1d(found("crown-height")) + np.atleast_1d(found("chin-height"))) / 2
    return np.stack([np.atleast_1d(found("sideways")), np.atleast_1d(found("row-distance")), middle], axis=-1)


def angle_between(one, two):
    return math.degrees(math.acos(np.clip(np.dot(one, two) / np.linalg.norm(one) / np.linalg.norm(two), -1, 1)))


# --- shadows of heads


def column(shoot, off, **pieces):
    """Two alike people one behind the other and a bare light at their heads' height, 2 m before the front row."""
    height = 1.70 * (1 - 0.0675)
    rows = f'  row "front", 4 m {{ "Ada" standing, at {off} cm }}\n  row "back", 6 m {{ "Ben" standing, at 0 cm }}'
    usual = {"place": PLACE.format("Lamp", "key", 0, 2, f"{height:.4f}"), "kit": kit()}
    return shoot(people="Ada 170, Ben 170", rows=rows, **(usual | pieces))


def test_similar_triangles(shoot):
    # From the light at 2 m, Ada stands half-way to Ben's row. Where the light has no size, her head hides it from the
    # middle of Ben's face as long as she is within half a head of the line between them: 7.6 cm.
    half = column(shoot, 0)("head-breadth")[0] / 2 * 100
    assert column(shoot, 0)("key-hidden").tolist() == [0, 1]
    for side in (1, -1):
        assert column(shoot, side * (half - 0.2))("key-hidden").tolist() == [0, 1]
        assert column(shoot, side * (half + 0.2))("key-hidden").tolist() == [0, 0]
    # A disc of 40 cm at twice the head's distance looks like 20 cm there: a head of 15.3 cm hides 0.585 of it, and
    # none from half of both breadths on.
    soft = column(shoot, 0, kit=kit("octabox, 40 cm"))("key-hidden")[1]
    assert soft == pytest.approx((half * 2 / 20) ** 2, rel=0.01)
    assert column(shoot, half + 10.1, kit=kit("octabox, 40 cm"))("key-hidden")[1] == 0
    assert 0 < column(shoot, half + 9.5, kit=kit("octabox, 40 cm"))("key-hidden")[1] < 0.02


def test_no_shadow_from_behind_or_from_beyond_the_light(shoot):
    height = 1.70 * (1 - 0.0675)
    # A light behind the group: now Ben stands between it and Ada.
    behind = column(shoot, 0, place=PLACE.format("Lamp", "key", 180, 4, f"{height:.4f}"))
    assert behind("key-hidden").tolist() == [1, 0]
    # A light between the rows shines on Ben past Ada, who stands beyond it.
    between = column(shoot, 0, place=PLACE.format("Lamp", "key", 180, 1, f"{height:.4f}"))
    assert between("key-hidden").tolist() == [0, 0]
    # High up, the ray to Ben's face passes over Ada.
    assert column(shoot, 0, place=PLACE.format("Lamp", "key", 0, 2, 3.2))("key-hidden").tolist() == [0, 0]


def test_only_keys_count_as_key(shoot):
    two = "\n  ".join([PLACE.format("Lamp", "fill", 0, 2, 1.585), PLACE.format("Other", "key", 60, 3, 2.5)])
    found = column(shoot, 0, place=two)
    assert found.pairs("light-hidden").tolist() == [[0, 1], [0, 0]]
    assert found("key-hidden") == pytest.approx([0, 0]) if np.size(found("key-hidden")) > 1 else found("key-hidden") == 0


def test_the_key_that_is_hidden_most_counts(shoot):
    two = "\n  ".join([PLACE.format("Lamp", "key", 0, 2, 1.585), PLACE.format("Other", "key", 60, 3, 2.5)])
    found = column(shoot, 0, place=two)
    assert found.pairs("light-hidden").tolist() == [[0, 1], [0, 0]]
    assert found("key-hidden").tolist() == [0, 1]


def counted(face, light, diameter, others, radii, rays=6000):
    """Share of a round source, square to the face's line to it, that balls hide from one point."""
    step = np.arange(rays) + 0.5
    radius, turn = np.sqrt(step / rays) * diameter / 2, step * math.pi * (3 - math.sqrt(5))
    toward = (light - face) / np.linalg.norm(light - face)
    side = np.cross(toward, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side)
    up = np.cross(side, toward)
    points = light + radius[:, None] * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * up)
    ways = points - face
    lengths = np.linalg.norm(ways, axis=1)
    hidden = np.zeros(rays, dtype=bool)
    for other, ball in zip(others, radii, strict=True):
        along = (ways @ (other - face)) / lengths
        miss = np.sqrt(np.maximum(np.sum((other - face) ** 2) - along**2, 0))
        hidden |= (along > 0) & (along < lengths) & (miss < ball)
    return hidden.mean()


@settings(max_examples=40)
@given(
    at=st.integers(-50, 50),
    statures=st.tuples(st.integers(150, 195), st.integers(150, 195)),
    angle=st.integers(0, 60),
    height=st.floats(1.2, 2.6),
    diameter=st.integers(10, 150),
    gap=st.floats(0.6, 2),
)
# A small light and a head 61 cm away: a ball's edge by its tangent instead of its sine lay 0.06 deg off.
@example(at=4, statures=(150, 150), angle=3, height=1.21875, diameter=10, gap=0.609375)
def test_depth_of_shadows_against_counted_rays(shoot, at, statures, angle, height, diameter, gap):
    places = "\n  ".join([PLACE.format("Lamp", "key", angle, 3, height), PLACE.format("Other", "key", 5, 2.5, 1.7)])
    found = shoot(
        people=f"Ada {statures[0]}, Ben {statures[1]}",
        rows=f'  row "front", 4 m {{ "Ada" standing, at 0 cm }}\n  row "back", {4 + gap:.4f} m {{ "Ben" standing, at {at} cm }}',
        kit=kit(f"octabox, {diameter} cm", "octabox, 60 cm"),
        place=places,
    )
    middle, radii = heads(found), found("head-breadth") / 2
    lights = [spot(4, angle, 3, height), spot(4, 5, 2.5, 1.7)]
    for light, wide, row in zip(lights, (diameter / 100, 0.6), found.pairs("light-hidden"), strict=True):
        for place in (0, 1):
            rays = counted(middle[place], light, wide, [middle[1 - place]], [radii[1 - place]])
            assert row[place] == pytest.approx(rays, abs=0.03)


def test_two_heads_hide_more_than_one(shoot):
    rows = '  row "front", 4 m {{ "Ada" standing, at -6 cm{} }}\n  row "back", 6 m {{ "Ben" standing, at 0 cm }}'
    one = shoot(
        people="Ada 170, Ben 170", rows=rows.format(""), kit=kit("octabox, 60 cm"), place=PLACE.format("Lamp", "key", 0, 2, 1.6)
    )
    two = shoot(
        people="Ada 170, Cor 170, Ben 170",
        rows=rows.format('; "Cor" standing, at 10 cm'),
        kit=kit("octabox, 60 cm"),
        place=PLACE.format("Lamp", "key", 0, 2, 1.6),
    )
    assert one("key-hidden")[-1] < two("key-hidden")[-1] < 2 * one("key-hidden")[-1] + 1e-9


# --- directions


@settings(max_examples=50)
@given(
    angle=st.integers(-180, 180),
    distance=st.floats(0.5, 6),
    height=st.floats(0.2, 3),
    at=st.integers(-200, 200),
    camera=st.floats(0.5, 3),
)
def test_directions_by_vectors(shoot, angle, distance, height, at, camera):
    side = f"{'left' if angle < 0 else 'right'} {abs(angle)}"
    distance, height, camera = (round(each, 4) for each in (distance, height, camera))
    found = shoot(
        people="Ada 170, Ben 185",
        rows=f'  row "front", 4 m {{ "Ada" standing, at {at} cm }}\n  row "back", 4.8 m {{ "Ben" standing, at 20 cm }}',
        place=PLACE.format("Lamp", "key", 0, distance, height).replace("right 0", side),
        support=f"tripod, height {camera} m",
    )
    light, lens = spot(4, angle, distance, height), np.array([0, 0, camera])
    eyes = np.stack([found("sideways"), found("row-distance"), found("eye-height")], axis=-1)
    for place, eye in enumerate(eyes):
        to_light, to_lens = light - eye, lens - eye
        level = np.array([1, 1, 0])
        assert found("light-turn")[place] == pytest.approx(angle_between(to_light * level, to_lens * level), abs=1e-4)
        up = math.degrees(math.asin(to_light[2] / np.linalg.norm(to_light)))
        assert found("light-elevation")[place] == pytest.approx(up, abs=1e-6)
        assert found("catchlight-angle")[place] == pytest.approx(angle_between(to_light, to_lens) / 2, abs=1e-5)
        assert found("light-to-person")[place] == pytest.approx(np.linalg.norm(light - heads(found)[place]))
    assert found("lens-from-aim") == pytest.approx(angle_between(eyes.mean(axis=0) - light, lens - light), abs=1e-5)


def test_figures_by_hand(shoot):
    # A light beside the camera turns by nothing, one square to the axis by a right angle, one behind by half a turn.
    for angle, turn in ((0, 0), (90, 90), (180, 180)):
        found = shoot(place=PLACE.format("Lamp", "key", angle, 2, 2))
        assert found("light-turn") == pytest.approx(turn, abs=1e-6)
    # 3 m away and 3 m above the eyes is 45 degrees up.
    eyes = shoot()("eye-height")
    assert shoot(place=PLACE.format("Lamp", "key", 0, 1.2, f"{eyes + 1.2:.6f}"))("light-elevation") == pytest.approx(45, abs=1e-4)
    # A light square to the axis at the lens's and the eye's height sits 45 degrees from the middle of the eye.
    level = {"support": f"tripod, height {eyes:.6f} m"}
    assert shoot(place=PLACE.format("Lamp", "key", 90, 2, f"{eyes:.6f}"), **level)("catchlight-angle") == pytest.approx(
        45, abs=1e-4
    )
    # A light straight behind that aims at the person aims at the lens.
    assert shoot(place=PLACE.format("Lamp", "rim", 180, 2, f"{eyes:.6f}"), **level)("lens-from-aim") == pytest.approx(0, abs=1e-4)


def test_a_light_or_a_lens_in_an_eye_is_reflected_nowhere():
    nothing = np.zeros((1,) * RANK)
    angle = catalogue()["catchlight-angle"].function
    names = [name for name, _ in catalogue()["catchlight-angle"].needs]
    told = dict.fromkeys(names, nothing)
    for moved in ({}, {"light-away": nothing + 2.0}, {"camera-height": nothing + 1.0}):
        assert np.isnan(angle(*({**told, **moved}[name] for name in names))).all(), moved
    assert angle(
        *({**told, "light-away": nothing - 2.0, "camera-height": nothing + 1.0}[name] for name in names)
    ) == pytest.approx(45)


def test_a_light_aims_at_whom_it_names(shoot):
    pieces = {
        "people": "Ada 170, Ben 180",
        "rows": '  row "front", 4 m { "Ada" standing, at -50 cm }\n  row "back", 5 m { "Ben" standing, at 70 cm }',
    }
    both = "\n  ".join([PLACE.format("Lamp", "rim", 150, 2, 2), PLACE.format("Other", "rim", 150, 2, 2) + ', aim "Ada"'])
    found = shoot(place=both, kit=kit(), **pieces)
    assert found("aim-across") == pytest.approx([0.10, -0.50])
    assert found("aim-away") == pytest.approx([4.5, 4])
    assert found("aim-height") == pytest.approx([found("eye-height").mean(), found("eye-height")[0]])


# --- the frame


def test_margin_of_a_light_by_hand(shoot):
    # 50 mm at 5 m: the frame is 3.564 m by 2.376 m there. A box of 60 x 90 cm in the row's plane, 2.5 m to the right, is
    # 2.5 - 0.3 - 1.782 m outside; at 1.5 m it is in.
    for across, outside in ((2.5, 0.418), (1.5, -0.582)):
        found = shoot(place=PLACE.format("Lamp", "key", 90, across, 1.6), kit=kit("softbox, 60 cm x 90 cm"))
        assert found("light-margin") == pytest.approx(outside, abs=1e-3)
        assert found("light-in-frame") == (outside < 0)
    # Straight behind the group its stand is in the picture, however high the light.
    high = shoot(place=PLACE.format("Lamp", "hair", 180, 2, 4.5))
    assert high("light-margin") < 0 and high("light-in-frame") == 1
    # Behind the camera nothing is in the picture.
    assert shoot(place=PLACE.format("Lamp", "fill", 0, 7, 2))("light-margin") == math.inf
    # Half a metre from the lens the frame is as many times smaller: 0.6 m to the side, 0.6 - 0.178 m outside.
    near = shoot(place=PLACE.format("Lamp", "fill", math.degrees(math.atan2(0.6, 4.5)), math.hypot(0.6, 4.5), 1.6))
    assert near("light-margin") == pytest.approx(0.6 - 0.25 * 0.3564 / 0.5, abs=2e-3)
    # Low down before the group: the whole of it under the frame's bottom, 2 m from the lens 0.475 m below it.
    low = shoot(place=PLACE.format("Lamp", "fill", 0, 3, 0.5), support="tripod, height 1.6 m")
    assert low("light-margin") == pytest.approx(1.1 - 0.4752, abs=1e-3)
    box = shoot(place=PLACE.format("Lamp", "fill", 0, 3, 0.5), kit=kit("softbox, 60 cm x 90 cm"))
    assert box("light-margin") == pytest.approx(1.1 - 0.45 - 0.4752, abs=1e-3)


@pytest.mark.parametrize("away", [1, 3, 8, 20, 40])
def test_a_light_above_a_camera_that_looks_down(shoot, away):
    # From a window at 6 m, 40 degrees down, the top of the frame meets the ground some 22 m away: what stands farther off
    # is above the picture, stand and all.
    found = shoot(
        place=PLACE.format("Lamp", "rim", 180, away, 2.5),
        support="tripod, height 6 m, tilt -40 deg",
        rows='  row "front", 6 m { "Ada" standing, at 0 cm }',
        focus="8 m",
    )
    half = math.degrees(math.atan(0.012 / found("image-distance")))
    foot_up = -math.degrees(math.atan(6 / (6 + away)))
    head_up = -math.degrees(math.atan(3.5 / (6 + away)))
    assert found("light-in-frame") == (foot_up < -40 + half and head_up > -40 - half)


@settings(max_examples=60)
@given(
    angle=st.integers(0, 180),
    distance=st.floats(0.5, 8),
    height=st.floats(0.3, 4),
    tilt=st.integers(-25, 15),
    upright=st.booleans(),
)
def test_a_bare_light_that_a_pinhole_draws_is_in_the_frame(shoot, angle, distance, height, tilt, upright):
    found = shoot(
        place=PLACE.format("Lamp", "key", angle, round(distance, 4), round(height, 4)),
        support=f"tripod, height 1.6 m, tilt {tilt} deg",
        frame="portrait" if upright else "landscape",
    )
    seen = Rotation.from_euler("x", -tilt, degrees=True).apply(spot(5, angle, round(distance, 4), round(height, 4)) - [0, 0, 1.6])
    image = found("image-distance")
    if seen[1] <= 0:
        assert found("light-margin") == math.inf
        return
    x, z = seen[0] / seen[1] * image / found("sensor-width"), seen[2] / seen[1] * image / found("sensor-height")
    if abs(x) < 0.499 and abs(z) < 0.499:
        assert found("light-in-frame") == 1
    if abs(x) > 0.501:
        assert found("light-in-frame") == 0
        assert found("light-margin") >= (abs(x) - 0.5) * found("sensor-width") / image * seen[1] - 1e-9


@pytest.mark.parametrize("tilt", [-20, 0, 12])
def test_blur_of_a_light_in_the_picture_follows_the_cameras_axis(shoot, tilt):
    found = shoot(place=PLACE.format("Lamp", "rim", 170, 3, 2.5), support=f"tripod, height 1.6 m, tilt {tilt} deg")
    away = 5 + 3 * math.cos(math.radians(10))
    forward = away * math.cos(math.radians(tilt)) + 0.9 * math.sin(math.radians(tilt))
    # (f / N) m |d - s| / d, times 25 of enlargement.
    assert found("light-blur") == pytest.approx(0.05 / 8 * 0.05 / 4.95 * (forward - 5) / forward * 25)


# --- glasses


def reflected(eye, light, lens, count=241):
    """The least angle between the light and what the curved lens of glasses shows of it, and the light's distance.

    The lens is a cap of a ball: its surface turns by 14 degrees from the middle to the rim and its middle looks 8
    degrees down (usual fittings, from memory). Rays from the camera are thrown back at each place of the cap.
    """
    forward = (lens - eye) * [1, 1, 0]
    forward /= np.linalg.norm(forward)
    side = np.cross(forward, [0, 0, 1.0])
    middle = Rotation.from_rotvec(-math.radians(8) * side).apply(forward)
    up = np.cross(side, middle)
    grid = np.radians(np.linspace(-14, 14, count))
    one, two = np.meshgrid(grid, grid)
    inside = np.hypot(one, two) <= math.radians(14)
    turn, away = np.arctan2(two[inside], one[inside]), np.hypot(one[inside], two[inside])
    normals = np.cos(away)[:, None] * middle + np.sin(away)[:, None] * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * up)
    ray = (lens - eye) / np.linalg.norm(lens - eye)
    back = 2 * (normals @ ray)[:, None] * normals - ray
    to_light = (light - eye) / np.linalg.norm(light - eye)
    return math.degrees(np.arccos(np.clip(back @ to_light, -1, 1)).min())


@settings(max_examples=60)
@given(
    angle=st.integers(-90, 90),
    distance=st.floats(1.5, 5),
    height=st.floats(0.5, 3.5),
    at=st.integers(-150, 150),
    camera=st.floats(1, 2.5),
    size=st.sampled_from([0, 60, 120]),
)
def test_glare_against_rays_thrown_back_by_a_curved_lens(shoot, angle, distance, height, at, camera, size):
    distance, height, camera = (round(each, 4) for each in (distance, height, camera))
    found = shoot(
        people="Ada 170 glasses",
        rows=f'  row "front", 5 m {{ "Ada" standing, at {at} cm }}',
        place=PLACE.format("Lamp", "key", 0, distance, height).replace(
            "right 0", f"{'left' if angle < 0 else 'right'} {abs(angle)}"
        ),
        kit=kit(f"octabox, {size} cm" if size else "bare"),
        support=f"tripod, height {camera} m",
    )
    eye = np.array([at / 100, 5, found("eye-height")])
    light, lens = spot(5, angle, distance, height), np.array([0, 0, camera])
    nearest = reflected(eye, light, lens)
    half = math.degrees(math.atan(size / 200 / found("light-to-person")))
    clearance = found("glare-clearance")
    # A mirror that turns by a degree moves the reflection by two.
    if clearance < -1.5:
        assert nearest <= half + 0.25
    if clearance > 1.5:
        assert nearest > half


def test_who_wears_no_glasses_has_no_glare(shoot):
    found = shoot(
        people="Ada 170, Ben 170 glasses",
        rows='  row "front", 5 m { "Ada" standing, at 0 cm; "Ben" standing, at 60 cm }',
        place=PLACE.format("Lamp", "key", 0, 2, 1.6),
    )
    assert found("glasses").tolist() == [0, 1]
    assert found("glare-clearance")[0] == math.inf and found("glare-clearance")[1] < 0
    # Tilted glasses send a light that stands high and to the side clear past the lens.
    clear = shoot(people="Ada 170 glasses", place=PLACE.format("Lamp", "key", 60, 3, 2.6))
    assert clear("glare-clearance") > 5


# --- limits


def test_far_away_a_light_is_the_same_to_everybody(shoot):
    rows = '  row "front", 4 m { "Ada" standing, at -100 cm; "Ben" standing, at 100 cm }\n  row "back", 5 m { "Cor" standing, at 0 cm }'
    near, far = (
        shoot(
            people="Ada 170, Ben 170, Cor 180",
            rows=rows,
            kit=kit("octabox, 90 cm"),
            place=PLACE.format("Lamp", "key", 40, each, 2.2),
        )
        for each in (2, 900)
    )
    assert np.ptp(far("flash")) < 0.02 < np.ptp(near("flash"))
    assert np.ptp(far("light-elevation")) < 0.1
    assert far("area-factor") == pytest.approx([1, 1, 1], abs=1e-5)
    assert far("softness") < 0.1 < near("softness")
    assert np.abs(far("key-evenness")).max() < 0.02


def test_turning_camera_and_lights_about_the_person_changes_no_face(shoot):
    # One person at the middle of the front row: the lights turn about that place, so only the angle to the lens changes.
    one, other = (shoot(place=PLACE.format("Lamp", "key", each, 2.5, 2.2)) for each in (20, 140))
    for name in ("flash", "light-elevation", "light-to-person", "softness", "light-distance"):
        assert one(name) == pytest.approx(other(name)), name
    assert (one("light-turn"), other("light-turn")) == (pytest.approx(20), pytest.approx(140))
