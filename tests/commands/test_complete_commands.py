"""Completion as bash, zsh and fish do it: each is started, reads the script, and is asked as by someone who presses the key."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from programs import program

from shootlint.commands import completing
from shootlint.commands.main import Parser, command_names
from shootlint.readings.catalogue import catalogue
from shootlint.remedies.levers import levers
from shootlint.rulebook.book import shipped_book

PATIENCE = 60.0
TELL = "told() { printf 'to''ld<'; printf '%s|' \"$@\"; echo '>to''ld'; }\n"
TOLD = r"told<(.*?)>told"
SHELLS = ("bash", "zsh", "fish")


class Shell:
    """A shell that believes that someone sits before it."""

    def __init__(self, arguments: list[str], folder: Path, environment: dict[str, str]) -> None:
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(
            arguments,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=folder,
            env=environment,
            start_new_session=True,
            close_fds=True,
        )
        os.close(slave)
        self.seen = ""

    def until(self, pattern: str) -> re.Match[str]:
        """What the shell has said up to something, which is then forgotten."""
        end = time.monotonic() + PATIENCE
        while True:
            found = re.search(pattern, self.seen, re.DOTALL)
            if found is not None:
                self.seen = self.seen[found.end() :]
                return found
            left = end - time.monotonic()
            assert left > 0, f"waited in vain for {pattern}: {self.seen[-2000:]!r}"
            if select.select([self.master], [], [], left)[0]:
                self.seen += os.read(self.master, 65536).decode("utf-8", "replace")

    def type(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self.master)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A studio's folder, and the program as `shootlint` on the path."""
    folder = tmp_path_factory.mktemp("studio")
    (folder / "plans" / "deep").mkdir(parents=True)
    (folder / ".git").mkdir()
    (folder / "house.rules").write_text('rule house.no-hats {\n  title "hats"\n}\n')
    (folder / "list.csv").write_text("name\n")
    plan = Path(__file__).parents[2] / "plans" / "family-and-infant.shoot"
    for name in ("evening.shoot", "notes.txt", "deep/other.shoot"):
        shutil.copy(plan, folder / "plans" / name)
    place = folder / "bin"
    place.mkdir()
    (place / "shootlint").write_text(f'#!/bin/sh\nexec {sys.executable} -P -m shootlint.commands.main "$@"\n')
    (place / "shootlint").chmod(0o755)
    for shell in SHELLS:
        script = subprocess.run([place / "shootlint", "complete", shell], capture_output=True, text=True, check=True).stdout
        assert "shootlint" in script
        (folder / f"set-up.{shell}").write_text(script)
    return folder


@pytest.fixture(scope="module")
def environment(folder):
    return {
        "PATH": f"{folder / 'bin'}:{os.environ['PATH']}",
        "HOME": str(folder),
        "TERM": "dumb",
        "LANG": "C.UTF-8",
        "PYTHONDONTWRITEBYTECODE": "1",
        "XDG_CACHE_HOME": str(folder / "cache"),
        **{name: os.environ[name] for name in ("PYTHONPATH", "PYTHONSAFEPATH") if name in os.environ},
    }


@pytest.fixture(scope="module")
def typed_in_bash(folder, environment):
    shell = Shell([program("bash"), "--norc", "--noprofile", "-i"], folder, environment)
    shell.type("PS1='ready> '; bind 'set enable-bracketed-paste off'; bind 'set bell-style none'; source set-up.bash\n")
    shell.type(TELL)
    shell.type("echo set-'up'\n")
    shell.until("set-up\r?\n")
    yield _typing(shell)
    shell.close()


@pytest.fixture(scope="module")
def typed_in_zsh(folder, environment):
    # Without start-up files; insecure folders are the machine's own affair.
    shell = Shell([program("zsh"), "-f", "-i"], folder, environment)
    shell.type(
        "PROMPT='ready> '; bindkey -e; unsetopt beep list_beep; autoload -Uz compinit; compinit -u -D; source set-up.zsh\n"
    )
    shell.type(TELL)
    shell.type("echo set-'up'\n")
    shell.until("set-up\r?\n")
    yield _typing(shell)
    shell.close()


