"""People beside and before each other, against counted pixels, plain loops and geometry worked by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

LINE = st.lists(st.sampled_from([150, 151, 153, 160, 170, 171, 185]), min_size=1, max_size=9)


def line_up(shoot, statures, **pieces):
    """People in one row from left to right."""
    people = ", ".join(f"P{place} {stature}" for place, stature in enumerate(statures))
    row = "; ".join(f'"P{place}" standing, at {60 * place - 30 * (len(statures) - 1)} cm' for place in range(len(statures)))
    return shoot(people=people, rows=f'  row "front", 8 m {{ {row} }}', **pieces)


@settings(max_examples=60)
@given(LINE)
def test_the_line_of_heads_against_plain_loops(shoot, statures):
    found = line_up(shoot, statures)
    steps = [b - a for a, b in pairwise(statures) if abs(b - a) >= 2]
    turns = sum(1 for a, b in pairwise(steps) if (a > 0) != (b > 0))
    assert found("crown-turns") == turns
    run = best = 1
    for a, b in pairwise(statures):
        run = run + 1 if abs(b - a) < 2 else 1
        best = max(best, run)
    assert found("level-run") == best
    assert found("tallest") == statures.index(max(statures))
    assert found("crown-span") == pytest.approx((max(statures) - min(statures)) / 100)
    middle = (len(statures) - 1) / 2
    off = abs(statures.index(max(statures)) - middle) / middle if middle else 0
    assert found("tallest-off-middle") == pytest.approx(off, abs=1e-9)
    # From the other side the line is the same line.
    other = line_up(shoot, statures[::-1])
    for name in ("crown-turns", "level-run", "crown-span"):
        assert other(name) == found(name), name


@pytest.mark.parametrize(
    ("statures", "turns", "run"),
    # A hill turns once, a zigzag at each inner head, stairs never; steps under 2 cm are level and turn nothing.
    [([160, 180, 160], 1, 1), ([160, 180, 160, 180], 2, 1), ([150, 160, 170], 0, 1), ([160, 161, 160, 161], 0, 4), ([170], 0, 1)],
)
def test_lines_worked_by_hand(shoot, statures, turns, run):
    found = line_up(shoot, statures)
    assert (found("crown-turns"), found("level-run")) == (turns, run)


TWO_ROWS = """  row "back", 6 m {{ "Cor" {cor}, at {at} cm }}
  row "front", 4 m {{ "Ada" {ada}, at -30 cm; "Ben" {ben}, at 30 cm }}"""


def two_rows(shoot, cor="standing", ada="standing", ben="standing", at="0", people="Cor 170, Ada 170, Ben 150", **pieces):
    return shoot(people=people, rows=TWO_ROWS.format(cor=cor, ada=ada, ben=ben, at=at), **pieces)


def test_pairs_by_hand(shoot):
    # The back row is written first; rows count by their distance all the same.
    found = two_rows(shoot, at="-45")
    assert found("row-number").tolist() == [2, 1, 1]
    assert found.pairs("in-front").tolist() == [[0, 1, 1], [0, 0, 0], [0, 0, 0]]
    assert found.pairs("neighbours").tolist() == [[0, 0, 0], [0, 0, 1], [0, 0, 0]]
    cor, ada, ben = 0, 1, 2
    # -45 cm at 6 m is drawn where -30 cm at 4 m is: Cor stands in one column with Ada.
    assert found("column-offset")[cor] == pytest.approx(0, abs=1e-9)
    assert np.isinf(found("column-offset")[[ada, ben]]).all()
    assert found("head-below")[cor] == ada and np.isnan(found("head-below")[[ada, ben]]).all()
    # Ada and Ben are 60 cm apart; a head is a share of stature, so their mean breadth is that of 160 cm.
    breadth = found("head-breadth")
    assert found.pairs("heads-apart")[ada, ben] == pytest.approx(0.60 / (breadth[ada] + breadth[ben]) * 2)
    assert found.pairs("gap")[ada, ben] == pytest.approx(0.60 - sum(found("shoulder-breadth")[[ada, ben]]) / 2)
    assert found.pairs("rise")[ada, ben] == pytest.approx(-0.20)
    assert found.pairs("rise")[ben, ada] == pytest.approx(0.20)
    # Seen from 6 m, 60 cm at 4 m are 90 cm: Ben's head is 90 cm to the side of Cor's.
    wide = breadth[cor] / 6 + breadth[ben] / 4
    assert found.pairs("heads-apart")[cor, ben] == pytest.approx((0.30 / 4 + 0.45 / 6) / wide * 2)


def pixels(found, back, front):
    """The share of a head's drawn disc that another person's head or shoulders cover, by counting pixels."""
    width, height = found("sensor-width"), found("sensor-height")
    x, y = found("head-x") * width, found("head-y") * height
    radius = (found("chin-y") - found("crown-y")) * height / 2
    scale = found("image-distance") / found("distance")
    shoulders = found("shoulder-y")[front] * height
    grid = np.linspace(-1, 1, 401) * radius[back]
    across, down = np.meshgrid(x[back] + grid, y[back] + grid)
    disc = np.hypot(across - x[back], down - y[back]) <= radius[back]
    by_head = np.hypot(across - x[front], down - y[front]) <= radius[front]
    by_body = (down >= shoulders) & (np.abs(across - x[front]) <= found("shoulder-breadth")[front] * scale[front] / 2)
    return max((disc & by_head).sum(), (disc & by_body).sum()) / disc.sum()


@settings(max_examples=60)
@given(
    at=st.integers(-60, 60),
    front=st.integers(140, 200),
    back=st.integers(140, 200),
    height=st.floats(0.8, 2.6),
    near=st.floats(3, 5),
    gap=st.floats(0.4, 2),
    tilt=st.sampled_from([0, 0, -8, 5]),
)
def test_hidden_faces_against_counted_pixels(shoot, at, front, back, height, near, gap, tilt):
    found = shoot(
        people=f"Ada {front}, Ben {back}",
        rows=f'  row "front", {near:.3f} m {{ "Ada" standing, at 0 cm }}\n  row "back", {near + gap:.3f} m {{ "Ben" standing, at {at} cm }}',
        support=f"tripod, height {height:.3f} m, tilt {tilt} deg",
    )
    hidden = found("face-hidden")
    assert hidden[0] == 0
    assert hidden[1] == pytest.approx(pixels(found, 1, 0), abs=0.12)
    assert found("hidden-by")[1] == 0 if hidden[1] > 0 else np.isnan(found("hidden-by")[1])
    assert np.isnan(found("hidden-by")[0])


def test_whoever_hides_more_is_named(shoot):
    # Ada's head is nearer to Cor's, but it is Ben's shoulders on a step that cover Cor's face.
    found = shoot(
        people="Cor 150, Ada 150, Ben 170",
        rows='  row "back", 6 m { "Cor" standing, at -1 cm }\n  row "front", 4 m { "Ada" standing, at -16 cm; "Ben" standing on 60 cm, at 16 cm }',
    )
    assert found("head-below")[0] == 1
    assert found.pairs("hidden-share")[0, 2] > found.pairs("hidden-share")[0, 1]
    assert found("hidden-by")[0] == 2
    assert found("face-hidden")[0] == pytest.approx(found.pairs("hidden-share")[0].max())


def test_nobody_is_hidden_by_who_stands_beside_or_behind(shoot):
    # One spot, one row: neither stands before the other. Behind: only the rear one is hidden.
    same = shoot(people="Ada 170, Ben 150", rows='  row "front", 4 m { "Ada" standing, at 0 cm; "Ben" standing, at 10 cm }')
    assert not np.any(same("face-hidden"))
    for tilt in (-30, 0, 10):
        # To a camera that looks down, a tall person behind may be nearer along its axis; the row still tells.
        found = shoot(
            people="Low 120, High 190",
            rows='  row "front", 4 m { "Low" standing, at 0 cm }\n  row "back", 4.5 m { "High" standing on 60 cm, at 0 cm }',
            support=f"tripod, height 3 m, tilt {tilt} deg",
        )
        assert found.pairs("hidden-share")[0].tolist() == [0, 0] and found("face-hidden").tolist()[0] == 0
        beside = shoot(
            people="Low 120, High 190",
            rows='  row "front", 4 m { "Low" standing, at 0 cm; "High" standing, at 20 cm }',
            support=f"tripod, height 3 m, tilt {tilt} deg",
        )
        assert not np.any(beside("face-hidden"))


def test_a_head_straight_before_another_hides_it(shoot):
    # Lens at the height of the heads: alike heads on the axis, the front one is drawn larger and covers all.
    height = 1.70 * (1 - 0.0675)
    rows = '  row "front", 4 m {{ "Ada" standing, at {} cm }}\n  row "back", 4.5 m {{ "Ben" standing, at 0 cm }}'
    hidden = [
        shoot(people="Ada 170, Ben 170", rows=rows.format(at), support=f"tripod, height {height} m")("face-hidden")[1]
        for at in (0, 6, 12, 18, 30)
    ]
    assert hidden[0] == pytest.approx(1) and hidden[-1] == 0
    assert all(a >= b for a, b in pairwise(hidden)) and 0 < hidden[2] < 1


def test_one_person_of_unknown_height_leaves_the_line_open(shoot):
    # A seat whose height nobody told may put a head anywhere, and nothing may pass in silence.
    found = shoot(
        people="Ada 170, Ben 180, Cor 160",
        rows='  row "front", 4 m { "Ada" seated, at -40 cm; "Ben" standing, at 40 cm }\n  row "back", 5 m { "Cor" standing, at -20 cm }',
        place='place "Lamp" as key, right 10 deg, distance 3 m, height 1.5 m, power 1/1',
    )
    for name in ("crown-turns", "level-run", "tallest", "tallest-off-middle", "crown-span", "key-hidden"):
        assert np.isnan(found.partly(name)).all(), name
    hidden = found.partly("face-hidden")
    assert hidden[:2] == [0, 0] and math.isnan(hidden[2])
    tilted = shoot(
        people="Ada 170, Ben 180",
        rows='  row "front", 4 m { "Ada" seated, at 0 cm }\n  row "back", 5 m { "Ben" standing, at 0 cm }',
        support="tripod, height 1.6 m, tilt -10 deg",
    )
    assert math.isnan(tilted.partly("face-hidden")[1])


def test_the_mirror_image_turns_the_line_round(shoot):
    one, other = two_rows(shoot, at="-35"), two_rows(shoot, at="35", people="Cor 170, Ada 150, Ben 170")
    assert one("column-offset")[0] == pytest.approx(other("column-offset")[0])
    assert one("head-below")[0] == 1 and other("head-below")[0] == 2
    assert one("face-hidden")[0] == pytest.approx(other("face-hidden")[0])


def test_whoever_has_no_age_in_the_plan_is_thirty(shoot):
    assert shoot(people="Ada 170")("age") == 30
