"""Faults that a reader found, one test each: what was wrong, and that it stays mended."""

from __future__ import annotations

import datetime
from importlib.resources import files
from pathlib import Path
from unittest.mock import patch

import pytest

from shootlint.checking.judge import Judge
from shootlint.language.loading import Loader
from shootlint.language.source import Source, decode
from shootlint.language.units import BY_SPELLING
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.readings.wording import in_words
from shootlint.reports.sheet.gathered import gather, sheet_page
from shootlint.rulebook.book import book_of, shipped_book
from shootlint.rulebook.hours import hours
from shootlint.rulebook.judging import judge

PLANS = Path(__file__).parents[1] / "plans"
TWO_ROWS = files("shootlint.rules").joinpath("examples/two-rows.shoot").read_text("utf-8")


def test_a_mend_does_not_merely_take_the_finding_out_of_the_rule() -> None:
    # A key 2.4 stops too weak was "mended" by a shutter so long that another rule spoke instead.
    judge = Judge()
    judged = judge.judge(judge.loader.load(PLANS / "hurried-draft.shoot", "hurried-draft.shoot"))
    weak = [each for each in judged.findings if each.rule.name == "exposure.ambient-over-key"]
    assert weak
    for finding in weak:
        now = finding.scene.setup.shutter.time
        for mend in finding.mends:
            if mend.title.startswith("shutter "):
                told = Loader().load_source(decode(TWO_ROWS.replace("1/125 s", mend.changes[0].text).encode(), "x")).plan
                assert told is not None
                tried = told.setup[0].shutter.time
                assert now is not None
                assert tried is not None
                # The daylight must count less, so the shutter can only become shorter.
                assert tried.value < now.value


@pytest.mark.parametrize(("span", "sound"), [("21:15 to 21:00", False), ("23:30 to 00:30", True), ("19:25 to 19:40", True)])
def test_a_span_written_backwards_is_not_a_day_long(span: str, sound: bool) -> None:
    document = Loader().load_source(decode(TWO_ROWS.replace("19:25 to 19:40", span).encode(), "plan"))
    assert [each.message for each in document.complaints] == (
        [] if sound else ["this span ends before it starts; write 21:00 to 21:15, or a span over midnight of up to 12 hours"]
    )


def test_a_share_is_not_adjusted_by_a_plain_number() -> None:
    # 40 would have been 4000 %.
    (complaint,) = book_of([decode(b"use shipped\nadjust framing.headroom { most 40 }\n", "house.rules")]).complaints
    assert complaint.message.startswith("40 is not such a value; write it as ")


@pytest.mark.parametrize("zone", ["CEST", "BST"])
def test_an_abbreviation_of_a_zone_is_not_answered_with_another(zone: str) -> None:
    (complaint,) = Loader().load_source(decode(TWO_ROWS.replace("Europe/Amsterdam", zone).encode(), "plan")).complaints
    assert '"EST"' not in complaint.message
    assert "/" in complaint.message


def test_sensitivities_and_small_numbers_are_said_as_people_know_them() -> None:
    # The exact third of a stop behind ISO 2500 is 2540; 0.0066 was said as 0.01.
    assert in_words(2539.8, catalogue()["iso"].unit) == "2500"
    assert in_words(0.00664, catalogue()["magnification"].unit) == "0.0066"
    assert in_words(15e-6, BY_SPELLING["mm"]) == "0.015 mm"
    assert in_words(3.0, BY_SPELLING["s"]) == "3 s"
    assert in_words(1.0, BY_SPELLING["stops"]) == "1 stop"


def test_a_message_may_show_what_is_worked_out() -> None:
    rule = (
        'rule house.a { title "T"; level error; for each setup; require max(stature) < 1 m; '
        'say "up to {max(stature)}, {WRONG}"; because "B" }'
    )
    plan = Loader().load_source(decode(TWO_ROWS.encode(), "plan")).plan
    assert plan is not None
    book = book_of([decode(rule.replace(", {WRONG}", "").encode(), "house.rules")])
    (finding,) = judge(plan, book, datetime.date(2026, 8, 1)).findings
    assert finding.message == "up to 184 cm"
    for wrong in ("max(stature", "max(statur)", "max(iso)", "stature(", "max(stature) }{"):
        made = book_of([decode(rule.replace("WRONG", wrong).encode(), "house.rules")])
        assert made.complaints, wrong
        assert all(0 <= each.place.start <= each.place.end <= len(rule) + 20 for each in made.complaints)


