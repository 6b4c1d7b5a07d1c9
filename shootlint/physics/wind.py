"""Wind on light stands: load, tipping, ballast.

No published wind limit for light stands was found, so none is given here. What is computed is the balance of a stiff
stand on level, firm ground; legs bend, ground yields, gusts turn and swing the load. The maker's documentation and
the competent persons on the place rule, always.

Answers outside the domain: nan in, nan out; negative speeds, areas, lengths and masses give nan.

Source of the balance: statics; of the load: the definition of the drag coefficient.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

STANDARD_GRAVITY = 9.80665
# Dry air: gas constant [J/(kg K)], pressure [Pa] and density [kg/m3] at 15 degrees C of the ISO standard atmosphere.
GAS_CONSTANT_OF_AIR = 287.05
STANDARD_PRESSURE = 101_325.0
STANDARD_AIR_DENSITY = 1.225

STRONGEST_FORCE = 12
BEAUFORT_SCALE = 0.836

# Drag coefficient by the shape of what stands in the wind. Plate and cup: a handbook's table (square plate 1.17, long
# plate 1.98, half sphere open to the wind 1.42). A softbox is a deep box, 1.2 to 1.4; the rest are taken from the
# nearest of these shapes (common practice); bare heads and poles as cylinders, 1.2 (from memory).
DRAG_COEFFICIENTS: dict[str, float] = {
    "plate": 1.17,
    "reflector": 1.17,
    "strip": 1.98,
    "softbox": 1.30,
    "octagon": 1.30,
    "umbrella": 1.42,
    "dish": 1.42,
    "lantern": 0.50,
    "bare": 1.20,
}
DRAG_OF_A_PLATE = DRAG_COEFFICIENTS["plate"]
DRAG_OF_A_POLE = 1.20


@silent
def air_density(temperature: ArrayLike, pressure: ArrayLike = STANDARD_PRESSURE) -> Floats:
    """Density of dry air.

    Parameters
    ----------
    temperature : array_like [K]
    pressure : array_like [Pa]

    Returns
    -------
    array [kg/m3]

    Within 1 %; damp air is up to 1 % lighter. Source: law of ideal gases, ISO 2533.
    """
    t, p = floats(temperature), floats(pressure)
    return only_where((t > 0) & (p >= 0), p / (GAS_CONSTANT_OF_AIR * t))


@silent
def beaufort_speed(force: ArrayLike) -> Floats:
    """Mean wind speed at the middle of a Beaufort force.

    Parameters
    ----------
    force : array_like [Beaufort], fractions allowed

    Returns
    -------
    array [m/s], over 10 minutes at 10 m height; nan beyond force 12

    Within half a force, which is 1 to 2 m/s. Source: 0.836 times the force to the power 1.5, the customary relation.
    """
    b = floats(force)
    return only_where((b >= 0) & (b <= STRONGEST_FORCE), BEAUFORT_SCALE * np.power(np.maximum(b, 0.0), 1.5))


@silent
def wind_force(
    area: ArrayLike,
    speed: ArrayLike,
    drag: ArrayLike = DRAG_OF_A_PLATE,
    density: ArrayLike = STANDARD_AIR_DENSITY,
) -> Floats:
    """Push of the wind on an area square to it.

    Parameters
    ----------
    area : array_like [m2]
    speed : array_like [m/s], of the gust, not of the mean
    drag : array_like [1]
    density : array_like [kg/m3]

    Returns
    -------
    array [N]

    Drag coefficients of modifiers are unmeasured: 15 % either way.
    """
    a, v, c, rho = floats(area), floats(speed), floats(drag), floats(density)
    return only_where((a >= 0) & (v >= 0) & (c >= 0) & (rho >= 0), 0.5 * rho * c * a * v * v)


@silent
def lever_arm(leg_radius: ArrayLike, legs: ArrayLike = 3) -> Floats:
    """Distance from the column to the line between two feet, over which a stand tips in the worst wind.

    Parameters
    ----------
    leg_radius : array_like [m], column to foot
    legs : array_like [1], three or more, evenly spread

    Returns
    -------
    array [m]: half the radius for three legs

    Exact.
    """
    r, n = floats(leg_radius), floats(legs)
    return only_where((r >= 0) & (n >= 3), r * np.cos(np.pi / n))


def _moment_per_speed_squared(
    area: ArrayLike,
    height: ArrayLike,
    drag: ArrayLike,
    density: ArrayLike,
    stand_area: ArrayLike,
    stand_height: ArrayLike,
) -> Floats:
    a, h, c, rho = floats(area), floats(height), floats(drag), floats(density)
    sa, sh = floats(stand_area), floats(stand_height)
    fits = (a >= 0) & (h >= 0) & (c >= 0) & (rho >= 0) & (sa >= 0) & (sh >= 0)
    return only_where(fits, 0.5 * rho * (c * a * h + DRAG_OF_A_POLE * sa * sh))


@silent
def tipping_speed(
    mass: ArrayLike,
    arm: ArrayLike,
    area: ArrayLike,
    height: ArrayLike,
    drag: ArrayLike = DRAG_OF_A_PLATE,
    density: ArrayLike = STANDARD_AIR_DENSITY,
    stand_area: ArrayLike = 0.0,
    stand_height: ArrayLike = 0.0,
) -> Floats:
    """Gust that lifts the windward feet of a stand.

    Parameters
    ----------
    mass : array_like [kg], stand, load and ballast that the stand carries
    arm : array_like [m], from `lever_arm`
    area : array_like [m2], of the load
    height : array_like [m], of the load's middle
    drag : array_like [1], of the load
    density : array_like [kg/m3]
    stand_area, stand_height : array_like [m2], [m]: side area of the stand's own column and its middle's height

    Returns
    -------
    array [m/s], of a gust at the load; inf when nothing stands in the wind

    Statics of a stiff stand, so an upper bound: real stands go earlier. A bag that rests on the ground is no ballast.
    No published wind limit for light stands was found: the maker's documentation and competent persons rule.
    """
    m, a = floats(mass), floats(arm)
    moment = _moment_per_speed_squared(area, height, drag, density, stand_area, stand_height)
    holding = only_where((m >= 0) & (a >= 0), m * STANDARD_GRAVITY * a)
    return np.where(moment == 0.0, only_where(holding >= 0, np.inf), np.sqrt(holding / moment))[()]


@silent
def ballast_needed(
    gust: ArrayLike,
    safety_factor: ArrayLike,
    mass: ArrayLike,
    arm: ArrayLike,
    area: ArrayLike,
    height: ArrayLike,
    drag: ArrayLike = DRAG_OF_A_PLATE,
    density: ArrayLike = STANDARD_AIR_DENSITY,
    stand_area: ArrayLike = 0.0,
    stand_height: ArrayLike = 0.0,
) -> Floats:
    """Mass to hang on a stand so that it stands in a gust with something to spare.

    Parameters
    ----------
    gust : array_like [m/s], at the load
    safety_factor : array_like [1], holding moment over tipping moment; 1.5 and more is common practice
    mass : array_like [kg], stand and load without ballast
    arm, area, height, drag, density, stand_area, stand_height : as for `tipping_speed`

    Returns
    -------
    array [kg], zero or more; inf for an arm of zero under load

    As for `tipping_speed`; the stand must also bear the ballast, which few can beyond 20 kg (common practice). No
    published wind limit for light stands was found: the maker's documentation and competent persons rule.
    """
    v, safe, m, a = floats(gust), floats(safety_factor), floats(mass), floats(arm)
    moment = _moment_per_speed_squared(area, height, drag, density, stand_area, stand_height) * v * v
    needed = np.where(moment == 0.0, 0.0, safe * moment / (STANDARD_GRAVITY * a))
    return only_where((v >= 0) & (safe >= 0) & (m >= 0) & (a >= 0), np.maximum(needed - m, 0.0))
