"""tidy: what it changes, what it leaves alone byte for byte, and what it says."""

from __future__ import annotations

import errno
import os
import stat

import pytest

from shootlint.commands import writing

LOOSE = 'shootplan   1\ntitle "A"   # why\n\n\n\npeople {\n"Al" stature 170cm\n}'
TIDY = 'shootplan 1\ntitle "A"'.ljust(53 + 12) + '# why\n\npeople {\n  "Al" stature 170 cm\n}\n'


@pytest.fixture
def loose(studio):
    """A plan that is not tidy, alone in a folder."""
    return studio.write("plans/loose.shoot", LOOSE)


def test_a_file_is_tidied_in_place_and_the_second_run_changes_nothing(studio, loose):
    found = studio.run("tidy", "plans/loose.shoot")
    assert (found.status, found.err) == (0, "")
    assert found.lines == ["plans/loose.shoot: tidied", "1 file, 1 tidied, 0 refused"]
    assert loose.read_text() == TIDY
    before = loose.stat()
    found = studio.run("tidy", "plans/loose.shoot")
    assert (found.status, found.lines) == (0, ["1 file, 0 tidied, 0 refused"])
    assert (loose.stat().st_ino, loose.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns), "it was not even written"


def test_verify_tells_and_writes_nothing(studio, loose):
    found = studio.run("tidy", "--verify", "plans")
    assert found.status == 1
    assert found.lines == ["plans/loose.shoot:1: not tidy", "1 file, 1 not tidy, 0 refused"]
    assert loose.read_text() == LOOSE
    studio.run("tidy", "plans")
    assert studio.run("tidy", "--verify", "plans").status == 0


def test_verify_tells_the_first_line_that_would_change(studio):
    studio.write("a.shoot", "shootplan 1\n# c\n\n title 3\n")
    assert studio.run("tidy", "--verify", "a.shoot").lines[0] == "a.shoot:4: not tidy"
    studio.write("a.shoot", "shootplan 1\n# c")
    assert studio.run("tidy", "--verify", "a.shoot").lines[0] == "a.shoot:2: not tidy"


def test_a_folder_means_every_plan_and_rule_file_below_it(studio):
    named = ["b.shoot", "sub/a.rules", "sub/deep/a.shoot"]
    other = [".hidden.shoot", ".trash/a.shoot", "sub/notes.txt"]
    outside = studio.write("outside.shoot", LOOSE)
    for name in (*named, *other):
        studio.write(f"all/{name}", "level  a.b   note" if name.endswith(".rules") else LOOSE)
    (studio.folder / "all/link.shoot").symlink_to("../outside.shoot")
    (studio.folder / "all/folder").symlink_to("..")
    found = studio.run("tidy", "all")
    assert found.lines == [*(f"all/{name}: tidied" for name in named), "3 files, 3 tidied, 0 refused"]
    assert outside.read_text() == LOOSE
    for name in other:
        assert (studio.folder / "all" / name).read_text() == LOOSE


def test_each_file_is_tidied_once_under_whatever_names(studio, loose):
    assert studio.run("tidy", "plans/loose.shoot", "plans", "./plans/loose.shoot").counts == "1 file, 1 tidied, 0 refused"


def test_a_folder_without_files_is_told(studio):
    (studio.folder / "empty").mkdir()
    found = studio.run("tidy", "empty")
    assert found.status == 2
    assert found.err == "empty: error: there is no plan and no rule file below this folder\n"


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        (LOOSE, TIDY),
        ("rule  a.b{level error}", "rule a.b { level error }\n"),
        ('level a.b   note\nrulebook  "A"', 'level a.b note\nrulebook "A"\n'),
        ("", ""),
    ],
)
def test_standard_input_goes_to_standard_output_whichever_language_it_is(studio, given, wanted):
    found = studio.start("tidy", "-", given=given.encode())
    assert (found.status, found.out) == (0, wanted)
    assert found.err.splitlines()[-1] == f"1 file, {int(given != wanted)} tidied, 0 refused"


def test_standard_input_that_is_broken_gives_no_output(studio):
    found = studio.start("tidy", "-", given=b"people {\n")
    assert (found.status, found.out) == (2, "")
    assert found.err.splitlines() == [
        "standard input:1:8: error: this block is not closed; a } is missing",
        "1 file, 0 tidied, 1 refused",
    ]


def test_standard_input_is_verified_without_output(studio):
    found = studio.start("tidy", "--verify", "-", given=LOOSE.encode())
    assert (found.status, found.out) == (1, "standard input:1: not tidy\n1 file, 1 not tidy, 0 refused\n")


def test_bytes_of_standard_input_keep_their_mark_and_line_ends(studio):
    import subprocess
    import sys

    command = [sys.executable, "-m", "shootlint.commands.main", "tidy", "-"]
    given = b'\xef\xbb\xbfshootplan  1\r\ntitle "\xc3\xa9"\r\n'
    done = subprocess.run(command, input=given, capture_output=True, cwd=studio.folder, check=False)
    assert done.stdout == given.replace(b"  ", b" ")


def test_mark_and_line_ends_of_a_file_are_kept(studio):
    file = studio.write("a.shoot", b"\xef\xbb\xbfshootplan  1\r\n# \xc3\xa9 \r\n")
    assert studio.run("tidy", "a.shoot").status == 0
    assert file.read_bytes() == b"\xef\xbb\xbfshootplan 1\r\n# \xc3\xa9\r\n"


