"""Every unit that a measure may carry, declared once: its spellings, what it measures and its size in the base unit.

The base units are those of readings: metres, seconds, degrees of angle, kilograms, joules, kelvin and mired of colour,
EV and stops of exposure, degrees Celsius of air, pixels, and shares as plain numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "length", "time", "angle", "mass", "energy", "speed", "wind force", "exposure", "stops",
    "colour temperature", "mired shift", "air temperature", "share", "pixels", "resolution", "illuminance", "force",
    "aperture", "power", "number", "instant",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `size` of it in the base unit of its kind, `zero` where its scale begins elsewhere.

    The first spelling is the one that is written; the others are understood.
    """

    kind: Kind
    size: float
    spellings: tuple[str, ...]
    zero: float = 0.0

    @property
    def name(self) -> str:
        return self.spellings[0]

    def to_base(self, number: float) -> float:
        return number * self.size + self.zero

    def from_base(self, value: float) -> float:
        return (value - self.zero) / self.size


# The inch and the pound are the international ones of 1959: 25.4 mm and 0.45359237 kg.
ALL: tuple[Unit, ...] = (
    Unit("length", 0.001, ("mm", "millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("length", 0.01, ("cm", "centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("length", 1.0, ("m", "metre", "metres", "meter", "meters")),
    Unit("length", 1000.0, ("km", "kilometre", "kilometres", "kilometer", "kilometers")),
    Unit("length", 0.0254, ("in", "inch", "inches")),
    Unit("length", 0.3048, ("ft", "foot", "feet")),
    Unit("time", 1.0, ("s", "sec", "second", "seconds")),
    Unit("time", 0.001, ("ms", "millisecond", "milliseconds")),
    Unit("time", 60.0, ("min", "minute", "minutes")),
    Unit("angle", 1.0, ("deg", "degree", "degrees")),
    Unit("mass", 1.0, ("kg", "kilogram", "kilograms")),
    Unit("mass", 0.001, ("g", "gram", "grams")),
    Unit("mass", 0.45359237, ("lb", "lbs", "pound", "pounds")),
    Unit("energy", 1.0, ("J", "Ws", "joule", "joules")),
    Unit("speed", 1.0, ("m/s",)),
    Unit("speed", 1 / 3.6, ("km/h", "kph")),
    Unit("speed", 0.44704, ("mph",)),
    Unit("speed", 1852 / 3600, ("kn", "knot", "knots")),
    Unit("wind force", 1.0, ("force",)),
    Unit("exposure", 1.0, ("EV", "ev")),
    Unit("stops", 1.0, ("stops", "stop")),
    Unit("colour temperature", 1.0, ("K", "kelvin")),
    Unit("mired shift", 1.0, ("mired", "mireds")),
    Unit("air temperature", 1.0, ("C", "celsius")),
    Unit("air temperature", 5 / 9, ("F", "fahrenheit"), zero=-160 / 9),
    Unit("share", 0.01, ("%", "percent")),
    Unit("pixels", 1.0, ("px", "pixel", "pixels")),
    Unit("resolution", 1 / 0.0254, ("ppi",)),
    Unit("illuminance", 1.0, ("lx", "lux")),
    Unit("force", 1.0, ("newton", "newtons")),
)

BY_SPELLING: dict[str, Unit] = {spelling: unit for unit in ALL for spelling in unit.spellings}


def of_kind(*kinds: Kind) -> list[Unit]:
    return [unit for unit in ALL if unit.kind in kinds]


INCH = BY_SPELLING["in"]
FOOT = BY_SPELLING["ft"]
