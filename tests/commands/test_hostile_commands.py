"""What a plan, a rule file or a folder that somebody hostile has made may not do: reach out, run anything, hang or hide."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

WATCHED = """
import os, sys
inside = tuple(os.path.realpath(each) for each in {inside!r})
code = tuple(os.path.realpath(each) for each in (*sys.path, sys.prefix, sys.base_prefix, {code!r}) if each)
system = ("/usr/share/zoneinfo", "/usr/lib/zoneinfo", "/usr/share/lib/zoneinfo", "/etc/zoneinfo", "/etc/localtime", "/dev/null", "/usr/lib", "/lib")
seen = []

def watch(event, arguments):
    # These fail even where somebody catches what is raised.
    if event.startswith(("socket.", "subprocess.", "os.exec", "os.posix_spawn", "os.spawn", "os.fork", "os.system", "os.startfile", "ctypes.dlopen", "pty.", "webbrowser.", "urllib.", "http.")):
        # numpy looks at the running program itself so.
        if (event, arguments) != ("ctypes.dlopen", (None,)):
            seen.append((event, repr(arguments)))
    elif event == "open" and isinstance(arguments[0], (str, bytes)):
        path = os.path.realpath(os.fsdecode(arguments[0]))
        if not path.startswith((*inside, *code, *system)):
            seen.append((event, path))
    elif event in ("os.remove", "os.rename", "os.mkdir", "os.symlink", "os.link", "shutil.rmtree"):
        if not all(os.path.realpath(os.fsdecode(each)).startswith(inside) for each in arguments if isinstance(each, (str, bytes))):
            seen.append((event, repr(arguments)))

sys.addaudithook(watch)
from shootlint.commands.main import main
status = main(sys.argv[1:])
print(repr(seen), file=sys.stderr)
sys.exit(99 if seen else status)
"""
"""A run that notes whatever reaches out of the folder, the program and Python: the events are those of Python's audit table."""

REACHING = """
kit "../../etc/passwd"
kit "/etc/passwd"
kit "../outside/kit.shoot"
kit "LINK/kit.shoot"
kit "link/kit.shoot"
kit "file:///etc/passwd"
kit "http://x.example/kit.shoot"
kit "~/kit.shoot"
kit "$HOME/kit.shoot"
kit "$(touch stolen).shoot"
kit "| touch stolen"
kit "circle/kit.shoot"
kit "pipe.shoot"
"""
USING = """
use "../../etc/passwd"
use "/etc/passwd"
use "link/studio.rules"
use "circle/studio.rules"
use "pipe.rules"
use package "os"
use package "../outside"
use package "http://x.example/"
use package "__main__"
"""


@pytest.fixture
def reaching(studio, plan, rules, tmp_path):
    """A studio whose plan and house name whatever lies outside of it."""
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside/kit.shoot").write_text("shootplan 1\n")
    (tmp_path / "outside/studio.rules").write_text(rules)
    (studio.folder / "link").symlink_to(tmp_path / "outside")
    (studio.folder / "circle").symlink_to("circle")
    for name in ("pipe.shoot", "pipe.rules"):
        os.mkfifo(studio.folder / name)
    studio.write("plan.shoot", plan + REACHING)
    studio.write("house.rules", "use shipped\n" + USING + rules)
    return studio


def watched(studio, *arguments):
    checkout = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
    cache = os.environ["XDG_CACHE_HOME"]
    script = WATCHED.format(inside=[str(studio.folder), cache], code=checkout)
    return subprocess.run(
        [sys.executable, "-P", "-c", script, *arguments], cwd=studio.folder, capture_output=True, text=True, timeout=120, check=False
    )  # fmt: skip


@pytest.mark.parametrize(
    ("call", "status"),
    [
        (["check", "plan.shoot"], 2),
        (["check", "plan.shoot", "--report", "sarif=-", "--report", "html=page.html"], 2),
        (["sheet", "plan.shoot", "--to", "sheet.html"], 2),
        (["mend", "plan.shoot", "--write"], 2),
        (["measure", "plan.shoot"], 2),
        (["tidy", "plan.shoot", "house.rules"], 0),
    ],
)
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes here")
def test_nothing_is_reached_or_run(reaching, call, status):
    done = watched(reaching, *call)
    assert done.returncode == status, done.stderr
    assert done.stderr.splitlines()[-1] == "[]"
    assert not (reaching.folder / "stolen").exists()


def test_the_watch_sees_what_reaches_out(studio, tmp_path, plan):
    (tmp_path / "outside.shoot").write_text(plan)
    done = watched(studio, "check", str(tmp_path / "outside.shoot"))
    assert done.returncode == 99
    assert "outside.shoot" in done.stderr.splitlines()[-1]