def _typing(shell: Shell):
    def typed(line: str) -> str:
        """The line as it stands after the tab key, by the words that the shell then has."""
        shell.type(f"{line}\t")
        # To the beginning of the line, where it becomes the words of another command; a space keeps what was completed apart.
        shell.type("\x01told \n")
        return shell.until(TOLD)[1].replace("\r", "").replace("\n", "").removesuffix("|")

    return typed


@pytest.fixture(scope="module")
def fish(folder, environment):
    def offered(line: str) -> list[str]:
        """What fish offers, by its own command that completes a line."""
        quoted = line.replace("'", "\\'")
        done = subprocess.run(
            [program("fish"), "--no-config", "-c", f"source set-up.fish; complete -C '{quoted}'"],
            cwd=folder, env=environment, capture_output=True, text=True, check=True,
        )  # fmt: skip
        return [each.split("\t")[0] for each in done.stdout.splitlines()]

    return offered


UNIQUE = [
    ("shootlint wo", "shootlint|words"),
    ("shootlint check --fail", "shootlint|check|--fail-on"),
    ("shootlint check --fail-on w", "shootlint|check|--fail-on|warning"),
    ("shootlint check plans/ev", "shootlint|check|plans/evening.shoot"),
    ("shootlint why plans/evening.shoot focus.pers", "shootlint|why|plans/evening.shoot|focus.person-soft"),
    ("shootlint why plans/evening.shoot house.", "shootlint|why|plans/evening.shoot|house.no-hats"),
    ("shootlint rules trials.", "shootlint|rules|trials.not-sure"),
    ("shootlint readings near-l", "shootlint|readings|near-limit"),
    ("shootlint words white", "shootlint|words|white-balance"),
    ("shootlint levers apert", "shootlint|levers|aperture"),
    ("shootlint mend plans/evening.shoot --with whi", "shootlint|mend|plans/evening.shoot|--with|white-balance"),
    ("shootlint people li", "shootlint|people|list.csv"),
    ("shootlint complete z", "shootlint|complete|zsh"),
]


@pytest.mark.parametrize(("line", "words"), UNIQUE)
def test_bash_completes_what_is_begun(typed_in_bash, line, words):
    assert typed_in_bash(line) == words


@pytest.mark.parametrize(("line", "words"), UNIQUE)
def test_zsh_completes_what_is_begun(typed_in_zsh, line, words):
    assert typed_in_zsh(line) == words


@pytest.mark.parametrize(("line", "words"), UNIQUE)
def test_fish_completes_what_is_begun(fish, line, words):
    assert [each.rstrip() for each in fish(line)] == [words.rpartition("|")[2]]


@pytest.mark.parametrize("shell", ["bash", "zsh"])
def test_a_name_with_spaces_is_one_word(shell, request):
    typed = request.getfixturevalue(f"typed_in_{shell}")
    assert typed("shootlint measure plans/evening.shoot --setup Par") == (
        "shootlint|measure|plans/evening.shoot|--setup|Parents and baby"
    )


@pytest.mark.parametrize("shell", ["bash", "zsh"])
def test_a_report_is_begun_without_a_space_after_its_sign(shell, request):
    typed = request.getfixturevalue(f"typed_in_{shell}")
    assert typed("shootlint hours plans/evening.shoot --report cal") == "shootlint|hours|plans/evening.shoot|--report|calendar="


