"""Where reports go: several at once, to files, devices and standard output, and what happens where they cannot."""

from __future__ import annotations

import json
import os
import stat

import pytest

from shootlint.commands.arguments import REPORTS, kinds, renderer

CHECK = ("check", "plan.shoot", "--rules", "studio.rules")


def test_several_reports_go_to_files_and_to_standard_output_at_once(studio):
    found = studio.run(*CHECK, "--report", "text=a.txt", "--report", "json=b.json", "--report", "json=-", "--report", "text=-")
    assert found.status == 0
    text, report = (studio.folder / "a.txt").read_text(), (studio.folder / "b.json").read_text()
    assert text == studio.run(*CHECK).out
    assert json.loads(report)["plans"][0]["findings"]
    assert found.out == report + text


def test_all_kinds_of_report_are_written_at_once(studio):
    from formats import junit, markdown_text, sarif

    names = {"text": "a.txt", "json": "a.json", "sarif": "a.sarif", "junit": "a.xml", "markdown": "a.md"}
    asked = [part for kind, name in names.items() for part in ("--report", f"{kind}={name}")]
    assert studio.run(*CHECK, *asked).status == 0
    texts = {kind: (studio.folder / name).read_text() for kind, name in names.items()}
    assert len(sarif(texts["sarif"])["results"]) == len(json.loads(texts["json"])["plans"][0]["findings"]) > 0
    assert "Both is at ISO 400" in "".join(junit(texts["junit"]).itertext())
    assert "Both is at ISO 400" in markdown_text(texts["markdown"])


@pytest.mark.parametrize("second", ["a.txt", "./a.txt", "folder/../a.txt", "WHOLE", "link.txt"])
def test_two_reports_to_one_file_are_complained_of(studio, second):
    (studio.folder / "folder").mkdir()
    (studio.folder / "link.txt").symlink_to("a.txt")
    second = second.replace("WHOLE", str(studio.folder / "a.txt"))
    found = studio.run(*CHECK, "--report", "text=a.txt", "--report", f"json={second}")
    assert (found.status, found.out) == (2, "")
    assert found.err == (
        f"shootlint: two reports go to {second}, and one would take the other's place; give each a file of its own\n"
    )
    assert not (studio.folder / "a.txt").exists()


def test_two_reports_may_go_to_one_device(studio):
    assert studio.run(*CHECK, "--report", "text=/dev/null", "--report", "json=/dev/null").status == 0


@pytest.mark.parametrize(("command", "room"), [("check", REPORTS), ("hours", f"{REPORTS}.hours")])
def test_the_help_names_the_kinds_that_there_are(studio, command, room):
    said = " ".join(studio.run(command, "--help").out.split())
    told = said.partition("--report KIND=PATH ")[2].partition(", and where it goes")[0]
    assert told.replace(" or ", ", ").split(", ") == kinds(room)
    assert {"text", "json"} < set(kinds(room))
    assert all(callable(renderer(kind, room)) for kind in kinds(room))


def test_a_report_in_a_file_leaves_standard_output_empty(studio):
    assert studio.run(*CHECK, "--report", "text=a.txt").out == ""


def test_a_report_takes_the_place_of_an_earlier_one_and_leaves_nothing_beside_it(studio):
    before = sorted(os.listdir(studio.folder))
    studio.write("a.txt", "x" * 100_000)
    assert studio.run(*CHECK, "--report", "text=a.txt").status == 0
    assert "x" * 100 not in (studio.folder / "a.txt").read_text()
    assert sorted(os.listdir(studio.folder)) == sorted([*before, "a.txt"])


@pytest.mark.parametrize("kind", ["json", "sarif", "junit", "markdown", "text"])
def test_a_report_that_cannot_be_put_in_its_place_leaves_the_earlier_one(studio, monkeypatch, kind):
    studio.write("report", "the earlier one")
    before = sorted(os.listdir(studio.folder))

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("shootlint.commands.writing.os.replace", refuse)
    found = studio.run(*CHECK, "--no-cache", "--report", f"{kind}=report")
    assert (found.status, found.err) == (2, "shootlint: the report cannot be written to report: No space left on device\n")
    assert (studio.folder / "report").read_text() == "the earlier one"
    assert sorted(os.listdir(studio.folder)) == before


def test_a_report_s_file_has_the_rights_that_new_files_get(studio):
    mask = os.umask(0o027)
    try:
        studio.run(*CHECK, "--report", "text=a.txt")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((studio.folder / "a.txt").stat().st_mode) == 0o640


def test_a_report_is_written_through_a_link(studio):
    (studio.folder / "reports").mkdir()
    (studio.folder / "latest.txt").symlink_to("reports/today.txt")
    assert studio.run(*CHECK, "--report", "text=latest.txt").status == 0
    assert (studio.folder / "latest.txt").is_symlink()
    assert "1 plan" in (studio.folder / "reports/today.txt").read_text()


