"""Laws flash, colour and motion must keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.physics import colour, flash, motion

sizes = st.floats(0.05, 3)
distances = st.floats(0.2, 50)
powers = st.floats(1 / 512, 1)
guide_numbers = st.floats(5, 200)
f_numbers = st.floats(1, 32)


@given(sizes, sizes)
def test_inverse_square_far_away(width, height):
    assert flash.disc_factor(width, 1e4) == pytest.approx(1, abs=1e-6)
    assert flash.rectangle_factor(width, height, 1e4) == pytest.approx(1, abs=1e-6)
    assert flash.rectangle_factor(width, height, np.inf) == 1
    assert flash.disc_factor(width, np.inf) == 1


@given(sizes, sizes, distances)
def test_area_factors_rise_to_one_and_mirror(width, height, d):
    near, far = flash.rectangle_factor(width, height, [d, 2 * d])
    assert 0 < near < far < 1
    assert flash.rectangle_factor(height, width, d) == pytest.approx(near)
    assert flash.rectangle_factor(width, height, 0) == flash.disc_factor(width, 0) == 0


@given(sizes, distances)
def test_a_square_lies_between_its_inner_and_outer_disc(side, d):
    factor = flash.rectangle_factor(side, side, d)
    assert flash.disc_factor(side * np.sqrt(2), d) < factor < flash.disc_factor(side, d)


@given(guide_numbers, distances, f_numbers, powers)
def test_flash_exposure_laws(gn, d, n, power):
    stops = flash.flash_exposure(gn, d, n, 100, power)
    assert flash.flash_exposure(gn, 2 * d, n, 100, power) - stops == pytest.approx(-2)
    assert flash.flash_exposure(gn, d, n, 200, power) - stops == pytest.approx(1)
    assert flash.flash_exposure(gn, d, n, 100, power / 2) - stops == pytest.approx(-1)
    assert flash.flash_exposure(gn, d, gn * np.sqrt(power) / d, 100, power) == pytest.approx(0, abs=1e-9)


@given(sizes, distances, f_numbers, st.floats(50, 6400), powers)
def test_metering_gives_back_the_metered_point(size, d, n, iso, power):
    factor = flash.disc_factor(size, d)
    gn = flash.from_metered(n, d, factor, iso, power)
    assert flash.flash_exposure(gn, d, n, iso, power, factor) == pytest.approx(0, abs=1e-9)


@given(guide_numbers, distances, f_numbers, st.floats(-5, 5))
def test_needed_power_gives_the_wanted_exposure(gn, d, n, wanted):
    power = flash.power_for_exposure(flash.flash_exposure(gn, d, n), wanted)
    assert flash.flash_exposure(gn, d, n, 100, power) == pytest.approx(wanted, abs=1e-9)


def test_limits_of_flash():
    assert flash.flash_exposure(60, 5, 8, power=0) == -np.inf
    assert flash.flash_exposure(60, 0, 8) == np.inf
    assert flash.power_for_exposure(-np.inf) == np.inf
    assert flash.angular_size(1, 0) == 180
    assert flash.key_to_fill(1, 0) == np.inf
    assert np.isnan(flash.key_to_fill(0, 0))
    assert flash.recycle_time(2.0, 0.25) == 0.5
    assert np.isnan(flash.disc_factor(0, 0))
    assert flash.rectangle_factor(0, 1, 1) == pytest.approx(flash.rectangle_factor(1e-9, 1, 1))
    assert flash.rectangle_factor(1, 0, 1) == pytest.approx(flash.rectangle_factor(1, 1e-9, 1))


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (motion.hand_shake_blur, (-1, 1, 0.05)),
        (flash.flash_exposure, (60, -5, 8)),
        (flash.flash_exposure, (60, 5, 0)),
        (flash.flash_exposure, (60, 5, 8, 100, -1)),
        (flash.disc_factor, (-1, 5)),
        (flash.rectangle_factor, (1, 1, -5)),
        (flash.recycle_time, (2, 1.5)),
        (flash.from_metered, (0, 2)),
        (colour.mired, (0,)),
        (colour.mired, (-5000,)),
        (colour.shifted_temperature, (5000, -201)),
        (colour.daylight_chromaticity, (3999,)),
        (colour.planckian_chromaticity, (16_000,)),
        (motion.subject_blur, (-1, 1, 1)),
        (motion.sway_speed, (-1,)),
        (motion.hand_shake_blur, (1, 1, 0)),
    ],
)
def test_nonsense_is_nan(function, arguments):
    assert np.isnan(function(*arguments)).all()


@given(st.floats(1000, 25_000), st.floats(1000, 25_000))
def test_mireds_go_there_and_back(first, second):
    assert colour.temperature_from_mired(colour.mired(first)) == pytest.approx(first)
    shift = colour.mired(second) - colour.mired(first)
    assert colour.shifted_temperature(first, shift) == pytest.approx(second, rel=1e-9)
    assert colour.uv_prime_difference(first, second) == colour.uv_prime_difference(second, first)
    assert colour.uv_prime_difference(first, first) == 0


def test_ends_of_the_mired_scale():
    assert colour.mired(np.inf) == 0
    assert colour.temperature_from_mired(0) == np.inf
    assert colour.temperature_from_mired(-0.0) == np.inf
    np.testing.assert_allclose(colour.daylight_chromaticity([7000, 7000.001])[0][0], 0.30536, atol=1e-4)


@given(st.floats(0, 5), st.floats(0, 1), st.floats(0, 0.1))
def test_motion_blur_is_linear(speed, time, m):
    blur = motion.subject_blur(speed, time, m)
    assert motion.subject_blur(2 * speed, time, m) == pytest.approx(2 * blur)


def test_motion_at_rest():
    assert motion.sway_speed(np.nan) == motion.sway_speed(30) == motion.sway_speed()
    assert motion.hand_shake_blur(1.0, 0, 0.05) == motion.hand_shake_blur(0, 1.0, 0.05) == 0
    assert motion.hand_shake_blur(1.0, 0.1, 0.05, 0.1) == pytest.approx(1.1 * motion.hand_shake_blur(1.0, 0.1, 0.05))
