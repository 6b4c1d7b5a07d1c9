"""What every physics function promises: nan in, nan out; no exception and no warning on nonsense; arrays like scalars."""

from __future__ import annotations

import importlib
import inspect
import itertools
import pkgutil

import numpy as np
import pytest

import shootlint.physics

# Not functions of numbers alone, or helpers that make arrays.
NOT_ELEMENTWISE = {
    "combined_blur",
    "add_stops",
    "nearest_marked",
    "third_stops_between",
    "floats",
    "only_where",
    "look_up",
    "years",
}
# Where nan has a meaning of its own.
NAN_MEANS_SOMETHING = {"age", "sex"}
ANSWERS_YES_OR_NO = {"bearing_in_sector"}

# A value of the domain for each argument name; the rest get 0.5.
SENSIBLE = {
    "distance": 4.0,
    "focus_distance": 5.0,
    "far": 6.0,
    "near": 4.0,
    "f_number": 8.0,
    "blur_diameter": 3e-5,
    "focal_length": 0.05,
    "iso": 100.0,
    "magnification": 0.01,
    "seconds": 1.7e9,
    "temperature": 5000.0,
    "first_temperature": 5000.0,
    "second_temperature": 3200.0,
    "legs": 3,
    "height": 2.5,
    "pose": 1,
    "condition": 1,
    "sex": 1,
    "age": 8.0,
    "stature": 1.3,
    "mass": 8.0,
    "pressure": 1e5,
    "safety_factor": 1.5,
    "marked": 5.6,
    "x": 0.33,
    "y": 0.34,
    "mired_shift": -20.0,
    "altitude": 12.0,
    "geometric_altitude": 12.0,
}
NONSENSE = (0.0, -0.0, 1e-300, 1e-9, 90.0, 1e9, 1e300, -1.0, -1e300, np.inf, -np.inf, np.nan)

MAY_BE_NEGATIVE = {
    "age", "first_altitude", "second_altitude", "altitude", "geometric_altitude", "sun_altitude", "skyline_altitude", "bearing", "start", "end",
    "first_bearing", "second_bearing", "sun_bearing", "plane_bearing", "start_bearing", "end_bearing", "first", "second", "field_angle", "latitude",
    "longitude", "seconds", "ev", "stops", "stops_at_full_power", "wanted_stops", "mired_shift", "sideways", "light_sideways", "light_up",
    "light_forward", "eye_sideways", "eye_up", "eye_forward", "support_height", "is_round", "x", "y",
}  # fmt: skip
"""Angles, times, stops, places to either side and yes-or-no; chromaticities are plain sums. All else is a quantity of something."""


def every_function():
    seen = {}
    for found in pkgutil.iter_modules(shootlint.physics.__path__):
        module = importlib.import_module(f"shootlint.physics.{found.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if not name.startswith("_") and function.__module__ == module.__name__ and name not in NOT_ELEMENTWISE:
                seen[name] = function
    return [pytest.param(function, id=name) for name, function in sorted(seen.items())]


EVERY_FUNCTION = every_function()


def arguments(function):
    return [SENSIBLE.get(name, 0.5) for name in inspect.signature(function).parameters]


def results(function, values):
    answer = function(*values)
    return answer if isinstance(answer, tuple) else (answer,)


def test_all_modules_are_looked_at():
    assert len(EVERY_FUNCTION) > 80


def test_physics_imports_numpy_and_physics_alone():
    for found in pkgutil.iter_modules(shootlint.physics.__path__):
        module = importlib.import_module(f"shootlint.physics.{found.name}")
        for line in inspect.getsource(module).splitlines():
            if line.startswith(("import ", "from ")):
                assert line.split()[1].split(".")[0] in {"__future__", "math", "numpy"} or line.startswith(
                    "from shootlint.physics."
                )


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_sensible_arguments_give_a_number(function):
    for result in results(function, arguments(function)):
        assert np.isfinite(result)


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_nan_in_any_argument_gives_nan(function):
    names = list(inspect.signature(function).parameters)
    for place, name in enumerate(names):
        if name in NAN_MEANS_SOMETHING:
            continue
        values = arguments(function)
        values[place] = np.nan
        answers = results(function, values)
        if function.__name__ in ANSWERS_YES_OR_NO:
            assert not any(np.any(answer) for answer in answers)
        else:
            assert all(np.isnan(answer).all() for answer in answers), name


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_less_than_nothing_is_no_answer(function):
    for place, name in enumerate(inspect.signature(function).parameters):
        if name in MAY_BE_NEGATIVE:
            continue
        for less in (-1e-300, -1.0, -np.inf):
            values = arguments(function)
            values[place] = less
            assert all(np.isnan(answer).all() for answer in results(function, values)), (name, less)


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_no_age_is_less_than_nothing(function):
    names = list(inspect.signature(function).parameters)
    for name in NAN_MEANS_SOMETHING.intersection(names):
        values = arguments(function)
        values[names.index(name)] = -1.0
        assert all(np.isnan(answer).all() for answer in results(function, values)), name


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_nonsense_raises_nothing_and_warns_of_nothing(function):
    good = arguments(function)
    for first, second in itertools.combinations_with_replacement(range(len(good)), 2):
        values = list(good)
        grid = np.meshgrid(NONSENSE, NONSENSE)
        values[first], values[second] = grid[0], grid[1]
        for result in results(function, values):
            assert np.shape(result) == grid[0].shape
    for result in results(function, [np.array(NONSENSE)] * len(good)):
        assert np.asarray(result).dtype in (np.float64, np.bool_)


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_arrays_broadcast_and_agree_with_scalars(function):
    good = arguments(function)
    spread = np.array([0.9, 1.0, 1.05])
    shaped = []
    for place, value in enumerate(good):
        whole = value if isinstance(value, int) else value * spread
        shaped.append(np.reshape(whole, (3, 1)) if place % 2 and np.size(whole) == 3 else whole)
    together = results(function, shaped)
    flat = np.broadcast_arrays(*shaped)
    shape = flat[0].shape
    for where in np.ndindex(shape):
        single = results(function, [float(argument[where]) for argument in flat])
        for whole, one in zip(together, single, strict=True):
            assert np.shape(whole) == shape
            np.testing.assert_allclose(whole[where], one, rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_the_arguments_are_left_alone(function):
    values = [np.array([value, value], dtype=np.float64) for value in arguments(function)]
    before = [value.copy() for value in values]
    function(*values)
    for value, kept in zip(values, before, strict=True):
        np.testing.assert_array_equal(value, kept)


@pytest.mark.parametrize("function", EVERY_FUNCTION)
def test_the_docstring_gives_arguments_and_units(function):
    text = inspect.getdoc(function) or ""
    assert "Parameters\n" in text
    assert "Returns\n" in text
    assert "[" in text or "bool" in text
    for name in inspect.signature(function).parameters:
        assert name in text, name
