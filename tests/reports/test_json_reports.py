"""The report that programs read, and its schema."""

from __future__ import annotations

import json
import math
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError

from shootlint.reports.json import plain, render

SCHEMA = json.loads(files("shootlint.reports").joinpath("report.schema.json").read_text("utf-8"))


def valid(run):
    """A run's report, once it is known to fit its schema."""

    def refuse(word):
        raise AssertionError(f"{word} is not JSON")

    report = json.loads(render(run), parse_constant=refuse)
    Draft202012Validator(SCHEMA, format_checker=FormatChecker()).validate(report)
    return report


def test_the_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


def test_a_plan_that_holds(judged, make_rule, plan):
    report = valid(judged(make_rule("house.iso", "iso > 50"), plan=plan))
    assert report["report"] == 1
    assert report["unreadable"] == []
    assert report["plans"] == [
        {
            "path": "plan.shoot", "title": "Rowing club, jetty", "holds": True, "notes": [],
        "complaints": [], "findings": [],
            "accepted": [], "not-judged": [], "held": 1, "trials": None, "safety": [], "margins": [],
        }
    ]  # fmt: skip


def test_a_finding_in_full(judged, make_rule, plan):
    rules = make_rule(
        "house.low", "sun-altitude >= 13.5 deg", "each person", "warning", "{person} squints", 'source "a book"; remedy iso'
    ).replace("; remedy", "\n  remedy")
    found = valid(judged(rules, plan=plan))["plans"][0]
    assert found["holds"] is True
    finding = found["findings"][1]
    assert {key: finding[key] for key in ("rule", "level", "message", "setup", "about", "because", "source", "share-of-trials")} == {
        "rule": "house.low", "level": "warning", "message": "Bent squints", "setup": "Both", "about": ["Bent"],
        "because": "It matters.", "source": "a book", "share-of-trials": None,
    }  # fmt: skip
    assert finding["place"] == {"line": 40, "column": 5, "end-line": 40, "end-column": 30}
    assert finding["measured"]["reading"] == "sun-altitude"
    assert finding["measured"]["unit"] == "deg"
    assert finding["measured"]["limit"] == 13.5
    assert finding["measured"]["value"] < 13.5
    assert finding["spans"][0][1] == "20:10"


def test_mends_are_told_with_their_changes(judged, make_rule, plan):
    found = valid(judged(make_rule("house.iso", "iso <= 200", more="remedy iso"), plan=plan))["plans"][0]
    mend = found["findings"][0]["mends"][0]
    lines = plan.splitlines()
    for change in mend["changes"]:
        place = change["place"]
        assert lines[place["line"] - 1][place["column"] - 1 : place["end-column"] - 1].strip() in ("400", "iso      400")
        assert change["text"] in ("200", "iso 200")


def test_an_error_means_that_the_plan_does_not_hold(judged, make_rule, plan):
    assert valid(judged(make_rule("house.iso", "iso <= 50"), plan=plan))["plans"][0]["holds"] is False


def test_a_finding_about_the_whole_plan_names_no_setup(judged, make_rule, plan):
    finding = valid(judged(make_rule("house.iso", "max(iso over setups) <= 50", "plan"), plan=plan))["plans"][0]["findings"][0]
    assert finding["setup"] is None


