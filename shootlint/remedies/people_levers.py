"""Levers of the people: where they stand, and on what."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from shootlint.language.edits import Change
from shootlint.language.model import Person, Posed
from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING
from shootlint.language.values import Quantity
from shootlint.physics import body
from shootlint.readings.axes import along
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.wording import in_plans_units, number
from shootlint.remedies.levers import (
    EDITORIAL,
    Setting,
    Turn,
    chosen,
    crossed,
    lever,
    nearest_first,
    option,
    replacing,
    written,
)


@lever(
    "row-distance", EDITORIAL, 3.5, 2.0, "m", "the row stands {} farther back", "the row comes {} nearer", ways=("back", "nearer")
)
def row_distance(graph: Graph) -> Iterator[Turn]:
    """How far a row is from the camera, in steps of 5 cm up to 3 m, with room to stand between it and each other row."""
    scene = graph.scene
    for row in scene.setup.row:
        current = row.distance.value
        others = np.array([each.distance.value for each in scene.setup.row if each is not row])
        steps = np.round(current + 0.05 * np.arange(-60, 61), 6)
        gaps = np.abs(steps[:, np.newaxis] - others).min(axis=1, initial=np.inf)
        now = np.abs(current - others).min(initial=np.inf)
        steps = steps[(steps >= 0.8) & (gaps >= min(now, ROW_ROOM) - 1e-9)]
        texts, values = written(nearest_first(steps, np.abs(steps - current)), row.distance, "m", 0.01)
        members = [place for place, sitter in enumerate(scene.sitters) if sitter.row is row]
        mine = along("person", [float(sitter.row is row) for sitter in scene.sitters]) > 0
        yield Turn(
            {"row-distance": Setting(option(values), mine)},
            [f'row "{row.name}" at {text}' for text in texts],
            replacing(row.distance.place, texts),
            values - current,
            "person",
            frozenset(members),
            f'row "{row.name}"',
            values,
        )


ELBOW_ROOM = 0.3
"""Metres from the middle of one person to the next, who turn in with overlapping shoulders: common practice, no source."""


ROW_ROOM = 0.3
"""Metres from one row to the next that people need to stand behind each other: common practice, no source."""


@lever(
    "sideways",
    EDITORIAL,
    2.5,
    2.0,
    "m",
    ways=("to the right", "to the left"),
)
def sideways(graph: Graph) -> Iterator[Turn]:
    """Where a person stands to the side, in steps of 5 cm up to a metre; between the same two people as before. Who is held
    and has no place of his or her own goes along with the holder."""
    sitters = graph.scene.sitters
    places = graph["sideways"].array.ravel()
    for person, sitter in enumerate(sitters):
        if sitter.posed.at_holder:
            continue
        here = places[person]
        beside = [
            place for place, other in zip(places, sitters, strict=True) if other.row is sitter.row and not other.posed.at_holder
        ]
        leftmost = max((each for each in beside if each < here), default=-np.inf) + ELBOW_ROOM
        rightmost = min((each for each in beside if each > here), default=np.inf) - ELBOW_ROOM
        steps = np.round(0.05 * np.arange(-20, 21), 6)
        steps = steps[(here + steps >= min(leftmost, here)) & (here + steps <= max(rightmost, here))]
        steps = nearest_first(steps, np.abs(steps))
        texts, values = written(here + steps, sitter.posed.at, "cm", 0.01, graph.scene.in_feet)
        unit = in_plans_units(BY_SPELLING["cm"], graph.scene.in_feet)
        titles = [
            f"{sitter.name} {number(unit.from_base(abs(float(step))), 0)} {unit.name} to the camera's {'right' if step > 0 else 'left'}"
            for step in steps
        ]
        moved = _moved_with(graph, person)
        laid = np.zeros((len(values), len(sitters)))
        laid[:, moved] = [_rounded(graph, places[each])[1] for each in moved]
        laid[:, person] = values
        yield Turn(
            {
                "mark": Setting(
                    crossed("option", "person", laid), along("person", [float(each in moved) for each in range(len(sitters))]) > 0
                )
            },
            titles,
            _moved(graph, person, texts),
            values - here,
            "person",
            frozenset({person}),
            sitter.name,
        )


def _moved_with(graph: Graph, person: int) -> list[int]:
    """Whose places are said when a person's is. In a row that stands shoulder to shoulder they are all said then."""
    sitters = graph.scene.sitters
    if sitters[person].posed.at is not None:
        return [person]
    row = sitters[person].row
    return [place for place, each in enumerate(sitters) if each.row is row and each.posed.at is None and not each.posed.at_holder]


def _rounded(graph: Graph, place: float) -> tuple[str, float]:
    (text,), (value,) = written(np.array([place]), None, "cm", 0.01, graph.scene.in_feet)
    return text, value


def _moved(graph: Graph, person: int, texts: list[str]) -> list[tuple[Change, ...]]:
    """A person's new place as written, and those of the others who have none of their own yet."""
    sitters, places = graph.scene.sitters, graph["sideways"].array.ravel()
    at = sitters[person].posed.at
    if at is not None:
        return replacing(at.place, texts)
    ends = {each: sitters[each].posed.where for each in _moved_with(graph, person)}
    if any(end is None for end in ends.values()):
        return replacing(None, texts)
    return [
        tuple(
            Change(end.source.place(end.end, end.end), f", at {text if each == person else _rounded(graph, places[each])[0]}")
            for each, end in ends.items()
            if end is not None
        )
        for text in texts
    ]


