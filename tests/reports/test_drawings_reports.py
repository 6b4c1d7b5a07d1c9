"""Drawings: what is drawn lies where the readings say, and the readings where central projection and plain geometry say."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.language.loading import Loader
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.reports.drawings import evening, ground, picture
from shootlint.reports.drawings.measures import Measures
from shootlint.reports.drawings.shapes import Box, Drawing, Ellipse, Line, Words, clipped

PLANS = sorted((Path(__file__).parents[2] / "plans").rglob("*.shoot"))
SETUPS = [
    pytest.param(path, place, id=f"{path.stem}-{place}")
    for path in PLANS
    for place in range(path.read_text("utf-8").count("\nsetup "))
]
WITHIN = 0.051
"""Units: what is written of a place is cut to tenths."""


def measured(path: Path, place: int) -> Measures:
    plan = Loader().load(path, path.name).plan
    assert plan is not None
    return Measures(Graph(scenes(plan)[place]))


def of_kind(drawing: Drawing, kind: str) -> list:
    return [shape for shape in drawing.shapes if shape.kind == kind]


def frame_of(drawing: Drawing) -> Box:
    (left, top), _, (right, bottom), _ = of_kind(drawing, "frame")[0].points
    return Box(left, top, right, bottom)


@pytest.mark.parametrize(("path", "place"), SETUPS)
def test_heads_are_where_the_readings_say(path: Path, place: int) -> None:
    measures = measured(path, place)
    drawing = picture.view_through_lens(measures, "lens")
    assert drawing is not None
    frame = frame_of(drawing)
    wide, high = frame.right - frame.left, frame.bottom - frame.top
    # A frame is as wide for its height as the sensor.
    assert wide / high == pytest.approx(measures.one("sensor-width") / measures.one("sensor-height"))
    heads = of_kind(drawing, "head")
    people = picture.far_first(measures)
    assert len(heads) == len(people)
    for person, head in zip(people, heads, strict=True):
        assert (head.x - frame.left) / wide == pytest.approx(measures.one("head-x", person=person))
        assert (head.y - frame.top) / high == pytest.approx(measures.one("head-y", person=person))
        tall = measures.one("chin-y", person=person) - measures.one("crown-y", person=person)
        assert head.down * 2 / high == pytest.approx(tall)
        # As many pixels across for the breadth as down for the height: the picture is not stretched.
        breadth, height = measures.one("head-breadth", person=person), measures.one("head-height", person=person)
        if measures.one("camera-tilt") == 0 and str(measures.scene.sitters[person].posed.pose) != "lying":
            assert head.across / head.down == pytest.approx(breadth / height, rel=0.01)
    soft = {person for person in people if measures.one("blur", person=person) > measures.one("sharp-limit")}
    assert len(of_kind(drawing, "head-soft")) == len(soft)


def test_a_head_by_central_projection(shoot) -> None:
    # Worked by hand, after Ray, Applied Photographic Optics: f = 50 mm at 5 m gives an image distance of 50 × 5000 / 4950
    # = 50.505 mm, so that 0.9 m to the right at 5 m comes to 9.0909 mm on the sensor, 0.25253 of its width of 36 mm.
    shot = shoot(rows='  row "front", 5 m { "Ada" standing, at 90 cm }')
    drawing = picture.view_through_lens(Measures(shot.graph), "lens")
    assert drawing is not None
    frame, (head,) = frame_of(drawing), of_kind(drawing, "head")
    assert (head.x - frame.left) / (frame.right - frame.left) == pytest.approx(0.75253, abs=1e-5)


def test_the_nearer_head_is_drawn_over_the_farther_one(shoot) -> None:
    rows = '  row "front", 4 m { "Ada" standing, at 0 cm }\n  row "back", 6 m { "Ben" standing, at 0 cm }'
    drawing = picture.view_through_lens(Measures(shoot(people="Ada 170, Ben 170", rows=rows).graph), "lens")
    assert drawing is not None
    far, near = of_kind(drawing, "head")
    assert near.across > far.across
    # One number stands for both, that of whom one sees.
    assert [each.text for each in of_kind(drawing, "number")] == ["1"]


def test_the_print_crops_the_frame_in_its_middle(shoot) -> None:
    # A square print of a frame 3:2 shows two thirds of its width.
    drawing = picture.view_through_lens(Measures(shoot(print="60 cm x 60 cm").graph), "lens")
    assert drawing is not None
    frame, (printed,) = frame_of(drawing), of_kind(drawing, "printed")
    left, right = printed.points[0][0], printed.points[1][0]
    assert (right - left) / (frame.right - frame.left) == pytest.approx(2 / 3)
    assert left + right == pytest.approx(frame.left + frame.right)
    thirds = [each.points[0][0] for each in of_kind(drawing, "third") if each.points[0][0] == each.points[1][0]]
    assert thirds == pytest.approx([left + (right - left) / 3, left + 2 * (right - left) / 3])


def test_a_light_in_the_picture_is_drawn_where_it_intrudes(shoot) -> None:
    place = 'place "Lamp" as rim, right 170 deg, distance 3 m, height 2 m, power 1/8, stand "Stand"'
    shot = shoot(place=place)
    assert shot("light-in-frame") == 1
    measures = Measures(shot.graph)
    drawing = picture.view_through_lens(measures, "lens")
    assert drawing is not None
    assert [each.text for each in of_kind(drawing, "light-name")] == ["Lamp"]
    frame, (stand,) = frame_of(drawing), of_kind(drawing, "stand")
    # The same projection as for heads, by hand: 3 sin 170° across at 5 - 3 cos 170° away.
    across, away = 3 * math.sin(math.radians(170)), 5 - 3 * math.cos(math.radians(170))
    share = 0.5 + across * shot("image-distance") / (away * 0.036)
    assert (stand.points[0][0] - frame.left) / (frame.right - frame.left) == pytest.approx(share)
    # Likewise its middle, 0.4 m above a level lens, and the foot of its stand, 1.6 m below it.
    for reading, above in (("light-y", 2 - 1.6), ("light-foot-y", -1.6)):
        assert shot(reading) == pytest.approx(0.5 - above * shot("image-distance") / (away * 0.024))
    behind = shoot(place=place.replace("170 deg, distance 3 m", "0 deg, distance 6 m"))
    assert behind("light-along-axis") == pytest.approx(-1) and math.isnan(behind("light-x")) and math.isnan(behind("light-y"))
    clear = picture.view_through_lens(Measures(shoot(place=place.replace("170 deg", "90 deg")).graph), "lens")
    assert clear is not None and not of_kind(clear, "lamp")


def scale_of(drawing: Drawing) -> float:
    """Units a metre, by the drawing's own bar."""
    bar = [each for each in of_kind(drawing, "distance") if each.points[0][1] == each.points[1][1]][-1]
    return bar.points[1][0] - bar.points[0][0]


