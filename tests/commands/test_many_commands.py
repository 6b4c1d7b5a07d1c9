"""Plans judged in processes beside: the same bytes as in one, and what is said of a process that dies."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from shootlint.commands import many
from shootlint.commands.paths import asked

PLANS = Path(__file__).parents[2] / "plans"

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are looked at and ended as POSIX has it")


@pytest.fixture
def folder(studio, plan, rules, broken):
    """Good plans, faulty ones, ones with mistakes of their own and in a kit and in a house's rules, kits, and no text."""
    studio.write("many/first-draft.shoot", (PLANS / "first-draft.shoot").read_bytes())
    shutil.copytree(PLANS / "kit", studio.folder / "many" / "kit")
    studio.write("many/broken.shoot", broken)
    studio.write("many/binary.shoot", b"\0")
    studio.write("many/latin.shoot", b"shootplan 1\n# \xe9\n")
    os.mkfifo(studio.folder / "many/pipe.shoot")
    studio.write("many/house/house.rules", rules)
    studio.write("many/wrong/house.rules", rules.replace("iso <= 200", "isoo <= 200"))
    studio.write("many/unreadable/house.rules", b"\xff")
    for number in range(4):
        for place in ("house", "wrong", "unreadable"):
            studio.write(f"many/{place}/{number}.shoot", plan.replace("iso      400", f"iso {100 * number + 100}"))
    start, end = plan.index("camera "), plan.index("lens ")
    studio.write("many/shared/body.shoot", "shootplan 1\n" + plan[start:end].replace("1/200 s", "1/200 sec"))
    for place in ("shared/a", "shared/deep/b", "shared/c"):
        kit = os.path.relpath("shared/body.shoot", os.path.dirname(place))
        studio.write(f"many/{place}.shoot", plan[:start] + f'kit "{kit}"\n' + plan[end:])
    studio.write("many/shared/lost.shoot", plan[:start] + 'kit "bodi.shoot"\n' + plan[end:])
    return studio


KINDS = ("text", "json", "sarif", "junit", "markdown")
WRITTEN = [f"a.{kind}" for kind in KINDS]
REPORTS = [part for kind in KINDS for part in ("--report", f"{kind}=a.{kind}")]
CALL = ("check", "none.shoot", "many/house/2.shoot", "many", "plan.shoot", *REPORTS)


@pytest.mark.parametrize("jobs", ["2", "5"])
def test_the_number_of_processes_does_not_show(folder, jobs):
    first = folder.start(*CALL, "--no-cache", "--jobs", "1")
    told = [(folder.folder / name).read_bytes() for name in WRITTEN]
    assert first.status == 2 and len(told[0].splitlines()) > 100
    assert {"none.shoot", "many/binary.shoot", "many/pipe.shoot", "many/unreadable/3.shoot"} < {
        each["path"] for each in json.loads(told[1])["unreadable"]
    }
    # Once judged in all processes, and once with half of it known.
    assert folder.start(*CALL, "--no-cache", "--jobs", jobs) == first
    assert [(folder.folder / name).read_bytes() for name in WRITTEN] == told
    folder.start("check", "many/house", "many/first-draft.shoot", "--jobs", jobs)
    assert folder.start(*CALL, "--jobs", jobs) == first
    assert [(folder.folder / name).read_bytes() for name in WRITTEN] == told


def test_plans_are_told_in_the_order_of_the_call(folder):
    paths = ["many/house/3.shoot", "many/first-draft.shoot", "many/house/0.shoot", "many/house"]
    found = folder.start("check", *paths, "--jobs", "3", "--report", "json=-")
    assert [each["path"] for each in json.loads(found.out)["plans"]] == [
        *paths[:3], "many/house/1.shoot", "many/house/2.shoot",
    ]  # fmt: skip


def test_standard_input_is_judged_with_others_in_processes(studio, plan):
    for number in range(3):
        studio.write(f"many/{number}.shoot", plan)
    call = ("check", "many/1.shoot", "-", "many", "--rules", "studio.rules", "--no-cache", "--jobs")
    one, three = (studio.start(*call, jobs, given=plan.encode()) for jobs in "13")
    assert one == three
    assert one.counts.startswith("4 plans, ")


DEADLY = """
import os, signal
from multiprocessing import parent_process
if parent_process() is not None:
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def deadly(studio, plan):
    """Plans in `good` and in `bad`, whose house uses a package that ends the process which loads it."""
    site = studio.folder / "site"
    studio.write("site/deadly/__init__.py", DEADLY)
    studio.write("site/deadly-1.dist-info/METADATA", "Metadata-Version: 2.1\nName: deadly\nVersion: 1\n")
    studio.write("site/deadly-1.dist-info/entry_points.txt", "[shootlint.rules]\ndeadly = deadly\n")
    for number in range(3):
        studio.write(f"plans/good/{number}.shoot", plan)
        studio.write(f"plans/bad/{number}.shoot", plan)
    studio.write("plans/bad/house.rules", 'use package "deadly"\n')
    return {"PYTHONPATH": str(site)}


@pytest.mark.parametrize("jobs", ["2", "6"])
def test_a_process_that_dies_is_told_by_its_plan_and_the_others_are_judged(studio, deadly, jobs):
    found = studio.start("check", "plans", "--jobs", jobs, "--report", "json=report.json", "--report", "text=-", **deadly)
    report = json.loads((studio.folder / "report.json").read_text())
    assert found.status == 2
    assert found.err == ""
    assert [each["path"] for each in report["plans"]] == [f"plans/good/{number}.shoot" for number in range(3)]
    assert report["unreadable"] == [
        {"path": f"plans/bad/{number}.shoot", "message": "judging it broke off: its process was ended by SIGKILL"}
        for number in range(3)
    ]
    assert found.counts.startswith("3 plans, 3 mistakes, ")


FAULTY = """
from shootlint.checking.judge import Judge
sound = Judge.judge
def judge(self, document):
    if "bad" in document.source.name:
        raise {}
    return sound(self, document)
