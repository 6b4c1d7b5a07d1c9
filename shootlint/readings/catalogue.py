"""What a reading is, and the register that the decorators fill.

    @reading("mm", "person", formula="…", source="…")
    def blur(focal_length, aperture, focus_distance, distance, enlargement): ...

A reading's name is its function's name with hyphens; its inputs are the readings named by its parameters. Parameters
with a default may be unknown. `given` readings take the scene, a setup with all that it names, instead.

All numbers inside the graph are in base units (metres, seconds, degrees, stops, shares as plain numbers); the unit
named here is the one in which a person sees the reading.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext, redirect_stdout
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module
from typing import Any

from shootlint.language.units import BY_SPELLING, Unit
from shootlint.language.values import CLOCK, F_NUMBER, POWER
from shootlint.readings.axes import INDEX

NUMBER = Unit("number", 1.0, ("1",))
TRUTH = Unit("number", 1.0, ("yes",))
NAME = Unit("number", 1.0, ("name",))
ISO = Unit("number", 1.0, ("1",), zero=0.0)
"""Sensitivities, which are shown as the mark nearest to the exact third of a stop."""
SHARE = Unit("share", 1.0, ("1",))
"""Shares of a whole that programs get as plain numbers, 1 for all of it, and people read as per cent."""
_SPECIAL = {
    "1": NUMBER,
    "share": SHARE,
    "iso": ISO,
    "yes": TRUTH,
    "name": NAME,
    "clock": CLOCK,
    "f/": F_NUMBER,
    "of full power": POWER,
}

MODULES = (
    "camera", "focus", "printing", "people", "framing", "posing", "time", "day", "daylight", "exposure", "lights", "shadows", "aim",
    "colour", "rigging", "schedule",
)  # fmt: skip
"""The modules that hold the shipped readings."""


@dataclass(frozen=True)
class Reading:
    """One entry of the catalogue."""

    name: str
    unit: Unit
    axes: tuple[str, ...]
    meaning: str
    formula: str
    source: str
    holds_for: str
    uncertainty: str
    function: Callable[..., Any]
    needs: tuple[tuple[str, bool], ...]
    """The readings it is worked out from, and whether it can do without."""
    given: bool
    asks: str
    """What to write in the plan when a given reading is unknown."""
    words: tuple[str, ...] = ()
    """For a reading that is one of a few words: which, by number."""
    of: str = ""
    """For a reading that is a name: whose, "person" or "light"."""
    enough: str = ""
    """An input that is enough by itself: where it is known the others are not asked for and come as None."""
    of_others: bool = False
    """Whether the plan's other setups give it, and not only the setup that it is a reading of."""
    package: str = ""
    """The installed package that offers it; empty for our own."""

    @property
    def subject(self) -> str:
        """What it is about: the module that holds it."""
        return str(self.function.__module__).rpartition(".")[2]


class Missing(str):
    """What a given reading answers when something else is lacking than what it usually asks for."""


class Register(dict[str, Reading]):
    """The readings by name; `package` is whose they are while one is being loaded, empty for our own."""

    package: str = ""

    def add(self, reading: Reading) -> None:
        known = self.get(reading.name)
        if known is not None:
            whose = f"package {known.package}" if known.package else "the program itself"
            raise ValueError(f"a reading called {reading.name} is there already, from {whose}")
        self[reading.name] = replace(reading, package=self.package)


REGISTER = Register()


@contextmanager
def offered(package: str) -> Iterator[None]:
    """While it lasts, readings that are declared are put down to a package."""
    catalogue()
    REGISTER.package = package
    try:
        yield
    finally:
        REGISTER.package = ""


@contextmanager
def kept_off_output() -> Iterator[None]:
    """While it lasts, what is printed goes to standard error: standard output is for reports, which programs read."""
    # Where the caller has closed it, there is nowhere to say anything.
    with redirect_stdout(sys.stderr) if sys.stderr is not None else nullcontext():
        yield


def given(
    unit: str, *axes: str, asks: str, words: tuple[str, ...] = (), of_others: bool = False
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Declares a reading taken from the plan as written. Its function takes the scene; None is unknown, as is nan."""

    def declare(function: Callable[..., Any]) -> Callable[..., Any]:
        found = _reading(function, unit, axes, "as the plan says", "the plan", "", "", True, asks, words)
        REGISTER.add(replace(found, of_others=of_others))
        return function

    return declare


def reading(
    unit: str,
    *axes: str,
    formula: str,
    source: str,
    holds_for: str = "",
    uncertainty: str = "",
    of: str = "",
    name: str | None = None,
    enough: str = "",
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Declares a reading worked out from others."""

    def declare(function: Callable[..., Any]) -> Callable[..., Any]:
        REGISTER.add(_reading(function, unit, axes, formula, source, holds_for, uncertainty, False, "", (), of, name, enough))
        return function

    return declare


def _reading(
    function: Callable[..., Any],
    unit: str,
    axes: tuple[str, ...],
    formula: str,
    source: str,
    holds_for: str,
    uncertainty: str,
    is_given: bool,
    asks: str,
    words: tuple[str, ...] = (),
    of: str = "",
    name: str | None = None,
    enough: str = "",
) -> Reading:
    unknown = set(axes) - INDEX.keys()
    if unknown:
        raise ValueError(f"{function.__name__}: no axis is called {', '.join(sorted(unknown))}")
    parameters = () if is_given else inspect.signature(function).parameters.values()
    needs = tuple((each.name.replace("_", "-"), each.default is not inspect.Parameter.empty) for each in parameters)
    return Reading(
        name or function.__name__.replace("_", "-"),
        _SPECIAL.get(unit) or BY_SPELLING[unit],
        axes,
        " ".join((inspect.getdoc(function) or "").split()),
        formula,
        source,
        holds_for,
        uncertainty,
        function,
        needs,
        is_given,
        asks,
        words,
        of,
        enough,
    )


@cache
def catalogue() -> Register:
    """All readings. The modules that hold them are imported, and with them numpy, when this is first asked for."""
    for module in MODULES:
        import_module(f"shootlint.readings.{module}")
    # Whoever has imported one of them before does not get the readings in another order.
    places = {f"shootlint.readings.{module}": place for place, module in enumerate(MODULES)}
    in_order = sorted(REGISTER.items(), key=lambda each: places.get(each[1].function.__module__, len(places)))
    REGISTER.clear()
    REGISTER.update(in_order)
    return REGISTER


@cache
def behind(name: str) -> frozenset[str]:
    """A reading and all that it is worked out from."""
    return frozenset({name}).union(*(behind(need) for need, _ in catalogue()[name].needs))
