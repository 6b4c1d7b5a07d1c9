"""Mireds and chromaticities against published values and the colour-science library."""

from __future__ import annotations

import numpy as np
import pytest

from shootlint.physics import colour, daylight_colour


@pytest.fixture(scope="module")
def colour_science():
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour as library
    return library


@pytest.mark.parametrize(
    ("kelvin", "mireds"),
    [(3200, 312.50), (5500, 181.82), (5600, 178.57), (5700, 175.44), (6500, 153.85), (8000, 125.00), (10_000, 100.00)],
)
def test_mireds(kelvin, mireds):
    # Priest (1932): a million over the kelvins.
    assert colour.mired(kelvin) == pytest.approx(mireds, abs=0.005)


@pytest.mark.parametrize(
    ("start", "shift", "end"),
    [
        # A stage-lighting glossary's CTB grades: 3200 to 5700, 4300, 3600 and 3300 K; filter makers' CTO shifts.
        (3200, -137.06, 5700),
        (3200, -79.9, 4300),
        (3200, -34.7, 3600),
        (3200, -9.5, 3300),
        (5500, 130.68, 3200),
        (6500, 158.65, 3200),
        (5500, 159, 2934),
        (5600, 167, 2894),
        (5500, 64, 4068),
        (5600, 20, 5036),
    ],
)
def test_gel_shifts(start, shift, end):
    assert colour.shifted_temperature(start, shift) == pytest.approx(end, abs=1)
    assert colour.mired(end) - colour.mired(start) == pytest.approx(shift, abs=0.12)


@pytest.mark.parametrize(
    ("kelvin", "x", "y", "u", "v"),
    [
        # CIE 15 D illuminants at their true temperatures (x, y to 1e-4 of the tables).
        (5003, 0.34566, 0.35860, 0.20911, 0.48812),
        (5503, 0.33243, 0.34754, 0.20439, 0.48080),
        (6504, 0.31272, 0.32913, 0.19780, 0.46839),
        (7504, 0.29904, 0.31497, 0.19351, 0.45858),
    ],
)
def test_daylight_illuminants(kelvin, x, y, u, v):
    chromaticity = colour.daylight_chromaticity(kelvin)
    np.testing.assert_allclose(chromaticity, (x, y), atol=2e-5)
    np.testing.assert_allclose(colour.chromaticity_to_uv_prime(*chromaticity), (u, v), atol=2e-5)


@pytest.mark.parametrize(
    ("kelvin", "x", "y"), [(2500, 0.47700, 0.41368), (3200, 0.42336, 0.39895), (5500, 0.33244, 0.34104), (2855.5, 0.4476, 0.4074)]
)
def test_planckian_values(kelvin, x, y):
    # 1931 observer; the last is CIE illuminant A.
    np.testing.assert_allclose(colour.planckian_chromaticity(kelvin), (x, y), atol=4e-4)


def test_daylight_locus_against_the_library(colour_science):
    kelvin = np.linspace(4000, 25_000, 200)
    ours = np.transpose(colour.daylight_chromaticity(kelvin))
    np.testing.assert_allclose(ours, colour_science.temperature.CCT_to_xy_CIE_D(kelvin), atol=1e-9)


def test_planckian_locus_against_planck_and_the_library(colour_science):
    kelvin = np.geomspace(1000, 15_000, 40)
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    metres = observer.wavelengths * 1e-9
    spectra = metres**-5.0 / np.expm1(1.4388e-2 / (metres * kelvin[:, None]))
    sums = spectra @ observer.values
    exact = sums[:, :2] / sums.sum(axis=1, keepdims=True)
    assert np.abs(np.transpose(colour.planckian_chromaticity(kelvin)) - exact).max() < 4e-4


def test_even_chromaticity_against_the_library(colour_science):
    pairs = np.random.default_rng(3).uniform(0.2, 0.5, (50, 2))
    ours = np.transpose(colour.chromaticity_to_uv_prime(pairs[:, 0], pairs[:, 1]))
    np.testing.assert_allclose(ours, colour_science.xy_to_Luv_uv(pairs), rtol=1e-12)


@pytest.mark.parametrize(
    ("first", "second", "mireds", "distance"),
    # Worked with the library's loci.
    [(5600, 7500, -45.2, 0.0232), (5600, 10_000, -78.6, 0.0408), (5600, 4000, 71.4, 0.0324), (3200, 5600, -133.9, 0.0554)],
)
def test_mixed_pairs(first, second, mireds, distance):
    assert colour.mired(second) - colour.mired(first) == pytest.approx(mireds, abs=0.06)
    assert colour.uv_prime_difference(first, second) == pytest.approx(distance, abs=3e-4)


@pytest.mark.parametrize(
    ("kelvin", "distance"), [(2500, 0.00347), (3200, 0.00376), (5500, 0.00489), (6500, 0.00515), (10_000, 0.00532)]
)
def test_ten_mireds_in_even_chromaticity(kelvin, distance):
    # Planck's locus below 4000 K, the daylight locus above, worked with the library.
    warmer, cooler = colour.shifted_temperature(kelvin, [5, -5])
    assert colour.uv_prime_difference(warmer, cooler) == pytest.approx(distance, rel=0.02)


@pytest.mark.parametrize(
    ("altitude", "direct", "sky"), [(60, 5320, 11660), (30, 4950, 10970), (10, 3850, 10160), (4, 2730, 10480)]
)
def test_colour_of_sun_and_sky(altitude, direct, sky):
    # Bird and Riordan (1986) spectra, temperatures by Ohno (2013).
    assert daylight_colour.direct_colour(altitude) == pytest.approx(direct)
    assert daylight_colour.sky_colour(altitude) == pytest.approx(sky)


def test_mixture_against_the_sum_of_two_spectra(colour_science):
    # Two black bodies of equal light: the temperature nearest to the sum's chromaticity, against the mean in mired.
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    metres = observer.wavelengths * 1e-9
    total = np.zeros(3)
    for kelvin in (3200.0, 5600.0):
        tristimulus = (metres**-5.0 / np.expm1(1.4388e-2 / (metres * kelvin))) @ observer.values
        total += tristimulus / tristimulus[1]
    kelvin = np.linspace(3200, 5600, 4801)
    locus = np.array(colour.chromaticity_to_uv_prime(*colour.planckian_chromaticity(kelvin)))
    mixed = np.array(colour.chromaticity_to_uv_prime(total[0] / total.sum(), total[1] / total.sum()))
    nearest = kelvin[np.argmin(np.square((locus - mixed[:, None]) * [[1.0], [2 / 3]]).sum(axis=0))]
    assert colour.mired(daylight_colour.mixed_colour(3200, 1, 5600, 1)) == pytest.approx(colour.mired(nearest), abs=10)
