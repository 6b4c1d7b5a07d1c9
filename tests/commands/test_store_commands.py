"""Verdicts kept for the next run: what makes one no longer good, and what is done with a record that is none."""

from __future__ import annotations

import json
import os
import shutil
import stat
import threading
import time
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.commands import pipeline, store

KIT = """\
shootplan 1
camera "Body" {
  sensor  36 mm x 24 mm
  pixels  6000 px x 4000 px
  sync    1/200 s
  shutter 1/4000 s to 30 s
  iso     100 to 6400, base 100
}
"""
LENS = 'shootplan 1\nlens "Fifty" { focal 50 mm; aperture f/1.8 to f/16 }\n'


@pytest.fixture
def judged(studio, monkeypatch):
    """Runs `check` in this process and gives the files that had to be judged, after a look that the store changes nothing
    of what is said."""
    real, files = pipeline.outcome, []

    def outcome(file, *rest):
        files.append(file)
        return real(file, *rest)

    monkeypatch.setattr(pipeline, "outcome", outcome)

    def run(*arguments):
        # Whether margins are told by themselves hangs on how plans are named; here it shall not.
        arguments = ("--no-margins", *arguments)
        reports = [part for kind in ("text", "json", "sarif", "junit", "markdown") for part in ("--report", f"{kind}=-")]
        said = studio.run("check", *arguments, *reports)
        asked = files.copy()
        files.clear()
        assert studio.run("check", *arguments, "--no-cache", *reports) == said
        files.clear()
        return asked

    return run


@pytest.fixture
def records(studio):
    """The records that there are."""
    folder = Path(os.environ["XDG_CACHE_HOME"]) / "shootlint"
    return lambda: sorted(folder.iterdir()) if folder.is_dir() else []


@pytest.fixture
def with_kits(studio, plan, rules):
    """A plan that takes its camera from a kit, which takes the lens from another, judged by a house that uses a rule file."""
    start, end = plan.index("camera "), plan.index("setup ")
    studio.write("kit/body.shoot", KIT.replace("camera ", 'kit "lens.shoot"\ncamera ', 1))
    studio.write("kit/lens.shoot", LENS)
    studio.write("house.rules", 'use "studio.rules"\n')
    text = plan[:start] + 'kit "kit/body.shoot"\n' + plan[end:]
    studio.write("plan.shoot", text)
    return text


def test_a_plan_is_judged_once_and_then_known(judged, records):
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []
    assert len(records()) == 1


def test_a_known_plan_gives_the_same_status(studio):
    call = ("check", "plan.shoot", "--rules", "studio.rules", "--fail-on", "note")
    assert [studio.run(*call).status for _ in range(2)] == [1, 1]
    assert studio.run(*call[:-1], "error").status == 0