def middle(shape: Ellipse) -> tuple[float, float]:
    return shape.x, shape.y


@pytest.mark.parametrize(("path", "place"), SETUPS)
def test_the_ground_is_to_scale(path: Path, place: int) -> None:
    measures = measured(path, place)
    drawing = ground.view_from_above(measures, "above")
    scale = scale_of(drawing) / (0.9144 if measures.scene.in_feet else 1.0)
    lens = of_kind(drawing, "field")[0].points[0]
    people = of_kind(drawing, "person")
    assert len(people) == measures.size("person")
    # Whoever is on an arm is drawn last, over those beside.
    order = [*range(len(people))]
    order.sort(key=lambda each: measures.scene.sitters[each].posed.on_arm)
    for person, shape in zip(order, people, strict=True):
        assert (shape.x - lens[0]) / scale == pytest.approx(measures.one("sideways", person=person), abs=1e-6)
        assert (lens[1] - shape.y) / scale == pytest.approx(measures.one("row-distance", person=person))
        assert 2 * shape.across / scale == pytest.approx(measures.one("shoulder-breadth", person=person))
    fronts = min(measures.of_people("row-distance"))
    falls = of_kind(drawing, "fall")
    for lamp, fall in zip((each for each in measures.scene.lamps if each.stand), falls, strict=True):
        spot = lamp.placement
        # As the plan says it: so far from the middle of the front row, along the ground, at that angle.
        across, away = (fall.x - lens[0]) / scale, (lens[1] - fall.y) / scale
        assert math.hypot(across, away - fronts) == pytest.approx(spot.distance.value)
        assert math.degrees(math.atan2(across, fronts - away)) == pytest.approx(spot.angle.angle)
        # A stand of that height, fallen, reaches as far (common practice, no source).
        assert fall.across / scale == pytest.approx(spot.height.value)
    # The frame's width at the focus is the field's there, and so is the angle of its edges.
    slope = measures.one("field-width") / 2 / measures.one("focus-distance")
    for side, edge in zip((-1, 1), of_kind(drawing, "field"), strict=True):
        (x, y), (u, v) = edge.points
        assert (u - x) / (y - v) == pytest.approx(side * slope)
    for shape in drawing.shapes:
        if isinstance(shape, Ellipse) and shape.kind in ("person", "fall", "feet"):
            assert shape.x - shape.across >= 0 and shape.x + shape.across <= drawing.width
            assert shape.y - shape.down >= 0 and shape.y + shape.down <= drawing.height
        if isinstance(shape, Line):
            assert all(-0.01 <= x <= drawing.width + 0.01 and -0.01 <= y <= drawing.height + 0.01 for x, y in shape.points)


