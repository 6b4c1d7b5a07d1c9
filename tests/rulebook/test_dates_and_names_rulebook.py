"""Dated rule sets, names that rules had before, conditions that say nothing, and messages in the plan's own units."""

from __future__ import annotations

import datetime
from importlib.resources import files
from pathlib import Path

import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import decode
from shootlint.rulebook.book import Book, book_of
from shootlint.rulebook.judging import judge
from shootlint.rulebook.rule_files import shipped_files

TWO_ROWS = files("shootlint.rules").joinpath("examples/two-rows.shoot").read_text("utf-8")
TODAY = datetime.date(2026, 8, 1)
RULE = """
rule house.a {
  title "T"
  level error
  for each setup
  require iso <= 200
  say "{iso}"
  because "B"
  EXTRA
}
"""


def book(*texts: str) -> Book:
    return book_of([decode(text.encode(), f"{place}.rules") for place, text in enumerate(texts)])


@pytest.mark.parametrize(
    ("used", "level"),
    [
        ("", "error"),
        ("use shipped 2026-09", "note"),
        ("use shipped 2026-11", "note"),
        ("use shipped 2026-12", "error"),
        ("use shipped 2027-01", "error"),
    ],
)
def test_a_rule_newer_than_the_month_that_a_house_keeps_to_is_a_note(used: str, level: str) -> None:
    made = book(f"{used}\n" + RULE.replace("EXTRA", "since 2026-12"))
    assert not made.complaints
    assert made.rules["house.a"].level == level
    assert ("2026-12" in "".join(made.rules["house.a"].origin)) == (level == "note")


def test_a_house_that_sets_the_level_itself_has_its_way() -> None:
    made = book("use shipped 2026-09\nlevel house.a warning\n" + RULE.replace("EXTRA", "since 2026-12"))
    assert made.rules["house.a"].level == "warning"


@pytest.mark.parametrize("month", ["2026-13", "2026 11", "2026", "26-11", "2026-1"])
def test_a_month_that_is_none_is_a_complaint(month: str) -> None:
    (complaint,) = book(f"use shipped {month}\n").complaints
    assert "month" in complaint.message


def test_shipped_rules_that_are_dated_are_no_newer_than_the_program() -> None:
    months = [str(rule.since) for file, _ in shipped_files() if file.file is not None for rule in file.file.rule if rule.since]
    assert all(month <= "2026-12" for month in months)


def test_a_rule_answers_to_the_name_that_it_had_before() -> None:
    made = book(RULE.replace("EXTRA", "formerly house.old"), "level house.old note\nadjust house.old { }\n")
    assert not made.complaints
    assert made.rules["house.a"].level == "note"
    assert [each.message for each in made.notes] == ["house.old is called house.a today; the old name still works"] * 2
    assert not book(RULE.replace("EXTRA", "formerly house.old"), 'retire house.old because "x"\n').rules


@pytest.mark.parametrize(
    ("condition", "told"),
    [
        ("1 < 2", "always holds"),
        ("3 mm > 2 m", "can never hold"),
        ("iso < 100 and iso > 200", "can never hold"),
        ("iso between 200 and 100", "can never hold"),
        ("iso >= 100 and iso <= 200", None),
        ("iso < 100 or iso > 200", None),
        ("iso = 100 and iso > 100 and iso > 150", "can never hold"),
    ],
)
def test_a_condition_that_says_nothing_of_a_plan_is_refused(condition: str, told: str | None) -> None:
    made = book(RULE.replace("EXTRA", "").replace("iso <= 200", condition))
    assert [each.message for each in made.complaints] == ([f"this condition {told}, whatever the plan says"] if told else [])


def test_whether_something_is_known_can_be_asked() -> None:
    plan = Loader().load_source(decode(TWO_ROWS.replace("  facing      350 deg\n", "").encode(), "plan")).plan
    assert plan is not None
    guarded = (
        RULE.replace("EXTRA", "").replace("each setup", "each setup where known(facing)").replace("iso <= 200", "facing < 1 deg")
    )
    verdict = judge(plan, book(guarded), TODAY)
    assert not verdict.findings
    assert not verdict.not_judged


def test_a_plan_in_feet_is_answered_in_feet() -> None:
    told = (
        RULE.replace("EXTRA", "")
        .replace("iso <= 200", "max(distance) < 1 m")
        .replace('"{iso}"', '"{focus-distance}, {print-diagonal}"')
    )
    metric = Loader().load_source(decode(TWO_ROWS.encode(), "plan")).plan
    feet = TWO_ROWS.replace('"front", 4.2 m', '"front", 14 ft').replace('"back", 4.7 m', '"back", 16 ft')
    for name, inches in (("166", "65"), ("184", "72"), ("121", "48"), ("175", "69"), ("158", "62")):
        feet = feet.replace(f"stature {name} cm", f"stature {inches} in")
    imperial = Loader().load_source(decode(feet.encode(), "plan")).plan
    assert metric is not None
    assert imperial is not None
    (first,) = judge(metric, book(told), TODAY).findings
    (second,) = judge(imperial, book(told), TODAY).findings
    assert first.message == "4.44 m, 72 cm"
    # 14 and 16 ft share their focus at 2 × 14 × 16 / 30 ft.
    assert second.message == "14.9 ft, 28.4 in"
    # A rule's own limit, in centimetres there, is told as what it is held against: 30 cm are 11.8 in.
    limited = told.replace("{print-diagonal}", "{most}, {min(distance)}").replace("  require", "  set most 30 cm\n  require")
    assert [each.message for each in judge(metric, book(limited), TODAY).findings] == ["4.44 m, 30 cm, 4.2 m"]
    assert [each.message for each in judge(imperial, book(limited), TODAY).findings] == ["14.9 ft, 11.8 in, 14 ft"]


def test_a_house_that_judges_nothing_is_told() -> None:
    plan = Loader().load_source(decode(TWO_ROWS.encode(), "plan")).plan
    assert plan is not None
    made = book(RULE.replace("EXTRA", ""), 'retire house.a because "x"\n')
    (missing,) = judge(plan, made, TODAY).not_judged
    assert missing.rule == "everything"
    assert "retire them all" in missing.needs[0]


def test_of_two_houses_the_nearer_wins_and_why_tells_which(tmp_path: Path) -> None:
    from shootlint.checking.judge import Judge

    (tmp_path / ".git").mkdir()
    inner = tmp_path / "studio" / "plans"
    inner.mkdir(parents=True)
    (tmp_path / "house.rules").write_text(RULE.replace("EXTRA", ""), "utf-8")
    (tmp_path / "studio" / "house.rules").write_text(RULE.replace("EXTRA", "").replace("iso <= 200", "iso <= 50"), "utf-8")
    plan = inner / "plan.shoot"
    plan.write_text(TWO_ROWS, "utf-8")
    judge_ = Judge()
    judged = judge_.judge(judge_.loader.load(plan, "plan.shoot"))
    assert [each.rule.name for each in judged.findings] == ["house.a"]
    nearest, _ = judge_.book_for(judged.document.source)
    assert [Path(each).parent.name for each in nearest.files] == ["studio"]
