"""Trials: the same whatever the blocks, shares that follow from the sizes, findings for what holds too seldom, and what to watch."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootlint.language.loading import Loader
from shootlint.language.model import Plan
from shootlint.language.source import Source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.readings.uncertainty import UNCERTAINTIES
from shootlint.rulebook.acceptances import mistakes
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.draws import Drawn, Streams
from shootlint.rulebook.finding import Verdict
from shootlint.rulebook.judging import judge
from shootlint.rulebook.own import NOT_SURE
from shootlint.rulebook.trials import Trials, tallied

ROOT = Path(__file__).parents[2]
TODAY = datetime.date(2026, 8, 22)
EVENING = ROOT / "plans/evening.shoot"
NOTHING = "".join(f"uncertain {name} 0\n" for name in UNCERTAINTIES)


def plan(path: Path = EVENING, *changes: tuple[str, str]) -> Plan:
    text = path.read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    document = Loader().load_source(Source("plan.shoot", text, path))
    assert document.plan is not None
    return document.plan


def house(text: str = "") -> Book:
    book = book_of([Source("house.rules", "use shipped\n" + text)])
    assert not book.complaints, list(map(str, book.complaints))
    return book


def tried(of: Plan, book: Book | None = None, count: int = 400, **trials: int) -> Verdict:
    return judge(of, book or shipped_book(), TODAY, Trials(count, **trials))


def shares(verdict: Verdict) -> dict[tuple[str, str], float]:
    assert verdict.sureness is not None
    return {(each.rule, each.setup): each.share for each in verdict.sureness.held}


@pytest.mark.parametrize("path", sorted(ROOT.glob("plans/*.shoot")), ids=lambda path: path.stem)
def test_without_uncertainty_every_trial_is_the_plan(path):
    of = plan(path)
    plain, sure = judge(of, shipped_book(), TODAY), tried(of, house(NOTHING), 7)
    assert [(each.rule.name, each.message, each.place) for each in plain.findings] == [
        (each.rule.name, each.message, each.place) for each in sure.findings
    ]
    assert {each.share for each in sure.findings if not each.rule.name.startswith("accept.")} <= {1.0}
    assert set(shares(sure).values()) == {0.0}
    assert sure.sureness is not None and sure.sureness.whole == 1.0 and sure.sureness.watch == ()
    assert plain.held == sure.held and plain.not_judged == sure.not_judged and plain.safety == sure.safety


@pytest.mark.parametrize("path", sorted(ROOT.glob("plans/*.shoot")), ids=lambda path: path.stem)
def test_trials_leave_the_plain_verdict_as_it_is(path):
    of = plan(path)
    plain, sure = judge(of, shipped_book(), TODAY), tried(of, count=50)
    kept = [each for each in sure.findings if each.rule.name != NOT_SURE]
    assert [(each.rule.name, each.message, each.level, each.spans) for each in plain.findings] == [
        (each.rule.name, each.message, each.level, each.spans) for each in kept
    ]
    assert all(each.share is None for each in plain.findings) and plain.sureness is None
    assert all(each.share is not None for each in kept if not each.rule.name.startswith("accept."))
    assert all(0 <= share <= 1 for share in shares(sure).values())


@settings(max_examples=12)
@given(st.integers(1, 1 << 16), st.integers(1, 150))
def test_blocks_of_any_size_give_the_same(block, count):
    of = plan()
    one, other = tried(of, count=count), tried(of, count=count, block=block)
    assert one.sureness == other.sureness
    assert [(each.message, each.share) for each in one.findings] == [(each.message, each.share) for each in other.findings]


def test_one_seed_gives_the_same_and_another_others():
    of = plan()
    assert tried(of).sureness == tried(of).sureness
    assert shares(tried(of, seed=2)) != shares(tried(of))


def test_more_trials_begin_with_the_same_ones():
    graphs = [Graph(scene) for scene in scenes(plan())]
    short, long = (tallied(graphs, shipped_book(), Trials(count)) for count in (60, 200))
    for few, many in zip(short.answers, long.answers, strict=True):
        assert np.array_equal(np.broadcast_to(few, (60, few.shape[1])), np.broadcast_to(many, (200, many.shape[1]))[:60])


def test_nobodys_draws_change_when_another_comes():
    few = plan(EVENING, ('    "Cleo" standing, at 33 cm\n', ""))
    drawn = [
        Drawn(Graph(scenes(each)[0]), {}, frozenset(["head-distance", "flash-at-full", "ambient"])) for each in (few, plan())
    ]
    one, other = (Streams(5, each.inputs).next(20) for each in drawn)
    assert len(one) < len(other)
    for each, numbers in one.items():
        assert np.array_equal(numbers, other[each])


def test_the_sky_and_a_lights_output_are_one_for_the_evening_and_a_lean_is_not():
    of = plan(ROOT / "plans/wheelchair-on-the-promenade.shoot")
    readings = frozenset(["head-distance", "flash-at-full", "ambient", "row-distance", "stature"])
    first, second = (set(Drawn(Graph(scene), {}, readings).inputs) for scene in scenes(of))
    shared = {each.uncertainty.name for each in first & second}
    assert {"daylight-model", "light-output", "stature-told"} <= shared
    assert shared.isdisjoint({"leaning", "row-distance", "group-distance", "passing-cloud"})


@settings(max_examples=10)
@given(st.sampled_from(["2", "4", "6"]), st.sampled_from(["9", "14"]))
def test_a_rule_that_holds_fails_more_often_when_more_is_uncertain(small, large):
    of = plan()
    least, most = (shares(tried(of, house(NOTHING + f"uncertain focus-placement {size} cm\n"), 800)) for size in (small, large))
    assert all(most[key] >= share for key, share in least.items() if key[0].startswith("focus.missed"))
    assert sum(most.values()) > sum(least.values())


def test_what_holds_too_seldom_is_a_finding_with_rule_person_share_and_cause():
    found = [each for each in tried(plan(), count=2000).findings if each.about == ("Cleo",)]
    assert [each.rule.name for each in found] == [NOT_SURE]
    (finding,) = found
    assert finding.level == "warning" and finding.share is not None and 0.3 < finding.share < 0.5
    assert finding.message.startswith("light.glasses-glare for Cleo holds on paper, but only in ")
    assert "at least 90 % is wanted; most by " in finding.message and "loses it" in finding.message
    assert finding.place.line == next(
        number
        for number, line in enumerate(EVENING.read_text("utf-8").splitlines(), 1)
        if line.strip().startswith('"Cleo" standing')
    )


def test_a_house_adjusts_levels_and_retires_it():
    def about_glasses(text: str) -> list[str]:
        found = tried(plan(), house(text)).findings
        return [each.level for each in found if each.rule.name == NOT_SURE and "glasses" in each.message]

    assert about_glasses("") == ["warning"]
    assert about_glasses(f"adjust {NOT_SURE} {{ at-least 30 % }}") == []
    assert about_glasses(f"level {NOT_SURE} note") == ["note"]
    assert about_glasses(f'retire {NOT_SURE} because "we know"') == []


def test_it_is_never_worse_than_what_it_says_may_fail():
    found = [each for each in tried(plan(), house(f"level {NOT_SURE} error")).findings if each.rule.name == NOT_SURE]
    levels = {each.message.split()[0]: each.level for each in found}
    assert levels["focus.could-be-shared"] == "note" and levels["light.glasses-glare"] == "warning"


def test_it_can_be_accepted_and_without_trials_the_acceptance_is_not_told_idle():
    line = f'accept {NOT_SURE} for "Cleo", because "she takes them off", until 2027-01-01\n'
    of = plan(EVENING, ("setup ", line + "setup "))
    assert not mistakes(of, shipped_book())
    assert [each.finding.about for each in tried(of).accepted] == [("Cleo",)]
    assert not judge(of, shipped_book(), TODAY).findings


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("uncertain leening 3 cm", "nothing uncertain is called leening; did you mean leaning?"),
        ("uncertain leaning 3 stops", "3 stops does not say how uncertain leaning is; write it in cm, such as 3 cm"),
        ("uncertain restlessness 3 cm", "3 cm does not say how uncertain restlessness is; write it in %, such as 50 %"),
        ("uncertain leaning 3", "3 does not say how uncertain leaning is"),
        ("uncertain leaning -3 cm", "leaning is uncertain by 0 to 60 cm, not by -3 cm"),
        ("uncertain leaning 3 m", "leaning is uncertain by 0 to 60 cm, not by 3 m"),
        ("uncertain leaning", ""),
        ("uncertain", ""),
        ("uncertain leaning 3 parsecs", "parsecs is not a unit"),
        (f"adjust {NOT_SURE} {{ least 3 % }}", f"{NOT_SURE} sets no value called least"),
    ],
)
def test_what_a_house_gets_wrong_is_told_at_its_place(line, complaint):
    book = book_of([Source("house.rules", f"use shipped\n{line}\n")])
    (found,) = book.complaints
    assert complaint in found.message
    assert found.place.line == 2
    assert book.uncertain == {}


def test_the_own_rule_is_nobody_elses_to_declare():
    rule = f'rule {NOT_SURE} {{ title "t"; level note; for each setup\nrequire iso > 0\nsay "s"; because "b" }}\n'
    (found,) = book_of([Source("house.rules", rule)]).complaints
    assert "the program's own rule" in found.message


def test_sizes_are_understood_in_any_unit_and_the_last_word_counts():
    assert house("uncertain leaning 2 in\nuncertain leaning 1 in\n").uncertain == {"leaning": pytest.approx(0.0254)}
    assert house("uncertain leaning 0\nuncertain restlessness 30 %\n").uncertain == {
        "leaning": 0.0,
        "restlessness": pytest.approx(0.3),
    }


def test_what_to_watch_is_told_with_an_amount_that_alone_turns_the_rule():
    verdict = tried(plan(), house(NOTHING + "uncertain row-distance 5 cm\nuncertain off-mark 1 cm\n"), 3000)
    assert verdict.sureness is not None
    (first, *_) = verdict.sureness.watch
    assert first.uncertainty == "row-distance" and first.alone is not None
    assert first.words.startswith(f'measure how far row "{first.owner}" stands from the camera: ')
    # The rows moved by hand: just under the amount holds, just over it does not.
    sign = 1 if "farther" in first.words else -1
    row = next(each for each in plan().setup[0].row if str(each.name) == first.owner)

    def holds(centimetres: float) -> bool:
        moved = f"{row.distance.value + sign * centimetres / 100:.5f} m"
        found = judge(
            plan(EVENING, (f'row "{first.owner}", {row.distance}', f'row "{first.owner}", {moved}')), shipped_book(), TODAY
        )
        return first.rule not in {each.rule.name for each in found.findings}

    assert holds(first.alone * 100 - 0.05) and not holds(first.alone * 100 + 0.05)


def test_what_would_save_a_finding_is_told_too():
    of = plan(EVENING, ('"Cleo" standing, at 33 cm', '"Cleo"  standing, at 56 cm'))
    rule = 'rule a.gap { title "t"; level error; for each pair of neighbours\nrequire gap <= 30 cm\nsay "s"; because "b" }\n'
    verdict = tried(of, book_of([Source("house.rules", NOTHING + "uncertain off-mark 3 cm\n" + rule)]), 2000)
    finding = next(each for each in verdict.findings if each.rule.name == "a.gap")
    assert finding.about == ("Birk", "Cleo") and finding.share is not None and 0.5 < finding.share < 1
    assert verdict.sureness is not None
    saved = {each.owner: each.words for each in verdict.sureness.watch if each.about == ("Birk", "Cleo")}
    assert saved["Birk"].endswith("cm to the right saves a.gap for Birk and Cleo") or "Birk" not in saved
    assert saved["Cleo"].endswith("cm to the left saves a.gap for Birk and Cleo")


def test_with_few_trials_nothing_is_told_to_decide():
    verdict = tried(plan(), count=5)
    assert verdict.sureness is not None and verdict.sureness.watch == ()


def test_decisions_are_shares_of_what_varies():
    for path in ("plans/starter/plan.shoot", "plans/family-and-infant.shoot"):
        sureness = tried(plan(ROOT / path), count=3000).sureness
        assert sureness is not None
        decides = [each.decides for each in sureness.watch]
        assert len(decides) == 3 and decides == sorted(decides, reverse=True)
        assert 0 < sum(decides) <= 1


def test_progress_is_told_block_by_block():
    told: list[int] = []
    judge(plan(), shipped_book(), TODAY, Trials(100, block=96 * 40, progress=told.append))
    assert told == sorted(told) and told[-1] == 100 and len(told) > 1