@pytest.mark.parametrize("name", ["a device", "a pipe", "a circle"])
@pytest.mark.parametrize("what", ["plan", "rules", "house"])
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes here")
def test_what_is_no_file_does_not_hang(studio, what, name):
    path = studio.folder / {"plan": "odd.shoot", "rules": "odd.rules", "house": "house.rules"}[what]
    if name == "a pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/dev/zero" if name == "a device" else path.name)
    call = {
        "plan": ["odd.shoot"],
        "rules": ["plan.shoot", "--rules", "odd.rules"],
        "house": ["plan.shoot", "--fail-on", "error"],
    }[what]
    found = studio.run("check", *call)
    assert found.status == (2 if what != "house" else 0)
    assert "Traceback" not in found.err


@pytest.mark.parametrize("plan", ["shootplan 1\n" + "x " * 400_000, "shootplan 1\ntitle " + '"' * 400_000, "#\n" * 100_000])
def test_a_text_of_the_largest_size_takes_bounded_time(studio, plan):
    studio.write("plan.shoot", plan)
    before = time.process_time()
    assert studio.run("check", "plan.shoot").status in (0, 2)
    assert time.process_time() - before < 30


def test_very_many_kits_that_are_not_there_take_bounded_time(studio, plan):
    """For each of them the folder was searched for what was meant: thousands took half a minute."""
    for number in range(60):
        studio.write(f"kits/k{number}.shoot", "shootplan 1\n")
    studio.write("plan.shoot", plan + "".join(f'kit "n{number}.shoot"\n' for number in range(20_000)))
    before = time.process_time()
    assert studio.run("check", "plan.shoot").status == 2
    assert time.process_time() - before < 15


@pytest.mark.parametrize(
    "environment",
    [
        {"TZ": "No/Where"}, {"TZ": ":/etc/passwd"}, {"TZ": "x" * 5000}, {"LANG": "xx_YY.nothing", "LC_ALL": "xx"},
        {"XDG_CACHE_HOME": "relative"}, {"XDG_CACHE_HOME": "/dev/null"}, {"HOME": "", "XDG_CACHE_HOME": ""}, {"COLUMNS": "-5"},
        {"COLUMNS": "many"}, {"TERM": "\x1b[2J"}, {"PYTHONTZPATH": "/nonexistent"},
    ],
)  # fmt: skip
def test_odd_surroundings_change_nothing(studio, environment):
    usual = studio.start("check", "plan.shoot", "--rules", "studio.rules")
    found = studio.start("check", "plan.shoot", "--rules", "studio.rules", **environment)
    assert (found.status, found.out, found.err) == (usual.status, usual.out, "")
    assert not (studio.folder / "relative").exists()


@pytest.mark.parametrize("day", ["yesterday", "2026-02-30", "0000-00-00", "2026-11-24T00:00", "9" * 400, "\x1b[2J"])
def test_a_day_that_is_none_is_told(studio, day):
    found = studio.start("check", "plan.shoot", SHOOTLINT_TODAY=day)
    assert (found.status, found.out) == (2, "")
    assert "SHOOTLINT_TODAY is a date" in found.err and "Traceback" not in found.err and "\x1b" not in found.err


@pytest.mark.parametrize("when", [0, 2**33])
def test_a_clock_set_back_makes_no_verdict_old(studio, plan, when):
    """What is kept is told apart by its bytes and not by when a file was written."""
    os.utime(studio.folder / "plan.shoot", (when, when))
    first = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    studio.write("plan.shoot", plan.replace("iso      400", "iso      200"))
    os.utime(studio.folder / "plan.shoot", (when, when))
    second = studio.run("check", "plan.shoot", "--rules", "studio.rules")
    assert "ISO 400" in first.out and "ISO" not in second.out


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="nothing is killed here")
@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_run_that_is_killed_while_it_writes_leaves_the_file_whole(studio, call):
    code = f"""
import os, signal, sys
real = os.{call}
os.{call} = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
from pathlib import Path
from shootlint.commands.writing import rewrite
rewrite(Path("plan.shoot"), Path("plan.shoot").read_bytes(), b"after")
"""
    before = (studio.folder / "plan.shoot").read_bytes()
    done = subprocess.run([sys.executable, "-c", code], cwd=studio.folder, check=False)
    assert done.returncode == -signal.SIGKILL
    assert (studio.folder / "plan.shoot").read_bytes() == before
    # What is left beside it is hidden and no plan, so that the next run passes it over.
    assert studio.run("check", ".").lines[-1].startswith("1 plan, ")