def test_fish_offers_all_that_may_stand_there(fish):
    assert [each.rstrip() for each in fish("shootlint ")] == command_names()
    assert fish("shootlint check --fail-on ") == ["error", "note", "warning"]
    assert fish("shootlint check plans/") == ["plans/deep/", "plans/evening.shoot"]
    assert [each.rstrip() for each in fish("shootlint begin pl")] == ["plans/"]
    assert fish("shootlint mend plans/evening.shoot --report ") == ["json=", "text="]


# --- what completes, without a shell


def parser_and_modules():
    from importlib import import_module

    parser = Parser(prog="shootlint")
    subparsers = parser.add_subparsers(dest="command")
    modules = {name: import_module(f"shootlint.commands.{name}") for name in command_names()}
    for name, module in modules.items():
        module.add_arguments(subparsers.add_parser(name))
    return parser, modules


def test_it_is_known_of_every_argument_what_completes_it():
    """A new kind of argument has to be told: what completes it, or that nothing can."""
    parser, modules = parser_and_modules()
    found = list(completing.arguments(parser))
    assert len(found) > 30
    for command, action in found:
        known = completing.completer(action, modules[command]) is not None
        assert known != (action.metavar in completing.NOTHING), (command, action.metavar)


def test_the_names_that_are_found_unread_are_those_of_the_program(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    import argparse

    call = argparse.Namespace()
    book = shipped_book()
    assert completing.rule_names("", call) == sorted({**book.rules, **book.own})
    assert completing.reading_names("", call) == sorted(catalogue())
    assert completing.lever_names("", call) == sorted(levers())


COMPLETE = """
import json, os, sys
from argcomplete import CompletionFinder
import argcomplete
import shootlint.commands.main as program
class Answered(Exception): pass
def leave(status):
    raise Answered
real = CompletionFinder.__call__
CompletionFinder.__call__ = lambda self, *given, **named: real(self, *given, exit_method=leave, **named)
try:
    program.main()
except Answered:
    pass
with open(sys.argv[1], "w") as file:
    json.dump(sorted({name.partition(".")[0] for name in sys.modules}), file)
"""


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("shootlint why plan.shoot focus.p", "focus.person-soft"),
        ("shootlint measure plan.shoot --reading near-l", "near-limit"),
        ("shootlint mend plan.shoot --with apert", "aperture"),
        ("shootlint words white", "white-balance"),
        ("shootlint measure plan.shoot --setup B", "Both"),
        ("shootlint check --report js", "json="),
    ],
)
def test_to_complete_loads_no_arrays(studio, line, answer):
    environment = {
        **os.environ,
        "_ARGCOMPLETE": "1",
        "_ARGCOMPLETE_STDOUT_FILENAME": "answer",
        "COMP_LINE": line,
        "COMP_POINT": str(len(line)),
    }
    subprocess.run([sys.executable, "-c", COMPLETE, "modules.json"], cwd=studio.folder, env=environment, check=True)
    assert (studio.folder / "answer").read_text().strip() == answer
    modules = set(json.loads((studio.folder / "modules.json").read_text()))
    assert "argcomplete" in modules and not modules & {"numpy", "astral", "jinja2"}


@pytest.mark.parametrize("line", ["shootlint why none.shoot ", "shootlint measure none.shoot --setup ", "shootlint check none/"])
def test_what_cannot_be_found_completes_to_nothing_and_says_nothing(studio, line):
    environment = {"_ARGCOMPLETE": "1", "_ARGCOMPLETE_STDOUT_FILENAME": "answer", "COMP_LINE": line, "COMP_POINT": str(len(line))}
    told = studio.start(**environment)
    assert (told.status, told.out) == (0, "") and "Traceback" not in told.err


def test_without_a_shell_that_asks_nothing_of_it_is_loaded(studio):
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "shootlint.commands.main", "--help"],
        cwd=studio.folder, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert "argparse" in done.stderr and "argcomplete" not in done.stderr


def test_a_shell_that_is_not_known_is_told(studio):
    told = studio.run("complete", "tcsh")
    assert told.status == 2 and "tcsh" in told.err
