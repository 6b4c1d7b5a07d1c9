"""Laws bodies and stands in the wind must keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shootlint.physics import body, wind
from shootlint.physics.stature import cdc_stature

statures = st.floats(0.5, 2.2)
ages = st.one_of(st.just(np.nan), st.floats(0, 100))
poses = st.integers(0, len(body.POSES) - 1)
upright = st.sampled_from([body.STANDING, body.SEATED, body.KNEELING, body.SITTING])
masses, arms, areas, heights = st.floats(0.5, 80), st.floats(0.05, 1), st.floats(0.05, 3), st.floats(0.5, 4)


@given(upright, statures, st.floats(0, 1), ages)
def test_parts_of_the_body_hang_in_order(pose, stature, support, age):
    crown, eye, chin, shoulder = (
        part(pose, stature, support, age) for part in (body.crown_height, body.eye_height, body.chin_height, body.shoulder_height)
    )
    assert crown > eye > chin > shoulder > support
    assert crown - chin == pytest.approx(body.head_height(stature, age))


@given(statures, ages)
def test_poses_stand_in_order(stature, age):
    standing, seated, kneeling, sitting, lying = body.crown_height(np.arange(5), stature, 0.0, age)
    assert standing == stature
    assert standing > kneeling > seated > sitting > lying > 0
    assert body.eye_height(body.LYING, stature, 0.0, age) == lying


@given(poses, statures, st.floats(0, 2), ages)
def test_support_lifts_everything_alike(pose, stature, support, age):
    for part in (body.crown_height, body.eye_height, body.chin_height, body.shoulder_height):
        assert part(pose, stature, support, age) - part(pose, stature, 0.0, age) == pytest.approx(support, abs=1e-9)


@example(1.0, 2.0)
@given(statures, ages)
def test_breadths_stand_in_order(stature, age):
    assert body.head_breadth(stature, age) < body.shoulder_breadth(stature, age)


def test_no_age_is_an_adult():
    for function in (body.head_height, body.head_breadth, body.shoulder_breadth):
        assert function(1.7) == function(1.7, np.nan) == function(1.7, 18.0) == function(1.7, 60.0)
    assert body.crown_height(1, 1.7, 0.45) == body.crown_height(1, 1.7, 0.45, [np.nan])[0]


def test_persons_lie_on_one_axis():
    pose, stature, support, age = [0, 1, 2, 4], [1.8, 1.6, 1.1, 1.7], [0.0, 0.45, 0.0, 0.5], [np.nan, 40, 5, np.nan]
    crowns = body.crown_height(pose, stature, support, age)
    for crown, *person in zip(crowns, pose, stature, support, age, strict=True):
        assert crown == body.crown_height(*person)


def test_bodies_of_nonsense_are_nan():
    for pose, stature, age in ((-1, 1.7, 30), (5, 1.7, 30), (np.nan, 1.7, 30), (0, 0, 30), (0, -1.7, 30), (0, 1.7, -1)):
        assert np.isnan(body.eye_height(pose, stature, 0.0, age))
    assert np.isnan(cdc_stature([1.9, -1], 0)).all()
    assert np.isnan(cdc_stature(10, 2))


@given(st.floats(2, 18))
def test_growth(age):
    # Under 18 the median of girls and that of boys are never 14 cm apart.
    assert abs(cdc_stature(age, 0) - cdc_stature(age, 1)) < 0.14
    assert cdc_stature(age) == pytest.approx((cdc_stature(age, 0) + cdc_stature(age, 1)) / 2)
    assert cdc_stature(min(age + 0.5, 18), 0) >= cdc_stature(age, 0)


@given(masses, arms, areas, heights, st.floats(0, 0.2), st.floats(0, 3))
def test_tipping_balance(mass, arm, area, height, stand_area, stand_height):
    speed = wind.tipping_speed(mass, arm, area, height, stand_area=stand_area, stand_height=stand_height)
    push = wind.wind_force(area, speed) * height + wind.wind_force(stand_area, speed, wind.DRAG_OF_A_POLE) * stand_height
    assert push == pytest.approx(mass * wind.STANDARD_GRAVITY * arm, rel=1e-6)
    ballast = wind.ballast_needed(speed, 1.0, mass, arm, area, height, stand_area=stand_area, stand_height=stand_height)
    assert ballast == pytest.approx(0, abs=1e-6 * mass)
    assert wind.tipping_speed(2 * mass, arm, area, height) == pytest.approx(
        np.sqrt(2) * wind.tipping_speed(mass, arm, area, height)
    )


@given(st.floats(0, 30), st.floats(1, 3), masses, arms, areas, heights)
def test_ballast_makes_the_stand_stand(gust, safety, mass, arm, area, height):
    ballast = wind.ballast_needed(gust, safety, mass, arm, area, height)
    assert ballast >= 0
    assert wind.tipping_speed(mass + ballast, arm, area, height) >= gust * np.sqrt(safety) * (1 - 1e-9)


def test_stands_without_wind_or_legs():
    assert wind.tipping_speed(8, 0.25, 0, 2.5) == np.inf
    assert wind.tipping_speed(0, 0.25, 1, 2.5) == 0
    assert wind.ballast_needed(5, 1.5, 8, 0, 1, 2.5) == np.inf
    assert wind.ballast_needed(0, 1.5, 8, 0, 1, 2.5) == 0
    assert wind.wind_force(1.0, 5.0, 0) == wind.wind_force(1.0, 0) == 0
    assert wind.air_density(288.15, 0) == 0
    assert wind.beaufort_speed(12) == pytest.approx(0.836 * 12**1.5)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (wind.air_density, (0,)),
        (wind.beaufort_speed, (13,)),
        (wind.wind_force, (-1, 5)),
        (wind.wind_force, (1, -5)),
        (wind.lever_arm, (0.5, 2)),
        (wind.tipping_speed, (-8, 0.25, 1, 2.5)),
        (wind.tipping_speed, (8, 0.25, -1, 2.5)),
        (wind.ballast_needed, (-5, 1.5, 8, 0.25, 1, 2.5)),
    ],
)
def test_nonsense_is_nan(function, arguments):
    assert np.isnan(function(*arguments))
