"""How many pictures it takes until everybody's eyes are open in one."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

BLINKS_PER_SECOND = 10.0 / 60.0
"""Spontaneous blinks of people who wait to be photographed: 10 a minute, Svenson & Barnes (CSIRO 2006), from memory."""

BLINK_LASTS = 0.25
"""Seconds during which a blink spoils a picture, Svenson & Barnes (CSIRO 2006), from memory."""


@silent
def all_open_chance(people: ArrayLike, exposure_time: ArrayLike = 0.0) -> Floats:
    """Chance that nobody blinks in one picture.

    Parameters
    ----------
    people : array_like [1]
    exposure_time : array_like [s], added to the blink, since either spoils the other

    Returns
    -------
    array [1], 0 to 1; nan for fewer than no people

    (1 - blinks a second times the seconds that each spoils) to the power of the number of people: blinks are taken as
    independent and unannounced. A flash that makes people blink, a countdown or a joke changes that.
    Source: Svenson & Barnes, CSIRO (2006).
    """
    n, t = floats(people), floats(exposure_time)
    spoiled = np.clip(BLINKS_PER_SECOND * (BLINK_LASTS + t), 0.0, 1.0)
    return only_where((n >= 0) & (t >= 0), (1.0 - spoiled) ** n)


@silent
def pictures_for_open_eyes(people: ArrayLike, certainty: ArrayLike = 0.99, exposure_time: ArrayLike = 0.0) -> Floats:
    """How many pictures give a wanted certainty that in one of them nobody blinks.

    Parameters
    ----------
    people : array_like [1]
    certainty : array_like [1], from 0 to under 1
    exposure_time : array_like [s]

    Returns
    -------
    array [1], not rounded, 1 at least; inf where no picture can have all eyes open, nan for a certainty of 1, which
        no number of pictures gives

    Source: Svenson & Barnes, CSIRO (2006); their rule of thumb for up to 20 people is a third of their number in good
    light and half of it in bad light, which aims at a good chance rather than at certainty.
    """
    chance, sure = all_open_chance(people, exposure_time), floats(certainty)
    fits = (sure >= 0) & (sure < 1)
    wanted = np.where(chance >= 1.0, 1.0, np.log1p(-sure) / np.log1p(-chance))
    return only_where(fits & ~np.isnan(chance), np.maximum(wanted, 1.0))
