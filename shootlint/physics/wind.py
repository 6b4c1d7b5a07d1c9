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

# Lowest mean speed of each force from 1 to 12 [m/s], over 10 minutes at 10 m height (WMO).
BEAUFORT_STARTS: Floats = np.array([0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7])
# Range of each force from 0 to 11 [m/s]; the WMO's own ranges leave gaps of 0.1, this table does not.
BEAUFORT: tuple[tuple[float, float], ...] = tuple(
    zip([0.0, *BEAUFORT_STARTS[:-1].tolist()], BEAUFORT_STARTS.tolist(), strict=True)
)
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

# Roughness length [m] of the logarithmic wind profile by the country upwind (usual classes; woods from memory).
ROUGHNESS_LENGTHS: dict[str, float] = {"water": 0.0002, "open": 0.03, "suburb": 0.3, "woods": 1.0}
OPEN_COUNTRY = ROUGHNESS_LENGTHS["open"]
# Gust of 3 s over the mean of 10 min in units of the turbulence: Harper, Kepert and Ginger, WMO guidelines on wind
# averaging (2008); the round value from memory.
PEAK_FACTOR = 3.0
# Friction of rubber feet on dry ground, 0.3 to 0.5 from memory; the cautious end.
FOOT_FRICTION = 0.3


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
    return only_where((b >= 0) & (b <= len(BEAUFORT_STARTS)), BEAUFORT_SCALE * np.power(np.maximum(b, 0.0), 1.5))


@silent
def beaufort_force(speed: ArrayLike) -> Floats:
    """Beaufort force of a mean wind speed.

    Parameters
    ----------
    speed : array_like [m/s], over 10 minutes at 10 m height

    Returns
    -------
    array [Beaufort], whole numbers 0 to 12

    Exact by the table. Source: WMO, see BEAUFORT_STARTS.
    """
    v = floats(speed)
    return only_where(v >= 0, np.searchsorted(BEAUFORT_STARTS, v, side="right"))


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


@silent
def arm_with_offset(arm: ArrayLike, total_mass: ArrayLike, offset_mass: ArrayLike, offset: ArrayLike) -> Floats:
    """What is left of the arm on the side to which a boom hangs out.

    Parameters
    ----------
    arm : array_like [m], from `lever_arm`
    total_mass : array_like [kg], stand, load and ballast
    offset_mass : array_like [kg], of that what hangs out
    offset : array_like [m], how far

    Returns
    -------
    array [m]; negative when it tips by itself

    Exact.
    """
    a, total, m, x = floats(arm), floats(total_mass), floats(offset_mass), floats(offset)
    return only_where((a >= 0) & (total > 0) & (m >= 0) & (x >= 0), a - m * x / total)


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


@silent
def sliding_speed(
    mass: ArrayLike,
    area: ArrayLike,
    drag: ArrayLike = DRAG_OF_A_PLATE,
    density: ArrayLike = STANDARD_AIR_DENSITY,
    friction: ArrayLike = FOOT_FRICTION,
) -> Floats:
    """Gust that pushes a stand along the ground.

    Parameters
    ----------
    mass : array_like [kg], all that stands on the feet
    area : array_like [m2]
    drag, density, friction : array_like [1], [kg/m3], [1]

    Returns
    -------
    array [m/s]; inf when nothing stands in the wind

    Friction from memory, wet boards far less.
    """
    m, mu = floats(mass), floats(friction)
    push = wind_force(area, 1.0, drag, density)
    grip = only_where((m >= 0) & (mu >= 0), mu * m * STANDARD_GRAVITY)
    return np.where(push == 0.0, only_where(grip >= 0, np.inf), np.sqrt(grip / push))[()]


@silent
def gust_factor(
    roughness_length: ArrayLike = OPEN_COUNTRY, height: ArrayLike = 10.0, peak_factor: ArrayLike = PEAK_FACTOR
) -> Floats:
    """Strongest gust of 3 s over the mean of 10 minutes.

    Parameters
    ----------
    roughness_length : array_like [m], of the country upwind
    height : array_like [m], over the ground
    peak_factor : array_like [1]

    Returns
    -------
    array [1]; nan at or below the roughness length

    Even country; the lee of houses and trees is worse. Source: turbulence 1 / ln(z/z0), peak factor see above.
    """
    z0, z, g = floats(roughness_length), floats(height), floats(peak_factor)
    return only_where((z0 > 0) & (z > z0) & (g >= 0), 1.0 + g / np.log(z / z0))


@silent
def speed_at_height(
    speed: ArrayLike,
    height: ArrayLike,
    roughness_length: ArrayLike = OPEN_COUNTRY,
    reference_height: ArrayLike = 10.0,
) -> Floats:
    """Mean wind at a height, from that of the forecast.

    Parameters
    ----------
    speed : array_like [m/s], mean at the reference height
    height : array_like [m]
    roughness_length : array_like [m], of the country upwind
    reference_height : array_like [m], 10 in forecasts

    Returns
    -------
    array [m/s]; 0 at and below the roughness length

    Even country and moderate wind, within 15 %; not on roofs, shores or between houses. Source: logarithmic profile.
    """
    v, z, z0, reference = floats(speed), floats(height), floats(roughness_length), floats(reference_height)
    profile = np.log(np.maximum(z, z0) / z0) / np.log(reference / z0)
    return only_where((v >= 0) & (z >= 0) & (z0 > 0) & (reference > z0), v * profile)
