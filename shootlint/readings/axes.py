"""The axes along which readings vary, in their one order.

Every reading is an array with all these axes, of size 1 along those on which it does not depend, so that numpy
broadcasts any two of them and a reading never needs to know how many minutes, people, trials or options there are.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

AXES = ("trial", "option", "day", "setup", "minute", "meter", "obstruction", "light", "person", "other")
INDEX = {name: index for index, name in enumerate(AXES)}
RANK = len(AXES)

PLURALS = {
    "trials": "trial", "options": "option", "setups": "setup", "minutes": "minute", "lights": "light", "people": "person",
}  # fmt: skip
"""What a rule may run over, as it is said there."""

UNKNOWN: Array = np.full((1,) * RANK, np.nan)


def along(axis: str, values: ArrayLike) -> Array:
    """A list of numbers laid along one axis."""
    numbers = np.asarray(values, dtype=np.float64)
    shape = [1] * RANK
    shape[INDEX[axis]] = numbers.size
    return numbers.reshape(shape)


def single(value: float) -> Array:
    """One number, the same along every axis."""
    return np.full((1,) * RANK, float(value))


def truth(condition: NDArray[np.bool_]) -> Array:
    """Yes and no as numbers, 1 and 0, so that nan can stand for not known."""
    return condition.astype(np.float64)


def turned(array: Array, source: str, target: str) -> Array:
    """The same numbers along another axis, such as people as `other` people."""
    return np.swapaxes(array, INDEX[source], INDEX[target])


def varies(array: Array) -> tuple[str, ...]:
    """The axes along which an array is longer than 1."""
    return tuple(name for name, size in zip(AXES, array.shape, strict=True) if size > 1)


def over(axes: Sequence[str]) -> tuple[int, ...]:
    """Axis numbers by name, for numpy's reductions."""
    return tuple(INDEX[name] for name in axes)


def least(array: Array, axis: str) -> Array:
    """The smallest along an axis, which is kept with size 1."""
    found: Array = array.min(axis=INDEX[axis], keepdims=True)
    return found


def most(array: Array, axis: str) -> Array:
    """The largest along an axis, which is kept with size 1."""
    found: Array = array.max(axis=INDEX[axis], keepdims=True)
    return found


def mean(array: Array, axis: str) -> Array:
    """The mean along an axis, which is kept with size 1."""
    found: Array = array.mean(axis=INDEX[axis], keepdims=True)
    return found


def place_of_most(array: Array, axis: str) -> Array:
    """Where along an axis the largest stands, as a number; the axis is kept with size 1. Not known where one of them is not."""
    found: Array = np.argmax(array, axis=INDEX[axis], keepdims=True).astype(np.float64)
    return np.where(np.isnan(array).any(axis=INDEX[axis], keepdims=True), np.nan, found)
