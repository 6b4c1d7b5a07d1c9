"""Laws exposure, shutters and scales must keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.physics import exposure, shutter

f_numbers = st.floats(0.9, 45)
times = st.floats(1e-4, 60)
isos = st.floats(25, 1e5)
stops = st.floats(-60, 60)


@given(f_numbers, times, isos, st.floats(0.01, 100))
def test_reciprocity(n, t, iso, factor):
    ev = exposure.exposure_value(n, t, iso)
    assert exposure.exposure_value(n, t * factor, iso / factor) == pytest.approx(ev, abs=1e-9)
    assert exposure.exposure_value(n * np.sqrt(factor), t * factor, iso) == pytest.approx(ev, abs=1e-9)


@given(f_numbers, times, isos)
def test_a_stop_is_a_stop_everywhere(n, t, iso):
    ev = exposure.exposure_value(n, t, iso)
    assert exposure.exposure_value(n * np.sqrt(2), t, iso) - ev == pytest.approx(1)
    assert exposure.exposure_value(n, t / 2, iso) - ev == pytest.approx(1)
    assert exposure.exposure_value(n, t, iso * 2) - ev == pytest.approx(-1)


@given(st.floats(-20, 25), st.floats(100, 600))
def test_light_and_exposure_value_are_inverse(ev, constant):
    assert exposure.illuminance_to_ev(exposure.ev_to_illuminance(ev, constant), constant) == pytest.approx(ev, abs=1e-9)


@given(st.lists(stops, min_size=1, max_size=6), stops)
def test_light_is_added_and_not_stops(levels, shift):
    total = exposure.add_stops(levels)
    assert total == pytest.approx(np.log2(np.sum(np.exp2(levels))), abs=1e-9)
    assert total >= max(levels)
    assert exposure.add_stops(np.add(levels, shift)) == pytest.approx(total + shift, abs=1e-9)
    assert exposure.add_stops([*levels, -np.inf]) == pytest.approx(total)


def test_added_light_of_nothing_and_of_the_unknown():
    assert exposure.add_stops([-np.inf, -np.inf]) == -np.inf
    assert np.isnan(exposure.add_stops([0.0, np.nan]))
    assert exposure.add_stops([2000.0, 2000.0]) == 2001.0
    assert exposure.add_stops(np.zeros((3, 2, 4)), axis=0).shape == (2, 4)


@pytest.mark.parametrize(
    ("marks", "exact", "function"),
    [
        (exposure.MARKED_F_NUMBERS, exposure.EXACT_F_NUMBERS, exposure.exact_f_number),
        (exposure.MARKED_EXPOSURE_TIMES, exposure.EXACT_EXPOSURE_TIMES, exposure.exact_exposure_time),
        (exposure.MARKED_ISO, exposure.EXACT_ISO, exposure.exact_iso),
    ],
)
def test_scales(marks, exact, function):
    np.testing.assert_array_equal(function(marks), exact)
    np.testing.assert_array_equal(exposure.nearest_marked(exact, marks), marks)
    np.testing.assert_array_equal(exposure.third_stops_between(marks[0], marks[-1], marks), marks)
    np.testing.assert_array_equal(exposure.third_stops_between(marks[3], marks[5], marks), marks[3:6])
    assert exposure.third_stops_between(marks[5], marks[3], marks).size == 0
    # A number halfway between two marks was meant as it stands.
    halfway = np.sqrt(marks[1:] * marks[:-1])
    np.testing.assert_array_equal(function(halfway), halfway)


def test_nearest_mark_of_nonsense():
    found = exposure.nearest_marked([np.nan, 0.0, -1.0, np.inf], exposure.MARKED_ISO)
    np.testing.assert_array_equal(found, [np.nan, np.nan, np.nan, 51200])


@given(times, st.floats(1 / 1000, 1 / 30), st.floats(0.5, 1))
def test_open_share_is_a_share_and_full_at_sync(t, sync, curtain):
    share = shutter.open_share_at_flash(t, sync, curtain)
    assert 0 < share <= 1
    assert (share == 1) == (t / (sync * curtain) >= 1)


@given(times, st.floats(1e-5, 0.1))
def test_captured_flash_grows_with_time(t, t01):
    shares = shutter.captured_flash_share(t * np.array([0, 1, 2, np.inf]), t01)
    assert shares[0] == 0
    assert shares[3] == 1
    assert (np.diff(shares) >= 0).all()
    assert shutter.captured_flash_share(t01, t01) == pytest.approx(0.9)
    assert shutter.captured_flash_stops(t, t01) <= 0


@given(times, st.floats(1 / 1000, 1 / 30))
def test_high_speed_sync_costs_a_stop_a_step_far_beyond_sync(t, travel):
    assert shutter.high_speed_sync_loss(t, travel) > 0
    fast = shutter.high_speed_sync_loss(np.array([1e-9, 0.5e-9]), travel)
    assert fast[1] - fast[0] == pytest.approx(1, abs=1e-3)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (exposure.exposure_value, (0, 1, 100)),
        (exposure.exposure_value, (8, -1, 100)),
        (exposure.exposure_value, (8, 1, 0)),
        (exposure.illuminance_to_ev, (-1,)),
        (exposure.illuminance_to_ev, (1, 0)),
        (exposure.exact_f_number, (0,)),
        (exposure.exact_exposure_time, (-0.01,)),
        (shutter.open_share_at_flash, (0.01, 0)),
        (shutter.high_speed_sync_loss, (-1, 0.004)),
        (shutter.captured_flash_share, (0.01, -1)),
    ],
)
def test_nonsense_is_nan(function, arguments):
    assert np.isnan(function(*arguments))


def test_darkness_is_minus_infinity():
    assert exposure.illuminance_to_ev(0) == -np.inf
