"""check --trials: what is wrong with the call, the report in both forms, and that a call gives the same every time."""

from __future__ import annotations

import json

import pytest

from shootlint.commands import output
from shootlint.readings.uncertainty import UNCERTAINTIES


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (["--trials", "0"], "--trials takes a number from 1 to 1,000,000, not 0"),
        (["--trials", "-5"], "--trials takes a number from 1 to 1,000,000, not -5"),
        (["--trials", "1000001"], "--trials takes a number from 1 to 1,000,000, not 1000001"),
        (["--trials", "10", "--seed", "-1"], "--seed takes 0 or a larger number, not -1"),
        (["--seed", "3"], "--seed says which trials are drawn; say how many with --trials"),
    ],
)
def test_what_is_wrong_with_the_call(studio, call, complaint):
    found = studio.run("check", "plan.shoot", *call)
    assert found.status == 2
    assert found.err.strip() == f"shootlint: {complaint}"
    assert found.out == ""


def test_the_report_tells_shares_and_what_to_watch(studio):
    studio.write("house.rules", "use shipped\n")
    found = studio.run("check", "plan.shoot", "--trials", "500")
    (line,) = (each for each in found.lines if " trials (seed 1) " in each)
    assert line.startswith("plan.shoot: in 500 trials (seed 1) all that holds on paper, notes left out,")
    told = found.lines[found.lines.index(line) + 2 :]
    shares = [each.split() for each in told[: told.index("Watch on location, what decides most first:")] if " %  " in each]
    numbers = [float(each[0]) for each in shares[:-1]]
    assert numbers == sorted(numbers) and all(number <= 99 for number in numbers)
    assert [each.strip()[:2] for each in told if each.strip()[:2] in ("1.", "2.", "3.")] == ["1.", "2.", "3."]
    assert any(", in 100 % of trials" in each for each in found.lines), "what surely fails says so"


def test_the_same_call_gives_the_same_bytes_and_another_seed_others(studio):
    def report(*more: str) -> str:
        return studio.run("check", "plan.shoot", "--trials", "200", "--report", "json=-", *more).out

    assert report() == report() == report("--seed", "1")
    assert report() != report("--seed", "2")


def test_json_tells_every_holding_rule_and_fits_the_text(studio):
    studio.write("house.rules", "use shipped\n")
    found = studio.run("check", "plan.shoot", "--trials", "200", "--report", "json=-", "--report", "text=report.txt")
    (plan,) = json.loads(found.out)["plans"]
    trials = plan["trials"]
    assert trials["count"] == 200 and trials["seed"] == 1 and 0 <= trials["holds"] <= 1
    assert len(trials["rules"]) >= plan["held"]
    assert all(0 <= finding["share-of-trials"] <= 1 for finding in plan["findings"])
    text = " ".join((studio.folder / "report.txt").read_text("utf-8").split())
    assert all(each["words"] in text for each in trials["watch"])


def test_without_trials_nothing_is_said_of_them(studio):
    found = studio.run("check", "plan.shoot", "--report", "json=-")
    (plan,) = json.loads(found.out)["plans"]
    assert plan["trials"] is None and all(each["share-of-trials"] is None for each in plan["findings"])


def test_a_house_that_wants_more_makes_the_run_fail(studio):
    studio.write("house.rules", "use shipped\nlevel trials.not-sure error\nadjust trials.not-sure { at-least 99.9 % }\n")
    without = studio.run("check", "plan.shoot", "--fail-on", "warning")
    found = studio.run("check", "plan.shoot", "--trials", "300", "--fail-on", "warning", "--report", "json=-")
    names = {each["rule"] for each in json.loads(found.out)["plans"][0]["findings"]}
    assert "trials.not-sure" in names and found.status == 1
    assert without.status in (0, 1)


def test_what_is_uncertain_is_listed_with_the_houses_sizes(studio):
    studio.write("house.rules", "use shipped\nuncertain leaning 4 cm\nuncertain skyline 0\n")
    found = studio.run("rules", "--uncertain")
    assert found.status == 0
    heads = [line for line in found.lines if not line.startswith(" ")]
    assert [line.split()[0] for line in heads] == list(UNCERTAINTIES)
    assert "leaning          4 cm for each person, anew in each setup, as this house says" in heads
    assert "skyline          0 deg for each shade, as this house says" in heads


def test_the_own_rule_has_a_page(studio):
    found = studio.run("rules", "trials.not-sure")
    assert found.status == 0 and "at-least 90 %" in found.out


def test_progress_is_told_only_on_a_terminal(capsys, monkeypatch):
    assert output.progress(10, "trials") is None
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    now = [100.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])

    def told(whole: int, steps: list[tuple[float, int]], most: bool = False) -> str:
        tell = output.progress(whole, "trials", most)
        assert tell is not None
        for now[0], done in steps:
            tell(done)
        return capsys.readouterr().err

    # A hundred a second: of 300 that are left after half a second three seconds are left, of 150 not two.
    assert told(400, [(0, 50), (0.5, 100), (3, 350), (3.5, 400)]) == (
        "\r\x1b[K100 of 400 trials, about 3 s left\r\x1b[K350 of 400 trials, about 0 s left\r\x1b[K"
    )
    assert told(250, [(0, 50), (0.5, 100), (1, 150), (2, 250)]) == ""
    # The time before the first piece is that of loading, and one piece alone has no pace.
    assert told(400, [(90, 50)]) == ""
    # Whoever tells very often does not write very often.
    assert told(10**6, [(each / 1000, each) for each in range(1000)]).count("\r") == 5
    assert told(4000, [(0, 0), (1, 1000)], most=True) == "\r\x1b[K25 % of trials, at most 3 s left"
