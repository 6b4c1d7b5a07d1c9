"""Levers of people of whom one holds another: the held goes along, in the arrays as in the text that is read anew."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from shootlint.language.edits import changed
from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import INDEX
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.levers import levers

ROOT = Path(__file__).parents[2]
TEXT = (
    (ROOT / "plans" / "family-and-infant.shoot").read_text("utf-8").replace('"Father" standing,', '"Father" standing on 15 cm,')
)
"""With a step, so that there is one for the others too."""
HELD = '"Baby"   lying, held by "Mother"'
ABREAST = (
    TEXT.replace("standing, at -22 cm", "standing")
    .replace(" on 15 cm, at 36 cm", " on 15 cm")
    .replace(" on 15 cm, at 22 cm", " on 15 cm")
)
IN_FRONT = TEXT.replace(f"    {HELD}\n", "").replace("seated on 46 cm, at 8 cm", f"seated on 46 cm, at 8 cm\n    {HELD}")


def graph_of(text: str) -> Graph:
    document = Loader().load_source(Source("plan.shoot", text, ROOT / "plans" / "plan.shoot"))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    return Graph(scenes(document.plan)[0])


@pytest.mark.parametrize(
    "text", [TEXT, ABREAST, IN_FRONT.split("\n# The key stays")[0]], ids=["placed", "abreast", "in another row"]
)
@pytest.mark.parametrize("lever", ["sideways", "row-distance", "step", "pose", "camera-distance", "focus"])
def test_what_a_lever_says_of_a_holder_is_what_its_text_reads_as(text, lever):
    assert HELD in text
    graph, moved = graph_of(text), False
    baby = graph.scene.names["person"].index("Baby")
    for turn in levers()[lever].turns(graph):
        varied = Graph(graph.scene, turn.arrays(graph), graph)
        for place in {0, len(turn.titles) - 1}:
            after = graph_of(changed(text, turn.changes[place]))
            for name in ("sideways", "row-distance", "crown-height", "eye-height", "focus-distance", "face-hidden"):
                array = varied[name].array
                array = array.take([min(place, array.shape[INDEX["option"]] - 1)], axis=INDEX["option"])
                np.testing.assert_allclose(
                    *np.broadcast_arrays(array, after[name].array), atol=1e-9, err_msg=f"{turn.titles[place]} {name}"
                )
                if name in ("sideways", "row-distance", "crown-height"):
                    moved |= bool(abs(array.ravel()[baby] - graph[name].array.ravel()[baby]) > 0.01)
    assert moved is (lever != "focus")


def test_a_held_person_without_a_place_has_none_to_be_moved_from():
    turns = list(levers()["sideways"].turns(graph_of(TEXT)))
    assert [next(iter(turn.members)) for turn in turns] == [0, 1, 2, 4]
    # Nor is the baby in the way of whoever moves beside it.
    ends = {title for turn in turns for title in turn.titles if title.startswith("Mother")}
    assert "Mother 25 cm to the camera's right" in ends