def test_the_sun_that_stays_up_is_daylight() -> None:
    # In the far north at midsummer civil dawn never comes, and the rule took a setup at noon to lie before it.
    text = (PLANS / "evening.shoot").read_text("utf-8").replace("55.6412 N, 9.2871 E", "69.65 N, 18.96 E")
    document = Loader().load_source(Source("north", text, PLANS / "evening.shoot"))
    assert document.plan is not None
    book = shipped_book()
    found = hours(document.plan, book, datetime.date(2026, 1, 1), [datetime.date(2026, 6, 21)], "note")
    assert "time.outside-daylight" not in found.setups[0].never + found.setups[0].never_together


def test_a_plan_of_very_many_findings_is_checked_in_bounded_work() -> None:
    # Three hundred people with a thousand findings took eight minutes, nearly all of them looking for mends.
    from shootlint.remedies import finding_mends
    from shootlint.remedies.tried import Tried

    people = "\n".join(f'  "P{place}" stature {150 + place % 45} cm' for place in range(150))
    row = "\n".join(f'    "P{place}" standing, at {20 * place - 1500} cm' for place in range(150))
    start = TWO_ROWS.index('  "Ines"  stature'), TWO_ROWS.index('  row "front"')
    end = TWO_ROWS.index("}", start[0])
    text = f'{TWO_ROWS[: start[0]]}{people}\n{TWO_ROWS[end : start[1]]}  row "only", 4 m {{\n{row}\n  }}\n}}\n'
    tried = []
    judge = Judge()
    with patch.object(
        finding_mends, "Tried", lambda standing, turn, at: tried.append(len(turn.titles)) or Tried(standing, turn, at)
    ):
        findings = judge.judge(judge.loader.load_source(decode(text.encode(), "many.shoot"))).findings
    assert len(findings) > 200
    assert any(not each.searched for each in findings)
    assert all(each.searched for each in findings if each.level == "error") or not any(
        each.searched for each in findings if each.level == "note"
    )
    # Judging the last turn may go over the bound, and no other does.
    assert sum(tried[:-1]) * 150**2 <= finding_mends.MOST_EFFORT


def test_setups_that_share_minutes_and_batteries_count_as_work() -> None:
    # Each change of one of sixty setups at the same time is judged in all of them: a check took a minute.
    from shootlint.remedies import finding_mends
    from shootlint.remedies.tried import EFFORT_OF_PYTHON, Tried

    path = PLANS / "first-draft.shoot"
    text = path.read_text("utf-8")
    start = text.index('\nsetup "Everyone')
    setups = (text[start:].replace("Everyone, full length", f"Setup {place}") for place in range(20))
    tried: list[Tried] = []
    judge = Judge()
    document = judge.loader.load_source(Source("many", text[:start] + "".join(setups), path))

    def kept(*given: object) -> Tried:
        tried.append(Tried(*given))  # type: ignore[arg-type]
        return tried[-1]

    with patch.object(finding_mends, "Tried", kept):
        findings = judge.judge(document).findings
    assert any(len(each.touched) == 20 for each in tried)
    assert any(each.mends for each in findings) and any(not each.searched for each in findings)
    assert sum(EFFORT_OF_PYTHON * len(each.touched) for each in tried[:-1]) <= finding_mends.MOST_EFFORT


@pytest.mark.parametrize(
    ("old", "new", "holds", "fails"),
    [
        # What a plan says by its mark, a rule meant exactly: f/5.6 stands for 5.657, and ISO 125 for 126.
        ("f/5.6", "f/5.6", "aperture <= f/5.6", "aperture < f/5.6"),
        ("f/5.6", "f/11", "aperture between f/8 and f/11", "aperture > f/11"),
        ("f/5.6", "f/4.5", "aperture >= f/4.5", "aperture <= f/4"),
        ("iso         100", "iso         125", "iso <= 125", "iso > 125"),
        ("iso         100", "iso         125", "125 >= iso", "iso <= 100"),
        ("iso         100", "iso         160", "iso >= 160", "iso != 160"),
        ("iso         100", "iso         1250", "iso = 1250", "iso <= 1000"),
        ("iso         100", "iso         100", "iso > 0", "iso < 0"),
    ],
)
def test_a_rule_takes_a_mark_as_a_plan_does(old: str, new: str, holds: str, fails: str) -> None:
    plan = Loader().load_source(decode(TWO_ROWS.replace(old, new).encode(), "plan")).plan
    assert plan is not None
    for condition, count in ((holds, 0), (fails, 1)):
        for said in (condition, *(["wanted"] if "f/" in condition and "between" not in condition else [])):
            value = condition.split()[-1]
            set_to = f"set limit {value}; " if said == "wanted" else ""
            require = condition.replace(value, "limit") if said == "wanted" else condition
            text = f'rule a.b {{ title "T"; level error; for each setup; {set_to}require {require}; say "x"; because "B" }}'
            book = book_of([decode(text.encode(), "house.rules")])
            assert not book.complaints, [str(each) for each in book.complaints]
            assert len(judge(plan, book, datetime.date(2026, 8, 1)).findings) == count, text


