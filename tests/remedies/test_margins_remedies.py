"""Margins: what rules leave to spare, and how far things may drift, beside hand-worked values and the text itself."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.remedies.house import house_levers
from shootlint.remedies.margins import Drift, Margin, by_little, drifts, margins
from shootlint.remedies.standing import Standing
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.judging import judge

ROOT = Path(__file__).parents[2]
TWO_ROWS = (ROOT / "rules/examples/two-rows.shoot").read_text(encoding="utf-8")
ANY_DAY = datetime.date(2026, 1, 1)
SHIPPED = shipped_book()


def stand(text: str = TWO_ROWS, book: Book = SHIPPED, path: Path | None = None) -> Standing:
    document = Loader().load_source(Source("plan.shoot", text, path))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    return Standing(document.plan, book, ANY_DAY)


def changed(*changes: tuple[str, str]) -> str:
    text = TWO_ROWS
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def rule(require: str, scope: str = "each setup", remedy: str = "iso") -> Book:
    made = book_of(
        [
            Source(
                "t.rules",
                f'rule a.b {{ title "t"; level error; for {scope}\nrequire {require}\nsay "x"; because "b"; remedy {remedy} }}\n',
            )
        ]
    )
    assert not made.complaints, [str(each) for each in made.complaints]
    return made


def only(require: str, scope: str = "each setup", text: str = TWO_ROWS) -> Margin:
    (margin,) = margins(stand(text, rule(require, scope)))
    return margin


def of_rule(name: str, standing: Standing) -> Margin:
    return next(each for each in margins(standing) if each.rule.name == name)


def drifts_of(margin: Margin, standing: Standing) -> dict[str, list[Drift]]:
    found: dict[str, list[Drift]] = {}
    for each in drifts(margin, standing, house_levers(standing.book)[0]):
        found.setdefault(each.lever, []).append(each)
    return found


# --- what is left to spare


@pytest.mark.parametrize(
    ("require", "scope", "about", "words", "value", "limit"),
    [
        # The plan's own numbers, so each difference can be worked out by hand.
        ("iso <= 125", "each setup", (), "a.b holds by a third of a stop", 100.0, 100 * 2 ** (1 / 3)),
        ("focal-length <= 55 mm", "each setup", (), "a.b holds by 5 mm", 0.05, 0.055),
        ("stature < 2 m", "each person", ("Joris",), "a.b for Joris holds by 16 cm", 1.84, 2.0),
        ("stature between 1 m and 2 m", "each person", ("Joris",), "a.b for Joris holds by 16 cm", 1.84, 2.0),
        ("row-distance > 4.1 m", "each person", ("Ines",), "a.b for Ines holds by 0.1 m", 4.2, 4.1),
        ("stature > 1 m", "each person where stature > 1.6 m", ("Ines",), "a.b for Ines holds by 66 cm", 1.66, 1.0),
        ("min(bag) > 9 kg", "each setup", (), "a.b holds by 1 kg", 10.0, 9.0),
        ("light-distance < 3 m", "each light", ("Octa",), "a.b for Octa holds by 0.2 m", 2.8, 3.0),
        ("light-angle <= 32 deg", "each light", ("Octa",), "a.b for Octa holds by 2 deg", 30.0, 32.0),
        ("camera-tilt <= 1 deg", "each setup", (), "a.b holds by 1 deg", 0.0, 1.0),
        ("wind-mean < 5 m/s", "each setup", (), "a.b holds by 3 m/s", 2.0, 5.0),
        # f/5.6 stands for 2^2.5, f/8 for 2^3: one stop. A power of -0.7 stops is 0.7 stops under full.
        ("aperture < f/8", "each setup", (), "a.b holds by one stop", 2**2.5, 8.0),
        ("aperture > f/5", "each setup", (), "a.b holds by a third of a stop", 2**2.5, 2 ** (7 / 3)),
        ("shutter < 1/60 s", "each setup", (), "a.b holds by 1.1 stops", 2**-7, 1 / 60),
        ("slot-length > 10 min", "each setup", (), "a.b holds by 5 min", 900.0, 600.0),
        ("power < 1", "each light", ("Octa",), "a.b for Octa holds by two thirds of a stop", 2**-0.7, 1.0),
    ],
)  # fmt: skip
def test_what_is_left_is_the_difference_at_the_tightest(require, scope, about, words, value, limit):
    margin = only(require, scope)
    assert (margin.about, margin.in_words()) == (about, words)
    assert (margin.value, margin.limit) == (pytest.approx(value, rel=2e-3), pytest.approx(limit, rel=2e-3))
    assert margin.spare == pytest.approx(abs(value - limit), abs=5e-3)


def test_the_blur_margin_worked_by_hand():
    """The thin lens (Ray, Applied Photographic Optics, 2002): a point at D is blurred on the sensor by
    f^2 |D - S| / (N D (S - f)) with focus at S, enlarged as the print is; the eye takes one arcminute at the distance of
    viewing, which is the print's diagonal, and the rule 125 % of it."""
    standing = stand(changed(("f/5.6", "f/4")))
    margin = of_rule("focus.person-soft", standing)
    focal, number = 0.05, 4.0
    shot = Graph(standing.scenes[0])
    focus, distances = shot["focus-distance"].array.item(), shot["distance"].array.ravel()
    assert focus == pytest.approx(2 * 4.2 * 4.7 / (4.2 + 4.7), rel=1e-6), "the harmonic mean of the rows' distances"
    on_sensor = focal**2 * np.abs(distances - focus) / (number * distances * (focus - focal))
    enlarged = on_sensor * 0.4 / 0.024
    limit = 1.25 * math.hypot(0.4, 0.6) * math.tan(math.radians(1 / 60))
    assert margin.value == pytest.approx(enlarged.max(), rel=1e-3)
    assert margin.limit == pytest.approx(limit, rel=1e-3)
    assert margin.spare == pytest.approx(limit - enlarged.max(), rel=5e-3)