CHANGES = {
    "plan.shoot": lambda text: text.replace("iso      400", "iso 200"),
    "kit/body.shoot": lambda text: text.replace("6000 px", "6016 px"),
    "kit/lens.shoot": lambda text: text.replace("f/16", "f/22"),
    "house.rules": lambda text: text + "retire house.tall because \"x\"\n",
    "studio.rules": lambda text: text.replace("iso <= 200", "iso <= 100"),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_in_any_file_that_it_rests_on_is_seen(judged, studio, with_kits, name):
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []
    path = studio.folder / name
    before = path.read_text()
    told = path.stat()
    path.write_text(CHANGES[name](before))
    assert path.read_text() != before
    # Neither a file's time nor anything but what is in it decides.
    os.utime(path, ns=(told.st_atime_ns, told.st_mtime_ns))
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []


@pytest.mark.parametrize("name", [name for name in CHANGES if name != "plan.shoot"])
def test_a_file_that_goes_is_seen_and_so_is_its_return(judged, studio, with_kits, name):
    assert judged("plan.shoot") == ["plan.shoot"]
    content = (studio.folder / name).read_bytes()
    (studio.folder / name).unlink()
    assert judged("plan.shoot") == ["plan.shoot"]
    studio.write(name, content)
    judged("plan.shoot")
    assert judged("plan.shoot") == []


@pytest.mark.parametrize("name", ["kit/body.shoot", "kit/lens.shoot", "studio.rules"])
def test_a_link_that_leads_elsewhere_is_seen(judged, studio, with_kits, name):
    path = studio.folder / name
    studio.write("first", path.read_bytes())
    studio.write("second", CHANGES[name](path.read_text()))
    path.unlink()
    path.symlink_to(studio.folder / "first")
    # A kit is looked for beside the file that the link leads to.
    studio.write("lens.shoot", LENS)
    judged("plan.shoot")
    assert judged("plan.shoot") == []
    path.unlink()
    path.symlink_to(studio.folder / "second")
    assert judged("plan.shoot") == ["plan.shoot"]


def test_a_nearer_house_file_is_seen(judged, studio, plan, rules):
    studio.write("house.rules", rules)
    studio.write("plans/june/plan.shoot", plan)
    name = "plans/june/plan.shoot"
    assert judged(name) == [name]
    for nearer in ("plans/house.rules", "plans/june/house.rules"):
        studio.write(nearer, rules.replace("iso <= 200", "iso <= 100"))
        assert judged(name) == [name], nearer
        assert judged(name) == []
    (studio.folder / "plans/june/house.rules").unlink()
    # What was so before is still known.
    assert judged(name) == []


def test_a_repository_that_begins_nearer_is_seen(judged, studio, plan, rules):
    studio.write("house.rules", rules)
    studio.write("plans/plan.shoot", plan)
    assert judged("plans/plan.shoot") == ["plans/plan.shoot"]
    (studio.folder / "plans/.git").mkdir()
    assert judged("plans/plan.shoot") == ["plans/plan.shoot"]


def test_a_missing_kit_that_comes_is_seen(judged, studio, with_kits):
    content = (studio.folder / "kit/lens.shoot").read_bytes()
    (studio.folder / "kit/lens.shoot").unlink()
    assert judged("plan.shoot") == ["plan.shoot"]
    # The complaint names what lies beside it, which may change.
    studio.write("kit/lenses.shoot", content)
    assert judged("plan.shoot") == ["plan.shoot"]
    studio.write("kit/lens.shoot", content)
    assert judged("plan.shoot") == ["plan.shoot"]


def test_rule_files_that_the_call_names_count_with_their_order(judged, studio, rules):
    studio.write("more.rules", "level house.tall error\n")
    studio.write("less.rules", "level house.tall note\n")
    studio.write("house.rules", 'rulebook "none"\n')
    some, other = (["plan.shoot", *("--rules", "studio.rules"), *("--rules", a), *("--rules", b)]
                   for a, b in (("more.rules", "less.rules"), ("less.rules", "more.rules")))  # fmt: skip
    for call in (["plan.shoot"], some, other):
        assert judged(*call) == ["plan.shoot"]
        assert judged(*call) == []
    studio.write("less.rules", "level house.tall warning\n")
    assert judged(*some) == ["plan.shoot"]
    assert judged("plan.shoot") == []


def test_a_rule_file_that_is_missing_is_told_though_the_plan_is_known(studio):
    call = ("check", "plan.shoot", "--rules", "studio.rules")
    assert studio.run(*call).status == 0
    (studio.folder / "studio.rules").unlink()
    found = studio.run(*call)
    assert (found.status, found.out) == (2, "")
    assert "studio.rules: there is no such file" in found.err


def test_the_day_counts_where_an_acceptance_has_one(judged, studio, plan, monkeypatch):
    text = plan + 'accept house.base-iso for "Both", because "postcards", until 2026-06-30\n'
    studio.write("plan.shoot", text)
    call = ("plan.shoot", "--rules", "studio.rules")
    for today, asked in (("2026-06-01", 1), ("2026-06-30", 0), ("2026-07-01", 1), ("2031-01-01", 0), ("2026-06-29", 1)):
        monkeypatch.setenv("SHOOTLINT_TODAY", today)
        assert len(judged(*call)) == asked, today


def test_the_day_does_not_count_otherwise(judged, studio, plan, monkeypatch):
    studio.write("plan.shoot", plan + 'accept house.base-iso for "Both", because "postcards"\n')
    call = ("plan.shoot", "--rules", "studio.rules")
    for today, asked in (("2026-06-01", 1), ("2040-07-01", 0)):
        monkeypatch.setenv("SHOOTLINT_TODAY", today)
        assert len(judged(*call)) == asked, today


def test_a_day_that_is_none_is_told_though_the_plan_is_known(studio, monkeypatch):
    assert studio.run("check", "plan.shoot").status == 0
    monkeypatch.setenv("SHOOTLINT_TODAY", "tomorrow")
    assert studio.run("check", "plan.shoot").status == 2


def test_another_state_of_the_program_counts(judged, monkeypatch):
    assert judged("plan.shoot") == ["plan.shoot"]
    monkeypatch.setattr(store, "program", lambda: ["another one"])
    assert judged("plan.shoot") == ["plan.shoot"]


def test_the_program_is_known_by_all_of_its_files(tmp_path, monkeypatch):
    """A rule, a grammar or a line of code that differs is another program, though its version be the same."""
    before = store.program()
    assert store.program() == before
    import shootlint

    copy = tmp_path / "shootlint"
    shutil.copytree(Path(shootlint.__file__).parent, copy)
    monkeypatch.setattr(shootlint, "__path__", [str(copy)])
    assert store.program() == before
    for name in ("physics/optics.py", "reports/report.schema.json"):
        changed = copy / name
        content = changed.read_bytes()
        changed.write_bytes(content + b" ")
        assert store.program() != before, name
        changed.write_bytes(content)
    (copy / "more.py").write_text("")
    assert store.program() != before


def test_installed_packages_count(judged, tmp_path, monkeypatch):
    assert judged("plan.shoot") == ["plan.shoot"]
    (tmp_path / "site" / "tzdata-2099.1.dist-info").mkdir(parents=True)
    monkeypatch.syspath_prepend(tmp_path / "site")
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []


def test_the_zone_s_own_file_counts(judged, studio, tmp_path, monkeypatch):
    import zoneinfo

    from shootlint.language import clocks

    folder = tmp_path / "zones"
    zone = folder / "Europe" / "Copenhagen"
    from importlib.resources import files

    content = files("tzdata").joinpath("zoneinfo/Europe/Copenhagen").read_bytes()
    monkeypatch.setattr(zoneinfo, "TZPATH", (str(tmp_path / "none"), str(folder)))
    clocks.zone.cache_clear()
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []
    zone.parent.mkdir(parents=True)
    zone.write_bytes(content)
    assert judged("plan.shoot") == ["plan.shoot"]
    zone.write_bytes(files("tzdata").joinpath("zoneinfo/Europe/Helsinki").read_bytes())
    assert judged("plan.shoot") == ["plan.shoot"]


def test_any_new_option_counts():
    """An option that has a say in verdicts is not to be forgotten: those that have none are listed, and no other."""
    import argparse

    from shootlint.commands import check

    parser = argparse.ArgumentParser()
    check.add_arguments(parser)
    plain = vars(parser.parse_args(["plan.shoot"]))
    assert set(plain) >= store.NOT_ASKED - {"command"}
    usual = store.opened(plain, "2026-06-01")
    assert usual is not None
    for name in plain:
        other = store.opened({**plain, name: "another"}, "2026-06-01")
        assert other is not None
        assert (other.judging == usual.judging) == (name in store.NOT_ASKED), name
    assert store.opened({**plain, "trials": 1000}, "2026-06-01").judging != usual.judging


def test_where_the_call_is_made_counts(studio, judged, monkeypatch):
    studio.write("plans/plan.shoot", (studio.folder / "plan.shoot").read_bytes())
    studio.write("house.rules", (studio.folder / "studio.rules").read_bytes().replace(b"iso <= 200", b"isoo <= 200"))
    assert judged("plans/plan.shoot") == ["plans/plan.shoot"]
    monkeypatch.chdir(studio.folder / "plans")
    # Messages name the house's file from here.
    assert judged("plan.shoot") == ["plan.shoot"]


def test_what_was_judged_without_margins_is_judged_again_for_them(judged):
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot", "--margins") == ["plan.shoot"]
    assert judged("plan.shoot", "--margins") == []
    assert judged("plan.shoot") == []


def test_kits_in_a_folder_are_known_to_be_none(judged, studio, with_kits):
    assert judged(".") == ["plan.shoot", "kit/body.shoot", "kit/lens.shoot"]
    assert judged(".") == []
    assert judged("kit/body.shoot") == []


def test_mistakes_are_kept_and_what_is_no_text_is_not(judged, studio, broken):
    studio.write("plan.shoot", broken)
    studio.write("binary.shoot", b"\0")
    assert judged(".") == ["binary.shoot", "plan.shoot"]
    assert judged(".") == ["binary.shoot"]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda content: b"",
        lambda content: content[:-1],
        lambda content: content[: len(content) // 2],
        lambda content: content + b" ",
        lambda content: content.replace(b"plan.shoot", b"plan.shoop"),
        lambda content: os.urandom(len(content)),
        lambda content: b"\0" * 10_000_000,
        lambda content: signed(b"null"),
        lambda content: signed(b"not json"),
        lambda content: signed(b"\xff"),
        lambda content: signed(b"[" * 100_000),
        lambda content: signed(b'["2026-01-01", [], [], ["plan.shoot"]]'),
        lambda content: signed(b'["2026-01-01", [], [["a", "b"]], []]'),
        lambda content: signed(b'["2026-01-01", [1], [], []]'),
        lambda content: signed(b'["2026-01-01", [], [["\\u0000", "b", "c"]], []]'),
    ],
)
def test_a_damaged_or_foreign_record_is_written_anew(judged, records, spoil):
    judged("plan.shoot")
    (record,) = records()
    good = record.read_bytes()
    record.write_bytes(spoil(good))
    assert judged("plan.shoot") == ["plan.shoot"]
    assert json.loads(record.read_bytes().partition(b"\n")[2])[1:] == json.loads(good.partition(b"\n")[2])[1:]
    assert judged("plan.shoot") == []


