"""Guide numbers, large sources and ratios against standards, tables and numeric integrals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import dblquad

from shootlint.physics import flash


@pytest.mark.parametrize(
    ("gn", "iso", "power", "scaled"),
    # ISO 1230:1992: square root of ISO and of power.
    [(60, 400, 1 / 8, 42.43), (60, 100, 1 / 2, 42.43), (60, 100, 1 / 4, 30), (60, 100, 1 / 16, 15)],
)
def test_guide_number_scales(gn, iso, power, scaled):
    assert 2 * np.log2(scaled / gn) == pytest.approx(
        flash.flash_exposure(gn, 5, 8, iso, power) - flash.flash_exposure(gn, 5, 8), abs=5e-4
    )


def test_guide_number_is_f_number_times_distance():
    assert flash.flash_exposure(60, 5, 12) == pytest.approx(0)
    assert flash.flash_exposure(60, 3, 12) - flash.flash_exposure(60, 4.2, 12) == pytest.approx(0.971, abs=5e-4)
    assert flash.flash_exposure(60, 2, 12) - flash.flash_exposure(60, 3, 12) == pytest.approx(1.170, abs=5e-4)


@pytest.mark.parametrize(
    ("ratio", "excess"),
    # How much too bright the point law is; 1 % at five diameters is IES LS-1 9.1.1 (five-times rule).
    [(0.5, 1.00), (1, 0.25), (1.5, 0.111), (2, 0.0625), (3, 0.0278), (5, 0.0100), (10, 0.0025)],
)
def test_point_law_against_a_disc(ratio, excess):
    assert 1 / flash.disc_factor(1.0, ratio) - 1 == pytest.approx(excess, abs=5e-5 + excess * 1e-3)


@pytest.mark.parametrize(("ratio", "excess"), [(0.5, 1.298), (1, 0.329), (1.5, 0.147), (2, 0.083), (3, 0.037), (5, 0.0133)])
def test_point_law_against_a_square(ratio, excess):
    assert 1 / flash.rectangle_factor(1.0, 1.0, ratio) - 1 == pytest.approx(excess, abs=6e-4)


@pytest.mark.parametrize(
    ("w", "h", "d", "per_luminance"),
    # Illuminance per luminance of a matt rectangle, standard photometry.
    [
        (1, 1, 1, 0.752275),
        (1, 1, 2, 0.230837),
        (0.6, 0.9, 1.5, 0.220993),
        (0.6, 0.9, 3, 0.058730),
        (1.2, 0.8, 2, 0.220993),
    ],
)
def test_rectangle_against_published_values_and_its_integral(w, h, d, per_luminance):
    summed = dblquad(lambda y, x: d * d / (x * x + y * y + d * d) ** 2, -w / 2, w / 2, -h / 2, h / 2)[0]
    assert summed == pytest.approx(per_luminance, abs=1e-6)
    assert flash.rectangle_factor(w, h, d) * w * h / d**2 == pytest.approx(summed, rel=1e-7)


def test_disc_against_its_integral():
    a, d = 0.6, 0.9
    summed = dblquad(lambda r, _: r * d * d / (r * r + d * d) ** 2, 0, 2 * np.pi, 0, a)[0]
    assert flash.disc_factor(2 * a, d) * np.pi * a * a / d**2 == pytest.approx(summed, rel=1e-7)


@pytest.mark.parametrize(("near", "far", "stops"), [(0.6, 1.2, 1.32), (1.2, 2.4, 1.77), (2.4, 4.8, 1.93)])
def test_falloff_of_a_large_disc(near, far, stops):
    # A disc of 1.2 m, worked by hand: less than the point law's two stops.
    lost = [flash.flash_exposure(60, d, 8, area_factor=flash.disc_factor(1.2, d)) for d in (near, far)]
    assert lost[0] - lost[1] == pytest.approx(stops, abs=0.006)


@pytest.mark.parametrize(("sources", "ratio"), [(1, 2), (2, 3), (3, 4), (4, 5), (8, 9)])
def test_two_conventions_of_the_lighting_ratio(sources, ratio):
    # A trade magazine states both methods.
    assert flash.key_to_fill(sources, 1) == pytest.approx(sources)
    assert flash.key_plus_fill_to_fill(sources, 1) == pytest.approx(ratio)


@pytest.mark.parametrize("stops", [-2, -1, 0, 0.5, 1])
def test_the_distance_of_a_stop_more_or_less(stops):
    # The law of the inverse square for a point; for a disc its exact form, light in proportion to 1 / (distance² + radius²).
    assert flash.distance_for_change(stops, 3.0, 0.0, 0.0, True) == pytest.approx(3 / 2 ** (stops / 2))
    squared = (3.0**2 + 0.5**2) / 2**stops - 0.5**2
    assert flash.distance_for_change(stops, 3.0, 1.0, 1.0, True) == pytest.approx(squared**0.5)


def test_the_distance_of_a_stop_less_from_a_rectangle():
    # The configuration factor of a rectangle parallel to the surface that it lights, integrated over its face.
    def light(distance):
        return dblquad(lambda y, x: distance**2 / (x * x + y * y + distance**2) ** 2, -0.45, 0.45, -0.6, 0.6)[0]

    farther = float(flash.distance_for_change(-1.0, 1.5, 0.9, 1.2, False))
    assert light(1.5) / light(farther) == pytest.approx(2, rel=1e-6)


def test_no_distance_from_a_large_face_gives_much_more():
    # At its own surface a face gives π L, and no more anywhere; at its radius a disc gives half of that.
    assert np.isnan(flash.distance_for_change(1.1, 0.5, 1.0, 1.0, True))
    assert flash.distance_for_change(0.9, 0.5, 1.0, 1.0, True) == pytest.approx((0.5 / 2**0.9 - 0.25) ** 0.5)
