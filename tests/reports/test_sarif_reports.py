"""SARIF: valid by the standard's own schema, and what each part of it says."""

from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import unquote

import pytest
from formats import sarif

from shootlint.checking.judge import Judge
from shootlint.language.edits import changed
from shootlint.reports.fingerprints import KEY
from shootlint.reports.run import Run
from shootlint.reports.sarif import render
from shootlint.reports.uris import path_of, uri_of

PLANS = Path(__file__).parents[2] / "plans"


def results(run):
    return sarif(render(run))["results"]


def test_a_plan_that_holds_has_no_result_and_all_rules(judged, make_rule, plan):
    run = sarif(render(judged(make_rule("house.iso", "iso > 50"), plan=plan)))
    assert run["results"] == []
    assert [each["id"] for each in run["tool"]["driver"]["rules"] if each["id"].startswith("house.")] == ["house.iso"]
    assert run["invocations"] == [
        {"executionSuccessful": True, "exitCode": 0, "toolExecutionNotifications": [], "toolConfigurationNotifications": []}
    ]


def test_a_finding_in_full(judged, make_rule, plan):
    rules = make_rule("house.low", "sun-altitude >= 13.5 deg", "each person", "warning", "{person} squints", 'source "a book"')
    asta, bent = results(judged(rules, plan=plan))
    assert (asta["ruleId"], asta["kind"], asta["level"], asta["suppressions"]) == ("house.low", "fail", "warning", [])
    assert asta["message"]["text"].startswith("Asta squints (")
    assert asta["message"]["text"].endswith(', setup "Both", person "Asta").')
    (location,) = bent["locations"]
    assert location["physicalLocation"]["artifactLocation"] == {"uri": "plan.shoot", "uriBaseId": "WORKING-FOLDER", "index": 0}
    assert location["physicalLocation"]["region"] == {"startLine": 40, "startColumn": 5, "endLine": 40, "endColumn": 30}
    assert location["logicalLocations"] == [{"name": "Bent", "fullyQualifiedName": "Both/Bent", "kind": "person"}]
    assert bent["properties"]["measured"]["reading"] == "sun-altitude"
    assert bent["properties"]["spans"][0][1] == "20:10"


def test_a_rule_is_described_as_its_file_has_it(judged, make_rule, plan):
    rules = make_rule(
        "house.iso", "iso <= most", level="note", more="set most 200\n  formerly house.grain\n  remedy iso, aperture"
    )
    (rule,) = (
        each
        for each in sarif(render(judged(rules + "adjust house.iso { most 100 }\nlevel house.iso warning\n", plan=plan)))["tool"][
            "driver"
        ]["rules"]
        if each["id"] == "house.iso"
    )
    assert rule["name"] == "HouseIso"
    assert rule["defaultConfiguration"] == {"level": "note", "parameters": {"most": "200"}}
    assert rule["deprecatedIds"] == ["house.grain"]
    assert rule["fullDescription"]["text"] == "A rule. It matters."
    assert "Requires: iso <= most, for each setup. With: most 200. Mended by: iso or aperture." in rule["help"]["text"]
    assert rule["help"]["markdown"].startswith("It matters.\n\n**Requires:** iso \\<= most, for each setup.")


def test_a_house_s_word_is_a_policy(judged, make_rule, plan):
    rules = (
        'rulebook "Jetty"\nuse shipped\nadjust focus.person-soft { allowance 100 % }\nlevel light.uneven note\n'
        'retire time.blinks because "we shoot statues"\n' + make_rule("house.iso", "iso > 50")
    )
    run = sarif(render(judged(rules, plan=plan)))
    (policy,) = run["policies"]
    assert policy["name"] == "Jetty"
    told = {each["id"]: each["defaultConfiguration"] for each in policy["rules"]}
    assert set(told) == {"focus.person-soft", "house.iso", "light.uneven", "time.blinks"}
    assert told["focus.person-soft"]["parameters"]["allowance"] == "100 %"
    assert told["light.uneven"]["level"] == "note"
    assert told["time.blinks"]["enabled"] is False
    shipped = {each["id"]: each["defaultConfiguration"] for each in run["tool"]["driver"]["rules"]}
    assert shipped["focus.person-soft"]["parameters"]["allowance"] == "125 %"
    assert shipped["light.uneven"]["level"] == "warning"
    assert run["artifacts"][0]["properties"]["policy"] == "Jetty"


