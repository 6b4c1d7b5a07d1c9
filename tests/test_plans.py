"""The plans in plans/ show what their first lines say."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootlint.checking.judge import Judge, JudgedPlan
from shootlint.rulebook.book import shipped_book

PLANS = Path(__file__).parents[1] / "plans"
FILES = sorted(PLANS.rglob("*.shoot"))
DRAFTS = ("hurried-draft.shoot", "hurried-draft-borrowed-kit.shoot")
MOST_NOTES = 2
"""How many notes a good plan may have: choices that were made on purpose."""


def judged(path: Path) -> JudgedPlan:
    judge = Judge()
    return judge.judge(judge.loader.load(path, path.name))


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PLANS)))
def test_each_says_what_it_shows(path: Path) -> None:
    first = path.read_text("utf-8").split("\n")[0]
    assert first.startswith("# ")
    assert first.endswith(".")
    plan = judged(path)
    assert not plan.complaints, [str(each) for each in plan.complaints]
    kind = next((word for word in ("faulty", "kit", "plan", "starter") if word in first.lower()), None)
    assert kind is not None, "the first line says whether it is a plan, a faulty one, a starter or a kit"
    assert plan.document.is_plan == (kind != "kit")
    if kind == "kit":
        return
    assert plan.verdict is not None
    if kind == "faulty":
        assert plan.verdict.at_level("error")
        return
    bad = plan.verdict.at_level("error") + plan.verdict.at_level("warning")
    assert not bad, [finding.message for finding in bad]
    notes = plan.verdict.at_level("note")
    assert len(notes) <= MOST_NOTES, [finding.message for finding in notes]
    assert not plan.verdict.not_judged


def test_the_drafts_together_show_every_shipped_rule() -> None:
    found = set()
    for name in DRAFTS:
        verdict = judged(PLANS / name).verdict
        assert verdict is not None
        found |= {finding.rule.name for finding in verdict.findings}
    assert found == set(shipped_book().rules)


@pytest.mark.parametrize("draft", DRAFTS)
def test_each_faulty_setup_is_told_in_a_comment(draft: str) -> None:
    lines = (PLANS / draft).read_text("utf-8").split("\n")
    setups = [place for place, line in enumerate(lines) if line.startswith("setup ")]
    assert setups
    for place in setups:
        assert lines[place - 1].startswith("# "), lines[place]
        assert lines[place - 1].endswith("."), lines[place]


@pytest.mark.parametrize("draft", DRAFTS)
def test_the_faulty_drafts_and_the_clean_plan_are_of_one_group(draft: str) -> None:
    def people(name: str) -> set[tuple[str, float]]:
        plan = judged(PLANS / name).document.plan
        assert plan is not None
        assert plan.people is not None
        return {(str(each.name), each.stature.value) for each in plan.people.members}

    assert people(draft) == people("evening.shoot")


def test_the_house_style_is_sharper_than_the_shipped_rules() -> None:
    plan = judged(PLANS / "house-style" / "evening.shoot")
    assert plan.verdict is not None
    assert plan.verdict.held > 0
    judge = Judge()
    book, complaints = judge.book_for(plan.document.source)
    assert not complaints
    assert "house.base-iso" in book.rules
    assert "time.clock-skipped" in book.retired
    assert book.rules["focus.person-soft"].sets["allowance"].value == 1.0
    assert book.rules["light.uneven"].level == "error"