@pytest.mark.parametrize("text", [b"", b"shootplan 1\n", b"# only a comment\n"])
def test_a_file_with_next_to_nothing_in_it_is_left_as_it_is(studio, text):
    file = studio.write("a.shoot", text)
    assert studio.run("tidy", "a.shoot").status == 0
    assert file.read_bytes() == text


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("a.shoot", b"shootplan  1\npeople {\n", "a.shoot:2:8: error: this block is not closed; a } is missing"),
        ("a.rules", b"rule a.b {\n require  a <\n}\n", "a.rules:2:"),
        ("a.shoot", b'shootplan  1\ntitle "\xff"\n', "a.shoot: error: line 2 is not UTF-8 text; save the file as UTF-8"),
        ("a.shoot", b"shootplan  1\0\n", "a.shoot: error: the file is binary, not text"),
        ("a.shoot", b"# " + b"x" * 1_000_000, "a.shoot: error: the file is larger than"),
        ("a.shoot", b'shootplan  1\rtitle "A"\r', "a.shoot:1:13: error: a carriage return stands alone"),
    ],
)
def test_what_cannot_be_read_is_left_alone_byte_for_byte_and_the_rest_is_tidied(studio, loose, name, content, told):
    file = studio.write(name, content)
    before = file.stat()
    found = studio.run("tidy", name, "plans")
    assert found.status == 2
    assert found.err.startswith(told)
    assert found.lines == ["plans/loose.shoot: tidied", "2 files, 1 tidied, 1 refused"]
    assert file.read_bytes() == content and file.stat().st_mtime_ns == before.st_mtime_ns
    assert studio.run("tidy", "--verify", name).status == 2


def test_a_file_that_is_not_there_is_told(studio):
    found = studio.run("tidy", "none.shoot")
    assert (found.status, found.err) == (2, "none.shoot: error: there is no such file\n")


def test_mistakes_of_meaning_are_no_hindrance(studio):
    file = studio.write("a.shoot", 'shootplan 1\ncamera  "Nobody" {\n    iso lots\n   }\nfocus on\n')
    assert studio.run("tidy", "a.shoot").status == 0
    assert file.read_text() == 'shootplan 1\ncamera "Nobody" {\n  iso     lots\n}\nfocus on\n'


def test_the_mode_is_kept_and_a_link_that_is_named_stays_a_link(studio, loose):
    loose.chmod(0o640)
    link = studio.folder / "today.shoot"
    link.symlink_to("plans/loose.shoot")
    assert studio.run("tidy", "today.shoot").lines[0] == "today.shoot: tidied"
    assert link.is_symlink() and loose.read_text() == TIDY
    assert stat.S_IMODE(loose.stat().st_mode) == 0o640
    assert os.listdir(loose.parent) == ["loose.shoot"]


def test_a_read_only_file_is_told_and_left_alone(studio, loose):
    loose.chmod(0o444)
    found = studio.run("tidy", "plans")
    assert (found.status, found.err) == (2, "plans/loose.shoot: error: the file cannot be written: the file is read-only\n")
    assert loose.read_text() == LOOSE and os.listdir(loose.parent) == ["loose.shoot"]


def test_a_full_disk_is_told_and_the_file_left_alone(studio, loose, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(writing.os, "fsync", full)
    found = studio.run("tidy", "plans")
    assert (found.status, found.err) == (
        2,
        "plans/loose.shoot: error: the file cannot be written: No space left on device\n",
    )
    assert loose.read_text() == LOOSE and os.listdir(loose.parent) == ["loose.shoot"]


def test_a_file_that_somebody_saves_meanwhile_is_left_as_they_saved_it(studio, loose, monkeypatch):
    sync = os.fsync

    def slow(handle):
        loose.write_text("shootplan 1\n# saved meanwhile\n")
        sync(handle)

    monkeypatch.setattr(writing.os, "fsync", slow)
    found = studio.run("tidy", "plans")
    assert found.status == 2
    assert found.err == "plans/loose.shoot: error: the file has changed since it was read; nothing was written\n"
    assert loose.read_text() == "shootplan 1\n# saved meanwhile\n" and os.listdir(loose.parent) == ["loose.shoot"]


def test_two_runs_at_once_leave_every_file_whole(studio):
    import subprocess
    import sys

    for at in range(40):
        studio.write(f"many/{at}.shoot", LOOSE)
    command = [sys.executable, "-m", "shootlint.commands.main", "tidy", "many"]
    runs = [
        subprocess.Popen(command, cwd=studio.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    told = [run.communicate() for run in runs]
    assert sum(out.count(": tidied") for out, _ in told) == 40
    assert all("has changed since it was read" in line for _, err in told for line in err.splitlines())
    assert sorted(os.listdir(studio.folder / "many")) == sorted(f"{at}.shoot" for at in range(40))
    assert {path.read_text() for path in (studio.folder / "many").iterdir()} == {TIDY}


def test_a_layout_that_would_change_anything_is_not_written(studio, loose, monkeypatch):
    from shootlint.language.formatting import Formatter

    lay_out = Formatter.text
    monkeypatch.setattr(Formatter, "text", lambda self: lay_out(self).replace("170", "171"))
    found = studio.run("tidy", "plans")
    assert found.status == 2
    assert found.err == (
        "plans/loose.shoot: error: tidied, its words and comments would not be the same; please report this; nothing was written\n"
    )
    assert loose.read_text() == LOOSE
