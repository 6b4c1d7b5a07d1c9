"""The records that reports read: plain data that comes back from JSON as it went in."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.checking.judge import Judge
from shootlint.reports import records
from shootlint.reports.records import FindingRecord, PlanRecord, rebuilt

PLANS = Path(__file__).parents[2] / "plans"


def leaves(value):
    """Everything in a record that is not itself a record or a list."""
    if isinstance(value, tuple):
        for each in value:
            yield from leaves(each)
    else:
        yield value


@pytest.mark.parametrize("name", ["hurried-draft.shoot", "hurried-draft-borrowed-kit.shoot", "evening.shoot", "kit/belfry.shoot"])
def test_a_judged_plan_is_plain_data_and_survives_json(name):
    judge = Judge()
    record = judge.judge(judge.loader.load(PLANS / name, name)).record()
    # A name that still knew its place would drag the whole plan with it through every pipe.
    assert {type(each) for each in leaves(record)} <= {str, int, float, bool, type(None)}
    assert rebuilt(json.loads(json.dumps(record)), PlanRecord) == record
    assert isinstance(rebuilt(json.loads(json.dumps(record)), PlanRecord), PlanRecord)
    assert name != "hurried-draft.shoot" or any(each.mends and each.measured and each.spans for each in record.findings)


NUMBERS = st.floats(allow_nan=False)
TEXT = st.text()


def many(strategy):
    return st.lists(strategy, max_size=3).map(tuple)


PLACES = st.builds(records.PlaceRecord, TEXT, *[st.integers()] * 4)
REMARKS = st.builds(records.Remark, PLACES, TEXT, st.booleans())
ACCEPTANCES = st.builds(records.AcceptanceRecord, TEXT, st.none() | TEXT, PLACES)
MENDS = st.builds(records.MendRecord, TEXT, TEXT, TEXT, many(st.builds(records.ChangeRecord, PLACES, TEXT)))
MEASURED = st.builds(records.MeasuredRecord, TEXT, NUMBERS, NUMBERS, TEXT)
FINDINGS = st.builds(
    FindingRecord,
    **dict.fromkeys(("rule", "title", "level", "message", "because"), TEXT),
    **dict.fromkeys(("setup", "source", "state"), st.none() | TEXT),
    **dict.fromkeys(("axes", "about", "remedy", "formerly"), many(TEXT)),
    lapsed=st.none() | ACCEPTANCES,
    place=PLACES,
    measured=st.none() | MEASURED,
    spans=many(st.tuples(TEXT, TEXT)),
    mends=many(MENDS),
    share=st.none() | NUMBERS,
    slot=st.none() | st.tuples(TEXT, TEXT),
)
HELD = st.builds(records.HeldRecord, TEXT, TEXT, NUMBERS, many(st.tuples(many(TEXT), NUMBERS)))
WATCHED = st.builds(records.WatchedRecord, TEXT, TEXT, TEXT, TEXT, NUMBERS, TEXT, many(TEXT), st.none() | NUMBERS, TEXT)
SURENESS = st.builds(records.SurenessRecord, st.integers(), st.integers(), NUMBERS, many(HELD), many(WATCHED))
RECORDS = st.builds(
    PlanRecord,
    path=TEXT,
    title=st.none() | TEXT,
    is_plan=st.booleans(),
    may_be_plan=st.booleans(),
    complaints=many(REMARKS),
    notes=many(REMARKS),
    unsound_setups=many(TEXT),
    findings=many(FINDINGS),
    accepted=many(st.builds(records.AcceptedRecord, FINDINGS, TEXT, st.none() | TEXT, st.none() | PLACES)),
    not_judged=many(st.builds(records.NotJudgedRecord, TEXT, TEXT, many(TEXT), st.none() | TEXT)),
    held=st.integers(),
    safety=many(TEXT),
    sureness=st.none() | SURENESS,
    margins=many(st.builds(records.MarginRecord, TEXT, TEXT, many(TEXT), TEXT, many(TEXT))),
    setups=many(st.builds(records.SetupRecord, TEXT, PLACES)),
    digest=TEXT,
)


@given(RECORDS)
def test_any_record_survives_json(record):
    assert rebuilt(json.loads(json.dumps(record)), PlanRecord) == record


@pytest.mark.parametrize("value", [math.inf, -math.inf, 1e300, 5e-324, -0.0])
def test_what_has_no_end_survives_json(value):
    record = records.MeasuredRecord("overhead-line-away", value, 1.0, "m")
    assert rebuilt(json.loads(json.dumps(record)), records.MeasuredRecord) == record


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | NUMBERS | TEXT, lambda each: st.lists(each) | st.dictionaries(TEXT, each)
)


@given(JSON)
def test_what_is_no_record_is_refused(data):
    for of in (PlanRecord, FindingRecord, records.MendRecord):
        with pytest.raises(ValueError, match="this is no"):
            rebuilt(data, of)


@given(RECORDS, st.data())
def test_a_record_with_a_part_of_another_kind_is_refused(record, data):
    told = json.loads(json.dumps(record))
    place = data.draw(st.integers(0, len(told) - 1))
    told[place] = {"other": 1}
    with pytest.raises(ValueError, match="this is no"):
        rebuilt(told, PlanRecord)
    with pytest.raises(ValueError, match="this is no"):
        rebuilt(json.loads(json.dumps(record))[:-1], PlanRecord)
