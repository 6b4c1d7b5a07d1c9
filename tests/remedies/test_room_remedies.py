"""How much is judged at once: of a crowd under many lights fewer options, and memory that stays bounded."""

from __future__ import annotations

import datetime

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.remedies import margins, plan_mend
from shootlint.remedies.crossing import shortened_for
from shootlint.remedies.house import HouseLevers
from shootlint.remedies.levers import levers
from shootlint.remedies.plan_mend import mend_plan
from shootlint.remedies.reading import Rereader
from shootlint.remedies.room import FEWEST_OPTIONS, MOST_NUMBERS, MOST_OPTIONS, numbers_of, room_for, thinned
from shootlint.remedies.tried import Tried
from shootlint.rulebook.book import shipped_book

ANY_DAY = datetime.date(2026, 1, 1)


def crowd(people: int, lights: int, setups: int = 1) -> str:
    """People in a square, and lights all around them."""
    side = int(np.ceil(np.sqrt(people)))
    lines = [
        "shootplan 1",
        "date 2026-06-01",
        'site { position 55 N, 9 E; zone "Europe/Copenhagen"; ground grass }',
        'camera "Body" { sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 6400 }',
        'lens "Zoom" { focal 24 mm to 70 mm; aperture f/2.8 to f/16 }',
        "people {",
        *(f'  "P{each}" stature {150 + each * 7 % 50} cm' for each in range(people)),
        "}",
    ]
    for each in range(lights):
        lines.append(
            f'light "L{each}" {{ guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; recycle 2 s; flashes 400 }}'
        )
    for number in range(setups):
        lines += [
            f'setup "S{number}" {{',
            f"  time {18 + number // 4}:{number % 4 * 15:02d} to {18 + number // 4}:{number % 4 * 15 + 10:02d}",
            '  camera "Body"; lens "Zoom", 35 mm; aperture f/8; shutter 1/100 s; iso 100; frames 20',
            "  frame landscape; focus 8 m; facing 20 deg",
            *(
                f'  place "L{each}" as fill, right {each * 7 % 180} deg, distance 3 m, height 2.5 m, power 1/4'
                for each in range(lights)
            ),
        ]
        for row in range(0, people, side):
            lines += [
                f'  row "r{row}", {7 + 0.5 * row / side:.1f} m {{',
                *(f'    "P{each}", at {(each - row) * 50 - side * 25} cm' for each in range(row, min(row + side, people))),
                "  }",
            ]
        lines.append("}")
    return "\n".join(lines) + "\n"


def rereader(text: str) -> Rereader:
    loader = Loader()
    document = loader.load_source(Source("plan.shoot", text))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints[:3]]
    return Rereader(document, loader, shipped_book(), ANY_DAY)


@pytest.mark.parametrize(("people", "lights"), [(1, 0), (6, 2), (60, 3), (120, 6), (500, 1)])
def test_as_many_options_as_there_is_room_for(people, lights):
    (graph,) = rereader(crowd(people, lights)).start.graphs
    numbers, room = numbers_of(graph.scene), room_for(graph.scene)
    assert numbers == people**2 * max(lights, 1)
    assert FEWEST_OPTIONS <= room <= MOST_OPTIONS
    assert room * numbers <= MOST_NUMBERS or room == FEWEST_OPTIONS
    few, all_of_them = HouseLevers(), levers()
    for name in ("iso", "time", "camera-distance", "power"):
        for turn, whole in zip(few.turns_of(name, graph), all_of_them[name].turns(graph), strict=True):
            assert len(turn.titles) <= room
            assert set(turn.titles) <= set(whole.titles)
            if len(whole.titles) <= room:
                assert turn.titles == whole.titles
    one, other = (next(iter(all_of_them[name].turns(graph))) for name in ("iso", "camera-distance"))
    first, second = shortened_for(one, other, [graph.scene])
    assert len(first.titles) * len(second.titles) <= room


def test_many_setups_take_room_too():
    graphs = rereader(crowd(1, 0, setups=16)).start.graphs
    assert {numbers_of(graph.scene) for graph in graphs} == {16**2}


def test_the_nearest_options_are_kept_and_the_farthest_one():
    (graph,) = rereader(crowd(2, 1)).start.graphs
    whole = next(iter(levers()["camera-distance"].turns(graph)))
    few = thinned(whole, 12)
    assert 10 <= len(few.titles) <= 12
    assert few.titles[0] == whole.titles[0] and few.titles[-1] == whole.titles[int(np.argsort(whole.prices, kind="stable")[-1])]
    steps = np.diff(few.prices)
    assert steps[0] < steps[-1], "close together near what the plan says"


def test_no_array_of_a_crowd_is_larger_than_there_is_room_for():
    """With every option of every lever at once, five hundred people took gigabytes, and two thousand seventeen of them."""
    standing = rereader(crowd(200, 3)).start
    numbers = numbers_of(standing.scenes[0])
    assert numbers * 72 > 2 * MOST_NUMBERS, "too many for all the times that are tried"
    largest = []
    for name in ("camera-distance", "light-distance", "sideways"):
        turn = next(iter(HouseLevers().turns_of(name, standing.graphs[0])))
        tried = Tried(standing, turn, 0)
        tried.tally()
        largest.append(max(value.array.size for value in tried.graph.known().values()))
    assert numbers < max(largest) <= MOST_NUMBERS


def test_what_is_not_worked_out_of_conflicts_is_counted(monkeypatch):
    reader = rereader(crowd(6, 1))
    monkeypatch.setattr(plan_mend.Search, "run", lambda self, setups=None: self.start)
    whole = mend_plan(reader, HouseLevers())
    total = len(whole.conflicts)
    assert 2 < total <= plan_mend.MOST_CONFLICTS and whole.more_conflicts == 0
    counts = set()
    for most in (0, 1_000_000, 2_000_000, 4_000_000, 100_000_000):
        monkeypatch.setattr(plan_mend, "MOST_EFFORT_OF_CONFLICTS", most)
        fewer = mend_plan(reader, HouseLevers())
        assert fewer.conflicts == whole.conflicts[: len(fewer.conflicts)]
        assert len(fewer.conflicts) + fewer.more_conflicts == total
        counts.add(len(fewer.conflicts))
    assert {0, total} < counts, "and some in between"


@pytest.mark.parametrize("room", [4, 7, 200])
def test_a_drift_is_as_fine_with_few_options_at_once(monkeypatch, room):
    standing = rereader(crowd(4, 1)).start
    told = [each for margin in margins.margins(standing) for each in margins.drifts(margin, standing, HouseLevers())]
    assert len(told) > 3 and max(each.size for each in told) > 0
    monkeypatch.setattr(margins, "room_for", lambda *scenes: room)
    again = [each for margin in margins.margins(standing) for each in margins.drifts(margin, standing, HouseLevers())]
    assert [each.lever for each in again] == [each.lever for each in told]
    assert [each.size for each in again] == pytest.approx([each.size for each in told], rel=1e-4, abs=1e-4)
