"""What every physics function does with its arguments: floats in, nan for nonsense, no warnings out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Nonsense and limits are values here (nan, inf), so numpy has nothing left to warn of.
silent = np.errstate(all="ignore")


def floats(values: ArrayLike) -> Floats:
    """The values as an array of 64-bit floats, any shape, copied only where needed."""
    return np.asarray(values, dtype=np.float64)


def only_where(condition: ArrayLike, values: ArrayLike) -> Floats:
    """The values where the condition holds and nan elsewhere; scalars stay scalars."""
    chosen: Floats = np.where(condition, values, np.nan)
    return chosen[()]


def look_up(table: Floats, index: ArrayLike) -> Floats:
    """The table's entries at whole-number places of any shape; nan where the place is nan or not in the table."""
    places = floats(index)
    inside = (places >= 0) & (places < len(table))
    found: Floats = table[np.where(inside, places, 0).astype(np.intp)]
    return only_where(inside, found)
