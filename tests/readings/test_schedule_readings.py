"""The order of the evening, recycling and batteries, and what is packed."""

from __future__ import annotations

import math

import pytest

from shootlint.language import clocks
from shootlint.readings.graph import Graph
from shootlint.readings.packing import Item, packing_list
from shootlint.readings.scene import scenes

KIT = """light "Lamp" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; recycle 4 s; flashes 200 }
light "Spare" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; recycle 6 s; flashes 300 }"""
LAMP = 'place "{}" as {}, right 30 deg, distance 3 m, height 2 m, power {}'
OTHER = """setup "{}" {{
  {}
  camera "Body"; lens "Zoom", 50 mm; aperture f/8; shutter 1/125 s; iso 100; frame landscape; focus 5 m
  {}
  row "front", 5 m {{ "Ada" standing, at 0 cm }}
}}"""


def other(time, name="Two", extra=""):
    return OTHER.format(name, f"time {time}" if time else "", extra)


@pytest.mark.parametrize(
    ("first", "second", "overlap", "changeover"),
    [
        ("18:00 to 18:20", "18:30 to 18:50", 0, 10),
        ("18:00 to 18:20", "18:20 to 18:50", 0, 0),
        ("18:00 to 18:20", "18:15 to 18:50", 5, -5),
        ("18:00 to 18:40", "18:10 to 18:20", 10, -30),
        ("18:30 to 18:50", "18:00 to 18:20", 0, math.inf),
        ("18:30 to 18:50", "18:00 to 18:40", 10, math.inf),
        ("23:50 to 00:10", "23:58 to 23:59", 1, -12),
    ],
)
def test_slots_beside_each_other(shoot, first, second, overlap, changeover):
    found = shoot(time=first, more=other(second))
    assert found("overlap") == pytest.approx(overlap * 60)
    assert found("changeover") == pytest.approx(changeover * 60)


def test_the_next_setup_is_the_nearest_one(shoot):
    more = other("19:00 to 19:10") + "\n" + other("18:25 to 18:30", "Three")
    found = shoot(time="18:00 to 18:20", more=more)
    assert found("changeover") == 5 * 60
    alone = shoot(time="18:00 to 18:20")
    assert alone("changeover") == math.inf and alone("overlap") == 0
    assert found("slot-length") == 20 * 60


def test_each_setup_does_not_reckon_the_others_anew(shoot, monkeypatch):
    """Eight hundred setups on 0.9 MB took many minutes, as each reckoned every other one's slot for itself."""
    reckoned = []
    slot = clocks.slot
    monkeypatch.setattr(clocks, "slot", lambda *told: reckoned.append(told) or slot(*told))
    found = shoot(time="18:00 to 18:20", more="\n".join(other("18:10 to 18:30", f"No {place}") for place in range(30)))
    for scene in scenes(found.graph.scene.plan):
        graph = Graph(scene)
        assert graph["overlap"].array.max() >= 10 * 60 and graph["full-flashes-elsewhere"].needs
    assert len(reckoned) < 100


def test_pictures_wait_for_the_slowest_light(shoot):
    place = LAMP.format("Lamp", "key", "1/1") + "\n  " + LAMP.format("Spare", "fill", "1/4")
    found = shoot(kit=KIT, place=place, setup="frames 30")
    # Energy goes with power: 4 s at full, a quarter of 6 s.
    assert found("recycle") == pytest.approx([4, 1.5])
    assert found("frames-take") == pytest.approx(120)
    # Nobody takes a picture of a group more often than every two seconds (common practice, no source).
    weak = shoot(kit=KIT, place=LAMP.format("Lamp", "key", "1/8"), setup="frames 30")
    assert weak("frames-take") == pytest.approx(60)
    assert shoot(setup="frames 30")("frames-take") == pytest.approx(60)


def test_a_light_of_unknown_recycling_is_not_taken_for_a_quick_one(shoot):
    found = shoot(place=LAMP.format("Lamp", "key", "1/1"), setup="frames 30")
    assert math.isnan(found.partly("frames-take")[0])
    assert found.graph["frames-take"].needs == {"light recycle"}


def test_batteries_over_all_setups(shoot):
    place = LAMP.format("Lamp", "key", "1/2") + "\n  " + LAMP.format("Spare", "fill", "1/1")
    more = other("19:00 to 19:10", extra="frames 40\n  " + LAMP.format("Lamp", "key", "1/4"))
    found = shoot(time="18:00 to 18:20", kit=KIT, place=place, setup="frames 60", more=more)
    # 60 halves and 40 quarters are 40 full flashes, a fifth of 200; the other light gives its 60 of 300 in one setup.
    assert found("full-flashes-planned") == pytest.approx([40, 60])
    assert found("battery-used") == pytest.approx([0.2, 0.2])
    open_end = shoot(
        time="18:00 to 18:20",
        kit=KIT,
        place=place,
        setup="frames 60",
        more=other("19:00 to 19:10", extra=LAMP.format("Lamp", "key", "1/4")),
    )
    lamp, spare = open_end.partly("battery-used")
    assert math.isnan(lamp) and spare == pytest.approx(0.2)


def test_what_is_packed_is_what_one_setup_uses_at_once(shoot):
    place = LAMP.format("Lamp", "key", "1/2") + ', gel "Warm", stand "Stand", bag 10 kg'
    more = OTHER.format(
        "Two",
        "time 19:00 to 19:10",
        'filter "Grey"\n  ' + place + "\n  " + LAMP.format("Spare", "fill", "1/1") + ', stand "Stand"',
    )
    rows = '  row "front", 5 m { "Ada" standing on 20 cm, at 0 cm; "Ben" standing on 20 cm, at 80 cm; "Cor" seated on 45 cm, at -80 cm }'
    found = shoot(time="18:00 to 18:20", people="Ada 170, Ben 170, Cor 170", rows=rows, kit=KIT, place=place, more=more)
    packed = packing_list(found.graph.scene.plan)
    counts = {(item.kind, item.name): item.count for item in packed}
    assert all(isinstance(item, Item) for item in packed) and len(counts) == len(packed)
    assert counts == {
        ("camera", "Body"): 1,
        ("lens", "Zoom"): 1,
        ("support", "tripod"): 1,
        ("light", "Lamp"): 1,
        ("gel", "Warm"): 1,
        ("stand", "Stand"): 2,
        ("bag", "10 kg"): 1,
        ("step", "20 cm high"): 2,
        ("seat", "45 cm high"): 1,
        ("filter", "Grey"): 1,
        ("light", "Spare"): 1,
    }
