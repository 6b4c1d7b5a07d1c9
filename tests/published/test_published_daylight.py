"""Daylight against the coefficients' own table, USNO Circular 171, IES skies, light-meter tables and integrals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import dblquad

from shootlint.physics import daylight
from shootlint.physics.exposure import illuminance_to_ev
from shootlint.physics.sky_condition import CLOUDY, HAZY, OVERCAST


@pytest.mark.parametrize(
    ("altitude", "lux", "ev"),
    [
        # Vallado's table 5-1 worked apart from this program; 3.4 lx at civil dusk and 400 lx at sunset also stand in
        # encyclopaedic tables of illuminance.
        (90, 128_800, 15.65),
        (60, 103_100, 15.33),
        (45, 77_850, 14.93),
        (30, 46_300, 14.18),
        (20, 27_380, 13.42),
        (10, 11_120, 12.12),
        (5, 4538, 10.83),
        (2, 1921, 9.59),
        (0, 758.6, 8.25),
        (-0.833, 453.6, 7.50),
        (-2, 189.4, 6.24),
        (-4, 29.93, 3.58),
        (-5, 10.44, 2.06),
        (-6, 3.412, 0.45),
        (-8, 0.3481, -2.84),
        (-12, 0.008056, -8.28),
        (-18, 0.0006447, -11.92),
    ],
)
def test_clear_sky_polynomial(altitude, lux, ev):
    assert daylight.horizontal_illuminance(altitude) == pytest.approx(lux, rel=1e-3)
    assert illuminance_to_ev(daylight.horizontal_illuminance(altitude)) == pytest.approx(ev, abs=0.006)


def test_floor_of_a_moonless_night():
    # 10^-3.19 lx, as one code that quotes Vallado has it.
    assert daylight.horizontal_illuminance(-40.0) == pytest.approx(10**-3.19, rel=0.02)


def test_joins_of_the_segments():
    # Steps of the published coefficients at the joins [stops]: 0.003, 0.012, -0.004, 0.005, -0.014.
    for join, step in ((20, 0.003), (5, 0.012), (-0.8, -0.004), (-5, 0.005), (-12, -0.014)):
        below, above = daylight.horizontal_illuminance([join - 1e-9, join + 1e-9])
        assert abs(np.log2(above / below)) == pytest.approx(abs(step), abs=0.0015)


@pytest.mark.parametrize(
    ("altitude", "direct", "diffuse"),
    # USNO Circular 171 (1987), closed form, worked apart from this program [lx].
    [
        (60, 90_910, 12_030),
        (30, 43_980, 7278),
        (20, 24_840, 5668),
        (10, 7105, 3975),
        (5, 1253, 2832),
        (2, 62, 1718),
        (0, 0, 757),
        (-6, 0, 3.0),
    ],
)
def test_circular_171(altitude, direct, diffuse):
    sun, sky = daylight.circular_171_illuminance(altitude)
    assert sun == pytest.approx(direct, rel=1e-3, abs=0.5)
    assert sky == pytest.approx(diffuse, rel=1e-3, abs=0.05)
    assert daylight.direct_share(altitude) == pytest.approx(direct / (direct + diffuse), abs=2e-3)


def test_certification_value_of_circular_171():
    # Table A of the circular as reproduced: 123 786 lx with the sun overhead.
    assert sum(daylight.circular_171_illuminance(90.0)) == pytest.approx(123_786, rel=1e-4)


def test_polynomial_and_circular_agree_down_to_ten_degrees_of_twilight():
    altitude = np.linspace(-10, 90, 401)
    stops = np.log2(daylight.horizontal_illuminance(altitude) / sum(daylight.circular_171_illuminance(altitude)))
    assert np.abs(stops).max() < 0.31


@pytest.mark.parametrize(("condition", "stops"), [(HAZY, -1.00), (CLOUDY, -1.58), (OVERCAST, -3.32)])
def test_cloud_divisors(condition, stops):
    # Circular 171, sky conditions 2, 3 and 10.
    loss = np.log2(daylight.horizontal_illuminance(20.0, condition) / daylight.horizontal_illuminance(20.0))
    assert loss == pytest.approx(stops, abs=0.005)


@pytest.mark.parametrize(("altitude", "normal"), [(60, 100.06), (45, 94.77), (30, 83.87), (20, 69.30)])
def test_direct_normal_against_the_ies_clear_sky(altitude, normal):
    # IES, Recommended Practice for the Calculation of Daylight Availability (1984) [klx]; within the half stop stated.
    assert abs(np.log2(daylight.direct_normal_illuminance(altitude) / (normal * 1000))) < 0.5


@pytest.mark.parametrize(("reflectance", "ev"), [(0.0, 11.43), (0.1, 12.10), (0.2, 12.55)])
def test_open_shade(reflectance, ev):
    # ANSI PH2.7: open shade under a clear sky EV 12. Worked with the IES clear sky at 45 degrees, sky 13.83 klx, total
    # 80.85 klx, meter constant 250.
    light = daylight.vertical_sky_share() * 13_830 + daylight.ground_illuminance_on_vertical(80_850, reflectance)
    assert illuminance_to_ev(light) == pytest.approx(ev, abs=0.015)


def test_open_shade_of_our_own_sky():
    sky = daylight.sky_illuminance_horizontal(45.0)
    ground = daylight.ground_illuminance_on_vertical(daylight.horizontal_illuminance(45.0), 0.15)
    assert illuminance_to_ev(0.5 * sky + ground) == pytest.approx(12.0, abs=0.5)


@pytest.mark.parametrize(("condition", "ev"), [(HAZY, 14), (CLOUDY, 13), (OVERCAST, 12)])
def test_typical_light_under_cloud(condition, ev):
    # ANSI PH2.7, typical scenes: hazy sun 14, cloudy bright 13, heavy overcast 12; light on level ground at 50 degrees.
    assert illuminance_to_ev(daylight.horizontal_illuminance(50.0, condition)) == pytest.approx(ev, abs=0.7)


def test_overcast_sky_on_an_upright_plane():
    # CIE overcast sky, zenith three times the horizon: E_v / E_h = 0.3962 by integration.
    def luminance(height):
        return 1 + 2 * np.sin(height)

    upright = dblquad(lambda h, a: luminance(h) * np.cos(h) ** 2 * np.cos(a), -np.pi / 2, np.pi / 2, 0, np.pi / 2)[0]
    level = dblquad(lambda h, a: luminance(h) * np.cos(h) * np.sin(h), 0, 2 * np.pi, 0, np.pi / 2)[0]
    assert daylight.vertical_sky_share(OVERCAST) == pytest.approx(upright / level, abs=5e-5)


@pytest.mark.parametrize(
    ("start", "end", "top", "facing"),
    [
        (0, 360, 30, 10),
        (100, 200, 25, 180),
        (300, 60, 40, 0),
        (350, 20, 80, 90),
        (80, 300, 15, 250),
        (181, 359, 50, 90),
        (100, 460, 90, 3),
        (95, 85, 20, 270),
    ],
)
def test_blocked_sky_against_its_integral(start, end, top, facing):
    turn = np.radians(np.arange(0.005, 360, 0.01) - facing)
    width = 360 if end - start >= 360 else (end - start) % 360
    behind = (np.degrees(turn) + facing - start) % 360 <= width
    across = np.sum(np.maximum(np.cos(turn), 0) * behind) / np.sum(np.maximum(np.cos(turn), 0))
    height = np.radians(np.arange(0.005, 90, 0.01))
    up = np.sum(np.cos(height) ** 2 * (height < np.radians(top))) / np.sum(np.cos(height) ** 2)
    assert daylight.skyline_blocked_share(start, end, top, facing) == pytest.approx(across * up, abs=2e-4)


def test_even_sky_gives_an_upright_plane_half():
    upright = dblquad(lambda h, a: np.cos(h) ** 2 * np.cos(a), -np.pi / 2, np.pi / 2, 0, np.pi / 2)[0]
    assert daylight.vertical_sky_share() == pytest.approx(upright / np.pi)


def test_pvlib_incidence_on_an_upright_plane():
    from pvlib.irradiance import beam_component

    for altitude, bearing, facing in ((20, 100, 130), (45, 250, 180), (5, 10, 340), (30, 0, 180)):
        expected = beam_component(90, facing, 90 - altitude, bearing, 80_000)
        assert daylight.direct_on_plane(80_000, altitude, bearing, facing) == pytest.approx(expected, abs=1e-6)