def test_the_shipped_rules_alone_are_no_policy(judged, plan):
    assert "policies" not in sarif(render(judged("", plan=plan)))


def test_two_houses_may_each_have_a_rule_of_one_name(tmp_path, monkeypatch, make_rule, plan):
    from argparse import Namespace

    from shootlint.commands.many import run_over

    (tmp_path / ".git").mkdir()
    for folder, limit in (("a", 100), ("b", 200)):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "plan.shoot").write_text(plan)
        (tmp_path / folder / "iso.rules").write_text(make_rule("house.iso", f"iso <= {limit}"))
        (tmp_path / folder / "house.rules").write_text(f'rulebook "{folder}"\nuse "iso.rules"\n')
    monkeypatch.chdir(tmp_path)
    call = Namespace(margins=False, trials=None, seed=None, paths=["a", "b"], rules=[], jobs=1, cache=False)
    run = sarif(render(run_over(call)))
    rules = run["tool"]["driver"]["rules"]
    told = [rules[each["ruleIndex"]]["help"]["text"] for each in run["results"]]
    assert [("iso <= 100" in text, "iso <= 200" in text) for text in told] == [(True, False), (False, True)]
    assert [each["name"] for each in run["policies"]] == ["a", "b"]
    assert [[rule["id"] for rule in each["rules"]] for each in run["policies"]] == [["house.iso"]] * 2
    assert {each["properties"].get("file") for each in rules if each["id"] == "house.iso"} == {"a/iso.rules", "b/iso.rules"}


