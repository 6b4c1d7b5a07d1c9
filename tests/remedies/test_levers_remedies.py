"""Levers: what an option's arrays say is what its text reads as, for every lever on every plan that comes with the program."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.edits import changed
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source
from shootlint.readings.axes import INDEX
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.levers import EDITORIAL, MECHANICAL, Turn, before_setting, levers
from shootlint.remedies.standing import Standing
from shootlint.remedies.tried import Tried
from shootlint.rulebook.book import shipped_book

ROOT = Path(__file__).parents[2]
ANY_DAY = datetime.date(2026, 1, 1)
OPTION, MINUTE = INDEX["option"], INDEX["minute"]
FAMILY = ROOT / "plans/family-and-infant.shoot"
PLANS = [
    path
    for path in sorted([*(ROOT / "plans").glob("*.shoot"), *(ROOT / "rules/examples").glob("*.shoot")])
    if re.search(r"^setup ", path.read_text("utf-8"), re.MULTILINE)
]
"""Those with a setup: a kit has nothing to turn."""


@pytest.fixture(params=PLANS, ids=lambda path: path.stem)
def document(request: pytest.FixtureRequest) -> Document:
    found = Loader().load(request.param, request.param.name)
    assert found.plan is not None and found.plan.setup
    return found


def turns(graphs: Sequence[Graph]) -> Iterator[tuple[int, Turn]]:
    """The first turn of each lever in a plan and the last, and in which setup."""
    for lever in levers().values():
        found = [(at, turn) for at, graph in enumerate(graphs) for turn in lever.turns(graph)]
        yield from [*found[:1], *found[1:][-1:]]


def taken(array: np.ndarray, place: int) -> np.ndarray:
    return array.take([place], axis=OPTION) if array.shape[OPTION] > 1 else array


def read(document: Document, text: str) -> Document:
    loader = Loader()
    found = loader.load_source(Source(document.source.name, text, document.source.path))
    assert {str(each.message) for each in found.complaints} <= {str(each.message) for each in document.complaints}
    return found


def same(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two arrays say the same. A slot that is shorter than another stays at its last minute in the longer array."""
    minutes = max(one.shape[MINUTE], other.shape[MINUTE])
    one, other = (
        each.take(np.minimum(np.arange(minutes), each.shape[MINUTE] - 1), axis=MINUTE) if each.shape[MINUTE] > 1 else each
        for each in (one, other)
    )
    return np.allclose(*np.broadcast_arrays(one, other), rtol=1e-9, atol=1e-9, equal_nan=True)


