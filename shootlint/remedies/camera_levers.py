"""Levers of the camera: lens, focus, and where it stands and points."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from shootlint.language.edits import Change
from shootlint.language.values import Name
from shootlint.physics import optics
from shootlint.readings.axes import least, most
from shootlint.readings.graph import Graph
from shootlint.readings.wording import feet_and_inches, number
from shootlint.remedies.levers import (
    EDITORIAL,
    Setting,
    Turn,
    crossed,
    lever,
    nearest_first,
    option,
    replacing,
    restaged,
    written,
)


@lever(
    "focal-length",
    EDITORIAL,
    3.0,
    2.0,
    "stops",
    "the field is narrower",
    "the field is wider",
    "length",
    ways=("longer", "shorter"),
)
def focal_length(graph: Graph) -> Iterator[Turn]:
    """The focal length, in steps of 5 mm within the lens."""
    lens, current = graph.scene.lens.focal, graph.scene.setup.lens.focal
    if current is None or lens.low.value == lens.high.value:
        return
    steps = 0.005 * np.arange(np.ceil(lens.low.value / 0.005), np.floor(lens.high.value / 0.005) + 1)
    _, steps = written(steps, current, "mm", 0.005)
    steps = steps[(steps >= lens.low.value) & (steps <= lens.high.value)]
    texts, values = written(nearest_first(steps, np.abs(np.log2(steps / current.value))), current, "mm", 0.005)
    yield Turn(
        {"focal-length": Setting(option(values))},
        [f"focal length {text}" for text in texts],
        replacing(current.place, texts),
        np.log2(values / current.value),
        values=values,
    )


@lever(
    "focus",
    EDITORIAL,
    2.0,
    0.5,
    "m",
    "the plane of focus lies {} farther",
    "the plane of focus lies {} nearer",
    ways=("farther", "nearer"),
)
def focus(graph: Graph) -> Iterator[Turn]:
    """What the lens is focused on: shared between the rows, a row, or a person who stands apart from the rows' distances."""
    scene = graph.scene
    rows = [str(row.name) for row in scene.setup.row]
    choices = {"between rows": list(range(len(scene.sitters)))} if len(rows) > 1 else {}
    who = {
        **{f'row "{name}"': [at for at, (row, _) in enumerate(scene.setup.people) if str(row.name) == name] for name in rows},
        **{f'"{each.name}"': [at] for at, each in enumerate(scene.sitters)},
    }
    choices |= {words: members for words, members in who.items() if members}
    depths = np.broadcast_to(graph["distance"].array.ravel(), len(scene.sitters))
    values = np.array([float(optics.shared_focus(depths[at].min(), depths[at].max())) for at in choices.values()])
    now = float(graph["focus-distance"].array.flat[0])
    # Of choices that come to the same the first is kept: a row says more than one of its people. What comes to what the
    # plan says is no choice.
    _, first = np.unique(np.round(values, 9), return_index=True)
    keep = np.array([at for at in np.sort(first) if not abs(values[at] - now) < 1e-9], dtype=np.intp)
    texts = [list(choices)[at] for at in keep]
    yield Turn(
        {"focus-distance": Setting(option(values[keep]))},
        [f"focus {choice}" for choice in texts],
        _focused(graph, texts),
        np.nan_to_num(values[keep] - now),
        values=values[keep],
    )


@lever(
    "focus-distance",
    EDITORIAL,
    3.0,
    0.5,
    "m",
    "the plane of focus lies {} farther",
    "the plane of focus lies {} nearer",
    ways=("farther", "nearer"),
)
def focus_distance(graph: Graph) -> Iterator[Turn]:
    """The distance that the lens is focused on, in steps of 5 cm, from the nearest of the group to the farthest."""
    near, far = (float(edge(graph["distance"].array, "person").flat[0]) for edge in (least, most))
    now = float(graph["focus-distance"].array.flat[0])
    if not np.isfinite([near, far, now]).all() or far - near > 20:
        return
    steps = 0.05 * np.arange(np.ceil(near / 0.05), np.floor(far / 0.05) + 1)
    told = graph.scene.setup.focus.distance
    texts, values = written(nearest_first(steps, np.abs(steps - now)), told, "m", 0.01, graph.scene.in_feet)
    yield Turn(
        {"focus-distance": Setting(option(values))},
        [f"focus {text}" for text in texts],
        _focused(graph, texts),
        values - now,
        values=values,
    )


def _focused(graph: Graph, texts: list[str]) -> list[tuple[Change, ...]]:
    where = graph.scene.setup.focus.where
    if where is None:
        return replacing(None, texts)
    # The gap between the head word and its value stays as its author laid it out.
    head = re.match(r"\S+\s+", where.text)
    return replacing(where.source.place(where.start + (head.end() if head is not None else 0), where.end), texts)


