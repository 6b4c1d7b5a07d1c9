"""Rule files that somebody wrote to take all time or memory: each is bounded, and told."""

from __future__ import annotations

import datetime
from collections import Counter

import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.rulebook import message, running
from shootlint.rulebook.book import book_of
from shootlint.rulebook.judging import judge
from shootlint.rulebook.running import MOST_NUMBERS

PEOPLE = 300
"""Fewer than a hostile plan may hold, and enough that people, others and minutes together are too many."""


def rule(require: str, scope: str = "each setup", say: str = "wrong") -> str:
    return f'rule own.r {{ title "t"; level error; for {scope}; require {require}; say "{say}"; because "b" }}\n'


def judged(shoot_plan: str, text: str):
    book = book_of([Source("own.rules", text)])
    assert not book.complaints, [str(each) for each in book.complaints]
    plan = Loader().load_source(Source("plan.shoot", shoot_plan)).plan
    return judge(plan, book, datetime.date(2026, 5, 1))


@pytest.fixture(scope="module")
def crowd() -> str:
    """A plan of very many people in one row, over a whole day."""
    from conftest import PLAN, USUAL

    people = "\n".join(f'  "P{number}" stature 170 cm' for number in range(PEOPLE))
    row = "\n".join(f'    "P{number}" standing, at {number} cm' for number in range(PEOPLE))
    told = USUAL | {"time": "08:00 to 20:00", "people": people, "rows": f'  row "front", 5 m {{\n{row}\n  }}'}
    return PLAN.substitute(told)


@pytest.mark.parametrize(
    "require",
    [
        "max(gap) + max(rise) + max(motion-blur) > 1 m",
        "max(gap * (sun-altitude / 1 deg)) < 1 m",
        "max(gap / 2 cm + sun-altitude / 1 deg) < 1",
        "any(gap > 1 cm and sun-altitude > 1 deg)",
        "count(gap / 1 cm > sun-altitude / 1 deg) < 1",
        "max(gap where sideways * (sun-altitude / 1 deg) > 1 m) < 1 m",
        "all(not (gap / 1 cm > sun-altitude / 1 deg)) or iso > 1000000",
    ],
)
def test_what_would_take_any_memory_is_not_judged_and_says_why(crowd, require, monkeypatch):
    """300 people, as many others and 720 minutes are 64 million numbers: of 500 a few such conditions filled a machine."""
    verdict = judged(crowd, rule(require))
    if require.startswith("max(gap) + max(rise)"):
        assert not verdict.not_judged
        return
    (left,) = verdict.not_judged
    assert left.needs == ("a rule that takes less together; this one makes 64,890,000 numbers at once",)
    assert not verdict.findings
    assert PEOPLE**2 * 721 > MOST_NUMBERS


def test_a_rule_narrowed_by_what_shares_no_axis_with_it_is_not_judged_either(crowd, monkeypatch):
    monkeypatch.setattr(running, "MOST_NUMBERS", 1_000_000)
    verdict = judged(crowd, rule("gap > 1 m", "each pair of neighbours where ambient > 0 EV"))
    (left,) = verdict.not_judged
    assert "numbers at once" in left.needs[0] and not verdict.findings


@pytest.mark.parametrize(
    ("say", "told"),
    [
        ("{" + "abs(" * 5000 + "iso" + ")" * 5000 + "}", "this message is 25,005 characters long; the most is 20,000"),
        ("{" + "abs(" * 100 + "iso" + ")" * 100 + "}", "this nests 101 deep; the most is 40"),
        ("{setup} " * 3000, "this message is 24,000 characters long; the most is 20,000"),
        ("{" + "abs(" * 3000 + "iso" + ")" * 3000 + "}", "this nests 3001 deep; the most is 40"),
    ],
)
def test_a_message_that_is_huge_or_nests_is_refused(say, told):
    """Nested deeper than Python's own stack it ended the program."""
    book = book_of([Source("own.rules", rule("iso < 1", say=say))])
    assert [each.message for each in book.complaints] == [told]


def test_a_message_is_no_longer_filled_in_than_as_written(shoot):
    from conftest import PLAN, USUAL, as_people

    name = "x" * 100
    text = PLAN.substitute(USUAL | {"people": as_people(USUAL["people"])}).replace('setup "One"', f'setup "{name}"')
    (finding,) = judged(text, rule("iso < 1", say="{setup} " * 1900)).findings
    assert len(finding.message) == message.LONGEST + 1


@pytest.mark.parametrize("name", ["{iso} {{setup}} {0}", "%s %(iso)s", "${iso}", "{__class__}", "{max(blur)}"])
def test_a_name_that_looks_like_a_hole_is_none(name):
    from conftest import PLAN, USUAL, as_people

    text = PLAN.substitute(USUAL | {"people": as_people(USUAL["people"])}).replace('setup "One"', f'setup "{name}"')
    (finding,) = judged(text, rule("iso < 1", say="{setup}!")).findings
    assert finding.message == f"{name}!"


def test_a_part_of_a_rule_is_worked_out_once_for_all_that_fail(shoot):
    """For each finding and each of its minutes it was worked out anew, which took an ordinary group minutes."""
    from conftest import PLAN, USUAL, as_people

    people = as_people(", ".join(f"P{each} 170" for each in range(12)))
    row = '  row "all", 6 m { ' + "\n".join(f'"P{each}"' for each in range(12)) + " }"
    text = PLAN.substitute(USUAL | {"people": people, "rows": row})
    book = book_of([Source("own.rules", rule("stature * 1 > 9 m", scope="each person"))])
    (compared,) = book.rules["own.r"].require.comparisons
    times: Counter[str] = Counter()
    for name, ready in (("left", compared.left), ("right", compared.right)):

        def counted(graph, run=ready.run, name=name):
            times[name] += 1
            return run(graph)

        object.__setattr__(ready, "run", counted)
    verdict = judge(Loader().load_source(Source("p.shoot", text)).plan, book, datetime.date(2026, 1, 1))
    assert len(verdict.findings) == 12
    assert max(times.values()) <= 3


@pytest.mark.parametrize(("count", "mistakes"), [(50, 0), (51, 1)])
def test_a_case_changes_so_many_lines_at_most(count, mistakes):
    case = 'fails "two-rows" ' + " ".join("with iso 200" for _ in range(count))
    book = book_of([Source("own.rules", rule("iso < 1").replace("require", f"{case}\nrequire"))])
    assert [each.message for each in book.complaints] == [
        "a case changes 50 lines at most; write a plan of its own for it"
    ] * mistakes


@pytest.mark.parametrize(("count", "mistakes"), [(100, 0), (101, 1)])
def test_a_rule_has_so_many_cases_at_most(count, mistakes):
    cases = 'fails "two-rows"\n' * count
    book = book_of([Source("own.rules", rule("iso < 1").replace("require", f"{cases}require"))])
    told = "`rule` takes 100 lines of `fails` at most; leave out the rest, or put it into a rule file of its own"
    assert [each.message for each in book.complaints] == [told] * mistakes