def test_what_an_option_says_is_what_its_text_reads_as(document):
    text, book = document.source.text, shipped_book()
    standing = Standing(document.plan, book, ANY_DAY)
    tried = 0
    for number, (at, turn) in enumerate(turns(standing.graphs)):
        arrays = turn.arrays(standing.graphs[at])
        places = sorted({0, len(turn.titles) // 2, len(turn.titles) - 1})
        for place in places:
            what = (turn.lever.name, turn.titles[place])
            assert turn.changes[place], what
            changed_to = changed(text, turn.changes[place])
            assert changed_to != text, what
            after = read(document, changed_to)
            assert after.plan is not None and len(after.plan.setup) == len(document.plan.setup), what
            found = Graph(scenes(after.plan)[at])
            for name, array in arrays.items():
                assert same(taken(array, place), found[name].array), (*what, name)
            tried += 1
            # The verdict of every rule everywhere is compared for one option of each turn, now the first, now the last.
            if place == places[number % len(places)]:
                assert_judged_alike(Tried(standing, turn, at), place, after)
    assert tried > 20


def assert_judged_alike(tried: Tried, place: int, document: Document) -> None:
    before = tried.standing
    after = Standing(document.plan, before.book, ANY_DAY)
    wanted = dict(after.failing)
    for rule, where in after.everywhere():
        told, found = tried.outcome(rule, where), after.outcome(rule, where)
        for one, other in ((told.failing, found.failing), (told.unsure, found.unsure)):
            assert np.equal(*np.broadcast_arrays(taken(one, place), other)).all(), (
                tried.turn.lever.name,
                tried.turn.titles[place],
                rule.name,
                where,
            )
        # What can no longer be judged counts as failing: to hide a fault is no mend of it.
        hidden = found.unsure & ~before.outcome(rule, where).unsure
        wanted[rule.level] += int(after.over_options(rule, where, hidden, 1)[0])
    tally = tried.tally()
    counts = {"error": tally.errors, "warning": tally.warnings, "note": tally.notes}
    assert {level: sums[place] for level, sums in counts.items()} == wanted


def test_options_differ_from_each_other_and_from_what_the_plan_says(document):
    text = document.source.text
    for graph in (Graph(scene) for scene in scenes(document.plan)):
        for turn in (each for lever in levers().values() for each in lever.turns(graph)):
            texts = {changed(text, changes) for changes in turn.changes}
            assert len(texts) == len(turn.titles) == len(turn.changes) == len(turn.sizes), turn.lever.name
            assert text not in texts, turn.lever.name
            assert len(set(turn.titles)) == len(turn.titles)
            assert turn.values is None or len(turn.values) == len(turn.titles)
            for setting in turn.replaced.values():
                assert setting.values.shape[OPTION] in (1, len(turn.titles))


def test_a_turn_says_whom_it_is_at_and_stays_in_its_setup(document):
    starts = [setup.where.start for setup in document.plan.setup]
    for graph in (Graph(scene) for scene in scenes(document.plan)):
        for turn in (each for lever in levers().values() for each in lever.turns(graph)):
            assert turn.axis in ("", "light", "person")
            assert bool(turn.axis) is bool(turn.members)
            if turn.axis:
                assert turn.members <= set(range(len(graph.scene.names[turn.axis])))
            start = graph.scene.setup.where.start
            end = min((each for each in starts if each > start), default=len(document.source.text))
            for changes in turn.changes:
                assert all(start <= each.place.start <= each.place.end <= end for each in changes), "a fact was turned"


UP = {
    "aperture": ("aperture", 1), "shutter": ("shutter-set", 1), "high-speed-sync": ("shutter-set", 1), "iso": ("iso", 1),
    "filter": ("filter-loss", 1), "white-balance": ("white-balance", -1), "focal-length": ("focal-length", 1),
    "focus": ("focus-distance", 1), "focus-distance": ("focus-distance", 1), "camera-distance": ("row-distance", 1),
    "camera-height": ("camera-height", 1), "camera-tilt": ("camera-tilt", 1), "power": ("power", 1),
    "light-distance": ("light-distance", 1), "light-height": ("light-height", 1), "gel": ("gel-shift", 1), "bag": ("bag", 1),
    "row-distance": ("row-distance", 1), "sideways": ("mark", 1), "step": ("support-height", 1), "frames": ("frames", 1),
    "time": ("instant", 1), "slot-end": ("instant", 1), "slot-start": ("instant", 1),
}  # fmt: skip
"""Which reading grows with a turn's size; mired fall as the colour that comes out neutral rises in kelvin."""


def test_sizes_have_the_sign_of_what_they_do(document):
    for graph in (Graph(scene) for scene in scenes(document.plan)):
        for turn in (each for name in UP for each in levers()[name].turns(graph)):
            reading, sign = UP[turn.lever.name]
            if reading not in turn.replaced:
                continue
            after, before = turn.arrays(graph)[reading], np.nan_to_num(graph[reading].array)
            # Of a slot its last minute or its first is what moves.
            minute = -1 if turn.lever.name == "slot-end" else 0
            moved = after.take([minute], axis=MINUTE) - before.take([minute], axis=MINUTE)
            where = turn.replaced[reading].where
            moved = np.moveaxis(moved if where is None else np.where(where, moved, 0.0), OPTION, -1)
            moved = moved.reshape(-1, moved.shape[-1])
            strongest = np.take_along_axis(moved, np.abs(moved).argmax(axis=0)[np.newaxis, :], axis=0)[0]
            surely = np.abs(turn.sizes) > 1e-9
            assert (np.sign(strongest)[surely] == sign * np.sign(turn.sizes)[surely]).all(), (turn.lever.name, turn.titles[:3])


def test_prices_rise_with_how_far_a_lever_goes(document):
    for graph in (Graph(scene) for scene in scenes(document.plan)):
        for turn in (each for lever in levers().values() for each in lever.turns(graph)):
            assert np.isfinite(turn.sizes).all() and (turn.prices >= turn.lever.first).all()
            order = np.argsort(np.abs(turn.sizes), kind="stable")
            assert (np.diff(turn.prices[order]) >= -1e-12).all()
            if turn.lever.each:
                assert turn.prices[order][-1] > turn.lever.first


def test_options_come_nearest_first(document):
    """What looks at the first few options of a turn looks at those that cost least."""
    rounding = 0.5 * 0.0254  # a turn is written to the half inch in plans in feet
    for graph in (Graph(scene) for scene in scenes(document.plan)):
        for turn in (each for lever in levers().values() for each in lever.turns(graph)):
            # Focus is on somebody, and rows are named before people, wherever they stand.
            if turn.lever.name != "focus":
                assert (np.diff(turn.prices) >= -rounding * turn.lever.each - 1e-9).all(), (turn.lever.name, turn.titles)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_some_of_the_options_are_still_what_they_were(count):
    document = Loader().load(FAMILY, FAMILY.name)
    graph = Graph(scenes(document.plan)[0])
    for name in ("iso", "power", "sideways"):
        whole = next(iter(levers()[name].turns(graph)))
        few = whole.only(np.arange(count))
        for place in range(count):
            one = few.only(np.array([place]))
            assert one.titles == [whole.titles[place]] and one.changes == [whole.changes[place]]
            for reading, array in one.arrays(graph).items():
                assert array.shape[OPTION] == 1
                assert np.array_equal(array, taken(whole.arrays(graph)[reading], place), equal_nan=True)


@pytest.mark.parametrize("gap", ["", " ", "   "])
@pytest.mark.parametrize("before", ["{", ";", '{ camera "Body";', '{ camera "Body" ; iso 100;'])
def test_a_setting_is_put_before_another_in_a_block_on_one_line(before, gap):
    text = f'setup "A" {before}{gap}aperture f/8; shutter 1/60 s }}\n'
    value = Source("plan.shoot", text, None).place(text.index("f/8"), text.index("f/8") + 3)
    ((change,),) = before_setting(value, ["time 20:00 to 20:10"])
    assert changed(text, [change]) == f'setup "A" {before}{gap}time 20:00 to 20:10; aperture f/8; shutter 1/60 s }}\n'


@pytest.mark.parametrize("name", sorted(levers()))
def test_each_lever_is_declared_whole(name):
    lever = levers()[name]
    assert lever.grade in (MECHANICAL, EDITORIAL) and lever.first > 0 and lever.each >= 0
    assert lever.meaning.endswith(".") and lever.meaning[0].isupper()
    assert bool(lever.ways[0]) is bool(lever.ways[1])


REACH = {
    # The longest and the shortest way of what a plan says, and from where to where that leads: as far as the kit goes, first.
    "aperture": (-1, 4, 4, 22),
    "focal-length": (np.log2(25 / 55), np.log2(105 / 55), 0.025, 0.105),
    "iso": (-1, 7, 100, 25600),
    "power": (-5.7, 2.3, 1 / 256, 1),
    "shutter": (-2 / 3, 12, 1 / 200, 30),
    "bag": (1, 15, 11, 25),
    "camera-distance": (-3, 6, 2.8, 11.8),
    "camera-height": (-0.9, 1.8, 0.3, 3),
    "camera-tilt": (-10, 10, -10, 10),
    "facing": (-175, 180, 0, 355),
    "frames": (-39, 60, 1, 100),
    "light-angle": (-175, 180, 0, 180),
    "light-distance": (-2.4, 6, 1, 9.4),
    # A box of 1.2 m stays half a metre clear of the ground, and its stand goes up to 3.4 m.
    "light-height": (-1.3, 1, 1.1, 3.4),
    "row-distance": (-3, 3, 2.8, 8.8),
    "slot-end": (-14, 90, -14, 90),
    "slot-start": (-90, 14, -90, 14),
    "time": (-180, 180, -180, 180),
    "white-balance": (1e6 / 10000 - 1e6 / 5600, 1e6 / 2500 - 1e6 / 5600, 2500, 10000),
}  # fmt: skip


def first_turn(name: str, *changes: tuple[str, str]) -> Turn:
    text = FAMILY.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    document = Loader().load_source(Source("plan.shoot", text, FAMILY))
    assert document.plan is not None and not document.complaints
    return next(iter(levers()[name].turns(Graph(scenes(document.plan)[0]))))


@pytest.mark.parametrize("name", REACH)
def test_how_far_levers_reach(name):
    """As `shootlint levers` tells of each; from where to where is common practice, no source."""
    turn = first_turn(name)
    values = turn.values if turn.values is not None else turn.sizes
    assert (turn.sizes.min(), turn.sizes.max(), values.min(), values.max()) == pytest.approx(REACH[name])


def test_where_a_reach_ends_before_the_lever_does():
    # A light stands 12 m from the group at the most, and what is far from it comes six metres nearer.
    far = first_turn("light-distance", ("left 35 deg, distance 3.4 m", "left 35 deg, distance 8 m"))
    assert (far.values.min(), far.values.max()) == pytest.approx((2, 12))
    # The camera comes no nearer than a metre to the front row, and goes no more than two metres up.
    near = first_turn("camera-distance", ('row "front", 5.8 m', 'row "front", 2.5 m'))
    assert near.values.min() == pytest.approx(1)
    low = first_turn("camera-height", ("tripod, height 1.2 m", "tripod, height 0.5 m"))
    assert (low.values.min(), low.values.max()) == pytest.approx((0.3, 2.5))
    # A row comes no nearer than 80 cm to the camera, and stands no nearer than 30 cm to another.
    close = first_turn("row-distance", ('row "front", 5.8 m', 'row "front", 2 m'))
    assert close.values.min() == pytest.approx(0.8)
    rows = first_turn("row-distance").values
    assert rows[rows < 6.3].max() == pytest.approx(6.0) and rows[rows > 6.3].min() == pytest.approx(6.6)


def test_a_light_is_set_in_tenths_where_the_plan_does():
    """Lights of today are marked in thirds of a stop or in tenths; which of them, a plan shows by what it writes."""
    thirds = first_turn("power")
    assert np.sort(-np.log2(thirds.values)) == pytest.approx(
        [down for down in (round(step / 3, 1) for step in range(25)) if down != 2.3]
    )
    tenths = first_turn("power", ("power -2.3 stops", "power -2.5 stops"))
    assert np.sort(-np.log2(tenths.values)) == pytest.approx([step / 10 for step in range(81) if step != 25])


def test_focus_goes_from_the_nearest_to_the_farthest():
    turn = first_turn("focus-distance")
    distances = Graph(scenes(Loader().load(FAMILY, FAMILY.name).plan)[0])["distance"].array
    # To the last 5 cm before each.
    assert 0 <= turn.values.min() - distances.min() < 0.05 and 0 <= distances.max() - turn.values.max() < 0.05


def test_a_light_goes_round_the_group_the_short_way():
    """From 120 deg on the left to 175 deg on the right it is 65 deg behind the group, and not 295 deg past the camera."""
    text = FAMILY.read_text("utf-8")
    assert text.count("right 120 deg") == 1
    document = Loader().load_source(Source("plan.shoot", text.replace("right 120 deg", "left 120 deg"), FAMILY))
    _, turn = levers()["light-angle"].turns(Graph(scenes(document.plan)[0]))
    place = turn.titles.index("Strip right 175 deg")
    assert turn.sizes[place] == pytest.approx(-65)
    assert turn.cost(place) == "the light moves around the group by 65 deg"


def test_a_shutter_that_follows_may_follow_from_four_stops_behind_to_two_before():
    path = ROOT / "plans/team-in-rain-gear.shoot"
    document = Loader().load(path, path.name)
    (following,) = [
        turn for turn in levers()["shutter"].turns(Graph(scenes(document.plan)[0])) if "shutter-follows" in turn.replaced
    ]
    values = following.replaced["shutter-follows"].values.ravel()
    assert (values.min(), values.max()) == pytest.approx((-4, 2)), "common practice, no source"
    # Nineteen thirds of a stop, told in tenths: what the plan says, -1.5, is none of them.
    assert len(values) == 19 and np.diff(np.sort(values)) == pytest.approx(1 / 3, abs=0.07)


def test_people_are_offered_what_others_in_their_pose_are_on():
    """Whoever stands gets what others stand on, and whoever sits what others sit on; a step too low to sit on is no seat."""
    text = FAMILY.read_text("utf-8")
    for old, new in (
        ('"Daughter"    standing, ', '"Daughter" seated on 60 cm, '),
        ('"Father" standing, at 36', '"Father" standing on 20 cm, at 36'),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    document = Loader().load_source(Source("plan.shoot", text, FAMILY))
    assert not document.complaints, [str(each) for each in document.complaints]
    graph = Graph(scenes(document.plan)[0])
    assert not document.plan.step, "a kit's steps would be offered to all"
    supports = {
        (name, title)
        for name in ("step", "pose")
        for turn in levers()[name].turns(graph)
        for title in turn.titles
        if " on " in title
    }
    assert supports == {
        ("step", "Grandmother seated on 60 cm"), ("step", "Daughter seated on 46 cm"), ("step", "Mother standing on 20 cm"),
        ("pose", "Mother seated on 46 cm"), ("pose", "Mother seated on 60 cm"),
        ("pose", "Father seated on 46 cm"), ("pose", "Father seated on 60 cm"),
        ("pose", "Father kneeling on 20 cm"), ("pose", "Father sitting on 20 cm"),
    }  # fmt: skip
