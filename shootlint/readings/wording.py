"""Readings as people say them: a fitting number of digits, the trade's marks, never a false precision."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from shootlint.language.units import BY_SPELLING, FOOT, INCH, Unit
from shootlint.language.values import CLOCK, F_NUMBER, POWER
from shootlint.physics import exposure
from shootlint.readings.catalogue import ISO, NAME, NUMBER, SHARE, TRUTH

_DIGITS = {
    "mm": 2, "cm": 0, "m": 2, "in": 1, "ft": 1, "deg": 0, "EV": 1, "stops": 1, "K": 0, "mired": 0, "kg": 1, "lb": 1, "m/s": 1,
    "km/h": 0, "mph": 0, "%": 0, "px": 0, "ppi": 0, "lx": 0, "C": 0, "F": 0, "J": 0, "min": 0,
}  # fmt: skip
"""Digits after the point, by unit."""


def in_words(value: float, unit: Unit, finer: int = 0) -> str:
    """A value in base units, as a person would say it in a unit; with so many digits more where it is told from another."""
    if math.isnan(value):
        return "unknown"
    if unit is TRUTH:
        return "yes" if value == 1.0 else "no" if value == 0.0 else "unknown"
    if unit is CLOCK and math.isinf(value):
        return "never, the sun stays up" if value > 0 else "never, the sun stays down"
    if math.isinf(value):
        return "infinity" if value > 0 else "minus infinity"
    if unit is F_NUMBER:
        marked = float(exposure.nearest_marked(value, exposure.MARKED_F_NUMBERS))
        return f"f/{number(value, finer) if finer else number(marked, 2)}"
    if unit is ISO:
        return number(value, finer) if finer else number(float(exposure.nearest_marked(value, exposure.MARKED_ISO)), 0)
    if unit is POWER:
        return share_of_power(value, finer)
    if unit.kind == "time" and unit.name == "s":
        return exposure_time(value, finer)
    if unit is SHARE:
        return in_words(value, BY_SPELLING["%"], finer)
    shown = unit.from_base(value)
    if unit is NUMBER or not unit.name or unit is NAME:
        return number(shown, finer + (4 if 0 < abs(shown) < 0.1 else 2 if abs(shown) < 100 else 0))
    digits = _DIGITS.get(unit.name, 2)
    if unit.name == "mm":
        digits = 0 if abs(shown) >= 10 else 3 if 0 < abs(shown) < 0.1 else 2
    if unit.name in ("cm", "deg", "m/s", "mph") and 0 < abs(shown) < 10:
        digits = 1
    if unit.name == "in" and 0 < abs(shown) < 1:
        digits = 2
    if unit.name == "K":
        # Ten kelvin are as far as anybody can tell.
        shown, digits = round(shown, finer - 1), digits - 1
    text = number(shown, max(digits + finer, 0))
    return f"{text} {'stop' if unit.name == 'stops' and text in ('1', '-1') else unit.name}"


MOST_DIGITS = 12
"""How many digits more at most tell two values apart; numbers that differ by less differ by rounding alone."""


def told_apart(texts: Callable[[int], Iterable[tuple[float, str]]]) -> int:
    """How many digits more it takes until values that differ read differently.

    `texts` gives each value with its text at so many digits more.
    """
    for finer in range(MOST_DIGITS):
        values: dict[str, float] = {}
        if all(math.isclose(values.setdefault(text, value), value, rel_tol=SAME, abs_tol=SAME) for value, text in texts(finer)):
            return finer
    return MOST_DIGITS


FINEST = 6
"""How many digits more a plan's author may have written."""


def written_out(text: Callable[[int], str]) -> int:
    """How many digits more it takes to say all of a value that somebody wrote, given its text at so many digits more; none
    where no number of them would, as of a length told in feet or a mark of a scale."""
    return next((finer for finer in range(FINEST) if text(finer) == text(FINEST + finer)), 0)


SAME = 1e-9
"""The share, and the amount, within which values are one."""

_FEET = {"m": "ft", "cm": "in", "kg": "lb", "m/s": "mph"}
"""The units of a plan in feet for those in which readings are declared; prints and blurs stay in millimetres."""


def in_plans_units(unit: Unit, in_feet: bool) -> Unit:
    """The unit in which a plan's own author would say a reading."""
    return BY_SPELLING[_FEET[unit.name]] if in_feet and unit.name in _FEET else unit


def feet_and_inches(metres: float) -> tuple[str, float]:
    """A length in feet and whole inches as a plan says it, and the metres that this text stands for."""
    feet, inches = divmod(round(INCH.from_base(abs(metres))), 12)
    told = [f"{count} {unit.name}" for count, unit in ((feet, FOOT), (inches, INCH)) if count] or [f"0 {FOOT.name}"]
    text = f"{'-' if metres < 0 and (feet or inches) else ''}{' '.join(told)}"
    return text, math.copysign(FOOT.to_base(feet) + INCH.to_base(inches), metres)


def exposure_time(seconds: float, finer: int = 0) -> str:
    """An exposure time as cameras mark it; a longer time in plain seconds."""
    if not 0 < seconds < 40:
        return f"{number(seconds, 1 + finer)} s"
    marked = float(exposure.nearest_marked(seconds, exposure.MARKED_EXPOSURE_TIMES))
    meant = float(exposure.exact_exposure_time(marked))
    if min(abs(math.log2(seconds / marked)), abs(math.log2(seconds / meant))) < SAME_TIME / 10**finer:
        seconds = marked
    return f"{number(seconds, 1 + finer)} s" if seconds >= 0.3 else f"1/{number(1 / seconds, finer + (1 / seconds < 10))} s"


SAME_TIME = 0.02
"""Stops within which a time is one of the camera's."""


def share_of_power(share: float, finer: int = 0) -> str:
    """A share of full power as lights show it: a fraction where it is one, else stops down from full."""
    if share > 1:
        return f"{number(share, 1 + finer)} times full power"
    if share <= 0:
        return "no power"
    down = -math.log2(share)
    return f"1/{2 ** round(down)}" if abs(down - round(down)) < SAME_TIME / 10**finer else f"-{number(down, 1 + finer)} stops"


def least_bit(text: str) -> str:
    """An amount in words, of which no more is left than its digits show."""
    return "the least bit" if text.split()[0] == "0" else text


def number(value: float, digits: int) -> str:
    """A number with at most so many digits after the point, and no more than it needs."""
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