def signed(text):
    """Text as a record whose digest is right."""
    return sha256(text).hexdigest().encode() + b"\n" + text


@given(st.binary(max_size=300), st.booleans())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_record_whatever_is_in_it_stops_a_run(tmp_path, content, right):
    plan = tmp_path / "plan.shoot"
    plan.write_bytes(b"shootplan 1\n")
    found = store.Store(str(tmp_path), "", "2026-06-01")
    Path(tmp_path, found.key(str(plan), b"shootplan 1\n")).write_bytes(signed(content) if right else content)
    assert found.find(str(plan)) is None


def test_a_record_that_is_a_link_is_not_followed(judged, records, tmp_path):
    judged("plan.shoot")
    (record,) = records()
    outside = tmp_path / "outside"
    record.rename(outside)
    record.symlink_to(outside)
    before = outside.read_bytes()
    assert judged("plan.shoot") == ["plan.shoot"]
    assert not record.is_symlink()
    assert outside.read_bytes() == before


def test_a_record_that_is_a_pipe_or_a_folder_does_not_hang(judged, records):
    judged("plan.shoot")
    (record,) = records()
    record.unlink()
    os.mkfifo(record)
    assert judged("plan.shoot") == ["plan.shoot"]
    assert judged("plan.shoot") == []
    record.unlink()
    record.mkdir()
    assert judged("plan.shoot") == ["plan.shoot"]


