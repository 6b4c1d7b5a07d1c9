"""Makes faulty plans of good ones: one to five values of a plan's setups are put as something else that the language takes.

What is broken is chosen without a look at the levers or the rules, only from what a setup says; so a mend has to find
its own way back. Seeded: the same seed breaks the same plan in the same way.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

from shootlint.language.loading import Document, Loader
from shootlint.language.source import Place, Source

APERTURES = ("f/2.8", "f/4", "f/5.6", "f/8", "f/11", "f/16", "f/22")
TIMES = ("1/1000 s", "1/500 s", "1/250 s", "1/125 s", "1/60 s", "1/30 s", "1/15 s")
SENSITIVITIES = ("50", "100", "200", "400", "800", "1600", "3200", "6400")
POWERS = ("1/1", "1/2", "1/4", "1/8", "1/16", "1/32", "1/64", "1/128", "1/256", "1/512")

Break = Callable[[random.Random], tuple[Place, str]]


def faulty(document: Document, seed: int, places: int) -> str:
    """The text of a plan with so many of its values put as others."""
    draw = random.Random(seed)
    text = document.source.text
    loader = Loader()
    for _ in range(places):
        now = loader.load_source(Source(document.source.name, text, document.source.path))
        assert not now.complaints, [str(each) for each in now.complaints]
        place, new = draw.choice(list(breaks(now)))(draw)
        text = text[: place.start] + new + text[place.end :]
    return text


def breaks(document: Document) -> Iterator[Break]:
    """Everything in a plan's setups that can be put otherwise, each as a function that draws how."""

    def one_of(place: Place | None, values: tuple[str, ...]) -> Iterator[Break]:
        if place is not None:
            others = [each for each in values if each != place.text]
            yield lambda draw: (place, draw.choice(others))

    def number(place: Place | None, low: float, high: float, unit: str, digits: int = 0) -> Iterator[Break]:
        if place is not None:
            yield lambda draw: (place, f"{draw.uniform(low, high):.{digits}f} {unit}")

    assert document.plan is not None
    for setup in document.plan.setup:
        yield from one_of(setup.aperture.place, APERTURES)
        if setup.shutter.time is not None:
            yield from one_of(setup.shutter.time.place, TIMES)
        yield from one_of(setup.iso.place, SENSITIVITIES)
        if setup.lens.focal is not None:
            yield from number(setup.lens.focal.place, 24, 105, "mm")
        if setup.white_balance is not None:
            yield from number(setup.white_balance.place, 3000, 8000, "K")
        if setup.facing is not None:
            yield from number(setup.facing.place, 0, 359, "deg")
        if setup.frames is not None:
            yield from one_of(setup.frames.place, ("1", "2", "3"))
        if setup.support is not None and setup.support.height is not None:
            yield from number(setup.support.height.place, 0.4, 2.4, "m", 1)
        if setup.time is not None:
            yield _another_time(setup.time.place, setup.time.start.minutes, setup.time.minutes)
        if setup.focus.where is not None:
            rows = tuple(f'focus row "{row.name}"' for row in setup.row)
            yield from one_of(setup.focus.where, (*rows, f"focus {setup.front_distance.value - 1:.1f} m"))
        yield from one_of(setup.frame.orientation.place, ("landscape", "portrait"))
        for light in setup.place:
            yield from one_of(light.power.place, POWERS)
            yield from number(light.distance.place, 1.2, 7, "m", 1)
            yield from number(light.height.place, 1, 3.4, "m", 1)
            yield _another_side(light.angle.place)
            if light.bag is not None and light.bag.place is not None:
                yield from one_of(light.bag.place, ("0 kg", "1 kg", "2 kg"))
        for row in setup.row:
            yield from number(row.distance.place, row.distance.value - 0.8, row.distance.value + 0.8, "m", 2)
            for member in row.members:
                if member.at is not None:
                    yield from number(member.at.place, member.at.value * 100 - 60, member.at.value * 100 + 60, "cm")
                if member.pose is not None and member.on is None:
                    yield from one_of(member.pose.place, ("standing", "kneeling", "sitting"))
        names = [member.name.place for row in setup.row for member in row.members if member.held_by is None]
        for place in names:
            if place is not None:
                yield _change_places(place, names)


def _another_time(place: Place | None, start: int, length: int) -> Break:
    def change(draw: random.Random) -> tuple[Place, str]:
        assert place is not None
        begins = (start + draw.choice((-150, -90, -60, -45, 30, 45, 60, 90))) % 1440
        ends = (begins + length) % 1440
        return place, f"{begins // 60:02d}:{begins % 60:02d} to {ends // 60:02d}:{ends % 60:02d}"

    return change


def _another_side(place: Place | None) -> Break:
    def change(draw: random.Random) -> tuple[Place, str]:
        assert place is not None
        return place, f"{draw.choice(('left', 'right'))} {draw.randrange(0, 180, 5)} deg"

    return change


def _change_places(place: Place, names: list[Place | None]) -> Break:
    def change(draw: random.Random) -> tuple[Place, str]:
        other = draw.choice([each for each in names if each is not None])
        first, second = sorted((place, other), key=lambda each: each.start)
        text = place.source.text
        between = text[first.end : second.start] if first.end <= second.start else ""
        swapped = second.text + between + first.text if between else first.text
        return place.source.place(first.start, second.end), swapped

    return change
