"""A short run over hostile input: what long runs kept, and some thousand damages of it, seeded, so that CI tries the same."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from fuzzing.damage import damaged
from fuzzing.promises import PROMISES, bounded, broken, told_well
from fuzzing.seeds import kept, pieces, words
from shootlint.language.complaint import Complaint
from shootlint.language.source import Source

EACH = 60
BLOCKS = 25
"""So many damages in so many blocks of each kind."""
LARGEST = 300


@pytest.mark.parametrize("path", [*kept("plan"), *kept("rules")], ids=lambda path: f"{path.parent.name}-{path.name}")
def test_what_is_kept_breaks_no_promise(path: Path) -> None:
    PROMISES[path.parent.name](path.read_bytes())


@pytest.mark.parametrize("kind", PROMISES)
def test_what_is_kept_is_small(kind: str) -> None:
    files = kept(kind)
    assert 0 < len(files) <= 30
    assert all(file.stat().st_size <= LARGEST for file in files)


@pytest.mark.parametrize("kind", PROMISES)
@pytest.mark.parametrize("block", range(BLOCKS))
def test_no_damage_breaks_a_promise(kind: str, block: int) -> None:
    draw = random.Random(f"{kind} {block}")
    texts = [piece.decode("utf-8", "surrogateescape") for piece in pieces(kind)]
    for _ in range(EACH):
        content = damaged(draw.choice(texts), texts, draw, most=6).encode("utf-8", "surrogateescape")
        with bounded():
            PROMISES[kind](content)


def test_the_same_seed_makes_the_same_damages() -> None:
    texts = ["shootplan 1\n", 'kit "x"\n']
    one, other = ([damaged(texts[0], texts, random.Random(seed)) for seed in range(50)] for _ in range(2))
    assert one == other and len(set(one)) > 25


def test_a_broken_promise_is_seen() -> None:
    source = Source("plan.shoot", "shootplan 1\n")
    sound = Complaint(source.place(0, 9), "this is wrong")
    told_well([sound], {"plan.shoot"})
    for wrong in (
        [Complaint(source.place(0, 99), "this is wrong")],
        [Complaint(source.place(5, 3), "this is wrong")],
        [Complaint(source.place(0, 9), "This is wrong.")],
        [Complaint(source.place(0, 9), "")],
        [sound, sound],
        [Complaint(source.place(0, 9), f"this is wrong {number}") for number in range(300)],
    ):
        with pytest.raises(AssertionError):
            told_well(wrong, {"plan.shoot"})
    with pytest.raises(AssertionError):
        told_well([sound], {"other.shoot"})


def test_a_failure_is_given_back_with_its_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(content: bytes) -> None:
        raise ZeroDivisionError(len(content))

    monkeypatch.setitem(PROMISES, "plan", fails)
    assert isinstance(broken("plan", b"12345"), ZeroDivisionError)


def test_every_word_of_a_language_is_tried() -> None:
    assert {"shootplan", "between", "stature", "mired", '"overhead line"'.strip('"')} <= set(words("plan"))
    assert {"require", "adjust", "forbid", "sun-altitude"} <= set(words("rules"))
