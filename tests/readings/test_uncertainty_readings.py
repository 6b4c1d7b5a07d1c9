"""What is uncertain: the declarations, what they move, and the graph in which readings are varied."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.readings.axes import INDEX, along, single
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph, VariedGraph, behind
from shootlint.readings.uncertainty import UNCERTAINTIES, in_force, uncertain

TWO = {
    "people": "Ada 170, Ben 121 age 7, Cyd 165 age 74",
    "rows": '  row "front", 4 m { "Ada" standing, at -40 cm; "Ben" standing, at 30 cm }\n'
    '  row "back", 5 m { "Cyd" standing, at 20 cm }',
    "place": 'place "Lamp" as key, right 30 deg, distance 3 m, height 2 m, power 1/2',
}


@pytest.mark.parametrize("name", sorted(UNCERTAINTIES))
def test_every_uncertainty_says_what_it_is(name):
    each = UNCERTAINTIES[name]
    assert each.changes and all(reading in catalogue() for reading in each.changes)
    assert all(reading in catalogue() for reading, _ in each.needs)
    assert each.size > 0
    assert each.meaning[0].isupper() and each.meaning.endswith(".")
    assert re.search("no source|memory|names", each.source), "a source, or that there is none"
    assert each.watch[0].islower() and not each.watch.endswith(".") and each.more and each.less
    assert ("{name}" in each.watch) == (each.each not in ("plan", "setup"))
    for reading in each.changes:
        unit = catalogue()[reading].unit
        same = each.unit.kind == "share" if each.kind == "lognormal" else each.unit.kind in (unit.kind, "stops")
        assert same, f"{each.unit.name} does not move {reading}"
        assert each.axis is None or each.axis in catalogue()[reading].axes


def test_one_name_is_declared_once():
    with pytest.raises(ValueError, match="leaning is there already"):

        @uncertain("cm", 1, "head-distance", each="person", watch="w", more="m", less="l")
        def leaning() -> float:
            return 1.0


def test_children_and_the_old_lean_more_and_a_metered_light_has_no_unknown_modifier(shoot):
    graph = shoot(**TWO).graph
    assert UNCERTAINTIES["leaning"].scale(graph).ravel().tolist() == [1.0, 2.5, 1.5]
    assert UNCERTAINTIES["modifier-loss"].scale(graph).ravel().tolist() == [1.0]
    kit = 'light "Lamp" { metered f/11 at 2 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg }'
    assert UNCERTAINTIES["modifier-loss"].scale(shoot(**TWO, kit=kit).graph).ravel().tolist() == [0.0]


def test_a_meter_reading_makes_daylight_surer_and_without_a_sky_no_cloud_passes(shoot):
    assert UNCERTAINTIES["daylight-model"].scale(shoot().graph).item() == 1.0
    metered = shoot(meter="meter 13 EV at 12:00").graph
    assert UNCERTAINTIES["daylight-model"].scale(metered).item() * 0.7 == pytest.approx(0.3)
    assert UNCERTAINTIES["passing-cloud"].scale(shoot(weather="air 15 C").graph) is None


def test_a_row_shares_what_a_person_does_not(shoot):
    scene = shoot(**TWO).graph.scene
    assert UNCERTAINTIES["row-distance"].owners(scene) == ["front", "front", "back"]
    assert UNCERTAINTIES["leaning"].owners(scene) == ["Ada", "Ben", "Cyd"]
    assert UNCERTAINTIES["daylight-model"].owners(scene) == [""]


def test_what_a_house_knows_exactly_is_not_drawn():
    left = {each.name: size for each, size in in_force({"leaning": 0.0, "off-mark": 0.2})}
    assert "leaning" not in left and left["off-mark"] == 0.2
    assert left.keys() == UNCERTAINTIES.keys() - {"leaning"}


@given(st.floats(-50, 50), st.floats(0.1, 100))
def test_a_length_keeps_at_least_a_tenth(by, value):
    moved = UNCERTAINTIES["row-distance"].moved(single(value), single(by)).item()
    assert moved >= value / 10
    assert moved == max(value + by, value / 10)


def test_a_lean_moves_blur_place_in_the_frame_and_light_together_and_leaves_row_and_focus(shoot):
    graph = shoot(**TWO, focus='row "front"', support="tripod, height 1.6 m, tilt -5 deg").graph
    lean = along("person", [0.3, 0.0, -0.2])
    leaning = VariedGraph(graph, {"head-distance": lambda value: value + lean})
    expected = Graph(graph.scene, {"head-distance": graph["head-distance"].array + lean})
    for name in ("blur", "head-x", "crown-y", "light-to-person", "flash"):
        assert np.array_equal(leaning[name].array, expected[name].array), name
        differs = (leaning[name].array != graph[name].array).any(
            axis=tuple(axis for axis in range(len(INDEX)) if axis != INDEX["person"])
        )
        assert differs.tolist() == [True, False, True], name
    for name in ("focus-distance", "row-distance", "feet-y", "least-row-gap", "light-away"):
        assert leaning[name] is graph[name], name


def test_a_row_that_stands_elsewhere_takes_its_focus_along(shoot):
    graph = shoot(**TWO, focus='row "back"').graph
    moved = VariedGraph(graph, {"row-distance": lambda value: value + along("person", [0, 0, 0.25])})
    assert moved["focus-distance"].array.item() == pytest.approx(5.25)
    assert moved["least-row-gap"].array.item() == pytest.approx(1.25)
    assert moved["blur"].array.ravel()[2] == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("name", sorted({reading for each in UNCERTAINTIES.values() for reading in each.changes}))
def test_a_varied_graph_is_the_plain_one_when_nothing_is_moved(shoot, name):
    graph = shoot(**TWO).graph
    varied = VariedGraph(graph, {name: lambda value: value + np.zeros_like(value)})
    for other in catalogue():
        assert np.array_equal(varied[other].array, graph[other].array, equal_nan=True), other
        assert name in behind(other) or varied[other] is graph[other]


def test_what_is_unknown_stays_unknown_with_its_reason(shoot):
    graph = shoot(weather="air 15 C").graph
    varied = VariedGraph(graph, {"ambient": lambda value: value + along("trial", [0.0, 1.0])})
    assert varied["ambient"].unknown and varied["ambient"].needs == graph["ambient"].needs


def test_how_far_each_thing_is_off_by_whom():
    """Common practice, no source: children stand off their marks twice as far, the old lean half as much more."""
    ages = np.array([5.0, 12.9, 13.0, 40.0, 70.0])
    assert UNCERTAINTIES["off-mark"].function(ages).tolist() == [2.0, 2.0, 1.0, 1.0, 1.0]
    assert UNCERTAINTIES["leaning"].function(ages).tolist() == [2.5, 2.5, 1.0, 1.0, 1.5]
    assert UNCERTAINTIES["group-distance"].function() == UNCERTAINTIES["row-distance"].function() == 1.0
