"""Every way to write a measure is understood, in the unit's own size, and nothing else is."""

from __future__ import annotations

import math

import pytest

from shootlint.language import units
from shootlint.language.complaint import Complaints
from shootlint.language.reading import PLANS
from shootlint.language.slots import Cursor, FNumber, Measure, Mismatch, Power, Sideways, Sized, Spanning, Whole
from shootlint.language.source import Source
from shootlint.language.syntax import read_tree

EXACT = {
    "mm": 0.001, "cm": 0.01, "m": 1, "km": 1000, "in": 0.0254, "ft": 0.3048, "s": 1, "ms": 0.001, "min": 60, "deg": 1, "kg": 1, "g": 0.001,
    "lb": 0.45359237, "J": 1, "m/s": 1, "km/h": 1 / 3.6, "mph": 0.44704, "kn": 1852 / 3600, "force": 1, "EV": 1, "stops": 1, "K": 1, "mired": 1,
    "C": 1, "%": 0.01, "px": 1, "ppi": 1 / 0.0254, "lx": 1, "newton": 1,
}  # fmt: skip
"""The size of each unit in its base unit, from the SI brochure and the international yard and pound of 1959."""


def read(slot, text, unit=None):
    source = Source("test", text)
    complaints = Complaints()
    (line,) = read_tree(source, complaints, frozenset()).lines
    assert complaints == []
    cursor = Cursor(source, line.clauses, PLANS.connecting)
    value = slot.read(cursor, unit)
    assert cursor.next is None, f"{cursor.next} is left over"
    return value


def measure(kind, example="4 m"):
    return Measure(kind.upper(), (kind,), example)


@pytest.mark.parametrize(
    ("spelling", "unit"), [(spelling, unit) for unit in units.ALL for spelling in unit.spellings if spelling != "force"]
)
def test_every_spelling_of_every_unit(spelling, unit):
    value = read(measure(unit.kind, f"4 {unit.name}"), f"0.25 {spelling}")
    expected = 0.25 * 5 / 9 - 160 / 9 if unit.name == "F" else 0.25 * EXACT[unit.name]
    assert value.value == pytest.approx(expected, rel=1e-12)
    assert (value.unit, value.written, value.kind) == (unit, f"0.25 {spelling}", unit.kind)


def test_no_spelling_stands_for_two_units():
    spellings = [spelling for unit in units.ALL for spelling in unit.spellings]
    assert len(spellings) == len(set(spellings)) == len(units.BY_SPELLING)


@pytest.mark.parametrize("unit", units.ALL, ids=lambda unit: unit.name)
def test_a_unit_turns_back(unit):
    assert unit.from_base(unit.to_base(12.5)) == pytest.approx(12.5)


LENGTH = measure("length")
WIND = Measure("SPEED", ("speed", "wind force"), "8 m/s")


@pytest.mark.parametrize(
    ("slot", "text", "value"),
    [
        (LENGTH, "5 ft 8 in", 1.7272),
        (LENGTH, "-5 ft 8 in", -1.7272),
        (LENGTH, "5 feet 8.5 inches", 1.7399),
        (LENGTH, "50mm", 0.05),
        (LENGTH, "2 meter", 2),
        (LENGTH, "+50 mm", 0.05),
        (LENGTH, "1e1 m", 10),
        (LENGTH, "1/2 in", 0.0127),
        (measure("time", "1 s"), "1/4000 s", 1 / 4000),
        (measure("time", "1 s"), "0.5 s", 0.5),
        (measure("exposure", "1 EV"), "-1.5 EV", -1.5),
        (measure("stops", "1 stops"), "1/3 stop", 1 / 3),
        (measure("mired shift", "1 mired"), "-64 mired", -64),
        (measure("air temperature", "9 C"), "48 F", 80 / 9),
        (measure("air temperature", "9 C"), "-9 C", -9),
        (measure("share", "30 %"), "30 %", 0.3),
        (WIND, "force 4", 4),
        (WIND, "force 0", 0),
        (WIND, "20 km/h", 20 / 3.6),
        (FNumber(), "f/5.6", 5.6),
        (FNumber(), "f/16", 16),
        (Power(), "1/1", 1),
        (Power(), "1/16", 1 / 16),
        (Power(), "-1.3 stops", 2**-1.3),
        (Power(), "0 stops", 1),
        (Power(), "-1 stop", 0.5),
        (Power(), "0.25", 0.25),
        (Whole(), "390", 390),
    ],
)
def test_a_value_in_base_units(slot, text, value):
    read_back = read(slot, text)
    assert float(read_back) == pytest.approx(value, rel=1e-12)
    assert read_back.place.text == text


def test_beaufort_is_not_a_speed_yet():
    assert read(WIND, "force 4").kind == "wind force"


