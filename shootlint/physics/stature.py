"""How tall children are at each age."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Age from which the adult ratios hold [years].
ADULT = 18.0

# A sex is given as its place in this tuple.
SEXES = ("male", "female")

# Stature [m] at the birthday: 5th, 50th and 95th percentile of boys, then of girls. CDC growth charts of 2000 (file of
# stature by age), interpolated at the birthday; WHO's standards differ by 1 to 2 cm under five years.
CDC_AGES: Floats = np.array([2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0])
CDC_STATURE: Floats = np.array(
    [
        [
            [0.807, 0.889, 0.953, 1.071, 1.186, 1.280, 1.371, 1.503, 1.606, 1.642],
            [0.865, 0.950, 1.022, 1.154, 1.279, 1.386, 1.491, 1.638, 1.735, 1.762],
            [0.922, 1.016, 1.092, 1.236, 1.376, 1.497, 1.616, 1.767, 1.854, 1.878],
        ],
        [
            [0.793, 0.875, 0.938, 1.066, 1.183, 1.273, 1.389, 1.496, 1.519, 1.525],
            [0.850, 0.939, 1.008, 1.147, 1.276, 1.380, 1.512, 1.604, 1.625, 1.631],
            [0.907, 1.020, 1.081, 1.236, 1.376, 1.493, 1.632, 1.712, 1.732, 1.738],
        ],
    ]
)


def years(age: ArrayLike | None) -> Floats:
    """Ages as an array, with the adult's in place of those not given (nan or none)."""
    if age is None:
        return np.asarray(ADULT)
    given = floats(age)
    return np.where(np.isnan(given), ADULT, given)


def _percentile(age: ArrayLike | None, sex: ArrayLike, row: int) -> Floats:
    given, girl = years(age), floats(sex)
    share = np.where(np.isnan(girl), 0.5, girl)
    boys = np.interp(given, CDC_AGES, CDC_STATURE[0, row])
    girls = np.interp(given, CDC_AGES, CDC_STATURE[1, row])
    known = np.isnan(girl) | (girl == 0) | (girl == 1)
    return only_where(known & (given >= CDC_AGES[0]), boys + share * (girls - boys))


@silent
def cdc_stature(age: ArrayLike | None, sex: ArrayLike = np.nan) -> Floats:
    """Median stature at an age.

    Parameters
    ----------
    age : array_like [years]; nan or none is an adult
    sex : array_like of int, a place in SEXES; nan is not known, the mean of both

    Returns
    -------
    array [m]; the value for 18 from then on, nan under 2 years

    Within 1 cm between the birthdays of the table. Half of the children of an age lie within 4 to 5 cm of it. Source:
    CDC growth charts of 2000.
    """
    return _percentile(age, sex, 1)


@silent
def cdc_stature_range(age: ArrayLike | None, sex: ArrayLike = np.nan) -> tuple[Floats, Floats]:
    """Statures under and over which 5 % of an age lie.

    Parameters
    ----------
    age : array_like [years]; nan or none is an adult
    sex : array_like of int, a place in SEXES; nan is not known, the mean of both

    Returns
    -------
    5th, 95th percentile : arrays [m]; nan under 2 years

    Error and source: as for `cdc_stature`.
    """
    return _percentile(age, sex, 0), _percentile(age, sex, 2)
