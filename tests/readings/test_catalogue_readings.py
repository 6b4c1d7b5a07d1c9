"""The catalogue of readings and the graph that works them out: wording, wiring, axes, laziness and what is not known."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import AXES, RANK, along, varies
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import Scene, scenes

ROOT = Path(__file__).parents[2]
PLANS = sorted([*ROOT.glob("plans/**/*.shoot"), *ROOT.glob("rules/examples/*.shoot")])
TWO_ROWS = (ROOT / "rules/examples/two-rows.shoot").read_text(encoding="utf-8")
SUNNY = ("instant", "sun-altitude", "sun-bearing", "ambient", "latitude", "sunlit")


def graphs_of(text: str) -> list[Graph]:
    document = Loader().load_source(Source("plan.shoot", text))
    assert document.plan is not None and not document.complaints, document.complaints
    return [Graph(scene) for scene in scenes(document.plan)]


def graph_of(*changes: tuple[str, str]) -> Graph:
    """The readings of the example with pieces of its text changed."""
    text = TWO_ROWS
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return graphs_of(text)[0]


def every_graph() -> list[Graph]:
    found = []
    for path in PLANS:
        document = Loader().load(path, path.name)
        if document.plan is not None:
            found += [Graph(scene) for scene in scenes(document.plan)]
    return found


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_every_reading_says_what_it_is(name):
    reading = catalogue()[name]
    assert reading.name == name
    # The first sentence says what it is; up to two more say what is left out or how it is taken.
    sentences = re.findall(r"[^.]+(?:\.\d[^.]*)*\.(?= |$)", reading.meaning)
    assert 1 <= len(sentences) <= 3, reading.meaning
    assert reading.meaning == " ".join(sentence.strip() for sentence in sentences)
    assert reading.meaning[0].isupper() and reading.meaning.endswith(".") and "  " not in reading.meaning
    assert reading.formula and reading.source
    assert set(reading.axes) <= set(AXES)
    assert reading.axes == tuple(sorted(reading.axes, key=AXES.index)), "axes stand in their one order"
    assert reading.unit.name
    assert bool(reading.asks) == reading.given


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_every_input_of_a_reading_is_a_reading(name):
    reading = catalogue()[name]
    assert {needed for needed, _ in reading.needs} <= set(catalogue())
    assert reading.given or reading.needs, "worked out from nothing"
    if reading.given:
        assert not reading.needs


def test_the_graph_has_no_cycle():
    seen: dict[str, bool] = {}

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, f"circle: {' '.join((*path, name))}"
        if seen.get(name):
            return
        for needed, _ in catalogue()[name].needs:
            visit(needed, (*path, name))
        seen[name] = True

    for name in catalogue():
        visit(name, ())
    assert len(seen) == len(catalogue())


# The names that scripts hold on to: unit and axes of each. Heights of people are in centimetres where people read them.
PROMISED = {
    ("m", ()): "focus-distance near-limit far-limit hyperfocal field-width field-height",
    ("1", ()): "enlargement",
    ("mm", ()): "sharp-limit diffraction background-blur",
    ("ppi", ()): "print-resolution",
    ("EV", ("minute",)): "setting ambient",
    ("1", ("minute",)): "sync-share",
    ("deg", ("minute",)): "sun-altitude sun-bearing sun-angle",
    ("yes", ("minute",)): "sunlit",
    ("stops", ("minute",)): "ambient-under-key",
    ("s", ("minute",)): "shutter",
    ("m", ("person",)): "distance",
    ("mm", ("person",)): "blur head-on-print",
    ("1", ("person",)): "head-x head-y edge-stretch",
    ("px", ("person",)): "head-pixels",
    ("K", ("light",)): "light-colour",
    ("deg", ("light",)): "softness",
    ("m/s", ("light",)): "stand-tips-at",
    ("kg", ("light",)): "bag-needed",
    ("1", ("light",)): "power-needed",
    ("stops", ("light", "person")): "flash",
}


@pytest.mark.parametrize(("unit", "axes", "name"), [(*key, name) for key, names in PROMISED.items() for name in names.split()])
def test_promised_readings_keep_their_unit_and_axes(unit, axes, name):
    reading = catalogue()[name]
    assert (reading.unit.name, reading.axes) == (unit, axes)


def test_arrays_vary_only_along_the_declared_axes():
    graphs = every_graph()
    assert len(graphs) >= 2
    for graph in graphs:
        for reading in catalogue().values():
            array = graph[reading.name].array
            assert array.ndim == RANK and array.dtype == np.float64, reading.name
            assert set(varies(array)) <= set(reading.axes), reading.name
            for axis, names in graph.scene.names.items():
                assert array.shape[AXES.index(axis)] in (1, len(names)), reading.name


def test_words_and_truths_are_numbers_of_their_kind():
    for graph in every_graph():
        for reading in catalogue().values():
            known = graph[reading.name].array
            known = known[~np.isnan(known)]
            if reading.words:
                assert set(known) <= set(range(len(reading.words))), reading.name
            if reading.unit.name == "yes":
                assert set(known) <= {0.0, 1.0}, reading.name
            if reading.of:
                assert set(known) <= set(range(len(graph.scene.names[reading.of]))), reading.name


def test_every_reading_of_the_example_is_known_or_says_what_it_lacks():
    for graph in every_graph():
        for name in catalogue():
            value = graph[name]
            assert not value.needs or all(value.needs), name
            assert value.unknown <= bool(value.needs)


def test_blur_works_out_nothing_about_the_sun():
    graph = graph_of()
    assert not graph.known()
    assert not graph["blur"].unknown
    assert {"blur", "focus-distance", "enlargement", "aperture"} <= set(graph.known())
    assert not set(SUNNY) & set(graph.known())
    assert not {"flash", "guide-number", "wind-mean"} & set(graph.known())


def test_a_reading_is_worked_out_once(monkeypatch):
    calls = []
    register = catalogue()
    aperture = register["aperture"]

    def counted(scene):
        calls.append(scene)
        return aperture.function(scene)

    counting = type(aperture)(
        **{**{name: getattr(aperture, name) for name in aperture.__dataclass_fields__}, "function": counted}
    )
    monkeypatch.setitem(register, "aperture", counting)
    graph = graph_of()
    for name in ("blur", "diffraction", "flash", "setting", "aperture"):
        assert not graph[name].unknown
    assert len(calls) == 1
    assert graph["blur"] is graph["blur"]


def test_a_name_that_is_no_reading_is_a_mistake_of_the_program():
    with pytest.raises(KeyError):
        graph_of()["blurr"]


# --- what is not known


def test_what_is_not_told_spreads_with_what_to_add():
    graph = graph_of(("  position   52.3710 N, 4.8950 E\n", ""))
    for name in ("latitude", "sun-altitude", "sunlit", "direct-light", "ambient", "ambient-under-key"):
        assert graph[name].unknown, name
        assert graph[name].needs == {"site position"}, name
    assert not graph["blur"].needs and not graph["flash"].needs


def test_several_things_that_are_not_told_are_all_named():
    graph = graph_of(("  position   52.3710 N, 4.8950 E\n", ""), ("  facing      350 deg\n", ""), ("  sky  clear\n", ""))
    assert graph["ambient"].needs == {"site position", "setup facing", "weather sky"}


def test_a_setup_by_daylight_has_no_flash():
    line = next(line for line in TWO_ROWS.splitlines() if line.strip().startswith("place"))
    graph = graph_of((line + "\n", ""))
    assert graph["flash"].unknown and "a light placed in the setup" in graph["flash"].needs
    assert graph["lights-used"].array.item() == 0
    assert not graph["ambient"].needs


SECOND_LIGHT = (
    'stand "Stand"',
    'light "Bulb" {\n  power 1/1 to 1/16\n  colour 3200 K\n  modifier reflector, 20 cm\n}\nstand "Stand"',
)
SECOND_PLACE = (
    '  row "front"',
    '  place "Bulb" as rim, left 150 deg, distance 3 m, height 2 m, power 1/4\n\n  row "front"',
)


def test_one_light_without_a_guide_number_stays_partial():
    text = TWO_ROWS.replace(*SECOND_LIGHT, 1).replace(*SECOND_PLACE)
    graph, whole = graphs_of(text)[0], graph_of()
    flash = graph["flash"]
    assert flash.needs == {"light metered or guide"}
    assert not flash.unknown
    light = AXES.index("light")
    first, second = np.take(flash.array, 0, axis=light), np.take(flash.array, 1, axis=light)
    assert np.isnan(second).all()
    np.testing.assert_array_equal(first, np.take(whole["flash"].array, 0, axis=light))
    # Colour asks for no guide number, and the rim's is known.
    assert not graph["light-colour"].needs


# --- many variants at once


@pytest.mark.parametrize("axis", ["option", "trial"])
def test_an_array_of_apertures_is_the_same_question_asked_many_times(axis):
    values = [2.8, 4.0, 5.656854, 8.0, 11.3]
    names = (
        "blur",
        "flash",
        "setting",
        "hyperfocal",
        "far-limit",
        "diffraction",
        "power-needed",
        "key-evenness",
        "ambient-over-setting",
    )
    scene = graph_of().scene
    together = Graph(scene, {"aperture": along(axis, values)})
    for place, value in enumerate(values):
        alone = Graph(scene, {"aperture": along(axis, [value])})
        for name in names:
            taken = np.take(
                np.broadcast_to(together[name].array, _shape(together[name].array, axis, len(values))),
                [place],
                axis=AXES.index(axis),
            )
            np.testing.assert_allclose(taken, alone[name].array, rtol=1e-13, err_msg=name)
    assert varies(together["blur"].array) == (axis, "person")
    assert "aperture" in together.known() and together["aperture"].array.size == len(values)


def _shape(array, axis, size):
    shape = list(array.shape)
    shape[AXES.index(axis)] = size
    return shape


def test_trials_and_options_cross():
    scene = graph_of().scene
    graph = Graph(scene, {"aperture": along("option", [4.0, 8.0]), "stature": along("trial", [1.5, 1.6, 1.7])})
    assert graph["setting"].array.shape[:2] == (1, 2)
    assert graph["flash"].array.shape[:2] == (3, 2)
    assert graph["crown-height"].array.shape[:2] == (3, 1)


def test_a_reading_that_is_put_in_place_is_not_worked_out():
    graph = Graph(graph_of().scene, {"ambient": along("minute", [9.0])})
    assert graph["ambient"].array.item() == 9.0
    assert graph["ambient-over-setting"].array.item() == pytest.approx(9.0 - graph["setting"].array.item())
    assert "sun-altitude" not in graph.known()


def test_what_other_setups_give_says_so():
    """What a reading is without the plan's other setups tells which ones look at them; mends rest on its being declared."""
    found = set()
    for path in PLANS:
        plan = Loader().load(path, path.name).plan
        assert plan is not None
        for scene in scenes(plan) if len(plan.setup) > 1 else ():
            together = Graph(scene)
            alone = Graph(Scene(plan.model_copy(update={"setup": (scene.setup,)}), scene.setup))
            for name, reading in catalogue().items():
                if reading.given and not np.array_equal(together[name].array, alone[name].array, equal_nan=True):
                    found.add(name)
    assert found == {name for name, reading in catalogue().items() if reading.of_others}
    assert found, "some plan has several setups"


def test_readings_stand_in_one_order_whatever_was_imported_before():
    program = "{}; from shootlint.readings.catalogue import catalogue; print(*catalogue())"
    orders = [
        subprocess.run([sys.executable, "-c", program.format(first)], capture_output=True, text=True, check=True).stdout
        for first in ("pass", "import shootlint.readings.uncertainty, shootlint.readings.time, shootlint.readings.rigging")
    ]
    assert orders[0] == orders[1] != "\n"
