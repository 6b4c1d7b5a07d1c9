"""Colour, and text that could do something to a terminal."""

from __future__ import annotations

import os
import pty
import subprocess
import sys

import pytest

from shootlint.commands import output

ERASE = "\x1b[2J"
"""Clears a terminal that gets it."""


def on_a_terminal(studio, *arguments, **environment):
    """What a real terminal would be sent."""
    ours, theirs = pty.openpty()
    environment = {**{k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "TERM")}, "TERM": "xterm", **environment}
    command = [sys.executable, "-m", "shootlint.commands.main", *arguments]
    process = subprocess.Popen(command, stdout=theirs, stderr=theirs, cwd=studio.folder, env=environment)
    os.close(theirs)
    sent = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:
            # Linux reports the other end's closing so.
            break
        if not piece:
            break
        sent += piece
    os.close(ours)
    process.wait()
    return sent.decode().replace("\r\n", "\n")


CHECK = ("check", "plan.shoot", "--rules", "studio.rules")
COLOURED = "plan.shoot:30:12: \x1b[1;35mwarning\x1b[0m: Both is at ISO 400 [house.base-iso]"
PLAIN = "plan.shoot:30:12: warning: Both is at ISO 400 [house.base-iso]"


def test_a_terminal_gets_colour(studio):
    sent = on_a_terminal(studio, *CHECK)
    assert COLOURED in sent
    assert ": \x1b[1;36mnote\x1b[0m: Bent is 182 cm tall" in sent
    assert sent.count("\x1b[") == 4


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}, {"NO_COLOR": "0", "TERM": "dumb"}])
def test_whoever_declines_colour_gets_none(studio, environment):
    sent = on_a_terminal(studio, *CHECK, **environment)
    assert "\x1b" not in sent
    assert PLAIN in sent


def test_an_empty_no_color_declines_nothing(studio):
    assert COLOURED in on_a_terminal(studio, *CHECK, NO_COLOR="")


def test_mistakes_are_coloured_as_errors(studio, broken):
    studio.write("plan.shoot", broken)
    assert "plan.shoot:30:12: \x1b[1;31merror\x1b[0m: " in on_a_terminal(studio, *CHECK)


def test_a_report_in_a_file_has_no_colour_though_a_terminal_is_there(studio):
    on_a_terminal(studio, *CHECK, "--report", "text=a.txt", "--report", "text=-")
    assert PLAIN in (studio.folder / "a.txt").read_text()


def test_what_is_not_a_terminal_gets_no_colour(studio):
    assert "\x1b" not in studio.start(*CHECK, TERM="xterm").out


@pytest.fixture
def hostile(studio, plan, rules):
    """A plan, rules and file names full of what a terminal obeys, as far as the languages let it in."""
    plan = plan.replace("Asta", f"As{ERASE}ta").replace('"Both"', '"Bo\u009b2Jth"').replace("Bent", "Be\u202ent")
    studio.write(f"pl{ERASE}an.shoot", plan + f'accept house.base-iso for "Bo\u009b2Jth", because "so{ERASE} be it"\n')
    studio.write(f"br{ERASE}oken.shoot", plan.replace("iso      400", f'iso      "{ERASE}"'))
    studio.write("studio.rules", rules.replace("{person} is", f"{{person}}{ERASE} is").replace("Wear", f"{ERASE}Wear"))
    (studio.folder / "plan.shoot").unlink()
    return studio


@pytest.mark.parametrize("kind", ["text", "json"])
def test_control_characters_are_shown_and_not_sent(hostile, kind):
    found = hostile.run("check", ".", f"no{ERASE}ne.shoot", "--rules", "studio.rules", "--report", f"{kind}=-")
    assert found.status == 2
    assert [each for each in found.out + found.err if not each.isprintable() and each != "\n"] == []
    assert "pl\\u001b[2Jan.shoot" in found.out
    assert "no\\u001b[2Jne.shoot" in found.out


def test_a_program_reads_control_characters_as_they_are(hostile):
    plans = hostile.json("check", f"pl{ERASE}an.shoot", "--rules", "studio.rules")["plans"]
    assert plans[0]["path"] == f"pl{ERASE}an.shoot"
    assert plans[0]["findings"][0]["about"] == ["Be\u202ent"]
    assert plans[0]["accepted"][0]["reason"] == f"so{ERASE} be it"


@pytest.mark.parametrize("command", [["measure"], ["why", "house.tall", "--rules", "studio.rules"]])
def test_measure_and_why_show_control_characters(hostile, command):
    found = hostile.run(command[0], f"pl{ERASE}an.shoot", *command[1:])
    assert [each for each in found.out + found.err if not each.isprintable() and each != "\n"] == []


def test_a_file_name_that_is_no_text_is_told(studio, plan):
    path = os.fsencode(studio.folder) + b"/caf\xe9.shoot"
    with open(path, "wb") as file:
        file.write(plan.encode())
    for kind in ("text", "json"):
        found = studio.start("check", ".", "--rules", "studio.rules", "--report", f"{kind}=-")
        assert (found.status, found.err) == (0, "")
        assert "caf\\udce9.shoot" in found.out


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_a_pipe_gets_the_same_bytes_whatever_the_place_prefers(studio, plan, encoding):
    studio.write("plan.shoot", plan.replace("Bent", "Bjørn ✓"))
    found = studio.start(*CHECK, PYTHONIOENCODING=encoding)
    assert (found.status, found.err) == (0, "")
    assert "Bjørn ✓ is 182 cm tall" in found.out


def test_a_terminal_that_cannot_show_a_name_gets_it_spelt_out(studio, plan):
    studio.write("plan.shoot", plan.replace("Bent", "Bjørn"))
    assert "Bj\\xf8rn is 182 cm tall" in on_a_terminal(studio, *CHECK, PYTHONIOENCODING="ascii")


@pytest.fixture
def impatient(studio, monkeypatch):
    """A terminal on standard error, and work of which it is told at once how far it is."""
    monkeypatch.setenv("TERM", "xterm")
    for name in ("WORTH_TELLING", "_SETTLED", "_AGAIN"):
        monkeypatch.setattr(output, name, 0.0)
    studio.write("house.rules", "use shipped\n")
    for number in range(3):
        studio.write(f"more/plan-{number}.shoot", (studio.folder / "plan.shoot").read_bytes())
    return studio


LONG_WORK = {
    "check more --no-cache --jobs 1": "2 of 3 plans, about 0 s left",
    "check more --no-cache --jobs 2": "2 of 3 plans, about 0 s left",
    "check plan.shoot --no-cache --trials 60000": " of 60,000 trials, about ",
    "hours plan.shoot --from 2026-01-01 --to 2026-12-31": " of 365 days, about ",
    "mend plan.shoot": " % of the longest search, at most ",
}


@pytest.mark.parametrize(("call", "told"), LONG_WORK.items(), ids=LONG_WORK)
def test_long_work_tells_a_terminal_how_far_it_is_and_nobody_else(impatient, call, told, monkeypatch):
    silent = impatient.run(*call.split())
    assert silent.err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    found = impatient.run(*call.split())
    assert told in found.err, found.err
    # One line, written over each time and gone in the end; and nothing of it where the report goes.
    assert "\n" not in found.err and found.err.endswith("\r\x1b[K")
    assert (found.status, found.out) == (silent.status, silent.out)


def test_short_work_tells_nobody(studio):
    sent = on_a_terminal(studio, *CHECK, "--no-cache")
    assert "left" not in sent and "\r\x1b[K" not in sent