@pytest.mark.parametrize("facing", [0, 30, 95, 200, 359])
def test_the_sun_stands_where_it_shines_from(shoot, facing: int) -> None:
    shot = shoot(facing=f"{facing} deg", time="15:00 to 16:00", site='shade "hedge", bearing 100 deg to 150 deg, up to 5 deg')
    measures = Measures(shot.graph)
    drawing = ground.view_from_above(measures, "above")
    (person,) = of_kind(drawing, "person")
    first, last = of_kind(drawing, "sun")
    for minute, sun in ((0, first), (60, last)):
        turn = math.degrees(math.atan2(sun.x - person.x, person.y - sun.y)) % 360
        assert turn == pytest.approx((measures.one("sun-bearing", minute=minute) - facing) % 360, abs=2)
    # The band is not a circle, so that its middle is not quite on the ray; the ray itself is.
    for minute, ray in ((0, 0), (60, 1)):
        (x, y), end = of_kind(drawing, "sun-ray")[ray].points
        assert end == middle(person)
        turn = math.degrees(math.atan2(x - end[0], end[1] - y)) % 360
        assert turn == pytest.approx((measures.one("sun-bearing", minute=minute) - facing) % 360, abs=1e-6)
    (shade,) = of_kind(drawing, "shade")
    turns = [(math.degrees(math.atan2(x - person.x, person.y - y)) - (100 - facing)) % 360 for x, y in shade.points]
    turns = [each - 360 if each > 359.9 else each for each in turns]
    assert min(turns) == pytest.approx(0, abs=1e-6) and max(turns) == pytest.approx(50, abs=1e-6)


def test_fall_off_is_drawn_at_its_distance(shoot) -> None:
    # A point at the height of the eyes: the inverse square alone, so that a stop less is √2 times as far.
    eyes = shoot()("eye-height")
    place = f'place "Lamp" as key, right 90 deg, distance 3 m, height {eyes:.4f} m, power 1/8'
    measures = Measures(shoot(place=place).graph)
    drawing = ground.view_from_above(measures, "above")
    scale, (aim,) = scale_of(drawing), of_kind(drawing, "aim")
    lamp = aim.points[0]
    assert math.dist(*aim.points) / scale == pytest.approx(3)
    for kind, distance in (("more", 3 / math.sqrt(2)), ("less", 3 * math.sqrt(2))):
        points = [point for arc in of_kind(drawing, kind) for point in arc.points]
        assert points and all(math.dist(lamp, point) / scale == pytest.approx(distance, rel=1e-4) for point in points)


@pytest.mark.parametrize(("path", "place"), SETUPS)
def test_no_word_lies_over_another(path: Path, place: int) -> None:
    measures = measured(path, place)
    for drawing in (ground.view_from_above(measures, "above"), picture.view_through_lens(measures, "lens")):
        assert drawing is not None
        words = [shape for shape in drawing.shapes if isinstance(shape, Words)]
        for place, one in enumerate(words):
            for other in words[place + 1 :]:
                shrunk = Box(one.plate.left, one.plate.top + 1, one.plate.right, one.plate.bottom - 1)
                there = Box(other.plate.left, other.plate.top + 1, other.plate.right, other.plate.bottom - 1)
                assert not shrunk.meets(there), (one.text, other.text)


def chart_of(shot, holds=()) -> Drawing:
    measures = Measures(shot.graph)
    slot = measures.scene.slot
    assert slot is not None
    (found,) = evening.evening_charts([evening.Timed(measures, slot.start.seconds, slot.end.seconds, holds)], "evening")
    return found


