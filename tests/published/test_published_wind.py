"""Wind against the WMO's scale, the standard atmosphere, drag tables and worked balances."""

from __future__ import annotations

import numpy as np
import pytest

from shootlint.physics import wind
from shootlint.readings.rigging import USUAL_GUST_FACTOR


@pytest.mark.parametrize(("celsius", "density"), [(15, 1.225), (0, 1.292), (30, 1.164)])
def test_air_density(celsius, density):
    # ISO 2533 standard atmosphere.
    assert wind.air_density(273.15 + celsius) == pytest.approx(density, abs=0.001)


# WMO Beaufort scale: range of the force [m/s] and 0.836 B^1.5.
BEAUFORT = [
    (0, 0.0, 0.2, 0.0),
    (1, 0.3, 1.5, 0.836),
    (2, 1.6, 3.3, 2.365),
    (3, 3.4, 5.4, 4.344),
    (4, 5.5, 7.9, 6.688),
    (5, 8.0, 10.7, 9.347),
    (6, 10.8, 13.8, 12.287),
    (7, 13.9, 17.1, 15.483),
    (8, 17.2, 20.7, 18.917),
]


@pytest.mark.parametrize(("force", "lowest", "highest", "middle"), BEAUFORT)
def test_beaufort_scale(force, lowest, highest, middle):
    assert wind.beaufort_speed(force) == pytest.approx(middle, abs=5e-4)
    assert lowest <= wind.beaufort_speed(force) <= highest


@pytest.mark.parametrize(
    ("area", "speed", "newtons"),
    # Square plate, drag coefficient 1.17 of a handbook's table, sea level; 15.3 Pa at 5 m/s.
    [(1.0, 5, 17.9), (1.0, 8, 45.9), (1.0, 10.7, 82.1), (0.54, 8, 24.8)],
)
def test_push_on_a_plate(area, speed, newtons):
    assert wind.wind_force(area, speed) == pytest.approx(newtons, abs=0.06)


@pytest.mark.parametrize(("shape", "coefficient"), [("plate", 1.17), ("strip", 1.98), ("umbrella", 1.42)])
def test_drag_coefficients(shape, coefficient):
    # Handbook's table: square plate, long plate, half sphere open to the wind.
    assert wind.DRAG_COEFFICIENTS[shape] == coefficient


@pytest.mark.parametrize(("legs", "share"), [(3, 0.500), (4, 0.707), (5, 0.809)])
def test_lever_arm(legs, share):
    assert wind.lever_arm(1.0, legs) == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize(
    ("mass", "radius", "area", "height", "speed"),
    # Worked balances, three legs, plate.
    [
        (8, 0.5, 1.0, 2.5, 3.31),
        (18, 0.5, 1.0, 2.5, 4.96),
        (8, 0.5, 0.54, 2.5, 4.50),
        (18, 0.5, 0.54, 2.5, 6.75),
        (6, 0.45, 1.13, 2.2, 2.73),
    ],
)
def test_tipping_speed(mass, radius, area, height, speed):
    assert wind.tipping_speed(mass, wind.lever_arm(radius), area, height) == pytest.approx(speed, abs=0.01)


@pytest.mark.parametrize(
    ("area", "mean", "ballast"),
    # Worked balances: gust 1.5 times the mean, safety 1.5, stand of 8 kg on 0.5 m legs at 2.5 m.
    [
        (1.0, 2, 1.9),
        (1.0, 3, 14.2),
        (1.0, 4, 31.5),
        (1.0, 5, 53.7),
        (0.54, 2, 0),
        (0.54, 3, 4.0),
        (0.54, 4, 13.3),
        (0.54, 5, 25.3),
    ],
)
def test_ballast(area, mean, ballast):
    assert wind.ballast_needed(1.5 * mean, 1.5, 8, wind.lever_arm(0.5), area, 2.5) == pytest.approx(ballast, abs=0.1)


def test_the_usual_gust_in_open_country():
    # Gust of 3 s over the mean of 10 min: 1 + 3 turbulence 1 / ln(z / z0) at 10 m over open country, z0 0.03 m (usual class of
    # the logarithmic profile); peak factor of Harper, Kepert and Ginger, WMO guidelines (2008), the round value from memory.
    assert pytest.approx(1 + 3 / np.log(10 / 0.03), abs=0.02) == USUAL_GUST_FACTOR
