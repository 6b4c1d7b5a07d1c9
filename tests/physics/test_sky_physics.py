"""Laws the sun and daylight must keep."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.physics import daylight, daylight_colour, sun
from shootlint.physics.sky_condition import SKY_CONDITIONS

clocks = st.floats(-2.2e9, 4.1e9)
latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
bearings = st.floats(-720, 720)
heights = st.floats(-90, 90)
up = st.floats(0.01, 90)
conditions = st.integers(0, len(SKY_CONDITIONS) - 1)


@given(clocks, latitudes, longitudes)
def test_position_lies_on_the_sphere(clock, latitude, longitude):
    altitude, bearing = sun.sun_position(clock, latitude, longitude)
    assert -90.01 <= altitude <= 90
    assert 0 <= bearing <= 360
    turned = sun.sun_position(clock, latitude, longitude + 360)
    np.testing.assert_allclose(turned[0], altitude, atol=1e-9)


@given(clocks, longitudes)
def test_at_the_pole_the_sun_stands_at_its_declination(clock, longitude):
    _, declination, _ = sun.sun_equatorial(clock)
    assert sun.sun_position(clock, 90, longitude)[0] == pytest.approx(declination, abs=0.003)
    assert sun.sun_position(clock, -90, longitude)[0] == pytest.approx(-declination, abs=0.003)


@given(clocks, latitudes, longitudes)
def test_antipodes_see_the_opposite(clock, latitude, longitude):
    here = sun.sun_position(clock, latitude, longitude)[0]
    there = sun.sun_position(clock, -latitude, longitude + 180)[0]
    assert here + there == pytest.approx(0, abs=0.006)


@given(latitudes.filter(lambda latitude: abs(latitude) < 89), longitudes, clocks)
def test_the_sun_moves_a_quarter_degree_a_minute_at_most(latitude, longitude, clock):
    minutes = clock + 60 * np.arange(200)
    altitude, _ = sun.sun_position(minutes, latitude, longitude)
    assert np.abs(np.diff(altitude)).max() < 0.2515


def test_many_clocks_give_what_each_alone_gives():
    year = 1.7672256e9 + 60.0 * np.arange(525_600.0)
    altitude, bearing = sun.sun_position(year, 55.64, 9.29)
    some = np.random.default_rng(1).integers(0, year.size, 900)
    alone = sun.sun_position(year[some], 55.64, 9.29)
    assert np.abs(altitude[some] - alone[0]).max() < 5e-6
    assert np.abs(bearing[some] - alone[1]).max() < 2e-5
    # Far apart, not in order, or with one that is none among them, they are worked out each for itself.
    strewn = np.random.default_rng(2).uniform(-2.2e9, 4.1e9, 2000)
    strewn[7] = np.nan
    assert np.array_equal(
        sun.sun_position(strewn, 55.64, 9.29)[0],
        np.concatenate([sun.sun_position(part, 55.64, 9.29)[0] for part in np.split(strewn, 4)]),
        equal_nan=True,
    )
    shuffled = np.random.default_rng(3).permutation(525_600)
    assert np.allclose(sun.sun_position(year[shuffled], 55.64, 9.29)[0], altitude[shuffled], atol=1e-9)


def test_clocks_and_latitudes_outside_their_range():
    for arguments in ((1e12, 0, 0), (np.inf, 0, 0), (0, 90.1, 0), (0, 0, np.inf), (0, np.nan, 0)):
        assert all(np.isnan(answer) for answer in sun.sun_position(*arguments))


@given(heights)
def test_refraction_lifts_and_keeps_order(height):
    low, high = sun.refraction(height), sun.refraction(min(height + 1, 90))
    assert 0 <= low < 0.9
    if height > 0:
        assert high <= low
        assert sun.apparent_altitude(height) >= height


def test_refraction_stops_below_the_horizon():
    assert sun.refraction(-0.84) == 0
    assert sun.refraction(-0.82) > 0.5
    assert sun.refraction(0.0) == pytest.approx(0.48, abs=0.01)


@given(bearings, bearings)
def test_separation_is_symmetric_and_at_most_half_a_turn(a, b):
    apart = sun.separation_of_bearings(a, b)
    assert 0 <= apart <= 180
    assert sun.separation_of_bearings(b, a) == pytest.approx(apart, abs=1e-9)
    assert sun.separation_of_bearings(a + 360, b) == pytest.approx(apart, abs=1e-9)


@pytest.mark.parametrize(
    ("bearing", "start", "end", "inside"),
    [
        (0, 350, 10, True),
        (350, 350, 10, True),
        (10, 350, 10, True),
        (11, 350, 10, False),
        (180, 350, 10, False),
        (180, 10, 350, True),
        (-10, 300, 355, True),
        (725, 0, 10, True),
        (123, 0, 360, True),
        (0, 0, 360, True),
        (90, 90, 90, True),
        (91, 90, 90, False),
        (np.nan, 0, 360, False),
    ],
)
def test_sectors(bearing, start, end, inside):
    assert sun.bearing_in_sector(bearing, start, end) == inside


@given(st.floats(-18, 89.9), conditions)
def test_light_rises_with_the_sun(height, condition):
    low, high = daylight.horizontal_illuminance([height, height + 0.1], condition)
    assert low < high


def test_daylight_altitude_has_no_step_and_keeps_order():
    geometric = np.arange(-20, 90, 0.001)
    steps = np.diff(daylight.daylight_altitude(geometric))
    assert steps.min() > 0
    assert steps.max() < 0.0025
    assert daylight.daylight_altitude(-6.0) == -6.0
    assert daylight.daylight_altitude(30.0) == sun.apparent_altitude(30.0)


@given(st.floats(-18, 90), conditions)
def test_sun_and_sky_make_up_the_whole(height, condition):
    whole = daylight.horizontal_illuminance(height, condition)
    direct = daylight.direct_normal_illuminance(height, condition) * np.sin(np.radians(height))
    assert direct + daylight.sky_illuminance_horizontal(height, condition) == pytest.approx(whole)
    assert direct >= 0
    assert 0 <= daylight.direct_share(height) < 1


@given(st.floats(-90, 0), conditions)
def test_no_sunlight_from_below_the_horizon(height, condition):
    assert daylight.direct_share(height) == 0
    assert daylight.direct_normal_illuminance(height, condition) == 0
    assert daylight.direct_on_plane(1000.0, height, 0, 0) == 0


def test_a_condition_that_is_none_is_nan():
    for condition in (-1, len(SKY_CONDITIONS), np.nan, np.inf):
        assert np.isnan(daylight.horizontal_illuminance(30.0, condition))
        assert np.isnan(daylight.vertical_sky_share(condition))


@given(bearings, st.floats(0, 360), st.floats(0, 90), bearings)
def test_blocked_share_is_additive_and_mirrors(start, width, top, facing):
    whole = daylight.skyline_blocked_share(start, start + width, top, facing)
    halves = daylight.skyline_blocked_share([start, start + width / 2], [start + width / 2, start + width], top, facing)
    assert halves.sum() == pytest.approx(whole, abs=1e-9)
    mirrored = daylight.skyline_blocked_share(2 * facing - start - width, 2 * facing - start, top, facing)
    if width not in (0, 360):
        assert mirrored == pytest.approx(whole, abs=1e-6)
    assert 0 <= whole <= 1


def test_blocked_share_at_its_ends():
    assert daylight.skyline_blocked_share(0, 360, 90, 45) == pytest.approx(1)
    assert daylight.skyline_blocked_share(0, 360, 0, 45) == 0
    assert daylight.skyline_blocked_share(0, 360, -5, 45) == 0
    assert daylight.skyline_blocked_share(90, 270, 90, 0) == pytest.approx(0, abs=1e-12)
    assert np.isnan(daylight.skyline_blocked_share(0, 90, 91, 0))


@given(up, bearings, bearings)
def test_direct_light_on_a_plane_mirrors_and_vanishes_behind(height, bearing, facing):
    light = daylight.direct_on_plane(1000, height, bearing, facing)
    assert light == pytest.approx(daylight.direct_on_plane(1000, height, 2 * facing - bearing, facing), abs=1e-6)
    assert daylight.direct_on_plane(1000, height, facing + 180, facing) == 0
    assert light <= 1000


@given(st.floats(2000, 20_000), st.floats(2000, 20_000), st.floats(0, 1e5), st.floats(1, 1e5))
def test_mixed_colour_lies_between_and_follows_the_light(t1, t2, e1, e2):
    mixed = daylight_colour.mixed_colour(t1, e1, t2, e2)
    assert min(t1, t2) * (1 - 1e-9) <= mixed <= max(t1, t2) * (1 + 1e-9)
    assert mixed == pytest.approx(daylight_colour.mixed_colour(t2, e2, t1, e1))
    assert daylight_colour.mixed_colour(t1, 0, t2, e2) == pytest.approx(t2)


def test_colours_hold_their_ends():
    assert daylight_colour.direct_colour(-10) == daylight_colour.direct_colour(0)
    assert daylight_colour.sky_colour([0, -6, 90]) == pytest.approx([10480, 10480, 11660])
    assert daylight_colour.sky_colour(30, 3) == pytest.approx(6500)
    assert np.isnan(daylight_colour.mixed_colour(5000, 0, 6000, 0))


def test_ground_reflectances_are_shares_in_order():
    for low, usual, high in daylight.GROUND_REFLECTANCE_RANGE.values():
        assert 0 < low < usual < high < 1
    assert daylight.ground_illuminance_on_vertical(1000, 0.2) == pytest.approx(100)
    assert np.isnan(daylight.ground_illuminance_on_vertical(1000, 1.2))