def test_the_chart_reads_as_the_readings(shoot) -> None:
    shot = shoot(time="18:00 to 18:30", place='place "Lamp" as key, right 40 deg, distance 3 m, height 2 m, power 1/8')
    drawing, measures = chart_of(shot), Measures(shot.graph)
    slot = measures.scene.slot
    # The marks of the clock and of the sun's height are what a reader goes by.
    clocks = {each.text: each.x for each in of_kind(drawing, "clock") if ":" in each.text}
    assert {"17:30", "18:00", "18:30"} <= clocks.keys()
    heights = {float(each.text[:-1]): each.y - 12 / 3 for each in of_kind(drawing, "clock") if each.text.endswith("°")}
    (low, low_y), (high, high_y) = sorted(heights.items())[0], sorted(heights.items())[-1]
    (curve,) = of_kind(drawing, "sun-curve")
    for minute, clock in ((0, "18:00"), (30, "18:30")):
        y = min(curve.points, key=lambda point: abs(point[0] - clocks[clock]))[1]
        read = low + (y - low_y) / (high_y - low_y) * (high - low)
        assert read == pytest.approx(measures.one("sun-altitude", minute=minute), abs=0.01)
    (bar,) = of_kind(drawing, "slot")
    assert bar.points[0][0] == pytest.approx(clocks["18:00"]) and bar.points[1][0] == pytest.approx(clocks["18:30"])
    levels = {int(each.text): each.y - 12 / 3 for each in of_kind(drawing, "clock") if each.text.isdecimal()}
    (first, first_y), (second, second_y) = sorted(levels.items())[0], sorted(levels.items())[-1]
    (setting,) = of_kind(drawing, "setting")
    read = first + (setting.points[0][1] - first_y) / (second_y - first_y) * (second - first)
    assert read == pytest.approx(measures.one("setting"), abs=0.01)
    (key,) = of_kind(drawing, "key-level")
    read = first + (key.points[0][1] - first_y) / (second_y - first_y) * (second - first)
    assert read == pytest.approx(measures.one("setting") + measures.one("key-level"), abs=0.01)
    assert slot is not None


def test_the_chart_crosses_out_what_does_not_hold(shoot) -> None:
    shot = shoot(time="18:00 to 18:30")
    slot = Measures(shot.graph).scene.slot
    assert slot is not None
    start = slot.start.seconds
    drawing = chart_of(shot, [(start - 3600, start + 600)])
    (slot_bar,), (fails,) = of_kind(drawing, "slot"), of_kind(drawing, "fails")
    whole = slot_bar.points[1][0] - slot_bar.points[0][0]
    assert (fails.points[1][0] - fails.points[0][0]) / whole == pytest.approx(2 / 3)
    assert not of_kind(chart_of(shot, [(start - 60, start + 1800)]), "fails")
    # A night's wait between two setups is not drawn.
    far = [evening.Timed(Measures(shot.graph), at, at + 60, ()) for at in (start + 24 * 3600, start, start + 120)]
    charts = evening.evening_charts(far, "evening")
    assert [len(of_kind(each, "slot")) for each in charts] == [2, 1]
    assert [each.name for each in charts] == ["evening-1", "evening-2"] and evening.evening_charts([], "evening") == []


@pytest.mark.parametrize(
    ("pieces", "gone"),
    [
        ({"facing": "0 deg", "site": ""}, "shade"),
        ({"place": ""}, "lamp"),
        ({"place": 'place "Lamp" as key, right 40 deg, distance 3 m, height 2 m, power 1/8'}, "fall"),
    ],
)
def test_what_is_not_there_is_not_drawn(shoot, pieces: dict[str, str], gone: str) -> None:
    measures = Measures(shoot(**pieces).graph)
    assert not of_kind(ground.view_from_above(measures, "above"), gone)
    assert picture.view_through_lens(measures, "lens") is not None


def test_without_facing_or_height_less_is_drawn(make_plan) -> None:
    measures = make_plan(facing="", support="support handheld")
    above = ground.view_from_above(measures, "above")
    assert not of_kind(above, "sun") and not of_kind(above, "north-letter")
    assert [each.text for each in of_kind(above, "remark")] == ["facing is not told: no north, no sun"]
    assert picture.view_through_lens(measures, "lens") is None
    assert measures.needs("head-y") == ["setup support height"]


@pytest.fixture
def make_plan(plan: str, tmp_path: Path):
    def make(facing: str, support: str) -> Measures:
        text = plan.replace("facing   300 deg", facing).replace("support  tripod, height 1.4 m", support)
        (tmp_path / "plan.shoot").write_text(text, "utf-8")
        return measured(tmp_path / "plan.shoot", 0)

    return make


coordinates = st.floats(-100, 200, allow_nan=False)
points = st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=8)
BOX = Box(0, 0, 100, 60)


@given(points)
def test_what_is_clipped_lies_in_the_box(outline: list[tuple[float, float]]) -> None:
    found = clipped(outline, BOX)
    assert all(-1e-9 <= x <= 100 + 1e-9 and -1e-9 <= y <= 60 + 1e-9 for x, y in found)
    if all(BOX.holds(point) for point in outline):
        assert found == outline
    assert clipped(found, Box(-1, -1, 101, 61)) == found