def test_records_are_for_their_owner_alone(judged, records):
    mask = os.umask(0)
    try:
        judged("plan.shoot")
    finally:
        os.umask(mask)
    (record,) = records()
    assert stat.S_IMODE(record.stat().st_mode) == 0o600
    assert stat.S_IMODE(record.parent.stat().st_mode) == 0o700
    assert stat.S_IMODE(record.parent.parent.stat().st_mode) == 0o700
    record.parent.chmod(0o777)
    judged("plan.shoot")
    assert stat.S_IMODE(record.parent.stat().st_mode) == 0o700


def test_a_folder_of_somebody_else_is_not_used(judged, records, monkeypatch):
    judged("plan.shoot")
    monkeypatch.setattr(os, "geteuid", lambda: 54321)
    assert judged("plan.shoot") == ["plan.shoot"]
    assert len(records()) == 1


def test_a_link_in_the_place_of_the_folder_is_not_used(studio, judged, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache/shootlint").symlink_to(tmp_path / "elsewhere")
    assert judged("plan.shoot") == judged("plan.shoot") == ["plan.shoot"]
    assert not any((tmp_path / "elsewhere").iterdir())


@pytest.mark.parametrize("what", ["a file", "no rights", "a full disk"])
def test_without_a_folder_to_write_in_it_goes_on_without(studio, judged, tmp_path, monkeypatch, what):
    if what == "a file":
        (tmp_path / "cache").write_text("")
    else:
        where = "mkdir" if what == "no rights" else "replace"

        def refuse(*_, **__):
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(store.os, where, refuse)
    assert judged("plan.shoot") == judged("plan.shoot") == ["plan.shoot"]
    found = studio.run("check", "plan.shoot")
    assert (found.status, found.err) == (0, "")
    folder = tmp_path / "cache" / "shootlint"
    assert not folder.exists() or not any(folder.iterdir())


def test_no_cache_neither_reads_nor_writes(studio, records, monkeypatch):
    studio.run("check", "plan.shoot", "--no-cache")
    assert records() == []

    def refuse(*_):
        raise AssertionError("the store was opened")

    monkeypatch.setattr(store, "opened", refuse)
    assert studio.run("check", "plan.shoot", "--no-cache").status == 0


def test_standard_input_is_not_kept(studio, plan, records):
    for _ in range(2):
        assert studio.start("check", "-", given=plan.encode()).status == 0
    assert records() == []


@pytest.mark.parametrize(
    ("environment", "folder"),
    [
        ({"XDG_CACHE_HOME": "/x"}, "/x/shootlint"),
        ({"XDG_CACHE_HOME": "relative", "HOME": "/home/her"}, "/home/her/.cache/shootlint"),
        ({"XDG_CACHE_HOME": "", "HOME": "/home/her"}, "/home/her/.cache/shootlint"),
        ({"HOME": "relative"}, None),
    ],
)
def test_where_records_lie(environment, folder, monkeypatch):
    # XDG Base Directory Specification 0.8: $HOME/.cache where the variable is not set, empty or not absolute.
    monkeypatch.setattr(store.sys, "platform", "linux")
    monkeypatch.delenv("XDG_CACHE_HOME")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert store.place() == folder


def test_the_longest_unused_go_when_there_are_too_many(studio, plan, judged, records, monkeypatch):
    monkeypatch.setattr(store, "MOST_RECORDS", 8)
    for number in range(8):
        studio.write(f"plans/{number}.shoot", plan)
    judged("plans")
    assert len(records()) == 8
    old = time.time() - 10 * store.DAY
    for record in records():
        os.utime(record, (old, old))
    assert judged("plans/3.shoot") == []
    assert judged("plan.shoot") == ["plan.shoot"]
    assert len(records()) == 6
    assert judged("plans/3.shoot", "plan.shoot") == []


def test_large_records_go_when_they_fill_the_room(studio, judged, records, monkeypatch):
    judged("plan.shoot")
    (record,) = records()
    monkeypatch.setattr(store, "MOST_BYTES", record.stat().st_size)
    studio.write("second.shoot", (studio.folder / "plan.shoot").read_bytes())
    judged("second.shoot")
    assert len(records()) <= 1


def test_many_runs_at_once_never_see_half_a_record(studio, tmp_path):
    """Four write and four read the same two records; whatever is found is whole."""
    studio.run("check", "plan.shoot")
    (path,) = (tmp_path / "cache" / "shootlint").iterdir()
    record = store.Store(str(path.parent), "", "2026-06-01")
    plan = studio.folder / "plan.shoot"
    known = json.loads(path.read_bytes().partition(b"\n")[2])
    from shootlint.reports.records import PlanRecord, rebuilt

    told = [rebuilt(known[3], PlanRecord)._replace(title=letter * 50_000) for letter in "ab"]
    end, found, faults = time.monotonic() + 1, [], []

    def write(which):
        while time.monotonic() < end:
            record.keep(str(plan), plan.read_bytes(), told[which], [], [])

    def read():
        while time.monotonic() < end:
            try:
                found.append(record.find(str(plan)))
            except Exception as error:
                faults.append(error)

    threads = [threading.Thread(target=write, args=(each % 2,)) for each in range(4)] + [
        threading.Thread(target=read) for _ in range(4)
    ]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert not faults
    assert len(found) > 10
    assert all(each is None or each in told for each in found)
    assert sum(each is None for each in found) <= 4
    assert sorted(each.name for each in path.parent.iterdir()) == sorted({path.name, record.key(str(plan), plan.read_bytes())})
