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
from shootlint.remedies.levers import EDITORIAL, MECHANICAL, Turn, levers
from shootlint.remedies.standing import Standing
from shootlint.remedies.tried import Tried
from shootlint.rulebook.book import shipped_book

ROOT = Path(__file__).parents[2]
ANY_DAY = datetime.date(2026, 1, 1)
OPTION, MINUTE = INDEX["option"], INDEX["minute"]
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


@pytest.mark.parametrize("name", sorted(levers()))
def test_each_lever_is_declared_whole(name):
    lever = levers()[name]
    assert lever.grade in (MECHANICAL, EDITORIAL) and lever.first > 0 and lever.each >= 0
    assert lever.meaning.endswith(".") and lever.meaning[0].isupper()
    assert bool(lever.ways[0]) is bool(lever.ways[1])


def reach(name: str, text: str) -> tuple[float, float]:
    document = Loader().load_source(Source("plan.shoot", text, ROOT / "plans/family-and-infant.shoot"))
    turn = next(iter(levers()[name].turns(Graph(scenes(document.plan)[0]))))
    return float(np.min(turn.values)), float(np.max(turn.values))


def test_how_far_levers_reach():
    """As `shootlint levers` tells of each; from where to where is common practice, no source."""
    text = (ROOT / "plans/family-and-infant.shoot").read_text("utf-8")
    far = text.replace("left 35 deg, distance 3.4 m", "left 35 deg, distance 8 m", 1)
    # Six metres either way, and a light stands 1 m to 12 m from the group.
    assert reach("light-distance", text) == pytest.approx((1.0, 9.4))
    assert reach("light-distance", far) == pytest.approx((2.0, 12.0))
    # The front row stands at 5.8 m; the camera comes 3 m nearer and goes 6 m back.
    assert reach("camera-distance", text) == pytest.approx((2.8, 11.8))
    near, last = reach("focus-distance", text)
    document = Loader().load_source(Source("plan.shoot", text, ROOT / "plans/family-and-infant.shoot"))
    distances = Graph(scenes(document.plan)[0])["distance"].array
    # To the last 5 cm before the nearest and the farthest of the group.
    assert 0 <= near - distances.min() < 0.05 and 0 <= distances.max() - last < 0.05
