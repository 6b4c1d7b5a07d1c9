"""Levers of the people: where they stand."""

from __future__ import annotations

import math

import numpy as np

from shootlint.readings.axes import along
from shootlint.readings.graph import Graph
from shootlint.readings.wording import number
from shootlint.remedies.levers import (
    EDITORIAL,
    Options,
    chosen,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)
from shootlint.rulebook.finding import Finding


@lever("row-distance", EDITORIAL)
def row_distance(graph: Graph, finding: Finding) -> Options | None:
    """How far a person's row is from the camera, in steps of 5 cm; it stays behind the row before it and before the next."""
    person = dict(finding.index).get("person")
    if person is None:
        return None
    scene = graph.scene
    row = scene.sitters[person].row
    current = row.distance.value
    others = [each.distance.value for each in scene.setup.row if each is not row]
    nearest = max((each for each in others if each < current), default=0.5) + 0.3
    farthest = min((each for each in others if each > current), default=current + 3.3) - 0.3
    steps = current + 0.05 * np.arange(-60, 61)
    steps = steps[(steps >= nearest) & (steps <= farthest)]
    texts, values = written(nearest_first(steps, np.abs(steps - current)), row.distance, "m", 0.01)
    mine = along("person", [float(sitter.row is row) for sitter in scene.sitters])
    return Options(
        {"row-distance": np.where(mine > 0, option(values), graph["row-distance"].array)},
        [f'row "{row.name}" at {text}' for text in texts],
        replacing(row.distance.place, texts),
    )


ELBOW_ROOM = 0.3
"""Metres from the middle of one person to the next, who turn in with overlapping shoulders: common practice, no source."""


@lever("sideways", EDITORIAL)
def sideways(graph: Graph, finding: Finding) -> Options | None:
    """Where a person stands to the side, in steps of 5 cm; between the same two people as before."""
    person = dict(finding.index).get("person", whom_it_names(graph, finding))
    if person is None:
        return None
    sitters = graph.scene.sitters
    at = sitters[person].posed.at
    places = graph["sideways"].array.ravel()
    here = places[person]
    beside = [place for place, sitter in zip(places, sitters, strict=True) if sitter.row is sitters[person].row]
    leftmost = max((each for each in beside if each < here), default=-np.inf) + ELBOW_ROOM
    rightmost = min((each for each in beside if each > here), default=np.inf) - ELBOW_ROOM
    steps = np.round(0.05 * np.arange(-20, 21), 6)
    steps = steps[(here + steps >= min(leftmost, here)) & (here + steps <= max(rightmost, here))]
    steps = nearest_first(steps, np.abs(steps))
    texts, values = written(here + steps, at, "cm", 0.01)
    titles = [
        f"{sitters[person].name} {number(abs(float(step)) * 100, 0)} cm to the camera's {'right' if step > 0 else 'left'}"
        for step in steps
    ]
    return Options(
        {"sideways": np.where(chosen("person", person, graph), option(values), graph["sideways"].array)},
        titles,
        replacing(at.place if at is not None else None, texts),
    )


def whom_it_names(graph: Graph, finding: Finding) -> int | None:
    """For a finding about the whole setup: the person whom its message names by a reading, such as the tallest."""
    for piece in finding.rule.message.readings:
        if piece.reading is not None and piece.reading.of == "person":
            place = float(piece.run(graph).array.flat[0])
            return int(place) if math.isfinite(place) else None
    return None
