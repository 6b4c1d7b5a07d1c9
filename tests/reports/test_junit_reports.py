"""JUnit XML: valid under the schemas of both of its common readers, and one test for each rule of each plan."""

from __future__ import annotations

from formats import junit

from shootlint.reports.junit import render


def cases(run):
    """Each plan's tests by name: how they end, and the texts in them."""
    return {
        suite.get("name"): {
            case.get("name"): (
                next((each.tag for each in case if each.tag in ("failure", "error", "skipped")), "passed"),
                "".join(case.itertext()).strip(),
            )
            for case in suite.iter("testcase")
        }
        for suite in junit(render(run))
    }


def test_each_rule_in_force_is_a_test(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso > 50") + make_rule("house.slow", "shutter <= 1/200 s", say="{setup} is slow")
    told = cases(judged(rules, plan=plan))["plan.shoot"]
    assert {name: how for name, (how, _) in told.items()} == {
        "can be read": "passed", "accept.expired": "passed", "accept.nothing": "passed", "house.iso": "passed",
        "house.slow": "failure",
    }  # fmt: skip
    assert told["house.slow"][1].startswith("plan.shoot:26:1: error: Both is slow (")


def test_the_tests_of_a_plan_are_the_same_when_it_is_mended(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 200")
    bad, good = (cases(judged(rules, plan=text))["plan.shoot"] for text in (plan, plan.replace("iso      400", "iso      200")))
    assert list(bad) == list(good)
    assert (bad["house.iso"][0], good["house.iso"][0]) == ("failure", "passed")


def test_several_findings_of_a_rule_are_one_failure_that_names_all(judged, make_rule, plan):
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is tall")
    root = junit(render(judged(rules, plan=plan)))
    (failure,) = root.iter("failure")
    assert failure.get("message").endswith("(and 1 more)")
    assert failure.get("type") == "error"
    assert len(failure.text.splitlines()) == 2


def test_the_tests_fail_where_the_exit_status_is_1(judged, make_rule, plan):
    run = judged(make_rule("house.iso", "iso <= 200", level="warning"), plan=plan)
    assert run.status == 0
    how, text = cases(run)["plan.shoot"]["house.iso"]
    assert (how, "warning: wrong" in text) == ("passed", True)
    run.fail_on = "warning"
    assert run.status == 1
    assert cases(run)["plan.shoot"]["house.iso"][0] == "failure"


def test_what_is_accepted_or_cannot_be_judged_is_skipped_with_its_reason(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50") + make_rule("house.gust", "gust <= 4 m/s")
    plan += 'accept house.iso for "Both", because "it is a postcard", until 2090-12-31\n'
    told = cases(judged(rules, plan=plan))["plan.shoot"]
    assert told["house.iso"][0] == "skipped"
    assert "accepted until 2090-12-31, because it is a postcard" in told["house.iso"][1]
    assert told["house.gust"][0] == "skipped"
    assert 'not judged in setup "Both"; it needs ' in told["house.gust"][1]


def test_what_cannot_be_read_is_an_error(judged, make_rule, plan):
    run = judged(make_rule("house.iso", "iso > 50"), binary=b"\0", plan=plan.replace("f/5.6", "f5.6"))
    told = cases(run)
    assert told["binary.shoot"]["can be read"][0] == "error"
    how, text = told["plan.shoot"]["can be read"]
    assert how == "error"
    assert "plan.shoot:30:" in text and "f5.6" in text
    assert 'not judged: setup "Both"' in text


def test_a_kit_is_skipped(judged, plan):
    kit = "shootplan 1\n" + plan[plan.index("camera ") : plan.index("setup ")]
    assert cases(judged("", kit=kit))["kit.shoot"] == {
        "can be read": ("skipped", "not judged: the file has no setup; it is a kit")
    }


def test_a_retired_rule_is_no_test(judged, plan):
    told = cases(judged('use shipped\nretire time.blinks because "statues"\n', plan=plan))["plan.shoot"]
    assert "time.blinks" not in told
    assert "focus.person-soft" in told


def test_it_is_the_same_text_each_time(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50")
    assert render(judged(rules, plan=plan)) == render(judged(rules, plan=plan))
