"""How tall children are at each age."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent

# Age from which the adult ratios hold [years].
ADULT = 18.0

# A sex is given as its place in this tuple.
SEXES = ("male", "female")

# Median stature [m] at the birthday, of boys, then of girls. CDC growth charts of 2000 (file of stature by age), interpolated
# at the birthday; WHO's standards differ by 1 to 2 cm under five years.
CDC_AGES: Floats = np.array([2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0])
CDC_STATURE: Floats = np.array(
    [
        [0.865, 0.950, 1.022, 1.154, 1.279, 1.386, 1.491, 1.638, 1.735, 1.762],
        [0.850, 0.939, 1.008, 1.147, 1.276, 1.380, 1.512, 1.604, 1.625, 1.631],
    ]
)


def years(age: ArrayLike | None) -> Floats:
    """Ages as an array, with the adult's in place of those not given (nan or none)."""
    if age is None:
        return np.asarray(ADULT)
    given = floats(age)
    return np.where(np.isnan(given), ADULT, given)


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
    given, girl = years(age), floats(sex)
    share = np.where(np.isnan(girl), 0.5, girl)
    boys, girls = (np.interp(given, CDC_AGES, medians) for medians in CDC_STATURE)
    known = np.isnan(girl) | (girl == 0) | (girl == 1)
    return only_where(known & (given >= CDC_AGES[0]), boys + share * (girls - boys))