def test_the_tightest_come_first_and_only_rules_that_hold_are_told():
    standing = stand(changed(("f/5.6", "f/2.8"), ("between rows", 'row "front"')))
    failing = {rule.name for rule, _ in standing.failing_rules(("error", "warning", "note"))}
    assert "focus.person-soft" in failing
    found = margins(standing)
    assert failing.isdisjoint(each.rule.name for each in found)
    shares = [each.share for each in found]
    assert shares == sorted(shares) and shares[0] > 0
    places = [(each.rule.name, each.at) for each in found]
    assert len(set(places)) == len(places), "one for each rule and setup"


@pytest.mark.parametrize(
    ("require", "scope"),
    [
        # What stands at its limit does so on purpose.
        ("iso >= 100", "each setup"),
        ("camera-tilt >= 0 deg", "each setup"),
        ("aperture <= f/5.6", "each setup"),
        ("min(bag) >= 10 kg", "each setup"),
        ("keys-used >= 1", "each setup"),
        # What has no degrees.
        ("iso = 100", "each setup"),
        ("iso != 200", "each setup"),
        ("pose is standing or pose is seated", "each person"),
        ("not sun-on-faces", "each setup"),
        # Where one of several may do, none is what it hangs on.
        ("iso < 200 or aperture < f/8", "each setup"),
        ("any(stature < 125 cm)", "each setup"),
        ("not (iso > 150)", "each setup"),
        # Over the whole plan there is no setup to be tight in.
        ("max(iso) <= 125", "plan"),
        # Nobody is that tall: it is not judged for anyone.
        ("sideways < 1 m", "each person where stature > 3 m"),
    ],
)
def test_what_has_no_margin_is_not_told(require, scope):
    standing = stand(TWO_ROWS, rule(require, scope))
    assert not standing.failing["error"] and margins(standing) == []


def test_the_ends_of_the_kits_ranges_are_not_tight():
    standing = stand(changed(("f/5.6", "f/2.8"), ('"Zoom", 50 mm', '"Zoom", 24 mm')))
    ranges = {
        each.rule.name: each
        for each in margins(standing)
        if each.rule.name in ("kit.aperture-range", "kit.lens-range", "kit.iso-range")
    }
    assert all(each.share > 0.5 for each in ranges.values())