def test_what_is_accepted_and_what_is_not_judged(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50") + make_rule("house.gust", "gust <= 4 m/s")
    plan += 'accept house.iso for "Both", because "it is a postcard", until 2090-12-31\n'
    found = valid(judged(rules, plan=plan))["plans"][0]
    assert (found["holds"], found["findings"]) == (True, [])
    assert [(each["rule"], each["reason"], each["until"]) for each in found["accepted"]] == [
        ("house.iso", "it is a postcard", "2090-12-31")
    ]
    assert [(each["rule"], each["setup"]) for each in found["not-judged"]] == [("house.gust", "Both")]
    assert found["not-judged"][0]["needs"]


def test_an_acceptance_without_an_end(judged, make_rule, plan):
    plan += 'accept house.iso for "Both", because "it is a postcard"\n'
    assert valid(judged(make_rule("house.iso", "iso <= 50"), plan=plan))["plans"][0]["accepted"][0]["until"] is None


def test_a_plan_with_a_mistake(judged, make_rule, plan):
    found = valid(judged(make_rule("house.iso", "iso <= 50"), plan=plan.replace("f/5.6", "f5.6")))["plans"][0]
    assert found["holds"] is False
    assert [(each["path"], each["place"]["line"]) for each in found["complaints"]] == [("plan.shoot", 30)]
    assert found["not-judged"] == [{"rule": None, "setup": "Both", "needs": ["its mistakes mended"]}]
    assert found["safety"] == [] and found["held"] == 0


def test_files_that_cannot_be_read(judged, make_rule, plan):
    report = valid(judged(make_rule("house.iso", "iso <= 50"), binary=b"\0", plan=plan))
    assert [each["path"] for each in report["unreadable"]] == ["binary.shoot"]
    assert [each["path"] for each in report["plans"]] == ["plan.shoot"]


def test_a_kit_is_told_as_one(judged, make_rule, plan):
    kit = "shootplan 1\n" + plan[plan.index("camera ") : plan.index("setup ")]
    found = valid(judged(make_rule("house.iso", "iso <= 50"), kit=kit))["plans"][0]
    assert found["not-judged"] == [{"rule": None, "setup": None, "needs": ["a setup"]}]


def test_a_plan_without_a_title(judged, make_rule, plan):
    found = valid(judged(make_rule("house.iso", "iso > 50"), plan=plan.replace('title "Rowing club, jetty"\n', "")))
    assert found["plans"][0]["title"] is None


@pytest.mark.parametrize("name", ["Bent", "Bénédikt", "Bent\U0001f6a3\U0001f6a3", "Bent\tO"])
@pytest.mark.parametrize("before", ["", "\ufeff"])
def test_columns_count_code_points_after_a_byte_order_mark(judged, make_rule, plan, name, before):
    text = before + plan.replace('"Bent"', f'"{name}"')
    found = valid(judged(make_rule("house.tall", "stature <= 1 m", "each person"), plan=text))["plans"][0]
    place = found["findings"][1]["place"]
    assert (place["line"], place["column"]) == (40, 5)
    assert place["end-column"] - place["column"] == len(f'"{name}" standing, at 30 cm')


def test_a_mistake_in_the_first_line_after_a_byte_order_mark_is_in_column_1(judged, make_rule, plan):
    text = "\ufeff" + plan.replace("shootplan 1\n", "shootpln 1\n")
    found = valid(judged(make_rule("house.iso", "iso > 50"), plan=text))["plans"][0]
    assert (found["complaints"][0]["place"]["line"], found["complaints"][0]["place"]["column"]) == (1, 1)


def test_windows_line_ends_move_no_place(judged, make_rule, plan):
    rules = make_rule("house.tall", "stature <= 1 m", "each person")
    here, there = (valid(judged(rules, plan=text))["plans"][0]["findings"] for text in (plan, plan.replace("\n", "\r\n")))
    assert [each["place"] for each in here] == [each["place"] for each in there]


def test_what_has_no_end_is_a_word(judged, make_rule, plan):
    report = valid(judged(make_rule("house.far", "overhead-line-away <= 10 m"), plan=plan))
    assert report["plans"][0]["findings"][0]["measured"]["value"] == "infinity"


@pytest.mark.parametrize(
    ("number", "written"),
    [(math.nan, None), (math.inf, "infinity"), (-math.inf, "-infinity"), (0.1 + 0.2, 0.3), (1 / 3, 0.333333333), (-0.0, 0.0)],
)
def test_numbers_are_written_as_json_can_hold_them(number, written):
    assert plain(number) == written
    assert json.loads(json.dumps(plain(number), allow_nan=False)) == written


@pytest.mark.parametrize(
    "spoil",
    [
        lambda report: report.pop("plans"),
        lambda report: report.update(more=1),
        lambda report: report["plans"][0].pop("safety"),
        lambda report: report["plans"][0]["findings"][0].pop("rule"),
        lambda report: report["plans"][0]["findings"][0].update(level="fatal"),
        lambda report: report["plans"][0]["findings"][0].update(more=1),
        lambda report: report["plans"][0]["findings"][0]["place"].update(line=0),
        lambda report: report["plans"][0]["findings"][0]["spans"].append(["25h", "26h"]),
        lambda report: report["plans"][0].update(holds="no"),
    ],
)
def test_the_schema_refuses_what_is_not_a_report(judged, make_rule, plan, spoil):
    report = valid(judged(make_rule("house.iso", "iso <= 50"), plan=plan))
    spoil(report)
    with pytest.raises(ValidationError):
        Draft202012Validator(SCHEMA).validate(report)
