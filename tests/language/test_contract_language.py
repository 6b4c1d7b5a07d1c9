"""The contract's plan and kit read without complaint, every value right, each with what was written and where."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from shootlint.language.entry import Entry, shape
from shootlint.language.loading import Loader
from shootlint.language.reading import fields_of
from shootlint.language.values import Clock, ClockSpan, Quantity

REPOSITORY = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def document(load, evening):
    return load(evening)


@pytest.fixture(scope="module")
def plan(document):
    return document.plan


@pytest.fixture(scope="module")
def setup(plan):
    return plan.setup[0]


def quantities(entry):
    """Every measure in an entry, however deep."""
    for declared in fields_of(shape(type(entry))):
        value = getattr(entry, declared.name)
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, Entry):
                yield from quantities(each)
            elif isinstance(each, Quantity):
                yield each
            else:
                yield from (
                    getattr(each, side)
                    for side in ("low", "high", "width", "height")
                    if isinstance(getattr(each, side, None), Quantity)
                )


def test_there_is_no_complaint(document):
    assert document.complaints == []
    assert document.is_plan
    assert not document.kits[0].is_plan
    assert document.unsound_setups == []


@pytest.mark.parametrize(
    "path",
    sorted(REPOSITORY.joinpath("plans").glob("**/evening.shoot")) + sorted(REPOSITORY.joinpath("plans/kit").glob("*.shoot")),
)
def test_what_ships_reads_without_complaint(path):
    assert Loader().load(path, path.name).complaints == []


def test_the_head(plan):
    assert (plan.title, plan.date.date) == ("Ravensby bell-ringers, autumn portrait", datetime.date(2026, 9, 5))
    assert plan.window is None
    assert plan.kit == ("kit/belfry.shoot",)


def test_the_site(plan):
    site = plan.site
    assert site.name == "Churchyard, west wall"
    assert (site.position.latitude, site.position.longitude) == (55.6412, 9.2871)
    assert (site.zone, float(site.elevation), site.ground) == ("Europe/Copenhagen", 38, "grass")
    assert (float(site.background.distance), site.background.light) == (22, "sunlit")
    assert [(each.name, *map(float, each.bearing), float(each.up_to)) for each in site.shade] == [
        ("church", 215, 290, 31),
        ("poplars", 330, 10, 12),
    ]
    assert [(each.kind, float(each.away)) for each in site.hazard] == [("overhead line", 14)]


def test_the_weather_and_the_meter(plan):
    assert (plan.weather.sky, float(plan.weather.wind.mean), float(plan.weather.wind.gusts), float(plan.weather.air)) == (
        "clear",
        2,
        4,
        13,
    )
    assert [(float(each.reading), each.at) for each in plan.meter] == [(10.9, Clock(18, 30))]


def test_the_people(plan):
    people = {each.name: each for each in plan.people.members}
    assert {name: round(float(each.stature), 9) for name, each in people.items()} == {
        "Agnes": 1.63, "Birk": 1.91, "Cleo": 1.72, "Dagny": 1.18, "Emil": 1.78, "Frode": 1.69,
    }  # fmt: skip
    assert {name: int(each.age) for name, each in people.items() if each.age is not None} == {"Agnes": 71, "Dagny": 7}
    assert [name for name, each in people.items() if each.seated_only] == ["Agnes"]
    assert [name for name, each in people.items() if each.glasses] == ["Cleo"]


def test_the_print(plan):
    (piece,) = plan.print
    assert piece.name == "Tower-room piece"
    assert piece.size.sides == pytest.approx((0.6, 0.9))
    assert not piece.size.is_round
    assert float(piece.viewed_from) == 1.1
    assert float(piece.at_least) == pytest.approx(180 / 0.0254)


def test_the_camera_of_the_setup(setup):
    assert setup.time == ClockSpan(Clock(18, 40), Clock(18, 55))
    assert setup.time.minutes == 15
    assert (setup.camera, setup.lens.name, float(setup.lens.focal)) == ("Body A", "Long zoom", pytest.approx(0.06))
    assert (float(setup.aperture), float(setup.shutter.time), int(setup.iso)) == (6.3, 1 / 125, 100)
    assert (setup.shutter.follows, setup.shutter.limits) == (None, None)
    assert (float(setup.white_balance), float(setup.facing), int(setup.frames)) == (5600, 320, 30)
    assert (setup.support.kind, float(setup.support.height), setup.support.tilt) == ("tripod", 1.0, None)
    assert (setup.frame.orientation, setup.frame.framing) == ("landscape", "full-length")
    assert (setup.focus.row, setup.focus.person, setup.focus.distance, setup.focus.between_rows) == ("front", None, None, False)
    assert (setup.print, setup.filter) == ("Tower-room piece", ())


def test_the_lights_of_the_setup(setup):
    box, head = setup.place
    assert (box.light, box.role, box.angle.angle) == ("Big box", "key", 35)
    assert (float(box.distance), float(box.height), float(box.power), box.gel, box.stand, float(box.bag)) == (
        3.2,
        2.4,
        0.5,
        (),
        "Steel",
        12,
    )
    assert (head.light, head.role, head.angle.angle) == ("Bare head", "rim", -140)
    assert (float(head.power), head.gel, head.stand, float(head.bag), head.aim) == (1 / 8, ("half CTO",), "Light", 5, None)


def test_the_rows_of_the_setup(setup):
    assert [(row.name, float(row.distance)) for row in setup.row] == [("front", 5.4), ("back", 5.8)]
    assert float(setup.front_distance) == 5.4
    posed = {member.name: (row.name, member.pose, round(float(member.at), 9)) for row, member in setup.people}
    assert posed == {
        "Agnes": ("front", "seated", -0.58), "Dagny": ("front", "standing", 0.02), "Frode": ("front", "kneeling", 0.61),
        "Emil": ("back", "standing", -0.88), "Birk": ("back", "standing", -0.28), "Cleo": ("back", "standing", 0.33),
    }  # fmt: skip
    assert float(setup.row[0].members[0].on) == pytest.approx(0.46)


def test_what_is_accepted(plan):
    (accepted,) = plan.accept
    assert (accepted.rule, accepted.about) == ("light.uneven", "Dagny")
    assert accepted.because == "the box stays where it is while she fidgets"
    assert accepted.until.date == datetime.date(2031, 12, 1)


def test_the_kit_stands_in_the_plan(plan):
    (camera,), (lens,) = plan.camera, plan.lens
    assert camera.sensor.sides == pytest.approx((0.024, 0.036))
    assert (camera.pixels.width.value, camera.pixels.height.value) == (8256, 5504)
    assert (float(camera.sync), *map(float, camera.shutter)) == (1 / 160, 1 / 8000, 30)
    assert (int(camera.iso.range.low), int(camera.iso.range.high), int(camera.iso.base)) == (100, 25600, 100)
    assert [float(each) for each in lens.focal] == pytest.approx([0.024, 0.105])
    assert [float(each) for each in lens.aperture] == [4, 22]
    assert float(lens.closest) == pytest.approx(0.45)


def test_the_lights_of_the_kit(plan):
    box, head = plan.light
    assert (float(box.energy), float(box.metered.aperture), float(box.metered.distance), box.guide) == (500, 16, 2, None)
    assert (float(box.most_power), float(box.least_power), float(box.colour)) == (1, 1 / 256, 5600)
    assert (float(box.duration), float(box.recycle), int(box.flashes)) == (1 / 900, 0.9, 390)
    assert (box.modifier.kind, box.modifier.size.sides, float(box.mass)) == ("softbox", pytest.approx((0.9, 1.2)), 3.4)
    assert (head.metered, float(head.guide), float(head.high_speed_sync.loses)) == (None, 55, 2)
    assert head.modifier.size.is_round
    assert box.high_speed_sync is None


def test_stands_gels_and_filters_of_the_kit(plan):
    steel, light = plan.stand
    assert (float(steel.mass), float(steel.spread), float(steel.highest), float(steel.carries)) == (
        4.6,
        pytest.approx(1.15),
        2.9,
        9,
    )
    assert (light.name, float(light.carries)) == ("Light", 4)
    assert [(gel.name, float(gel.shift), float(gel.loses)) for gel in plan.gel] == [("half CTO", 90, 0.5)]
    assert [(each.name, float(each.loses)) for each in plan.filter] == [("ND 3", 3)]


def test_every_measure_keeps_what_was_written_and_where(plan):
    found = list(quantities(plan))
    assert len(found) > 80
    for each in found:
        assert each.place.source.text[each.place.start : each.place.end] == each.written == str(each)


def test_a_place_is_the_exact_line_and_column(plan):
    bag = plan.setup[0].place[0].bag
    assert (str(bag.place), bag.place.end_line, bag.place.end_column) == ("evening.shoot:55:101", 55, 106)
    assert str(plan.camera[0].name.place).endswith("belfry.shoot:3:8")
    assert (bag.written, bag.unit.name, bag.kind) == ("12 kg", "kg", "mass")


def test_entries_know_their_lines(plan):
    assert (plan.setup[0].where.line, plan.setup[0].row[1].members[2].where.line) == (40, 66)
    assert plan.setup[0].row[1].members[2].where.text == '"Cleo"  standing, at 33 cm'


def test_a_plan_cannot_be_changed(plan):
    with pytest.raises(ValueError, match="frozen"):
        plan.title = "other"