@pytest.mark.parametrize("kind", ["json", "html"])
@pytest.mark.parametrize("path", ["none/a.txt", "folder", "plan.shoot/a.txt"])
def test_a_place_that_cannot_be_written_is_told_and_the_other_reports_are_written(studio, kind, path):
    (studio.folder / "folder").mkdir()
    before = sorted(os.listdir(studio.folder))
    found = studio.run(*CHECK, "--report", f"{kind}={path}", "--report", "text=-")
    assert found.status == 2
    assert found.err.startswith(f"shootlint: the report cannot be written to {path}: ")
    assert "Both is at ISO 400" in found.out
    assert sorted(os.listdir(studio.folder)) == before


def test_measure_tells_of_a_place_that_cannot_be_written(studio):
    found = studio.run("measure", "plan.shoot", "--report", "json=none/a.json")
    assert (found.status, found.out) == (2, "")
    assert "the report cannot be written to none/a.json: No such file or directory" in found.err


def test_a_pipe_is_written_to_and_stays_a_pipe(studio):
    """So does /dev/null, which the superuser could otherwise take away from everyone."""
    pipe = studio.folder / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        assert studio.run(*CHECK, "--report", "text=pipe").status == 0
        assert b"Both is at ISO 400" in os.read(reader, 100_000)
    finally:
        os.close(reader)
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="the system has no device that is always full")
@pytest.mark.parametrize("arguments", [CHECK, ("measure", "plan.shoot"), ("rules",), ("words",), ("readings",)])
def test_a_full_disk_behind_standard_output_is_told(studio, arguments):
    import subprocess
    import sys

    with open("/dev/full", "w") as full:
        command = [sys.executable, "-m", "shootlint.commands.main", *arguments]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, cwd=studio.folder, check=False)
    assert done.returncode == 2
    assert b"No space left on device" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_closed_standard_output_still_gives_the_status(studio):
    import shlex
    import subprocess
    import sys

    command = shlex.join([sys.executable, "-m", "shootlint.commands.main", *CHECK, "--fail-on", "warning"]) + " >&-"
    done = subprocess.run(command, shell=True, stderr=subprocess.PIPE, cwd=studio.folder, check=False)
    assert (done.returncode, done.stderr) == (1, b"")


@pytest.mark.parametrize("arguments", [("check", "many"), ("words",), ("measure", "plan.shoot"), ("rules", "--verify")])
def test_a_reader_that_stops_early_gives_no_traceback(studio, plan, arguments):
    import subprocess
    import sys

    # More than a pipe holds.
    for number in range(100 if "many" in arguments else 0):
        studio.write(f"many/{number:03}.shoot", plan.replace('"Both"', f'"{"Both " * 40}"'))
    studio.write("many/house.rules", (studio.folder / "studio.rules").read_bytes())
    command = [sys.executable, "-m", "shootlint.commands.main", *arguments]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=studio.folder) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        complaint = process.stderr.read()
    assert complaint == b""
    assert process.returncode in (0, 1)


def test_a_reader_that_stops_early_still_gets_the_status(studio):
    import subprocess
    import sys

    command = [sys.executable, "-m", "shootlint.commands.main", *CHECK, "--fail-on", "note"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=studio.folder) as process:
        assert process.stdout is not None
        process.stdout.close()
    assert process.returncode == 1


@pytest.mark.parametrize(
    "call",
    [
        ["check", "plan.shoot", "--report", "text=plan.shoot"],
        ["check", "plan.shoot", "--report", "json=kit.shoot"],
        ["check", "plan.shoot", "--report", "html=./house.rules"],
        ["check", ".", "--report", "sarif=plan.shoot"],
        ["hours", "plan.shoot", "--report", "json=plan.shoot"],
        ["measure", "plan.shoot", "--report", "json=plan.shoot"],
        ["evening", "plan.shoot", "--report", "csv=plan.shoot"],
        ["mend", "plan.shoot", "--report", "text=plan.shoot"],
        ["sheet", "plan.shoot", "--to", "plan.shoot"],
        ["sheet", "plan.shoot", "--to", "linked.html"],
        ["check", "plan.shoot", "--rules", "own.txt", "--report", "text=own.txt"],
    ],
    ids=" ".join,
)
def test_nothing_takes_the_place_of_what_it_is_about(studio, call, plan, rules):
    for name, text in {"kit.shoot": "shootplan 1\n", "house.rules": rules, "own.txt": rules}.items():
        studio.write(name, text)
    (studio.folder / "linked.html").symlink_to("plan.shoot")
    before = {path.name: path.read_bytes() for path in studio.folder.iterdir() if path.is_file()}
    done = studio.run(*call)
    assert done.status == 2
    assert "would take the place of" in done.err
    assert {path.name: path.read_bytes() for path in studio.folder.iterdir() if path.is_file()} == before


@pytest.mark.parametrize("command", ["mend", "measure", "hours", "evening"])
def test_several_reports_of_one_call_are_all_written(studio, command):
    studio.run(
        command, "plan.shoot", "--report", "json=one.json" if command != "evening" else "csv=one.csv", "--report", "text=two.txt"
    )
    assert all((studio.folder / name).exists() for name in (("one.json" if command != "evening" else "one.csv"), "two.txt"))
