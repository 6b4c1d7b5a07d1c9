"""The call itself: help, version, and what a wrong call is told."""

from __future__ import annotations

import pytest

from shootlint.commands.main import command_names

COMMANDS = ("check", "measure", "readings", "rules", "tidy", "why", "words")


def test_every_promised_command_is_there():
    assert set(COMMANDS) <= set(command_names())


def test_help_lists_every_command(studio):
    told = studio.run("--help")
    assert told.status == 0
    for name in command_names():
        assert f"\n    {name} " in told.out


@pytest.mark.parametrize("name", command_names())
def test_each_command_has_help_that_says_what_it_does(studio, name):
    told = studio.run(name, "--help")
    assert told.status == 0
    assert f"usage: shootlint {name}" in told.out
    assert told.err == ""
    description = told.out.split("\n\n")[1]
    assert len(description) > 20


@pytest.mark.parametrize("name", command_names())
def test_each_option_has_a_line_of_help(studio, name):
    listed = studio.run(name, "--help").out.split("options:\n")[1]
    entries = [line for line in listed.splitlines() if line.startswith("  -")]
    following = [*listed.splitlines()[1:], ""]
    for line, after in zip(listed.splitlines(), following, strict=True):
        if line in entries:
            assert "  " in line.strip() or after.startswith("     "), line


@pytest.mark.parametrize("option", ["--rules", "--report", "--fail-on", "--jobs", "--no-cache"])
def test_check_has_its_promised_options(studio, option):
    assert option in studio.run("check", "--help").out


def test_version_is_the_installed_one(studio):
    from importlib.metadata import version

    told = studio.run("--version")
    assert (told.status, told.out) == (0, f"shootlint {version('shootlint')}\n")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "COMMAND"),
        (["judge", "plan.shoot"], "invalid choice"),
        (["check"], "PATH"),
        (["check", "plan.shoot", "--loud"], "--loud"),
        (["check", "plan.shoot", "--fail-on", "fatal"], "fatal"),
        *[
            (["check", "plan.shoot", "--jobs", told], f"from 1 to 256, or auto, not {told}")
            for told in ("0", "-1", "257", "1.5", "", "two", "+2", "²", "9" * 5000)
        ],
        (["check", "plan.shoot", "--report", "json"], "KIND=PATH"),
        (["check", "plan.shoot", "--report", "json="], "KIND=PATH"),
        (["check", "plan.shoot", "--report", "jsn=-"], "did you mean json?"),
        (["check", "plan.shoot", "--report", "run=-"], "no report is called run"),
        (["check", "plan.shoot", "--rules", "none.rules"], "none.rules: there is no such file"),
        (["measure", "plan.shoot", "--report", "sarif=-"], "no report is called sarif; there are json and text"),
        (["measure", "plan.shoot", "--reading", "blurr"], "did you mean blur?"),
        (["measure", "plan.shoot", "--setup", "Bothh"], 'did you mean "Both"?'),
        (["measure", "none.shoot"], "none.shoot: there is no such file"),
        (["why", "plan.shoot", "focus.person-sof"], "did you mean focus.person-soft?"),
        (["why", "none.shoot", "focus.person-soft"], "none.shoot: there is no such file"),
        (["why", "plan.shoot", "focus.person-soft", "--rules", "none.rules"], "none.rules: there is no such file"),
        (["why", "plan.shoot", "focus.person-soft", "--setup", "Bot"], 'did you mean "Both"?'),
        (["rules", "focus.person-sof"], "did you mean focus.person-soft?"),
        (["rules", "--verify", "none.rules"], "there is no such file"),
        (["readings", "blurr"], "did you mean blur?"),
        (["words", "apertur"], "did you mean aperture?"),
    ],
)
def test_a_wrong_call_is_told_on_standard_error_and_ends_with_2(studio, arguments, told):
    found = studio.run(*arguments)
    assert found.status == 2
    assert found.out == ""
    assert told in found.err
    assert "Traceback" not in found.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "plan.shoot", "--report", "\x1b[2Jjson=-"],
        ["check", "plan.shoot", "--rules", "\x1b[2J.rules"],
        ["check", "plan.shoot", "--\x1b[2J"],
        ["measure", "\x1b[2J.shoot"],
        ["measure", "plan.shoot", "--at", "\x1b[2J"],
        ["measure", "plan.shoot", "--setup", "\x1b[2J"],
        ["why", "plan.shoot", "\x1b[2J"],
        ["rules", "\x1b[2J"],
        ["readings", "\x1b[2J"],
        ["words", "\x1b[2J"],
    ],
)
def test_a_wrong_call_is_told_without_what_could_clear_the_screen(studio, arguments):
    found = studio.run(*arguments)
    assert found.status == 2
    assert "\x1b" not in found.out + found.err
    assert "\\u001b" in found.err


def test_interrupting_ends_without_a_traceback(studio, monkeypatch):
    from shootlint.commands import many

    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(many, "run_over", interrupted)
    assert studio.run("check", "plan.shoot").status == 130


def test_a_day_that_is_none_is_not_blamed_on_a_rule_file(studio, monkeypatch):
    monkeypatch.setenv("SHOOTLINT_TODAY", "tomorrow")
    done = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert done.status == 2 and done.err.startswith("shootlint: SHOOTLINT_TODAY is a date")


def test_options_are_said_whole(studio):
    """An abbreviation would be another option as soon as a new one begins alike."""
    done = studio.run("check", "plan.shoot", "--trial", "5")
    assert done.status == 2 and "--trial" in done.err


def test_mistakes_are_told_from_the_beginning_of_a_file_to_its_end(studio, plan):
    studio.write("plan.shoot", plan.replace("aperture f/5.6", "aperture 5.6").replace("date  2026-06-20", "date 2026-13-20"))
    lines = [int(each.split(":")[1]) for each in studio.run("check", "plan.shoot").lines if ": error: " in each]
    assert len(lines) == 2 and lines == sorted(lines)