def test_what_is_accepted_is_suppressed_by_its_line(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50") + make_rule("house.slow", "shutter <= 1/200 s")
    plan += 'accept house.iso for "Both", because "it is a postcard", until 2090-12-31\n'
    by_rule = {each["ruleId"]: each for each in results(judged(rules, plan=plan))}
    (suppression,) = by_rule["house.iso"]["suppressions"]
    assert suppression["kind"] == "inSource"
    assert suppression["status"] == "accepted"
    assert suppression["justification"] == "it is a postcard"
    assert suppression["properties"] == {"until": "2090-12-31"}
    line = suppression["location"]["physicalLocation"]["region"]["startLine"]
    assert plan.splitlines()[line - 1].startswith("accept house.iso")
    assert by_rule["house.slow"]["suppressions"] == []


def test_an_acceptance_that_has_run_out_is_rejected(judged, make_rule, plan):
    plan += 'accept house.iso for "Both", because "it is a postcard", until 2020-12-31\n'
    by_rule = {each["ruleId"]: each for each in results(judged(make_rule("house.iso", "iso <= 50"), plan=plan))}
    assert [each["status"] for each in by_rule["house.iso"]["suppressions"]] == ["rejected"]
    assert by_rule["accept.expired"]["level"] == "warning"


def test_what_cannot_be_judged_is_open(judged, make_rule, plan):
    (result,) = results(judged(make_rule("house.gust", "gust <= 4 m/s"), plan=plan))
    assert (result["kind"], result["level"]) == ("open", "none")
    assert "house.gust could not be judged" in result["message"]["text"]
    assert result["properties"]["needs"]
    line = result["locations"][0]["physicalLocation"]["region"]["startLine"]
    assert plan.splitlines()[line - 1].startswith('setup "Both"')


def test_a_mistake_in_a_plan_is_a_result_at_its_place(judged, make_rule, plan):
    run = judged(make_rule("house.iso", "iso <= 50"), plan=plan.replace("f/5.6", "f5.6"))
    told = sarif(render(run))
    mistake, left_out = told["results"]
    assert (mistake["ruleId"], mistake["level"]) == ("plan.mistake", "error")
    assert mistake["locations"][0]["physicalLocation"]["region"]["startLine"] == 30
    assert (left_out["kind"], left_out["ruleId"]) == ("open", "plan.not-judged")
    assert told["invocations"][0]["executionSuccessful"] is False
    assert told["invocations"][0]["exitCode"] == 2


def test_a_mistake_in_a_kit_that_plans_share_is_told_once(judged, plan):
    start, end = plan.index("camera "), plan.index("setup ")
    kit = "shootplan 1\n" + plan[start:end].replace("1/200 s", "1/200")
    other = plan[:start] + 'kit "kit.shoot"\n' + plan[end:]
    run = sarif(render(judged("", kit=kit, first=other, second=other)))
    mistakes = [each for each in run["results"] if each["ruleId"] == "plan.mistake"]
    assert [each["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for each in mistakes] == ["kit.shoot"]


def test_a_mistake_in_a_rule_file_is_about_the_configuration(judged, make_rule, plan):
    run = sarif(render(judged(make_rule("house.iso", "isoo <= 50"), plan=plan)))
    (told,) = run["invocations"][0]["toolConfigurationNotifications"]
    assert (told["level"], told["descriptor"]["id"]) == ("error", "rules.mistake")
    assert run["tool"]["driver"]["notifications"][told["descriptor"]["index"]]["id"] == "rules.mistake"
    assert told["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "own.rules"
    assert not [each for each in run["results"] if each["ruleId"] == "plan.mistake"]
    (artifact,) = (each for each in run["artifacts"] if each["location"]["uri"] == "own.rules")
    assert artifact["roles"] == ["userSpecifiedConfiguration"]


def test_a_file_that_cannot_be_read_is_about_the_execution(judged, plan):
    run = sarif(render(judged("", binary=b"\0", plan=plan)))
    (told,) = run["invocations"][0]["toolExecutionNotifications"]
    assert told["level"] == "error"
    assert told["message"]["text"].startswith("binary.shoot: the file is binary")
    assert run["invocations"][0]["executionSuccessful"] is False


def test_a_kit_is_not_applicable(judged, plan):
    kit = "shootplan 1\n" + plan[plan.index("camera ") : plan.index("setup ")]
    (result,) = results(judged("", kit=kit))
    assert (result["kind"], result["level"]) == ("notApplicable", "none")


def apply(text, replacements):
    """A text with the replacements of a fix made, reckoned from lines and columns as the standard has them."""
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    told = []
    for each in replacements:
        region = each["deletedRegion"]
        start = starts[region["startLine"] - 1] + region["startColumn"] - 1
        end = starts[region["endLine"] - 1] + region["endColumn"] - 1
        told.append((start, end, each.get("insertedContent", {}).get("text", "")))
    # Each is in terms of the unmodified file, so they are made from the last to the first.
    assert told == sorted(told)
    for start, end, new in reversed(told):
        text = text[:start] + new + text[end:]
    return text


@pytest.mark.parametrize(
    ("name", "before", "line_end"),
    [
        ("first-draft.shoot", "", "\n"),
        ("first-draft.shoot", "\ufeff", "\r\n"),
        ("hurried-draft-borrowed-kit.shoot", "", "\r\n"),
        ("hurried-draft.shoot", "\ufeff", "\n"),
    ],
)
def test_a_fix_gives_what_the_mend_gives(tmp_path, name, before, line_end):
    (tmp_path / "kit").mkdir()
    for kit in (PLANS / "kit").iterdir():
        (tmp_path / "kit" / kit.name).write_bytes(kit.read_bytes())
    path = tmp_path / name
    text = (PLANS / name).read_text("utf-8").replace("\n", line_end).replace('"Birk"', '"B\U0001f6a3rk"')
    path.write_bytes((before + text).encode())
    judge = Judge()
    plan = judge.judge(judge.loader.load(path, str(path)))
    mends = [mend for finding in plan.findings for mend in finding.mends if mend.changes]
    fixes = [fix for result in results(Run([plan.record()])) for fix in result.get("fixes", [])]
    assert len(fixes) == len(mends) > 5
    for fix, mend in zip(fixes, mends, strict=True):
        assert fix["description"]["text"] == mend.title
        (change,) = fix["artifactChanges"]
        assert path_of(change["artifactLocation"]["uri"]) == str(path)
        assert apply(text, change["replacements"]) == changed(text, mend.changes)


def test_a_line_that_is_deleted_is_a_region_without_new_text(judged, make_rule, plan):
    text = plan + 'accept house.iso for "Both", because "it is a postcard"\n'
    (result,) = results(judged(make_rule("house.iso", "iso > 50"), plan=text))
    (fix,) = result["fixes"]
    assert apply(text, fix["artifactChanges"][0]["replacements"]) == plan


def test_fingerprints_hold_no_line_and_no_number(judged, make_rule, plan):
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is {stature} tall")
    moved = plan.replace("people {", "\n\n# more\npeople {").replace("182 cm", "183 cm")
    first, second = ([each["partialFingerprints"][KEY] for each in results(judged(rules, plan=text))] for text in (plan, moved))
    assert first == second
    assert len(set(first)) == 2
    other = [each["partialFingerprints"][KEY] for each in results(judged(rules, plan=plan.replace("Bent", "Bodil")))]
    assert (other[0] == first[0], other[1] == first[1]) == (True, False)


def test_equal_findings_are_told_apart_by_a_counter(judged, make_rule, plan):
    plan += 'accept house.iso for "Both", because "a"\naccept house.iso for "Asta", because "b"\n'
    found = [
        each for each in results(judged(make_rule("house.iso", "iso > 50"), plan=plan)) if each["ruleId"] == "accept.nothing"
    ]
    (first, second) = (each["partialFingerprints"][KEY].split(":") for each in found)
    assert first[0] == second[0]
    assert (first[1], second[1]) == ("1", "2")


def test_trials_and_margins_are_in_property_bags(judged, plan):
    judge = Judge(margins=True)
    from shootlint.rulebook.trials import Trials

    judge.trials = Trials(50, 1)
    record = judge.judge(judge.loader.load(PLANS / "first-draft.shoot", "first-draft.shoot")).record()
    run = sarif(render(Run([record])))
    about = run["artifacts"][0]["properties"]
    assert about["trials"]["count"] == 50
    assert about["trials"]["rules"]
    assert any(each["drifts"] for each in about["margins"])
    shares = [each["properties"]["share-of-trials"] for each in run["results"] if each["kind"] == "fail"]
    assert len(shares) > 10
    assert all(0 <= share <= 1 for share in shares)


def test_the_same_findings_are_the_same_bytes_and_the_same_run(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50")
    first, second = render(judged(rules, plan=plan)), render(judged(rules, plan=plan))
    assert first == second
    other = json.loads(render(judged(rules, plan=plan.replace("iso      400", "iso      800"))))["runs"][0]["automationDetails"]
    assert other["guid"] != json.loads(first)["runs"][0]["automationDetails"]["guid"]


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        # RFC 3986: what is not unreserved is percent-encoded, and a colon in the first segment would begin a scheme.
        ("plans/a b.shoot", "plans/a%20b.shoot"),
        ("c:d.shoot", "c%3Ad.shoot"),
        ("100%.shoot", "100%25.shoot"),
        ("what?#.shoot", "what%3F%23.shoot"),
        ("ÆØ/å.shoot", "%C3%86%C3%98/%C3%A5.shoot"),
        ("a\nb\x1b.shoot", "a%0Ab%1B.shoot"),
        ("\udcff.shoot", "%FF.shoot"),
        ("[x].shoot", "%5Bx%5D.shoot"),
    ],
)
def test_file_names_become_uris_and_come_back(path, uri, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert uri_of(path) == uri
    assert path_of(uri) == path
    assert uri_of(str(tmp_path / path)) == uri


def test_what_lies_elsewhere_has_a_whole_uri(tmp_path, monkeypatch):
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    whole = (tmp_path / "a b.shoot").as_uri()
    assert uri_of(str(tmp_path / "a b.shoot")) == whole
    assert uri_of("../a b.shoot") == whole
    assert uri_of("../here/a.shoot") == "a.shoot"
    assert path_of(whole) == str(tmp_path / "a b.shoot")
    assert unquote(whole).startswith("file:///")


def test_braces_and_brackets_of_a_name_do_nothing(judged, make_rule, plan):
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is tall")
    found = results(judged(rules, plan=plan.replace('"Bent"', '"{0} [x](https://x.example)"')))
    # SARIF 3.11.5 and 3.11.6: a placeholder, and a link in plain text.
    text = found[1]["message"]["text"]
    assert text.startswith("{{0}} [x]\u2060(https://x.example) is tall")
    assert found[1]["properties"]["about"] == ["{0} [x](https://x.example)"]
