"""How much of a flash the shutter lets through.

Answers outside the domain: nan in, nan out; times below zero give nan.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Time above 10 % of the peak over the decay constant of an exponential flash tail.
TENTH_PEAK_DECAYS = math.log(10.0)


@silent
def open_share_at_flash(exposure_time: ArrayLike, sync_time: ArrayLike, curtain_share: ArrayLike = 1.0) -> Floats:
    """Share of the frame that a focal-plane shutter bares at once, hence that a short flash can light.

    Parameters
    ----------
    exposure_time : array_like [s]
    sync_time : array_like [s], shortest time the maker gives for flash
    curtain_share : array_like [1], curtain's travel as a share of the sync time; 1 is the cautious choice

    Returns
    -------
    array [1], 1 at the sync time and longer

    Geometry of the slit; leaf shutters have no such limit. Many curtains need only 0.8 of the sync time (common
    practice), which moves the answer at a third stop beyond it from 0.78 to 0.98.
    """
    t, travel = floats(exposure_time), floats(sync_time) * floats(curtain_share)
    return only_where((t >= 0) & (travel > 0), np.minimum(1.0, t / travel))


@silent
def high_speed_sync_loss(exposure_time: ArrayLike, travel_time: ArrayLike) -> Floats:
    """Light lost when the flash is drawn out over the whole run of the slit.

    Parameters
    ----------
    exposure_time : array_like [s]
    travel_time : array_like [s], of one curtain across the frame

    Returns
    -------
    array [stops], zero or more; inf for an exposure of zero, nan where the curtain takes none either

    The ideal, an even pulse exactly as long as the run. Practice speaks of about two stops at the first step beyond
    sync and one stop for each halving after (common practice), so units lose 0.5 to 1 stop more than this.
    """
    t, travel = floats(exposure_time), floats(travel_time)
    return only_where((t >= 0) & (travel >= 0), np.log2(1.0 + travel / t))


@silent
def captured_flash_share(exposure_time: ArrayLike, duration_t01: ArrayLike) -> Floats:
    """Share of a flash's light that falls before the shutter closes.

    Parameters
    ----------
    exposure_time : array_like [s], counted from the start of the flash
    duration_t01 : array_like [s], time above a tenth of the peak

    Returns
    -------
    array [1]; 1 for a flash of no duration, nan where the exposure has none either

    For a flash that decays exponentially from its start; units that cut the tail off capture more. Source: t0.1 as in
    ISO 2827:1988 (definition as quoted), the tail's shape being the usual model.
    """
    t, t01 = floats(exposure_time), floats(duration_t01)
    return only_where((t >= 0) & (t01 >= 0), -np.expm1(-TENTH_PEAK_DECAYS * t / t01))


@silent
def captured_flash_stops(exposure_time: ArrayLike, duration_t01: ArrayLike) -> Floats:
    """The same as `captured_flash_share`, in stops.

    Parameters
    ----------
    exposure_time : array_like [s], counted from the start of the flash
    duration_t01 : array_like [s], time above a tenth of the peak

    Returns
    -------
    array [stops], zero or less; -inf for an exposure of zero

    Range and source: as for `captured_flash_share`.
    """
    return np.log2(captured_flash_share(exposure_time, duration_t01))
