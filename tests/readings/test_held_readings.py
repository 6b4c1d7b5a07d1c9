"""Who is held is borne by the holder: how high and where, against proportions worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from shootlint.readings.catalogue import catalogue

PEOPLE = "Mo 168, Tom 183, Kit 66 age 0"
SIDE = '"Tom" standing, at 60 cm'
OFTEN = '"Mo" standing, at 0 cm; "Kit" lying, held by "Mo"'


def borne(shoot, row, people=PEOPLE, **pieces):
    return shoot(people=people, rows=f'  row "front", 5 m {{ {row} }}', **pieces)


def of(found, reading, name):
    return found.along(reading, "person")[found.graph.scene.names["person"].index(name)]


# The elbow stands at 0.630 of stature: Drillis and Contini (1966), from memory.
@pytest.mark.parametrize("stature", [150, 168, 195])
def test_a_baby_lies_in_the_crook_of_the_elbow(shoot, stature):
    found = borne(shoot, OFTEN, f"Mo {stature}, Kit 66 age 0")
    assert of(found, "rest-height", "Kit") == pytest.approx(0.630 * stature / 100, rel=0.01)
    # Half of a newborn's head, 0.19 of stature wide (from memory), over the arm.
    assert of(found, "crown-height", "Kit") == pytest.approx(of(found, "rest-height", "Kit") + 0.19 * 0.66 / 2, abs=1e-3)
    assert of(found, "chin-height", "Kit") == of(found, "eye-height", "Kit") == of(found, "crown-height", "Kit")


@pytest.mark.parametrize("pose", ["", "seated", "sitting", "standing"])
def test_a_child_that_does_not_lie_sits_on_the_arm(shoot, pose):
    found = borne(shoot, f'"Mo" standing, at 0 cm; "Kit" {pose}, held by "Mo"', "Mo 168, Kit 87 age 2")
    # Sitting height 0.57 of stature at two years, from memory: the child looks out from beside the holder's face.
    assert of(found, "crown-height", "Kit") == pytest.approx(0.630 * 1.68 + 0.57 * 0.87, abs=0.02)
    assert of(found, "chin-height", "Mo") < of(found, "crown-height", "Kit") < of(found, "crown-height", "Mo")
    assert of(found, "pose", "Kit") == 1
    # No feet of a child on an arm stand on the ground.
    assert of(found, "foot-height", "Kit") == pytest.approx(of(found, "rest-height", "Kit"))


# Height of a resting elbow over the seat: about 245 mm of men and 235 mm of women (ergonomics tables, from memory).
@pytest.mark.parametrize(("stature", "over"), [(175.6, 0.245), (162.9, 0.235)])
def test_who_sits_bears_a_child_at_the_elbow_too(shoot, stature, over):
    found = borne(shoot, '"Mo" seated on 45 cm, at 0 cm; "Kit" lying, held by "Mo"', f"Mo {stature}, Kit 66 age 0")
    assert of(found, "rest-height", "Kit") == pytest.approx(0.45 + over, abs=0.035)


def test_who_lies_bears_a_child_on_the_chest(shoot):
    found = borne(shoot, '"Mo" lying on 20 cm, at 0 cm; "Kit" lying, held by "Mo"')
    # A chest is about 0.24 m deep (from memory).
    assert of(found, "rest-height", "Kit") == pytest.approx(0.2 + 0.24, abs=0.02)


@pytest.mark.parametrize(
    ("pose", "lower"), [("standing on 20 cm", -0.20), ("kneeling", 0.28 * 1.68), ("seated on 46 cm", 0.475 * 1.68 - 0.46)]
)
def test_a_child_follows_the_pose_and_the_step_of_the_holder(shoot, pose, lower):
    upright, moved = borne(shoot, OFTEN), borne(shoot, OFTEN.replace("standing", pose))
    for reading in ("rest-height", "crown-height", "eye-height", "chin-height", "shoulder-height"):
        assert of(upright, reading, "Kit") - of(moved, reading, "Kit") == pytest.approx(lower, abs=0.02), reading
    fall = of(upright, "crown-height", "Mo") - of(moved, "crown-height", "Mo")
    assert of(upright, "crown-height", "Kit") - of(moved, "crown-height", "Kit") == pytest.approx(fall)


def test_what_the_plan_says_of_a_held_person_holds(shoot):
    found = borne(shoot, '"Mo" standing, at 0 cm; "Kit" lying on 105 cm, held by "Mo", at -8 cm')
    assert of(found, "rest-height", "Kit") == pytest.approx(1.05)
    assert of(found, "sideways", "Kit") == pytest.approx(-0.08)
    # Each by itself, too.
    height = borne(shoot, '"Mo" standing, at 0 cm; "Kit" lying on 105 cm, held by "Mo"')
    place = borne(shoot, '"Mo" standing, at 0 cm; "Kit" lying, held by "Mo", at -8 cm')
    assert of(height, "rest-height", "Kit") == pytest.approx(1.05) and of(height, "sideways", "Kit") > 0
    assert of(place, "sideways", "Kit") == pytest.approx(-0.08) and of(place, "rest-height", "Kit") > 1.05
    # A toddler who stands on a bench stands, though somebody holds on.
    stands = borne(shoot, '"Mo" standing, at 0 cm; "Kit" standing on 40 cm, held by "Mo", at 20 cm', "Mo 168, Kit 87 age 2")
    assert of(stands, "crown-height", "Kit") == pytest.approx(0.40 + 0.87)


@pytest.mark.parametrize(
    ("row", "side"),
    [
        (f'{SIDE}; "Mo" standing, at 0 cm; "Kit" lying, held by "Mo"', 1),
        (f'"Kit" lying, held by "Mo"; "Mo" standing, at 0 cm; {SIDE}', -1),
    ],
)
def test_a_child_is_on_the_arm_on_whose_side_the_row_names_it(shoot, row, side):
    found = borne(shoot, row)
    # Within the holder's shoulders, 0.28 of stature wide (ANSUR II), and beside the face.
    reach = (of(found, "shoulder-breadth", "Mo") - of(found, "head-breadth", "Kit")) / 2
    assert of(found, "sideways", "Kit") == pytest.approx(side * reach)
    assert of(found, "head-breadth", "Mo") / 2 < reach < 0.28 * 1.68 / 2


def test_twins_are_on_one_arm_each(shoot):
    found = borne(
        shoot,
        '"Mo" standing, at 10 cm; "Kit" lying, held by "Mo"; "Lo" lying, held by "Mo"',
        "Mo 168, Kit 66 age 0, Lo 66 age 0",
    )
    assert of(found, "sideways", "Kit") + of(found, "sideways", "Lo") == pytest.approx(0.2)
    assert of(found, "sideways", "Kit") > 0.1 > of(found, "sideways", "Lo")


def test_a_child_takes_no_place_in_a_row_shoulder_to_shoulder(shoot):
    found = borne(shoot, '"Mo" standing; "Kit" lying, held by "Mo"; "Tom" standing')
    alone = shoot(people="Mo 168, Tom 183", rows='  row "front", 5 m { "Mo" standing; "Tom" standing }')
    for name in ("Mo", "Tom"):
        assert of(found, "sideways", name) == pytest.approx(of(alone, "sideways", name))


def test_a_child_is_as_far_from_the_camera_as_the_holder_whichever_row_names_it(shoot):
    rows = """  row "front", 5 m {{ "Tom" seated on 45 cm, at 40 cm; "Kit" lying, held by "Mo"{at} }}
  row "back", 5.9 m {{ "Mo" standing, at 0 cm }}"""
    near, borne_behind = (shoot(people=PEOPLE, rows=rows.format(at=at)) for at in (", at -5 cm", ""))
    assert (of(near, "row-distance", "Kit"), of(borne_behind, "row-distance", "Kit")) == (5, 5.9)
    # What is sharp and where the head is in the frame follow from that.
    assert of(borne_behind, "blur", "Kit") == pytest.approx(of(borne_behind, "blur", "Mo"))
    assert of(near, "blur", "Kit") < of(borne_behind, "blur", "Kit")
    assert of(borne_behind, "row-number", "Kit") == 2
    # Focus on the row that names the child alone is on the child.
    alone = """  row "arm", 5 m { "Kit" lying, held by "Mo" }
  row "back", 5.9 m { "Mo" standing, at 0 cm }"""
    assert shoot(people="Mo 168, Kit 66 age 0", rows=alone, focus='row "arm"')("focus-distance") == pytest.approx(5.9)


def test_a_child_who_is_held_may_hold_another(shoot):
    found = borne(
        shoot,
        '"Lo" lying, held by "Kit"; "Kit" seated, held by "Mo"; "Mo" seated on 45 cm, at 30 cm',
        "Mo 168, Kit 110 age 5, Lo 60 age 0",
    )
    assert of(found, "rest-height", "Mo") == 0.45
    assert of(found, "rest-height", "Mo") < of(found, "rest-height", "Kit") < of(found, "rest-height", "Lo")
    reach = [
        of(found, "shoulder-breadth", one) - of(found, "head-breadth", other) for one, other in (("Mo", "Kit"), ("Kit", "Lo"))
    ]
    assert of(found, "sideways", "Lo") == pytest.approx(0.3 - sum(reach) / 2)


def test_a_seat_of_a_held_person_is_not_asked_for_and_that_of_the_holder_is(shoot):
    told = borne(shoot, '"Mo" standing, at 0 cm; "Kit" seated, held by "Mo"')
    assert not told.graph["crown-height"].needs
    asked = borne(shoot, '"Mo" seated, at 0 cm; "Kit" seated, held by "Mo"')
    assert np.isnan(asked.partly("crown-height")).all()
    assert asked.graph["crown-height"].needs == {"height of the seat or step under the person"}


def test_a_child_on_an_arm_reads_as_one_of_whom_that_height_and_place_are_said(shoot):
    # Sharpness, hiding and light are readings of where the head is: they cannot tell the two apart.
    key = 'place "Lamp" as key, right 30 deg, distance 3 m, height 2.2 m, power 1/2, stand "Stand"'
    row = f"{SIDE}; {OFTEN}"
    found = borne(shoot, row, place=key)
    height, place = (100 * of(found, reading, "Kit") for reading in ("rest-height", "sideways"))
    said = borne(shoot, row.replace("lying", f"lying on {height:.10f} cm") + f", at {place:.10f} cm", place=key)
    told = {"support-height", "mark", "on-arm", "side-of-holder"}
    for name in catalogue():
        one, other = found.graph[name].array, said.graph[name].array
        assert (name in told) != np.allclose(*np.broadcast_arrays(one, other), rtol=1e-7, atol=1e-9, equal_nan=True), name


def test_how_far_a_holder_is_from_whom(shoot):
    rows = """  row "front", 5 m { "Tom" seated on 45 cm, at 40 cm; "Kit" lying, held by "Mo", at -30 cm }
  row "back", 5.4 m { "Mo" standing, at 0 cm }"""
    found = shoot(people=PEOPLE, rows=rows)
    # 30 cm aside and 40 cm before.
    assert found.along("holder-distance", "person") == pytest.approx([0, 0.5, 0])
    assert np.array_equal(found.along("holder", "person"), [np.nan, 2, np.nan], equal_nan=True)
    # On the arm a child is within the holder's shoulders.
    assert of(borne(shoot, OFTEN), "holder-distance", "Kit") < 0.28 * 1.68 / 2