@pytest.mark.parametrize(
    ("require", "told"),
    [
        ("focal-length <= 66 mm", True),
        ("focal-length <= 68 mm", False),
        ("focal-length >= 41 mm", True),
        ("focal-length >= 39 mm", False),
    ],
)
def test_by_little_is_under_a_quarter_of_the_limit(require, told):
    """At 50 mm 66 mm leaves 24 % of itself, 68 mm 26 %, 41 mm 22 % and 39 mm 28 %."""
    book = rule(require)
    found = by_little(stand(book=book), house_levers(book)[0])
    assert [each.rule for each in found] == ["a.b"] * told


def test_next_to_nothing_is_not_called_nought():
    assert only("row-distance < 4.7001 m", "each person").in_words() == "a.b for Joris holds by next to nothing"


# --- how far things may drift


def first_failing(writes: Callable[[float], str], book: Book, name: str, high: float) -> float:
    """The least drift at which a rule fails, by halving, each text read and judged from scratch."""

    def fails(size: float) -> bool:
        document = Loader().load_source(Source("plan.shoot", writes(size)))
        assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
        return any(each.rule.name == name for each in judge(document.plan, book, ANY_DAY).findings)

    low = 0.0
    assert not fails(low) and fails(high)
    for _ in range(16):
        middle = (low + high) / 2
        low, high = (low, middle) if fails(middle) else (middle, high)
    return low


def test_the_drift_of_a_row_is_where_the_text_begins_to_fail():
    text = changed(("f/5.6", "f/4"))
    standing = stand(text)
    margin = of_rule("focus.person-soft", standing)
    found = {each.words.rsplit(" ", 1)[1]: each for each in drifts_of(margin, standing)["row-distance"] if "back" in each.subject}
    back = found["back"]

    def at(size: float) -> str:
        return text.replace('row "back", 4.7 m', f'row "back", {4.7 + size:.4f} m')

    true = first_failing(at, SHIPPED, "focus.person-soft", 2.0)
    # Two grids of 48 over 3 m: the drift that is told is the last that holds, within 3 m / 48² = 1.3 mm.
    assert back.size <= true + 1e-4 and true - back.size < 0.0014
    for size, holds in ((back.size - 0.001, True), (back.size + 0.0025, False)):
        document = Loader().load_source(Source("plan.shoot", at(size)))
        failing = {each.rule.name for each in judge(document.plan, SHIPPED, ANY_DAY).findings}
        assert ("focus.person-soft" not in failing) is holds
    assert back.words.startswith('row "back" ') and back.words.endswith(" back")


def test_the_drift_of_the_aperture_is_where_the_text_begins_to_fail():
    text = changed(("between rows", 'row "front"'))
    standing = stand(text)
    margin = of_rule("focus.person-soft", standing)
    (wider,) = (each for each in drifts_of(margin, standing)["aperture"] if each.words.endswith("wider"))
    shot = Graph(standing.scenes[0])
    # By hand: blur goes as one over the f-number, so it may grow by limit / blur, and a stop is a factor of the root of 2.
    by_hand = 2 * math.log2(margin.limit / margin.value)
    assert wider.size == pytest.approx(by_hand, abs=0.02)
    assert shot["aperture"].array.item() == pytest.approx(2**2.5, rel=1e-6)


@pytest.mark.parametrize(
    ("require", "scope", "lever", "told"),
    [
        ("light-angle <= 32 deg", "each light", "light-angle", [("Octa angle 2 deg to the right", 2.0)]),
        ("light-angle between 27 deg and 32 deg", "each light", "light-angle", [("Octa angle 2 deg to the right", 2.0), ("Octa angle 3 deg to the left", 3.0)]),
        ("row-distance <= 4.75 m", "each person", "row-distance", [('row "back" 5 cm back', 0.05)]),
        ("camera-tilt between -3 deg and 2 deg", "each setup", "camera-tilt", [("camera tilt 2 deg up", 2.0), ("camera tilt 3 deg down", 3.0)]),
        ("sideways <= 27 cm or stature < 1.7 m", "each person", "sideways", None),
        ("sideways <= 27 cm", "each person where stature > 1.7 m", "sideways", [("Lou 1 cm to the right", 0.01)]),
        ("light-distance <= 3.1 m", "each light", "light-distance", [("Octa distance 30 cm", 0.3)]),
        ("power <= 0.7", "each light", "power", [("Octa power 0.2 stops up", 0.1717)]),
        ("iso < 200", "each setup", "iso", [("iso 1 stop up", 1.0)]),
    ],
)  # fmt: skip
def test_drifts_worked_by_hand(require, scope, lever, told):
    book = rule(require, scope, lever)
    standing = stand(TWO_ROWS, book)
    found = [each for margin in margins(standing) for each in drifts_of(margin, standing).get(lever, [])]
    if told is None or not found:
        # A lever without ways has no drift, and where one of several may do there is no margin.
        assert told is None or lever == "light-distance"
        return
    assert [each.size for each in found] == [pytest.approx(size, abs=max(0.02 * size, 1e-4)) for _, size in told]
    assert [each.words.split(" ")[-1] for each in found] == [words.split(" ")[-1] for words, _ in told]


