"""Mends of whole plans: judged from scratch by what judges every plan, and not by the search that found them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from faulty import faulty
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from shootlint.language.edits import changed
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies import least_change, plan_mend
from shootlint.remedies.house import HouseLevers, house_levers
from shootlint.remedies.least_change import MOST_TEXTS, Search
from shootlint.remedies.levers import MECHANICAL
from shootlint.remedies.plan_mend import PlanMend, mend_plan
from shootlint.remedies.reading import Rereader
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.judging import judge

ROOT = Path(__file__).parents[2]
PLANS = ROOT / "plans"
SMALL = [*sorted((ROOT / "rules/examples").glob("*.shoot")), PLANS / "starter/plan.shoot"]
ANY_DAY = datetime.date(2026, 1, 1)
SHIPPED = shipped_book()


def load(path: Path) -> Document:
    return Loader().load(path, path.name)


def read(text: str, path: Path | None = None) -> Document:
    document = Loader().load_source(Source(path.name if path is not None else "plan.shoot", text, path))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    return document


def failing(document: Document, book: Book = SHIPPED) -> dict[str, int]:
    """How many things fail by level, judged anew. Of a rule that fails for several each one counts."""
    assert document.plan is not None
    counts = {"error": 0, "warning": 0, "note": 0}
    for finding in judge(document.plan, book, ANY_DAY).findings:
        counts[finding.level] += 1
    return counts


def is_clean(document: Document, book: Book = SHIPPED) -> bool:
    counts = failing(document, book)
    return not counts["error"] and not counts["warning"]


def mended(document: Document, book: Book = SHIPPED, house: HouseLevers | None = None, only_mechanical: bool = False) -> PlanMend:
    rereader = Rereader(document, Loader(), book, ANY_DAY)
    return mend_plan(rereader, house or house_levers(book)[0], only_mechanical=only_mechanical)


def assert_only_what_is_named_has_changed(document: Document, mend: PlanMend) -> None:
    """The text before, with the stretches that the mend names replaced and every other byte as it was."""
    assert mend.before == document.source.text
    pieces, at = [], 0
    for edit in mend.edits.edits:
        assert at <= edit.start <= edit.end
        assert mend.before[edit.start : edit.end] != edit.text
        assert "#" not in mend.before[edit.start : edit.end] and "#" not in edit.text, "a comment was touched"
        pieces += [mend.before[at : edit.start], edit.text]
        at = edit.end
    assert "".join([*pieces, mend.before[at:]]) == mend.after
    assert comments(mend.after) == comments(mend.before)
    assert facts(read(mend.after, document.source.path)) == facts(document)


def comments(text: str) -> list[str]:
    return re.findall(r"#.*", text)


def facts(document: Document) -> dict[str, object]:
    """What a plan says besides its setups, with what its kits say, and who is in each setup."""
    plan = document.plan
    assert plan is not None
    told = {name: getattr(plan, name) for name in type(plan).model_fields if name not in ("setup", "where")}
    people = [sorted(str(member.name) for row in setup.row for member in row.members) for setup in plan.setup]
    stands = [[(str(each.light), str(each.role)) for each in setup.place] for setup in plan.setup]
    names = [(str(setup.name), str(setup.camera), str(setup.print)) for setup in plan.setup]
    return {"told": repr(told), "people": people, "lights": stands, "names": names}


# --- whole plans

FAULTY = [
    ("choir-on-steps", 2, 3), ("wheelchair-on-the-promenade", 3, 4), ("southern-shearers", 4, 5), ("evening", 10, 2),
    ("choir-on-steps", 12, 4), ("wheelchair-on-the-promenade", 13, 5), ("team-in-rain-gear", 15, 2), ("evening", 20, 3),
    ("family-and-infant", 21, 4), ("wheelchair-on-the-promenade", 23, 1), ("southern-shearers", 24, 2),
    ("team-in-rain-gear", 25, 3), ("evening", 30, 4), ("family-and-infant", 31, 5), ("team-in-rain-gear", 35, 4),
    ("evening", 40, 5), ("family-and-infant", 41, 1), ("team-in-rain-gear", 45, 5), ("evening", 50, 1),
    ("choir-on-steps", 52, 3), ("wheelchair-on-the-promenade", 53, 4), ("southern-shearers", 54, 5),
    ("team-in-rain-gear", 55, 1), ("family-and-infant", 61, 3), ("southern-shearers", 104, 5), ("southern-shearers", 114, 1),
]  # fmt: skip
"""A good plan, the seed by which it is broken, and in how many places."""


@pytest.mark.parametrize(("name", "seed", "places"), FAULTY, ids=[f"{name} {seed}" for name, seed, _ in FAULTY])
def test_a_faulty_plan_mends_to_a_clean_one(name, seed, places):
    good = load(PLANS / f"{name}.shoot")
    document = read(faulty(good, seed, places), good.source.path)
    assert not is_clean(document), "this seed breaks nothing"
    kits = {path: path.read_bytes() for path, _ in document.named}
    mend = mended(document)
    assert is_clean(read(mend.after, good.source.path))
    assert mend.holds and not mend.left and not mend.conflicts and mend.changes
    assert mend.failing_before == failing(document) and mend.failing_after == failing(read(mend.after, good.source.path))
    assert_only_what_is_named_has_changed(document, mend)
    assert {path: path.read_bytes() for path in kits} == kits
    assert sum(len(each.mends) for each in mend.changes) and all(each.mends for each in mend.changes), "each is for something"


@pytest.fixture(scope="module")
def first_draft() -> Document:
    return load(PLANS / "first-draft.shoot")


@pytest.fixture(scope="module")
def first_mend(first_draft: Document) -> PlanMend:
    return mended(first_draft)


def test_the_first_draft_mends_to_a_clean_plan(first_draft, first_mend):
    before = failing(first_draft)
    assert before["error"] >= 5 and before["warning"] >= 5
    assert is_clean(read(first_mend.after, first_draft.source.path))
    assert_only_what_is_named_has_changed(first_draft, first_mend)
    changed_lines = [
        (old, new) for old, new in zip(first_mend.before.splitlines(), first_mend.after.splitlines(), strict=True) if old != new
    ]
    assert 0 < len(changed_lines) <= 10


def test_a_mended_plan_is_not_changed_again(first_draft, first_mend):
    again = mended(read(first_mend.after, first_draft.source.path))
    assert again.after == first_mend.after and not again.changes and not again.edits.edits


def test_the_same_plan_is_mended_the_same_way_twice(first_draft, first_mend):
    again = mended(load(PLANS / "first-draft.shoot"))
    assert (again.after, again.changes, again.edits) == (first_mend.after, first_mend.changes, first_mend.edits)


def test_mechanical_mends_keep_the_picture(first_draft):
    mend = mended(first_draft, only_mechanical=True)
    assert mend.changes and {each.step.grade for each in mend.changes} == {MECHANICAL}
    before, after = failing(first_draft), failing(read(mend.after, first_draft.source.path))
    assert (after["error"], after["warning"]) < (before["error"], before["warning"])
    assert_only_what_is_named_has_changed(first_draft, mend)


@pytest.mark.parametrize(("name", "seed", "places"), FAULTY[2:8], ids=[f"{name} {seed}" for name, seed, _ in FAULTY[2:8]])
def test_mechanical_mends_never_raise_the_number_of_errors(name, seed, places):
    good = load(PLANS / f"{name}.shoot")
    document = read(faulty(good, seed, places), good.source.path)
    mend = mended(document, only_mechanical=True)
    assert {each.step.grade for each in mend.changes} <= {MECHANICAL}
    assert failing(read(mend.after, good.source.path))["error"] <= failing(document)["error"]


@pytest.mark.parametrize("name", ["evening", "starter/plan", "southern-shearers"])
def test_a_good_plan_is_left_alone(name):
    document = load(PLANS / f"{name}.shoot")
    mend = mended(document)
    assert mend.after == document.source.text and mend.holds and not mend.changes


# --- the least change, beside brute force

ONE_LIGHT = ROOT / "rules/examples/one-light.shoot"


def every_option(document: Document, house: HouseLevers) -> Iterator[tuple[float, str, str]]:
    """Each single option of each lever: what it costs, what it is called, and the text that it makes."""
    graph = Graph(scenes(document.plan)[0])
    for turn in house.turns(graph):
        for place, changes in enumerate(turn.changes):
            if changes:
                yield float(turn.prices[place]), turn.titles[place], changed(document.source.text, changes)


@pytest.mark.parametrize(
    ("old", "new"),
    [("f/5.6", "f/8"), ("1/125 s", "1/250 s"), ("power -0.7 stops", "power 1/8"), ("bag 10 kg", "bag 2 kg"), ("iso         100", "iso         200")],
    ids=["aperture", "shutter", "power", "bag", "iso"],
)  # fmt: skip
def test_no_single_option_is_cheaper(old, new):
    """Each text is read and judged from scratch, the cheapest first, up to the one that mends everything."""
    text = ONE_LIGHT.read_text(encoding="utf-8").replace(old, new)
    document, house = read(text), house_levers(SHIPPED)[0]
    assert not is_clean(document)
    mend = mended(document)
    assert is_clean(read(mend.after)) and len(mend.changes) == 1
    price = mend.changes[0].step.price
    # Notes count a little in the price of an option; where there are none, the cheapest is the cheapest.
    cheaper = [
        (cost, title) for cost, title, after in every_option(document, house) if cost < price - 1e-9 and is_clean(read(after))
    ]
    assert not cheaper


def rules(*conditions: str, house: str = "") -> Book:
    """Errors for each light or setup, as conditions after what they are for."""
    lines = [house]
    for number, condition in enumerate(conditions, 1):
        scope, _, require = condition.partition(": ")
        lines.append(
            f'rule a.r{number} {{ title "t"; level error; for {scope}\nrequire {require}\nsay "x"; because "b"; remedy iso }}'
        )
    book = book_of([Source("t.rules", "\n".join(lines) + "\n")])
    assert not book.complaints, [str(each) for each in book.complaints]
    return book


def test_a_wider_aperture_needs_less_power():
    """By hand. The plan has f/5.6 and power 1/2. The aperture must be f/4 or wider, which lets in one stop more, and the
    key must stay where it was over the setting; so the power goes down by one stop, to 1/4. The sensitivity is at its
    least, there is no filter, and a light that is moved costs more. Neither lever does it alone."""
    document = read(ONE_LIGHT.read_text(encoding="utf-8").replace("power -0.7 stops", "power 1/2"))
    level = Graph(scenes(document.plan)[0])["key-level"].array.item()
    book = rules(
        "each setup: aperture <= f/4", f"each setup: key-level between {level - 0.15:.3f} stops and {level + 0.15:.3f} stops"
    )
    assert failing(document, book)["error"] == 1
    mend = mended(document, book)
    assert is_clean(read(mend.after), book)
    assert {each.step.title for each in mend.changes} == {"aperture f/4", "power 1/4 on Octa"}
    assert {each.step.title: each.mends for each in mend.changes}["aperture f/4"] == ("a.r1", "a.r2")
    single = [title for _, title, after in every_option(document, house_levers(book)[0]) if is_clean(read(after), book)]
    assert not single


def test_people_change_places_where_nothing_else_does():
    """By hand: a child of 121 cm must stand in the back row, and only a swap takes her there."""
    book = rules("each person: row-number = 2 or stature >= 130 cm")
    document = load(ROOT / "rules/examples/two-rows.shoot")
    mend = mended(document, book)
    (change,) = mend.changes
    assert change.step.lever == "swap" and "Kaya" in change.step.title and change.mends == ("a.r1",)
    assert is_clean(read(mend.after, document.source.path), book)


# --- conflicts


def test_rules_that_cannot_hold_together_are_told_with_what_is_nearest():
    document = load(ONE_LIGHT)
    mend = mended(document, rules("each setup: iso <= 100", "each setup: iso >= 400"))
    assert mend.after == mend.before and not mend.holds
    (conflict,) = mend.conflicts
    assert (conflict.rule.name, conflict.nearest, conflict.breaks) == ("a.r2", "iso 400 (2 stops more noise)", ("a.r1",))
    assert conflict.in_words() == 'a.r2 in setup "Both" cannot hold together with a.r1; nearest is iso 400 (2 stops more noise)'


def test_a_rule_over_the_plan_that_cannot_hold_is_told_with_what_is_nearest():
    """The first of two setups is at ISO 100 and may be; over the plan the least is to be 400."""
    document = load(ONE_LIGHT)
    mend = mended(document, rules("plan: min(iso) >= 400", "each setup: iso <= 100"))
    assert mend.after == mend.before
    (conflict,) = mend.conflicts
    assert conflict.in_words() == 'a.r1 cannot hold together with a.r2; nearest is iso 400 in setup "Both" (2 stops more noise)'


def test_what_only_another_picture_mends_is_told_as_that():
    mend = mended(load(ONE_LIGHT), rules("each setup: iso >= 200"), only_mechanical=True)
    (conflict,) = mend.conflicts
    assert conflict.in_words() == 'a.r1 in setup "Both": iso 200 (one stop more noise) would do it, and changes the picture'


def test_people_who_cannot_fit_are_told():
    """By hand: they stand 44 cm apart and go a metre to the side at the most, so they are never 5 m apart."""
    mend = mended(load(ONE_LIGHT), rules("each setup: max(sideways) - min(sideways) >= 5 m"))
    assert mend.after == mend.before
    (conflict,) = mend.conflicts
    assert conflict.in_words() == 'a.r1 in setup "Both": no single change makes it hold'


def test_a_lever_with_no_steps_left_is_not_turned():
    book = rules("each setup: iso >= 25600")
    mend = mended(load(ONE_LIGHT), book)
    assert mend.after == mend.before and mend.conflicts[0].nearest == ""


# --- any breaks at all


class Watched(Search):
    """A search that tells how many texts it has read."""

    last: Watched

    def __init__(self, *arguments, **named) -> None:
        super().__init__(*arguments, **named)
        type(self).last = self


@pytest.fixture
def watched(monkeypatch: pytest.MonkeyPatch) -> type[Watched]:
    monkeypatch.setattr(plan_mend, "Search", Watched)
    return Watched


@settings(
    max_examples=14,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much],
)
@given(st.sampled_from(SMALL), st.integers(0, 10**6), st.integers(1, 5))
def test_a_mend_raises_no_errors_loses_no_comment_and_ends_within_its_bound(watched, path, seed, places):
    good = load(path)
    document = read(faulty(good, seed, places), path)
    before = failing(document)
    assume(before["error"] + before["warning"])
    mend = mended(document)
    after = failing(read(mend.after, path))
    assert (after["error"], after["warning"]) <= (before["error"], before["warning"])
    assert mend.holds is (after["error"] == 0)
    assert watched.last.texts_judged <= MOST_TEXTS
    assert_only_what_is_named_has_changed(document, mend)


def test_the_bound_of_texts_is_kept_where_it_is_low(monkeypatch, watched, first_draft):
    """With few texts to read, a search gives what it has found by then, and it is still proven."""
    for most in (1, 2, 5):
        monkeypatch.setattr(least_change, "MOST_SEARCHED", most)
        monkeypatch.setattr(least_change, "MOST_LESSENED", most)
        monkeypatch.setattr(least_change, "MOST_TEXTS", most)
        mend = mended(first_draft)
        assert watched.last.texts_judged <= most
        assert mend.failing_after == failing(read(mend.after, first_draft.source.path))
        assert mend.failing_after["error"] <= failing(first_draft)["error"]


def test_what_judging_anew_does_not_bear_out_is_not_offered(monkeypatch, first_draft):
    """Should the search ever be wrong of a text, nothing is offered."""
    stand = Rereader.read

    def wrong(self, text, afresh=False):
        found = stand(self, text, afresh)
        if afresh:
            found.__dict__["failing"] = {"error": 99, "warning": 0, "note": 0}
        return found

    monkeypatch.setattr(Rereader, "read", wrong)
    mend = mended(first_draft)
    assert mend.after == mend.before and not mend.changes


def test_numbers_of_things_are_those_of_the_findings(first_draft):
    """What the search counts is what a report lists, one for each person, light or pair."""
    rereader = Rereader(first_draft, Loader(), SHIPPED, ANY_DAY)
    assert rereader.start.failing == failing(first_draft)
    assert all(np.isfinite(list(rereader.start.failing.values())))
