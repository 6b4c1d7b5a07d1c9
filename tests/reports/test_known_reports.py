"""A run beside its own earlier report, for any findings: nothing is new, and what goes is gone and nothing else."""

from __future__ import annotations

from formats import sarif
from hypothesis import given, settings
from hypothesis import strategies as st

from shootlint.reports.fingerprints import in_order
from shootlint.reports.known import compare, earlier
from shootlint.reports.records import AcceptedRecord, FindingRecord, NotJudgedRecord, PlaceRecord, PlanRecord, SetupRecord
from shootlint.reports.run import Run
from shootlint.reports.sarif import render

PATHS = ("a.shoot", "b c.shoot")
NAMES = st.sampled_from(["Asta", "{0}", "[x](y)", "\U0001f6a3", 'a "b"', "a\nb"])
SETUPS = ("One", "{Two}")


NUMBERS = st.tuples(*[st.integers(1, 5)] * 2, *[st.integers(6, 9)] * 2)


def finding(path, numbers, rule, level, message, setup, about):
    return FindingRecord(
        rule, "A rule", level, message, PlaceRecord(path, *numbers), setup, ("person",), (about,), None, (), (), (), "It matters.",
        None,
    )  # fmt: skip


def plan(path, found, accepted, missing):
    begins = PlaceRecord(path, 1, 1, 1, 2)
    return PlanRecord(
        path,
        title=None,
        is_plan=True,
        may_be_plan=True,
        complaints=(),
        notes=(),
        unsound_setups=(),
        findings=tuple(sorted((finding(path, *each) for each in found), key=lambda each: each.place)),
        accepted=tuple(AcceptedRecord(finding(path, *each), "a reason", None, begins) for each in accepted),
        not_judged=tuple(NotJudgedRecord("house.c", setup, ("site",)) for setup in missing),
        setups=tuple(SetupRecord(name, begins) for name in SETUPS),
    )


FOUND = st.tuples(
    NUMBERS, st.sampled_from(["house.a", "house.b"]), st.sampled_from(["error", "warning", "note"]), NAMES,
    st.none() | st.sampled_from(SETUPS), NAMES,
)  # fmt: skip


def plans(path):
    several = st.lists(FOUND, max_size=6)
    return st.builds(plan, st.just(path), several, st.lists(FOUND, max_size=2), st.lists(st.sampled_from(SETUPS), max_size=2))


# A schema checked for each of them takes its time, and more of them find no more.
SOME = settings(max_examples=40)
RUNS = st.tuples(*map(plans, PATHS)).map(lambda found: Run(list(found)))


def beside(run, before):
    """A run compared with the report of another one."""
    now = Run(list(run.plans))
    compare(now, earlier(render(before).encode(), "before.sarif"), lambda path: True)
    return now


@SOME
@given(RUNS)
def test_beside_its_own_report_nothing_is_new_and_nothing_gone(run):
    now = beside(run, run)
    assert {each.state for plan in now.plans for each in plan.findings} <= {"unchanged"}
    assert {each.finding.state for plan in now.plans for each in plan.accepted} <= {"unchanged"}
    assert {each.state for plan in now.plans for each in plan.not_judged} <= {"unchanged"}
    assert now.gone == []
    assert now.status == 0
    assert {each["baselineState"] for each in sarif(render(now))["results"]} <= {"unchanged"}


@SOME
@given(RUNS, st.data())
def test_what_is_taken_away_is_gone_and_what_is_added_is_new(run, data):
    """Among equal findings nobody can tell which one goes, but how many."""
    keep = [tuple(each for each in plan.findings if data.draw(st.booleans())) for plan in run.plans]
    less = Run([plan._replace(findings=some) for plan, some in zip(run.plans, keep, strict=True)])
    taken = sum(len(plan.findings) - len(some) for plan, some in zip(run.plans, keep, strict=True))
    assert len(beside(less, run).gone) == taken
    more = beside(run, less).plans
    assert sum(each.state == "new" for plan in more for each in in_order(plan)) == taken
    assert sarif(render(beside(less, run)))


@SOME
@given(RUNS)
def test_a_message_comes_back_as_it_was(run):
    from shootlint.reports.visible import visible

    nothing = Run([plan._replace(findings=(), accepted=(), not_judged=()) for plan in run.plans])
    gone = beside(nothing, run).gone
    told = sorted(visible(each.message) for plan in run.plans for each in (*plan.findings, *(a.finding for a in plan.accepted)))
    assert sorted(each.message.rpartition(" (")[0] for each in gone) == told
    assert {each.place.path for each in gone} <= set(PATHS)
