"""Shadows and mirrors: limits, symmetry, and areas against plain counting of points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shootlint.physics import eyes, shadow

angles = st.floats(0.01, 20.0)


@example(0.25, 0.25, 5e-324)
@given(angles, angles, st.floats(0.0, 50.0))
def test_hidden_share_is_what_counting_points_gives(source: float, cover: float, separation: float) -> None:
    side = np.linspace(-source, source, 401)
    x, y = np.meshgrid(side, side)
    on_source = x**2 + y**2 <= source**2
    hidden = on_source & ((x - separation) ** 2 + y**2 <= cover**2)
    counted = hidden.sum() / on_source.sum()
    assert float(shadow.hidden_disc_share(source, cover, separation)) == pytest.approx(counted, abs=0.01)


@given(angles, angles)
def test_hidden_share_falls_as_the_cover_moves_away(source: float, cover: float) -> None:
    apart = np.linspace(0.0, 2 * (source + cover), 60)
    share = shadow.hidden_disc_share(source, cover, apart)
    assert np.all(np.diff(share) <= 1e-9)
    assert share[-1] == 0.0
    assert share[0] == pytest.approx(min(1.0, (cover / source) ** 2), rel=1e-6)


def test_a_point_source_is_hidden_wholly_or_not() -> None:
    assert shadow.hidden_disc_share(0.0, 2.0, np.array([1.9, 2.1])).tolist() == [1.0, 0.0]


def test_unknown_and_negative_angles_give_unknown_shares() -> None:
    share = shadow.hidden_disc_share(
        np.array([np.nan, -1.0, 1.0, 1.0]), np.array([1.0, 1.0, -1.0, 1.0]), np.array([0.5, 0.5, 0.5, np.nan])
    )
    assert np.isnan(share).all()


def test_a_mirror_between_light_and_eye_halves_the_angle() -> None:
    # Law of reflection: a light 40 deg to the right of the eye is seen in a mirror turned 20 deg to the right.
    light = math.radians(40.0)
    turn, tilt = shadow.mirror_tilt(3 * math.sin(light), 0.0, 3 * math.cos(light), 0.0, 0.0, 5.0)
    assert float(turn) == pytest.approx(20.0)
    assert float(tilt) == pytest.approx(0.0)


ahead = st.tuples(st.floats(-4, 4), st.floats(-4, 4), st.floats(0.5, 10))


@given(ahead, ahead)
def test_light_that_meets_the_mirror_leaves_for_the_eye(light: tuple[float, ...], eye: tuple[float, ...]) -> None:
    # Law of reflection with vectors: what comes along d leaves along d - 2 (d . n) n.
    turn, tilt = (math.radians(float(each)) for each in shadow.mirror_tilt(*light, *eye))
    normal = np.array([math.sin(turn) * math.cos(tilt), math.sin(tilt), math.cos(turn) * math.cos(tilt)])
    coming = -np.array(light)
    leaving = coming - 2 * np.dot(coming, normal) * normal
    np.testing.assert_allclose(leaving / np.linalg.norm(leaving), np.array(eye) / np.linalg.norm(eye), atol=1e-9)


@given(st.floats(0.5, 10), st.floats(-5, 5), st.floats(-2, 2))
def test_mirror_images_mirror(forward: float, side: float, up: float) -> None:
    turn, tilt = shadow.mirror_tilt(side, up, forward, 0.0, 0.0, 4.0)
    other, same = shadow.mirror_tilt(-side, up, forward, 0.0, 0.0, 4.0)
    assert float(turn) == pytest.approx(-float(other), abs=1e-9)
    assert float(tilt) == pytest.approx(float(same), abs=1e-9)


def test_pictures_until_all_eyes_are_open() -> None:
    # Svenson & Barnes, CSIRO (2006), from memory: for up to 20 people a third of their number in good light is enough
    # for a good chance, and with 50 people hope of an unspoilt picture is all but gone.
    people = np.arange(6, 21)
    chance_in_a_third = 1 - (1 - eyes.all_open_chance(people)) ** np.ceil(people / 3)
    assert np.all(chance_in_a_third > 0.9)
    assert float(eyes.all_open_chance(50)) < 0.13
    assert float(eyes.pictures_for_open_eyes(50)) > 30


def test_pictures_put_back_give_the_certainty() -> None:
    pictures = eyes.pictures_for_open_eyes(np.array([5, 12, 24]), 0.99)
    assert 1 - (1 - eyes.all_open_chance(np.array([5, 12, 24]))) ** pictures == pytest.approx(0.99)
    assert float(eyes.pictures_for_open_eyes(0)) == 1.0
    assert np.isnan(eyes.pictures_for_open_eyes(5, 1.0))
    assert np.isnan(eyes.all_open_chance(-1))