@pytest.mark.parametrize(
    ("bound", "least", "most"), [("at most 200", None, 200), ("at least 125", 125, None), ("at most 200, at least 125", 125, 200)]
)
def test_at_least_and_at_most_are_told_apart_by_their_second_word(bound: str, least: int | None, most: int | None) -> None:
    # A house could say `at least` alone: whatever began with `at` was taken for it.
    book = book_of([decode(f"bound iso, {bound}\n".encode(), "house.rules")])
    assert not book.complaints
    (found,) = book.bound
    told = (found.at_least and found.at_least.value, found.at_most and found.at_most.value)
    assert told == (least, most)


def test_a_focus_inside_the_focal_length_has_a_sheet(tmp_path: Path) -> None:
    # No field of view is known then, and the view from above looked for the edge at which its lines end.
    text = TWO_ROWS.replace("focal    24 mm to 105 mm", "focal    24 mm to 9 m").replace('"Zoom", 50 mm', '"Zoom", 8 m')
    judge = Judge(margins=True)
    document = judge.loader.load_source(decode(text.encode(), "plan.shoot"))
    assert document.plan is not None
    judged = judge.judge(document)
    assert judged.book is not None
    page = sheet_page(gather(document.plan, judged.book, judge.today, judged.record()))
    assert "nan" not in page


def test_on_a_day_that_the_calendar_leaves_out_the_sun_does_not_stay_down() -> None:
    # Samoa had no 30 December 2011, and of that day it was said that the sun stays down and when it stands highest.
    text = TWO_ROWS.replace("Europe/Amsterdam", "Pacific/Apia").replace("2026-08-22", "2011-12-30")
    plan = Loader().load_source(decode(text.encode(), "plan")).plan
    assert plan is not None
    graph = Graph(scenes(plan)[0])
    for event in ("solar-noon", "sunrise", "sunset", "civil-dawn", "civil-dusk", "golden-hour-starts"):
        assert in_words(graph[event].array.item(), catalogue()[event].unit) == "unknown", event


def test_what_a_rule_works_out_has_the_unit_and_the_text_that_it_has() -> None:
    # How many times one length is another was told in Beaufort's force, the first unit that is a multiple of nothing, and
    # the closing bracket of what was measured was lost.
    plan = Loader().load_source(decode(TWO_ROWS.encode(), "plan")).plan
    assert plan is not None
    rule = (
        'rule house.a { title "T"; level error; for each setup; require focus-distance / (sharp-limit + sharp-limit) < 5; '
        'say "{abs(focus-distance / sharp-limit)} times"; because "B" }'
    )
    (finding,) = judge(plan, book_of([decode(rule.encode(), "house.rules")]), datetime.date(2026, 8, 1)).findings
    assert finding.measured is not None
    assert finding.measured.reading == "focus-distance / (sharp-limit + sharp-limit)"
    assert finding.measured.unit.name == "1"
    assert finding.message == f"{2 * finding.measured.value:.0f} times"


def test_a_light_where_the_lens_is_gives_no_warning_of_numpy() -> None:
    # Rows 4.2 m away, a light 4.2 m before them, as high as the lens: from there the lens is in no direction.
    line = next(each for each in TWO_ROWS.splitlines() if 'place "Octa"' in each)
    placed = '  place "Octa" as rim, left 0 deg, distance 4.2 m, height 1.3 m, power 1/2, stand "Stand", bag 10 kg'
    plan = Loader().load_source(decode(TWO_ROWS.replace(line, placed).encode(), "plan")).plan
    assert plan is not None
    book = book_of([decode(b"use shipped\n", "house.rules")])
    verdict = judge(plan, book, datetime.date(2026, 8, 1))
    assert "light.rim-sees-lens" in {each.rule for each in verdict.not_judged}
