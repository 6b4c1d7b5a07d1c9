"""What kinds of quantity may be compared, added and multiplied in a rule."""

from __future__ import annotations

from dataclasses import dataclass

from shootlint.language.units import ALL, Kind

_BASES: dict[Kind, dict[str, int]] = {
    "length": {"m": 1},
    "time": {"s": 1},
    "angle": {"deg": 1},
    "mass": {"kg": 1},
    "energy": {"J": 1},
    "speed": {"m": 1, "s": -1},
    "exposure": {"EV": 1},
    "stops": {"stop": 1},
    "colour temperature": {"K": 1},
    "mired shift": {"mired": 1},
    "air temperature": {"C": 1},
    "share": {},
    "pixels": {"px": 1},
    "resolution": {"px": 1, "m": -1},
    "illuminance": {"lx": 1},
    "force": {"kg": 1, "m": 1, "s": -2},
    "instant": {"instant": 1},
    "number": {},
    "aperture": {},
    "power": {},
}


UNITS = tuple(unit for unit in ALL if unit.kind in _BASES)
"""The units that a rule may write; a Beaufort number is no multiple of anything."""


@dataclass(frozen=True)
class Dimension:
    """A product of powers of base quantities. EV are points on a scale whose steps are stops, and times of day points on one
    whose steps are lengths of time."""

    powers: tuple[tuple[str, int], ...]

    def __str__(self) -> str:
        if self == INSTANT:
            return "a time of day"
        for kind, bases in _BASES.items():
            if of(bases) == self and bases:
                return kind
        if not self.powers:
            return "a plain number"
        return " ".join(base if power == 1 else f"{base}^{power}" for base, power in self.powers)

    @property
    def example(self) -> str:
        """A unit in which it may be written; nothing where it is written without one."""
        return next((unit.name for unit in UNITS if of_kind(unit.kind) == self), "")

    def times(self, other: Dimension, sign: int = 1) -> Dimension:
        powers = dict(self.powers)
        for base, power in other.powers:
            powers[base] = powers.get(base, 0) + sign * power
        return of(powers)


def of(powers: dict[str, int]) -> Dimension:
    return Dimension(tuple(sorted((base, power) for base, power in powers.items() if power)))


def of_kind(kind: Kind) -> Dimension:
    return of(_BASES.get(kind, {}))


PLAIN = of({})
EV = of({"EV": 1})
STOPS = of({"stop": 1})
INSTANT = of({"instant": 1})
TIME = of({"s": 1})
STEPS = {EV: STOPS, INSTANT: TIME}
"""Points on a scale, which have neither size nor sum, and the steps between them."""
TRUTH = Dimension((("truth", 1),))
NAME = Dimension((("name", 1),))
WORD = Dimension((("word", 1),))


def added(left: Dimension, sign: str, right: Dimension) -> Dimension | None:
    """The dimension of a sum or a difference; None where there is none."""
    for point, step in STEPS.items():
        if left == point and right == point:
            return step if sign == "-" else None
        if left == point and right == step:
            return point
        if left == step and right == point and sign == "+":
            return point
    return left if left == right and left not in (TRUTH, NAME, WORD) else None


def multiplied(left: Dimension, sign: str, right: Dimension) -> Dimension | None:
    """The dimension of a product or a quotient; None where there is none."""
    if TRUTH in (left, right) or NAME in (left, right) or WORD in (left, right):
        return None
    if left in STEPS or right in STEPS:
        return None
    return left.times(right, 1 if sign == "*" else -1)