def test_a_bearing_drifts_across_north():
    """Between 355 deg and 0 deg it was taken to go back through south."""
    standing = stand(book=rule("sun-angle <= 90 deg", remedy="facing"))
    sun = np.asarray(Graph(standing.scenes[0])["sun-bearing"].array).ravel()
    assert "facing      350 deg" in TWO_ROWS and sun.min() + 90 > 360
    (margin,) = margins(standing)
    found = {each.words.rsplit(" ", 1)[1]: each.size for each in drifts_of(margin, standing)["facing"]}
    # In the quarter of an hour of the slot the sun goes on to the west.
    assert found == pytest.approx({"right": sun.min() + 90 - 350, "left": 350 - (sun.max() - 90)}, abs=0.05)


def test_a_light_drifts_behind_the_group():
    """Past 180 deg on the one side comes less than that on the other."""

    def at(size: float) -> str:
        side, angle = ("right", 150 + size) if size <= 30 else ("left", 210 - size)
        return changed(("right 30 deg", f"{side} {angle:.3f} deg"))

    book = rule("min(light-turn) >= 90 deg", "each light", "light-angle")
    standing = stand(at(0.0), book)
    (margin,) = margins(standing)
    found = {each.words.rsplit(" ", 1)[1]: each.size for each in drifts_of(margin, standing)["light-angle"]}
    behind, before = (
        first_failing(lambda size, way=way: at(way * size), book, "a.b", most) for way, most in ((1, 179.0), (-1, 149.0))
    )
    assert behind > 100 and before < 80
    assert found == pytest.approx({"right": behind, "left": before}, abs=0.05)


def test_nothing_drifts_that_the_house_forbids_or_that_the_rule_does_not_name():
    book = rule("row-distance <= 4.75 m", "each person", "iso, row-distance")
    standing = stand(TWO_ROWS, book)
    (margin,) = margins(standing)
    house = house_levers(book)[0]
    assert {each.lever for each in drifts(margin, standing, house)} == {"row-distance"}
    assert drifts(margin, standing, house.without({"row-distance"})) == []


def test_what_may_go_as_far_as_its_lever_goes_is_not_told():
    book = rule("row-distance <= 90 m", "each person", "row-distance")
    standing = stand(TWO_ROWS, book)
    (margin,) = margins(standing)
    assert drifts(margin, standing, house_levers(book)[0]) == []


@pytest.mark.parametrize("path", sorted((ROOT / "plans").glob("*.shoot")), ids=lambda path: path.stem)
def test_margins_of_every_plan_are_sound(path):
    document = Loader().load(path, path.name)
    if document.plan is None or not document.plan.setup:
        return
    standing = Standing(document.plan, SHIPPED, ANY_DAY)
    for margin in margins(standing):
        assert 0 < margin.share < math.inf and margin.spare > 0
        assert "nan" not in margin.in_words() and " 0 " not in margin.in_words()
        assert not standing.outcome(margin.rule, margin.at).failing.any()


@pytest.mark.parametrize(("limit", "stops"), [("f/8", 1.0), ("f/11", 2.0), ("f/6.3", 1 / 3)])
def test_a_margin_of_the_aperture_is_in_stops(limit, stops):
    """From f/5.6: ISO 517 numbers full stops by powers of the root of two, and its marks stand for those."""
    assert only(f"aperture <= {limit}", "each setup").share == pytest.approx(stops)