def test_feet_and_inches_keep_the_unit_of_feet():
    value = read(LENGTH, "5 ft 8 in")
    assert (value.written, value.unit.name, str(value)) == ("5 ft 8 in", "ft", "5 ft 8 in")


@pytest.mark.parametrize(
    ("slot", "text", "low", "high"),
    [
        (Spanning(LENGTH), "28 mm to 75 mm", 0.028, 0.075),
        (Spanning(LENGTH), "5 ft 1 in to 6 ft", 1.5494, 1.8288),
        (Spanning(LENGTH, single=True), "50 mm", 0.05, 0.05),
        (Spanning(measure("time", "1 s")), "1/4000 s to 30 s", 1 / 4000, 30),
        (Spanning(measure("angle", "1 deg")), "330 deg to 10 deg", 330, 10),
        (Spanning(Power()), "1/1 to 1/256", 1, 1 / 256),
    ],
)
def test_a_range(slot, text, low, high):
    value = read(slot, text)
    assert [float(each) for each in value] == pytest.approx([low, high])
    assert str(value) == value.place.text == text
    assert (low + high) / 2 in value


def test_a_size():
    size = read(Sized(LENGTH), "60 cm x 90 cm")
    assert (str(size), size.sides, size.is_round) == ("60 cm x 90 cm", pytest.approx((0.6, 0.9)), False)
    assert read(Sized(measure("pixels", "1 px")), "8256 px x 5504 px").width.value == 8256
    disc = read(Sized(LENGTH, single=True), "18 cm")
    assert (str(disc), disc.is_round, disc.sides) == ("18 cm", True, pytest.approx((0.18, 0.18)))


@pytest.mark.parametrize(
    ("text", "angle"), [("right 35 deg", 35), ("left 140 deg", -140), ("0 deg", 0), ("180 deg", 180), ("left 180 deg", -180)]
)
def test_an_angle_to_a_side(text, angle):
    assert read(Sideways(measure("angle", "1 deg")), text).angle == angle


@pytest.mark.parametrize(
    ("slot", "text", "words"),
    [
        (LENGTH, "5", "5 carries no unit; write 5 m"),
        (LENGTH, "5 to", "5 carries no unit; write 5 m"),
        (LENGTH, "5 metrs", "did you mean metres?"),
        (LENGTH, "5 qqq", "qqq is not a unit; write 5 m"),
        (LENGTH, "5 kg", "kg is a unit of mass; write it in mm, cm, m, km, in or ft"),
        (LENGTH, "5 ft 8", "8 carries no unit; write 8 in"),
        (LENGTH, "5 ft 8 cm", "write it in in"),
        (LENGTH, "nan m", "expected a length such as 4 m, not nan"),
        (LENGTH, "1e308 mm", "is beyond anything on a shoot"),
        (LENGTH, "1e309 m", "too large a number"),
        (LENGTH, "1/0 m", "divides by nought"),
        (LENGTH, "9" * 41 + " m", "too long a number"),
        (LENGTH, "1/" + "9" * 5000 + " m", "too long a number"),
        (measure("time", "1 s"), "125", "125 carries no unit; write 1/125 s or 125 s"),
        (measure("time", "1 s"), "1/0 s", "divides by nought"),
        (WIND, "force 13", "the most is force 12"),
        (WIND, "force", "expected a Beaufort number after force"),
        (FNumber(), "5.6", "an aperture is written as f/5.6, not 5.6"),
        (FNumber(), "f/0", "an f-number is more than 0"),
        (Power(), "2/1", "goes up to 1/1"),
        (Power(), "0/1", "lies above 0"),
        (Power(), "1 stop", "counted down from full"),
        (Power(), "-50 stops", "beyond anything on a shoot"),
        (Whole(), "1.5", "not a whole number"),
        (Whole(), "-1", "not a whole number"),
        (Spanning(LENGTH), "5 m", "expected `to` and a second length after 5 m"),
        (Spanning(LENGTH), "5 m 6 m", "expected `to` and a second length, not 6"),
        (Sized(LENGTH), "5 m", "expected `x` and a second length after 5 m"),
        (Sideways(measure("angle", "1 deg")), "35 deg", "left 35 deg or right 35 deg"),
        (Sideways(measure("angle", "1 deg")), "right 181 deg", "180 deg (behind the group)"),
    ],
)
def test_what_is_refused(slot, text, words):
    with pytest.raises(Mismatch) as refused:
        read(slot, text)
    assert words in refused.value.message
    assert 0 <= refused.value.place.start < refused.value.place.end <= len(text)


def test_what_is_refused_in_a_shutter_range_is_not_silently_swapped():
    span = read(Spanning(measure("time", "1 s")), "30 s to 1/4000 s")
    assert (float(span.low), math.isclose(float(span.high), 1 / 4000)) == (30, True)