@lever(
    "camera-distance",
    EDITORIAL,
    3.5,
    1.0,
    "m",
    "the group is smaller and the perspective calmer",
    "the group is larger and the perspective steeper",
)
def camera_distance(graph: Graph) -> Iterator[Turn]:
    """How far the camera stands back, in steps of 10 cm: every row is that much farther away, the lights stay where they are."""
    setup = graph.scene.setup
    steps = np.round(0.1 * np.arange(-30, 61), 6)
    steps = steps[setup.front_distance.value + steps >= 1.0]
    steps = nearest_first(steps, np.abs(steps))
    rows = {str(row.name): written(row.distance.value + steps, row.distance, "m", 0.01) for row in setup.row}
    moved = np.stack([rows[str(sitter.row.name)][1] for sitter in graph.scene.sitters], axis=-1)
    changes = [
        tuple(Change(row.distance.place, rows[str(row.name)][0][place]) for row in setup.row if row.distance.place is not None)
        for place in range(len(steps))
    ]
    lengths = [feet_and_inches(each)[0] if graph.scene.in_feet else f"{number(each, 1)} m" for each in np.abs(steps).tolist()]
    titles = [f"camera {length} {'back' if step > 0 else 'nearer'}" for length, step in zip(lengths, steps, strict=True)]
    yield Turn(
        {"row-distance": Setting(crossed("option", "person", moved))},
        titles,
        changes,
        steps,
        values=setup.front_distance.value + steps,
    )


@lever("facing", EDITORIAL, 4.0, 0.02, "deg", "camera, group and lights turn by {}", ways=("to the right", "to the left"))
def facing(graph: Graph) -> Iterator[Turn]:
    """Where the lens points, in steps of 5 deg; camera, group and lights turn together."""
    current = graph.scene.setup.facing
    if current is None:
        return
    steps = 5.0 * np.arange(-35, 37)
    turns = nearest_first(steps, np.abs(steps))
    values = np.mod(current.value + turns, 360)
    texts = [f"{number(float(value), 0)} deg" for value in values]
    yield Turn(
        {"facing": Setting(option(values))},
        [f"facing {text}" for text in texts],
        replacing(current.place, texts),
        turns,
        values=values,
    )


@lever(
    "camera-height", EDITORIAL, 2.5, 1.5, "m", "the camera stands {} higher", "the camera stands {} lower", ways=("up", "down")
)
def camera_height(graph: Graph) -> Iterator[Turn]:
    """How high the lens stands, in steps of 5 cm between 0.3 m and 3 m."""
    support = graph.scene.setup.support
    if support is None or support.height is None:
        return
    steps = np.round(support.height.value + 0.05 * np.arange(-40, 41), 6)
    steps = steps[(steps >= 0.3) & (steps <= 3.0)]
    texts, values = written(nearest_first(steps, np.abs(steps - support.height.value)), support.height, "m", 0.01)
    yield Turn(
        {"camera-height": Setting(option(values))},
        [f"camera height {text}" for text in texts],
        replacing(support.height.place, texts),
        values - support.height.value,
        values=values,
    )


@lever("camera-tilt", EDITORIAL, 2.0, 0.15, "deg", "uprights lean by {} more or less", ways=("up", "down"))
def camera_tilt(graph: Graph) -> Iterator[Turn]:
    """How far the camera looks up or down, in whole degrees up to 10."""
    support = graph.scene.setup.support
    if support is None or support.where is None:
        return
    tilt = support.tilt
    now = tilt.value if tilt is not None else 0.0
    steps = np.arange(-10.0, 11.0)
    values = nearest_first(steps, np.abs(steps - now))
    texts = [f"{number(float(value), 0)} deg" for value in values]
    end = support.where.source.place(support.where.end, support.where.end)
    changes = replacing(tilt.place, texts) if tilt is not None else replacing(end, [f", tilt {text}" for text in texts])
    yield Turn(
        {"camera-tilt": Setting(option(values))}, [f"camera tilt {text}" for text in texts], changes, values - now, values=values
    )


@lever("orientation", EDITORIAL, 6.0, 0.0, "", "another shape of picture")
def orientation(graph: Graph) -> Iterator[Turn]:
    """Which way the frame's long side lies."""
    setup = graph.scene.setup
    other = "portrait" if setup.frame.orientation == "landscape" else "landscape"
    turned = setup.model_copy(update={"frame": setup.frame.model_copy(update={"orientation": Name(other)})})
    yield Turn(restaged(graph, [turned]), [f"frame {other}"], replacing(setup.frame.orientation.place, [other]), np.ones(1))


@lever("lens", EDITORIAL, 5.0, 0.0, "", "another lens on the camera")
def lens(graph: Graph) -> Iterator[Turn]:
    """The lens: another one of the kit that can be set to the focal length and the aperture."""
    scene = graph.scene
    focal, setup = graph["focal-length"].array.flat[0], scene.setup
    others = [
        each
        for each in scene.plan.lens
        if each is not scene.lens and focal in each.focal and setup.aperture.value in each.aperture
    ]
    setups = [setup.model_copy(update={"lens": setup.lens.model_copy(update={"name": each.name})}) for each in others]
    yield Turn(
        restaged(graph, setups) if setups else {},
        [f'lens "{each.name}"' for each in others],
        replacing(setup.lens.name.place, [f'"{each.name}"' for each in others]),
        np.ones(len(others)),
    )
