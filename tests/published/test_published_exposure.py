"""Exposure values, meter constants, marked scales, shutters and flash tails against published tables."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from shootlint.physics import exposure, shutter


@pytest.mark.parametrize(
    ("n", "t", "iso", "ev"),
    [
        # ASA PH2.5-1960 (APEX), as reproduced in the Exif standard; exact stops.
        (1, 1, 100, 0),
        (16, 1 / 128, 100, 15),
        (16, 1 / 125, 100, 14.966),
        (8, 1 / 60, 100, 11.907),
        (8, 1 / 60, 400, 9.907),
        # Sunny sixteen at ISO 100, 1/100 s: 14.644, not 15.
        (16, 1 / 100, 100, 14.644),
    ],
)
def test_exposure_values(n, t, iso, ev):
    assert exposure.exposure_value(n, t, iso) == pytest.approx(ev, abs=5e-4)


@pytest.mark.parametrize(
    ("ev", "luminance", "flat", "dome"),
    # Encyclopaedic table of exposure values (K 12.5, C 250), dome column with C 330.
    [(0, 0.125, 2.5, 3.3), (5, 4, 80, 105.6), (10, 128, 2560, 3379), (12, 512, 10240, 13517), (15, 4096, 81920, 108134)],
)
def test_light_at_an_exposure_value(ev, luminance, flat, dome):
    assert exposure.ev_to_illuminance(ev) == pytest.approx(flat)
    assert exposure.ev_to_illuminance(ev, 330) == pytest.approx(dome, rel=2e-4)
    assert exposure.luminance_to_ev(luminance) == pytest.approx(ev)


@pytest.mark.parametrize(
    ("lux", "flat", "dome"),
    # ISO 2720:1974, E S / C = N^2 / t, worked by hand.
    [(10, 2.00, 1.60), (100, 5.32, 4.92), (400, 7.32, 6.92), (1000, 8.64, 8.24), (10_000, 11.97, 11.57), (1e5, 15.29, 14.89)],
)
def test_exposure_value_of_a_light(lux, flat, dome):
    assert exposure.illuminance_to_ev(lux) == pytest.approx(flat, abs=0.005)
    assert exposure.illuminance_to_ev(lux, 330) == pytest.approx(dome, abs=0.005)


def test_reflectance_implied_by_the_two_constants():
    # pi K / C: 15.7 % for 12.5 and 250 (not 18 %).
    assert np.pi * exposure.REFLECTED_CONSTANT / exposure.INCIDENT_CONSTANT_FLAT == pytest.approx(0.157, abs=5e-4)


@pytest.mark.parametrize(
    ("marked", "exact", "worst", "stops"),
    [
        # ISO 517, ISO 516 and ISO 12232 scales; worst rounding of the marks, in stops.
        (exposure.MARKED_F_NUMBERS, exposure.EXACT_F_NUMBERS, 0.141, 2.0),
        (exposure.MARKED_EXPOSURE_TIMES, exposure.EXACT_EXPOSURE_TIMES, 0.093, 1.0),
        (exposure.MARKED_ISO, exposure.EXACT_ISO, 0.023, 1.0),
    ],
)
def test_marks_lie_near_the_powers_of_two(marked, exact, worst, stops):
    assert np.abs(stops * np.log2(marked / exact)).max() == pytest.approx(worst, abs=0.001)
    assert (np.diff(marked) > 0).all()


@pytest.mark.parametrize(
    ("marked", "exact"), [(1.2, 2 ** (1 / 3)), (5.6, 2**2.5), (11, 2**3.5), (22, 2**4.5), (8, 8), (1.7, 1.7), (3.4, 3.4)]
)
def test_exact_f_numbers(marked, exact):
    # ISO 517: powers of the square root of two and its thirds; 1.7 is no third-stop mark.
    assert exposure.exact_f_number(marked) == pytest.approx(exact)


@pytest.mark.parametrize(("part", "exact"), [(60, 64), (125, 128), (250, 256), (1000, 1024), (30, 32), (8000, 8192), (180, 180)])
def test_exact_times(part, exact):
    # ISO 516: powers of two; 1/180 s is the sync time of some shutters and no third-stop mark.
    assert exposure.exact_exposure_time(1 / part) == pytest.approx(1 / exact)


def test_marks_of_a_range():
    # The third-stop marks on any lens barrel.
    np.testing.assert_allclose(exposure.third_stops_between(4, 8, exposure.MARKED_F_NUMBERS), [4, 4.5, 5, 5.6, 6.3, 7.1, 8])
    np.testing.assert_allclose(exposure.nearest_marked([6.906, 1.4, 99, 0.2], exposure.MARKED_F_NUMBERS), [7.1, 1.4, 32, 1])


@pytest.mark.parametrize(
    ("part", "curtain", "share"),
    # Slit of a focal-plane shutter with 1/250 s sync, worked by hand.
    [(250, 1.0, 1.0), (320, 1.0, 0.781), (500, 1.0, 0.5), (1000, 1.0, 0.25), (320, 0.8, 0.977), (60, 1.0, 1.0)],
)
def test_share_of_the_frame_open_at_the_flash(part, curtain, share):
    assert shutter.open_share_at_flash(1 / part, 1 / 250, curtain) == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize(("part", "stops"), [(500, 1.58), (1000, 2.32), (2000, 3.17), (4000, 4.09)])
def test_high_speed_sync_of_an_even_pulse(part, stops):
    # Even pulse over travel plus exposure; trade texts say about two stops at the first step.
    assert shutter.high_speed_sync_loss(1 / part, 1 / 250) == pytest.approx(stops, abs=0.006)


@pytest.mark.parametrize(("t01", "time", "share"), [(300, 250, 0.937), (300, 500, 0.749), (800, 500, 0.975)])
def test_captured_share_of_a_flash_against_its_integral(t01, time, share):
    # ISO 2827:1988 t0.1; exponential tail integrated numerically.
    def light(t):
        return 10 ** (-t * t01)

    integral = quad(light, 0, 1 / time)[0] / quad(light, 0, 20 / t01)[0]
    assert shutter.captured_flash_share(1 / time, 1 / t01) == pytest.approx(integral, rel=1e-6)
    assert integral == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize(
    ("second", "total"),
    # Worked by hand, log2(1 + 2^d): a second light so many stops from the first.
    [(-4, 0.087), (-3, 0.170), (-2, 0.322), (-1, 0.585), (0, 1.0), (1, 1.585), (2, 2.322)],
)
def test_adding_two_lights(second, total):
    assert exposure.add_stops([0, second]) == pytest.approx(total, abs=5e-4)
