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


@pytest.mark.parametrize(
    "content", [b"", b"TZif", b"TZif2" + bytes(39), b"not a zone\n" * 300], ids=["empty", "begun", "bare", "text"]
)
def test_a_damaged_record_of_a_time_zone_is_told_as_that(studio, plan, content):
    """It was called no time zone, and the plan's author was asked whether that very zone was meant."""
    file = studio.folder / "zones/Europe/Copenhagen"
    file.parent.mkdir(parents=True)
    file.write_bytes(content)
    assert "Europe/Copenhagen" in plan
    found = studio.start("check", "plan.shoot", PYTHONTZPATH=str(studio.folder / "zones"))
    assert found.status == 2
    assert (
        f"error: this computer's record of the time zone Europe/Copenhagen is damaged; put another in place of {file}\n"
        in found.out
    )


@pytest.mark.parametrize(
    "names",
    [('"kit.shoot"', '"kit.shoot"'), ('"kit.shoot"', '"./kit.shoot"'), ('"kit.shoot"', '"more/../kit.shoot"'), ('"kit.shoot"', '"link.shoot"')],
)  # fmt: skip
def test_a_kit_under_two_names_is_one_kit(studio, plan, names):
    studio.write("kit.shoot", 'shootplan 1\ngel "Blue" { shift 100 mired; loses 1 stops }\n')
    (studio.folder / "more").mkdir()
    (studio.folder / "link.shoot").symlink_to("kit.shoot")
    once = studio.write("once.shoot", plan + f"kit {names[0]}\n")
    twice = studio.write("twice.shoot", plan + "".join(f"kit {name}\n" for name in names))
    found, usual = (studio.run("check", each.name) for each in (twice, once))
    assert found.status == usual.status
    assert found.out.replace("twice.shoot", "once.shoot") == usual.out


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


def test_a_house_that_is_a_link_out_of_the_repository_is_not_read(studio, rules, tmp_path):
    """Complaints about it quote it, so whoever proposes a change could have had any file of the machine told."""
    (tmp_path / "secret").write_text("TOKEN-12345 is secret\n")
    (studio.folder / "house.rules").symlink_to(tmp_path / "secret")
    found = studio.run("check", "plan.shoot")
    assert found.status == 2
    assert "its house.rules cannot be used: it is a link that leads out of the repository" in found.out
    assert "12345" not in found.out + found.err
    (studio.folder / "house.rules").unlink()
    (studio.folder / "house.rules").symlink_to("studio.rules")
    assert studio.run("check", "plan.shoot").status == 0


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="files have no owners here")
@pytest.mark.parametrize(("mode", "owner", "status"), [(0o1777, 54321, 2), (0o1777, 0, 0), (0o775, 54321, 0)])
def test_a_house_of_somebody_else_where_everybody_may_put_files_is_refused(
    studio, tmp_path, rules, monkeypatch, mode, owner, status
):
    # Without a repository a house file may stand in any folder above, as far as the system's own for temporary files.
    everybody = tmp_path / "everybody"
    (everybody / "mine").mkdir(parents=True)
    (everybody / "mine/plan.shoot").write_text((studio.folder / "plan.shoot").read_text())
    house = everybody / "house.rules"
    house.write_text(rules)
    everybody.chmod(mode)
    real = os.lstat

    def lstat(path, *more, **named):
        found = real(path, *more, **named)
        return os.stat_result((*found[:4], owner, *found[5:])) if os.fspath(path) == str(house) else found

    monkeypatch.setattr("shootlint.rulebook.house.os.lstat", lstat)
    found = studio.run("check", str(everybody / "mine/plan.shoot"), "--no-cache")
    assert found.status == status
    assert ("it is somebody else's, in a folder where everybody may put files" in found.out) == (status == 2)


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("MemoryError()", "shootlint: there is not enough memory for this\n"),
        ("RuntimeError('\\x1b[2J')", "shootlint: this is a fault of the program itself; nothing is said of the plan\n"),
    ],
)
def test_a_fault_of_the_program_is_not_told_as_a_finding(studio, fault, told):
    """Python's own end for it is 1, by which a caller takes the plan for judged."""
    code = f"""
import sys
from shootlint.commands import check, main
def run(call):
    raise {fault}
check.run = run
sys.argv[1:] = ["check", "plan.shoot"]
sys.exit(main.main())
"""
    done = subprocess.run([sys.executable, "-P", "-c", code], cwd=studio.folder, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.endswith(told) and "\x1b" not in done.stderr


def test_two_runs_that_mend_one_plan_at_once_lose_nothing(studio, plan, rules):
    """One of them writes, the other finds nothing left or is told that the file has changed; the file is always whole."""
    studio.write("house.rules", rules)
    command = [
        sys.executable,
        "-P",
        "-m",
        "shootlint.commands.main",
        "mend",
        "plan.shoot",
        "--write",
        "--editorial",
    ]
    runs = [
        subprocess.Popen(command, cwd=studio.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    told = [run.communicate(timeout=120) for run in runs]
    assert {run.returncode for run in runs} <= {0, 2} and 0 in {run.returncode for run in runs}
    assert all("Traceback" not in err for _, err in told)
    assert all("changed since" in err for run, (_, err) in zip(runs, told, strict=True) if run.returncode == 2)
    after = (studio.folder / "plan.shoot").read_text()
    assert "iso      200" in after and len(after.splitlines()) == len(plan.splitlines())
    assert sorted(each.name for each in studio.folder.iterdir()) == [".git", "house.rules", "plan.shoot", "studio.rules"]


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_full_disk_is_told_and_the_plan_stays_as_it_was(studio, rules):
    studio.write("house.rules", rules)
    before = (studio.folder / "plan.shoot").read_bytes()
    code = """
import resource, sys
from shootlint.commands.main import main
resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
sys.argv[1:] = ["mend", "plan.shoot", "--write", "--editorial"]
sys.exit(main())
"""
    done = subprocess.run([sys.executable, "-P", "-c", code], cwd=studio.folder, capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert "File too large" in done.stderr
    assert (studio.folder / "plan.shoot").read_bytes() == before
    assert len(list(studio.folder.iterdir())) == 4


def test_a_link_among_plans_does_not_lead_out_of_the_repository(studio, plan, tmp_path):
    (tmp_path / "secret").write_text("TOKEN-12345 is secret\n")
    (tmp_path / "shared.shoot").write_text(plan)
    studio.write("plans/here.shoot", plan)
    (studio.folder / "plans/a.shoot").symlink_to(tmp_path / "secret")
    (studio.folder / "plans/b.shoot").symlink_to("../plan.shoot")
    found = studio.run("check", "plans", "--rules", "studio.rules")
    assert found.status == 2
    assert "plans/a.shoot:1:1: error: it is a link that leads out of the repository" in found.out
    assert "12345" not in found.out + found.err and found.counts.startswith("2 plans, 1 mistake, ")
    # Whoever names the file itself means it.
    (studio.folder / "c.shoot").symlink_to(tmp_path / "shared.shoot")
    assert studio.run("check", "c.shoot", "--rules", "studio.rules").status == 0