Judge.judge = judge
"""


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("ZeroDivisionError('of ours')", "this is a fault of the program itself (ZeroDivisionError)"),
        ("MemoryError", "there is not enough memory for it"),
    ],
)
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_fault_at_one_plan_is_told_by_that_plan_and_the_others_are_judged(studio, plan, jobs, fault, told):
    # Python imports this at every start, so it is in every process.
    studio.write("site/sitecustomize.py", FAULTY.format(fault))
    for name in ("a-good", "bad", "c-good"):
        studio.write(f"plans/{name}.shoot", plan)
    call = ["check", "plans", "--jobs", jobs, "--report", "json=report.json", "--report", "text=-"]
    found = studio.start(*call, PYTHONPATH=str(studio.folder / "site"))
    report = json.loads((studio.folder / "report.json").read_text())
    assert found.status == 2
    assert [each["path"] for each in report["plans"]] == ["plans/a-good.shoot", "plans/c-good.shoot"]
    assert report["unreadable"] == [{"path": "plans/bad.shoot", "message": f"judging it broke off: {told}"}]
    assert f"plans/bad.shoot:1:1: error: judging it broke off: {told}" in found.out
    # Whoever mends the program is told where it was.
    assert ("ZeroDivisionError: of ours" in found.err) == fault.startswith("Zero")


def children(process):
    """The processes that one has started to judge in."""
    told = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    found = [int(each) for each in told.read_text().split()] if told.exists() else []
    lines = {each: Path(f"/proc/{each}/cmdline") for each in found}
    return [each for each, line in lines.items() if line.exists() and b"spawn_main" in line.read_bytes()]


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="the system does not tell the children of a process")
@pytest.mark.parametrize("signalled", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_no_process_outlives_a_run_that_is_ended(studio, plan, signalled):
    for number in range(60):
        studio.write(f"many/{number}.shoot", plan)
    command = [sys.executable, "-m", "shootlint.commands.main", "check", "many", "--jobs", "2", "--no-cache"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=studio.folder) as process:
        end = time.monotonic() + 60
        while len(children(process)) < 2 and time.monotonic() < end:
            time.sleep(0.01)
        beside = children(process)
        assert len(beside) == 2
        # As a terminal does: to all of them.
        for each in [*beside, process.pid] if signalled == signal.SIGINT else [process.pid]:
            os.kill(each, signalled)
        # Until nobody has the pipe any more, the processes beside included.
        out, err = process.communicate(timeout=60)
    assert process.returncode == (130 if signalled == signal.SIGINT else -signalled)
    assert out == b""
    # Where this one is killed, a process that was still starting complains of it.
    assert err == b"" or signalled != signal.SIGINT
    while any(Path(f"/proc/{each}").exists() for each in beside) and time.monotonic() < end:
        time.sleep(0.01)
    assert not any(Path(f"/proc/{each}").exists() for each in beside)


def test_of_two_houses_each_has_its_own_package_s_readings_alone(studio, plan, rules):
    """Otherwise what is said would hang on which plan is judged first, and in which process."""
    reading = """
        from shootlint.readings.catalogue import reading

        @reading("m", formula="twice the camera's height", source="invented for a test")
        def twice_as_high(camera_height):
            return 2 * camera_height
    """
    studio.write("site/higher/__init__.py", "\n".join(line[8:] for line in reading.splitlines()))
    studio.write("site/higher-1.dist-info/METADATA", "Metadata-Version: 2.1\nName: higher\nVersion: 1\n")
    studio.write("site/higher-1.dist-info/entry_points.txt", "[shootlint.readings]\nhigher = higher\n")
    rule = rules.replace("iso <= 200", "twice-as-high <= 1 m").replace(" is at ISO {iso}", " is at {twice-as-high}")
    for place in "acb":
        studio.write(f"plans/{place}/plan.shoot", plan)
        studio.write(f"plans/{place}/house.rules", ('use package "higher"\n' if place == "b" else "") + rule)
    call = ("check", "plans", "--no-cache", "--jobs")
    one, three = (studio.start(*call, jobs, PYTHONPATH=str(studio.folder / "site")) for jobs in "13")
    assert one == three
    assert "warning: Both is at 2.8 m [house.base-iso]" in one.out
    assert one.out.count("no reading is called twice-as-high") == 2


@pytest.mark.parametrize(("plans", "cores", "enough"), [(1, 8, 1), (40, 8, 1), (80, 8, 2), (1000, 2, 2), (10_000, 96, 8)])
def test_more_processes_are_taken_for_more_plans(monkeypatch, plans, cores, enough):
    monkeypatch.setattr(many.os, "sched_getaffinity", lambda _: set(range(cores)), raising=False)
    assert many.enough(plans) == enough


def test_a_file_is_asked_for_once(studio, plan):
    studio.write("many/a.shoot", plan)
    found = asked(["many/a.shoot", "many", "./many/a.shoot", "-", "-"])
    assert [file for each in found for file in each.files] == ["many/a.shoot", "-"]
