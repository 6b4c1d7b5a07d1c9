"""The sun against the NREL algorithm, an ephemeris, a textbook example and another library."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from shootlint.physics import daylight, sun


def seconds(*clock):
    return datetime(*clock, tzinfo=UTC).timestamp()


@pytest.fixture(scope="module")
def spa():
    """NREL SPA as pvlib has it: geometric and apparent altitude and bearing of many places and times at once."""
    from pvlib import spa as library

    def position(clock, latitude, longitude):
        year = 1970 + clock / 31_556_952
        delta_t = library.calculate_deltat(np.floor(year), (year % 1 * 12 + 1).astype(int))
        answer = library.solar_position_numpy(clock, latitude, longitude, 0.0, 1010.0, 10.0, delta_t, 0.5667, 1)
        return answer[3], answer[2], answer[4]

    return position


@pytest.fixture(scope="module")
def places():
    random = np.random.default_rng(20)
    clock = np.floor(random.uniform(seconds(1900, 1, 1), seconds(2100, 12, 31), 4000))
    return clock, np.degrees(np.arcsin(random.uniform(-1, 1, 4000))), random.uniform(-180, 180, 4000)


def test_position_within_a_hundredth_of_a_degree_of_spa(spa, places):
    # Reda and Andreas, NREL/TP-560-34302, 1900 to 2100, the whole globe. The documented bounds are tested.
    altitude, _, bearing = spa(*places)
    ours, turned = sun.sun_position(*places)
    error = np.abs(ours - altitude)
    assert error.max() < 0.0100
    assert np.sqrt(np.mean(error**2)) < 0.0030
    assert (sun.separation_of_bearings(turned, bearing) * np.cos(np.radians(altitude))).max() < 0.0100


def test_apparent_altitude_of_spa(spa, places):
    altitude, apparent, _ = spa(*places)
    edge = np.abs(altitude - sun.SUNRISE_ALTITUDE) < 0.02
    np.testing.assert_allclose(sun.apparent_altitude(altitude)[~edge], apparent[~edge], atol=1e-6)


def test_nrel_example():
    # NREL/TP-560-34302, appendix: Golden, Colorado, 2003-10-17 12:30:30 at UTC-7; zenith 50.11162, azimuth 194.34024.
    clock = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7))).timestamp()
    altitude, bearing = sun.sun_position(clock, 39.742476, -105.1786)
    assert 90 - altitude == pytest.approx(50.127954, abs=0.01)
    assert bearing == pytest.approx(194.34024, abs=0.015)
    lifted = altitude + sun.refraction(altitude, 82_000.0, 284.0)
    assert 90 - lifted == pytest.approx(50.11162, abs=0.01)


def test_textbook_example():
    # Meeus, Astronomical Algorithms, example 25 (from memory; an ephemeris gives 198.378134, -7.783811):
    # 1992-10-13 0h dynamical time, right ascension 198.378 deg, declination -7.7838 deg.
    ascension, declination, _ = sun.sun_equatorial(seconds(1992, 10, 13) - 59.0)
    assert ascension == pytest.approx(198.378134, abs=0.004)
    assert declination == pytest.approx(-7.783811, abs=0.003)


# Sunsets and civil dusks computed by NREL SPA and by an ephemeris (JPL DE421), agreeing to 1 s; UTC.
EVENINGS = [
    (51.507, -0.128, (2024, 6, 1, 20, 8, 47), (2024, 6, 1, 20, 54, 29)),
    (40.713, -74.006, (2024, 10, 12, 22, 19, 28), (2024, 10, 12, 22, 46, 57)),
    (34.052, -118.244, (2025, 6, 22, 3, 7, 42), (2025, 6, 22, 3, 36, 57)),
    (-33.869, 151.209, (2024, 1, 20, 9, 7, 34), (2024, 1, 20, 9, 35, 33)),
    (1.352, 103.82, (2025, 7, 4, 11, 15, 6), (2025, 7, 4, 11, 37, 33)),
    (69.649, 18.956, (2025, 2, 1, 13, 33, 50), (2025, 2, 1, 14, 56, 16)),
]


def descent(clock, latitude, longitude, target):
    span = clock + np.arange(-300.0, 301.0)
    altitude, _ = sun.sun_position(span, latitude, longitude)
    return float(np.interp(-target, -altitude, span))


@pytest.mark.parametrize(("latitude", "longitude", "sunset", "dusk"), EVENINGS)
def test_sunset_and_civil_dusk(latitude, longitude, sunset, dusk):
    for moment, target in ((sunset, sun.SUNRISE_ALTITUDE), (dusk, sun.CIVIL_TWILIGHT_ALTITUDE)):
        assert descent(seconds(*moment), latitude, longitude, target) == pytest.approx(seconds(*moment), abs=6)


def test_almanac_sunrise():
    # USNO Almanac for Computers (1990), Wayne NJ, 25 June 1990: sunrise 5:26 EDT (from memory).
    clock = seconds(1990, 6, 25, 9, 26, 30)
    span = clock + np.arange(-300.0, 301.0)
    altitude, _ = sun.sun_position(span, 40.9, -74.3)
    assert np.interp(sun.SUNRISE_ALTITUDE, altitude, span) == pytest.approx(clock, abs=6)


def test_against_astral():
    # astral 3.2, unrefracted: its own documented class is 0.015 deg over random places, 2000 to 2050.
    from astral import Observer
    from astral.sun import azimuth, elevation

    random = np.random.default_rng(5)
    for _ in range(60):
        latitude, longitude = random.uniform(-79, 79), random.uniform(-180, 180)
        moment = datetime(2000, 1, 1, tzinfo=UTC) + timedelta(days=random.uniform(0, 365 * 50))
        altitude, bearing = sun.sun_position(moment.timestamp(), latitude, longitude)
        observer = Observer(latitude, longitude)
        assert altitude == pytest.approx(elevation(observer, moment, with_refraction=False), abs=0.025)
        turn = sun.separation_of_bearings(bearing, azimuth(observer, moment))
        assert turn * np.cos(np.radians(altitude)) < 0.025


def test_pvlib_sun_on_an_upright_plane():
    from pvlib.irradiance import aoi_projection

    random = np.random.default_rng(8)
    facing, zenith, bearing = random.uniform(0, [[360], [90], [360]], (3, 50))
    expected = np.maximum(aoi_projection(90, facing, zenith, bearing), 0.0)
    np.testing.assert_allclose(daylight.direct_on_plane(1.0, 90 - zenith, bearing, facing), expected, atol=1e-9)


@pytest.mark.parametrize("year", [*range(1900, 2001, 10), 1935, 1944, 1958, 1971, 1988])
def test_the_earths_clock_runs_behind_as_the_published_polynomials_say(year):
    """Espenak and Meeus, polynomials for delta T (NASA's eclipse pages), from memory. Between the table's decades a straight
    line is up to two seconds off, by which the sun moves less than a hundred-thousandth of a turn."""
    t = year - 1900
    if year < 1920:
        told = -2.79 + 1.494119 * t - 0.0598939 * t**2 + 0.0061966 * t**3 - 0.000197 * t**4
    elif year < 1941:
        t = year - 1920
        told = 21.20 + 0.84493 * t - 0.076100 * t**2 + 0.0020936 * t**3
    elif year < 1961:
        t = year - 1950
        told = 29.07 + 0.407 * t - t**2 / 233 + t**3 / 2547
    elif year < 1986:
        t = year - 1975
        told = 45.45 + 1.067 * t - t**2 / 260 - t**3 / 718
    else:
        t = year - 2000
        told = 63.86 + 0.3345 * t - 0.060374 * t**2 + 0.0017275 * t**3 + 0.000651814 * t**4 + 0.00002373599 * t**5
    assert np.interp(year, sun._DELTA_T_YEARS, sun._DELTA_T) == pytest.approx(told, abs=0.4 if year % 10 == 0 else 2.0)
