"""A file is written whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from shootlint.commands import writing
from shootlint.commands.writing import ChangedMeanwhile, rewrite, write_new


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "evening.shoot"
    path.write_bytes(b"before")
    return path


def left(path: Path) -> list[str]:
    return sorted(os.listdir(path.parent))


def test_a_file_is_rewritten_and_keeps_its_mode(file):
    file.chmod(0o640)
    rewrite(file, b"before", b"after")
    assert file.read_bytes() == b"after"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert left(file) == ["evening.shoot"]


def test_a_link_stays_a_link_and_what_it_leads_to_is_rewritten(file, tmp_path):
    (tmp_path / "links").mkdir()
    link = tmp_path / "links" / "today.shoot"
    link.symlink_to("../evening.shoot")
    rewrite(link, b"before", b"after")
    assert link.is_symlink() and os.readlink(link) == "../evening.shoot"
    assert file.read_bytes() == b"after"
    assert left(link) == ["today.shoot"] and left(file) == ["evening.shoot", "links"]


def test_a_file_that_holds_something_else_by_now_is_left_alone(file):
    with pytest.raises(ChangedMeanwhile, match="has changed since it was read"):
        rewrite(file, b"earlier", b"after")
    assert file.read_bytes() == b"before" and left(file) == ["evening.shoot"]


def test_a_change_while_the_new_file_is_written_is_seen(file, monkeypatch):
    sync = os.fsync

    def slow(handle):
        file.write_bytes(b"somebody else's")
        sync(handle)

    monkeypatch.setattr(writing.os, "fsync", slow)
    with pytest.raises(ChangedMeanwhile):
        rewrite(file, b"before", b"after")
    assert file.read_bytes() == b"somebody else's" and left(file) == ["evening.shoot"]


@pytest.mark.parametrize("call", ["fsync", "chmod", "replace"])
def test_a_full_disk_leaves_the_file_and_nothing_beside_it(file, monkeypatch, call):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(writing.os, call, full)
    with pytest.raises(OSError, match="No space left"):
        rewrite(file, b"before", b"after")
    with pytest.raises(OSError, match="No space left"):
        write_new(str(file), b"after")
    assert file.read_bytes() == b"before" and left(file) == ["evening.shoot"]


def test_an_interruption_leaves_the_file_and_nothing_beside_it(file, monkeypatch):
    def interrupt(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(writing.os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        rewrite(file, b"before", b"after")
    assert file.read_bytes() == b"before" and left(file) == ["evening.shoot"]


def test_a_read_only_file_is_refused(file):
    file.chmod(0o444)
    with pytest.raises(PermissionError, match="read-only"):
        rewrite(file, b"before", b"after")
    assert file.read_bytes() == b"before" and left(file) == ["evening.shoot"]


def test_what_is_no_file_is_refused(tmp_path):
    with pytest.raises(OSError, match="not an ordinary file"):
        rewrite(tmp_path, b"", b"after")
    with pytest.raises(FileNotFoundError):
        rewrite(tmp_path / "none.shoot", b"", b"after")
    assert os.listdir(tmp_path) == []


def test_a_file_with_the_longest_name_is_rewritten(tmp_path):
    file = tmp_path / ("é" * 124 + ".shoot")
    file.write_bytes(b"before")
    rewrite(file, b"before", b"after")
    assert file.read_bytes() == b"after"


def test_of_two_runs_at_once_one_wins_and_the_other_is_told(file):
    """Each adds a byte to what it has read, again where it was refused; none is lost."""
    import subprocess
    import sys

    code = f"""
from pathlib import Path
from shootlint.commands.writing import ChangedMeanwhile, rewrite
path = Path({str(file)!r})
done = 0
while done < 50:
    before = path.read_bytes()
    try:
        rewrite(path, before, before + b".")
        done += 1
    except ChangedMeanwhile:
        pass
"""
    runs = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(2)]
    assert [run.wait() for run in runs] == [0, 0]
    assert file.read_bytes() == b"before" + b"." * 100
    assert left(file) == ["evening.shoot"]