@lever("swap", EDITORIAL, 4.0, 0.0, "", "both keep the other's place and pose")
def swap(graph: Graph) -> Iterator[Turn]:
    """Two people change places, each in the other's pose; not those who are held or hold, nor whom focus or a light names."""
    setup, sitters = graph.scene.setup, graph.scene.sitters
    bound = {str(name) for name in (setup.focus.person, *(each.aim for each in setup.place)) if name is not None}
    bound |= {str(name) for sitter in sitters if sitter.posed.held_by for name in (sitter.posed.held_by, sitter.name)}
    free = [place for place, sitter in enumerate(sitters) if sitter.name not in bound]
    # What somebody is goes along to the new place; what is said of the place stays.
    own = [name for name, each in catalogue().items() if each.given and name.replace("-", "_") in Person.model_fields]
    for person in free:
        partners = [other for other in free if other > person][:MOST_PARTNERS]
        orders = np.tile(np.arange(len(sitters)), (len(partners), 1))
        orders[:, person] = partners
        orders[np.arange(len(partners)), partners] = person
        yield Turn(
            {name: Setting(crossed("option", "person", graph[name].array.ravel()[orders])) for name in own},
            [f"{sitters[person].name} and {sitters[other].name} change places" for other in partners],
            [_swapped(sitters[person].posed.name.place, sitters[other].posed.name.place) for other in partners],
            np.ones(len(partners)),
            "person",
            frozenset({person, *partners}),
        )


MOST_PARTNERS = 80


def _swapped(one: Place | None, two: Place | None) -> tuple[Change, ...]:
    return (Change(one, two.text), Change(two, one.text)) if one is not None and two is not None else ()


@lever("step", EDITORIAL, 3.5, 2.0, "m", "", ways=("up", "down"))
def step(graph: Graph) -> Iterator[Turn]:
    """What is under a person: a step of the kit, what others in the same pose stand or sit on, or the ground."""
    scene = graph.scene
    for person, sitter in enumerate(scene.sitters):
        posed = sitter.posed
        now = posed.on.value if posed.on is not None else 0.0
        seated = posed.pose == "seated"
        told = [each.on for _, each in scene.setup.people if each.on is not None and (each.pose == "seated") is seated]
        heights = {round(each.value, 6): each for each in (*told, *(each.height for each in scene.plan.step))}
        supports = [(value, each) for value, each in sorted(heights.items()) if abs(value - now) > 1e-6]
        ground = [(0.0, None)] if posed.on is not None and not seated else []
        options = [each for _, each in sorted([*ground, *supports], key=lambda each: abs(each[0] - now))]
        if posed.held_by is None:
            yield _in_poses(graph, person, [(str(posed.pose or "standing"), each) for each in options])


@lever("pose", EDITORIAL, 4.0, 0.0, "", "another pose")
def pose(graph: Graph) -> Iterator[Turn]:
    """How a person holds himself or herself: standing, kneeling or sitting, on what is there or on the ground, or seated
    where there is a seat."""
    scene = graph.scene
    told = [each.on for _, each in scene.setup.people if each.pose == "seated" and each.on is not None]
    seats = {
        round(each.value, 6): each for each in (*told, *(each.height for each in scene.plan.step)) if each.value >= LOWEST_SEAT
    }
    for person, sitter in enumerate(scene.sitters):
        now = str(sitter.posed.pose or "standing")
        if sitter.posed.held_by is None and now != "lying":
            under = [None] if sitter.posed.on is None or now == "seated" else [sitter.posed.on, None]
            choices = [(pose, support) for pose in ("standing", "kneeling", "sitting") for support in under]
            choices += [("seated", seat) for _, seat in sorted(seats.items())]
            yield _in_poses(graph, person, [each for each in choices if each[0] != now])


LOWEST_SEAT = 0.35
"""Metres; on less than that a grown-up squats (common practice, no source)."""


def _in_poses(graph: Graph, person: int, options: list[tuple[str, Quantity | None]]) -> Turn:
    """A person in other poses or on other supports. Written where the pose stands, from the name to the next comma."""
    posed = graph.scene.sitters[person].posed
    here = chosen("person", person, graph)
    heights = np.array([each.value if each is not None else 0.0 for _, each in options])
    words = [f"{pose} on {each.written}" if each is not None else pose for pose, each in options]
    return Turn(
        {
            "pose": Setting(option([body.POSES.index(each) for each, _ in options]), here),
            "support-height": Setting(option(heights), here),
        },
        [f"{posed.name} {text}" for text in words],
        replacing(_place_of_pose(posed), [f" {text}" for text in words]),
        heights - (posed.on.value if posed.on is not None else 0.0),
        "person",
        frozenset({person}),
        posed.name,
        heights,
    )


def _place_of_pose(posed: Posed) -> Place | None:
    if posed.where is None or posed.name.place is None:
        return None
    start = posed.name.place.end
    said = posed.where.source.text[start : posed.where.end].partition(",")[0].rstrip()
    return posed.where.source.place(start, start + len(said))
