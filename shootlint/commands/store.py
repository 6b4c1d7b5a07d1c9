"""Verdicts kept from earlier runs, so that a plan is judged again only when something that its verdict rests on has changed.

A record lies under a key made of the plan's bytes, its path, where its house.rules is looked for, the program's own files,
the installed packages and the options of the call. What else it rests on (kits, rule files, time zones, the files of
packages, and the day where an acceptance has one) is known only when the plan has been read; the record names it, and is
good only where all of it is still as it was. Nothing heavy is imported here: a run that finds all its plans in the store
parses nothing.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
import time
from collections.abc import Iterable
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any, NamedTuple

from shootlint.language.source import LARGEST_FILE
from shootlint.reports.records import PlanRecord, rebuilt

MOST_RECORDS = 10_000
MOST_BYTES = 100_000_000
"""Past one of these, the records that were not used for longest are thrown away until a quarter of the room is free."""
LARGEST_RECORD = 2_000_000
MOST_FILES_OF_PACKAGE = 2000
DAY = 24 * 60 * 60
NOT_ASKED = frozenset({"command", "paths", "report", "fail_on", "jobs", "cache", "watch", "known", "changed_since"})
"""The options of `check` that have no say in a verdict; any other one has, so that a new one is not forgotten."""


class Basis(NamedTuple):
    """Something that a verdict rests on: a path, where its links lead, and a digest of what is there."""

    path: str
    real: str
    digest: str
    """Empty where there is nothing."""


class Store:
    """The records in one folder.

    Parameters
    ----------
    folder : where they lie.
    judging : what is the same for all plans of a call and has a say in their verdicts, as a digest.
    today : the day on which acceptances are asked whether they are still good, as in 2026-11-24.
    """

    def __init__(self, folder: str, judging: str, today: str) -> None:
        self.folder = folder
        self.judging = judging
        self.today = today
        self._bases: dict[str, Basis | None] = {}
        self._around: dict[str, tuple[str, str]] = {}

    def find(self, file: str) -> PlanRecord | None:
        """What is known of a plan as it lies there now; None where it has to be judged."""
        content = ordinary(file, LARGEST_FILE)
        text = self._read(self.key(file, content)) if content is not None else None
        if text is None:
            return None
        try:
            then, days, bases, plan = json.loads(text)
            good = all((day < self.today) == (day < then) for day in days) and all(
                self.basis(path) == Basis(path, real, told) for path, real, told in bases
            )
            return rebuilt(plan, PlanRecord) if good else None
        except (ValueError, TypeError, RecursionError):
            return None

    def keep(self, file: str, content: bytes, record: PlanRecord, bases: Iterable[Basis], days: Iterable[str]) -> None:
        """Keeps what came of a plan. Where that cannot be done it is judged again the next time, and no more is lost."""
        text = json.dumps([self.today, sorted(days), sorted(set(bases)), record], separators=(",", ":")).encode()
        if len(text) < LARGEST_RECORD:
            with contextlib.suppress(OSError):
                self._write(self.key(file, content), text)

    def key(self, file: str, content: bytes) -> str:
        real = os.path.realpath(file)
        return digest(json.dumps([self.judging, file, real, *self._looked_for(real), digest(content)]).encode())

    def _looked_for(self, real: str) -> tuple[str, str]:
        """The root of a plan's folder and its house.rules: which they are hangs on files that may come or go."""
        folder = os.path.dirname(real)
        if folder not in self._around:
            from shootlint.language.folders import root_of
            from shootlint.rulebook.house import house_file

            self._around[folder] = str(root_of(Path(real))), str(house_file(Path(real)) or "")
        return self._around[folder]

    def basis(self, path: str) -> Basis | None:
        """What is at a path now, looked at once in a run; None where it is too much to look at."""
        if path not in self._bases:
            try:
                self._bases[path] = Basis(path, os.path.realpath(path), _digest_of(path))
            except (OSError, ValueError):
                self._bases[path] = None
        return self._bases[path]

    def _read(self, key: str) -> bytes | None:
        path = os.path.join(self.folder, key)
        content = ordinary(path, LARGEST_RECORD, follow=False)
        told, _, text = (content or b"").partition(b"\n")
        if told != digest(text).encode():
            return None
        with contextlib.suppress(OSError):
            # Marked as used, though not at each use.
            if time.time() - os.stat(path).st_mtime > DAY:
                os.utime(path)
        return text

    def _write(self, key: str, text: bytes) -> None:
        from tempfile import mkstemp

        handle, temporary = mkstemp(dir=self.folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(digest(text).encode() + b"\n" + text)
            os.replace(temporary, os.path.join(self.folder, key))
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(temporary)
            raise

    def thin_out(self) -> None:
        """Throws the records away that were not used for longest, where there are too many."""
        found = []
        with contextlib.suppress(OSError), os.scandir(self.folder) as entries:
            for entry in entries:
                with contextlib.suppress(OSError):
                    told = entry.stat(follow_symlinks=False)
                    found.append((told.st_mtime, told.st_size, entry.path))
        count, size = len(found), sum(each for _, each, _ in found)
        if count <= MOST_RECORDS and size <= MOST_BYTES:
            return
        for _, own, path in sorted(found):
            if count <= MOST_RECORDS * 3 // 4 and size <= MOST_BYTES * 3 // 4:
                return
            count, size = count - 1, size - own
            with contextlib.suppress(OSError):
                os.unlink(path)


def opened(options: dict[str, Any], today: str) -> Store | None:
    """The store of verdicts for a call with these options; None where there is no folder for it that is ours alone."""
    folder = place()
    if folder is None:
        return None
    try:
        _make(folder)
        told = os.stat(folder, follow_symlinks=False)
        if not stat.S_ISDIR(told.st_mode) or (hasattr(os, "geteuid") and told.st_uid != os.geteuid()):
            return None
        if stat.S_IMODE(told.st_mode) & 0o077:
            os.chmod(folder, 0o700)
        judging = [program(), installed(), sys.version, sys.platform, getattr(os, "uname", lambda: ("",))()[-1]]
        asked = {name: value for name, value in options.items() if name not in NOT_ASKED}
        surroundings = [os.getcwd(), os.environ.get("PYTHONTZPATH")]
        return Store(folder, digest(json.dumps([judging, asked, surroundings], sort_keys=True).encode()), today)
    except (OSError, ValueError, TypeError):
        return None


def place() -> str | None:
    """The folder of our own in the one that the system has for such things.

    By the XDG Base Directory Specification where nothing else is usual; as it says, a path that is not absolute is none.
    """
    told = os.environ.get("XDG_CACHE_HOME", "")
    if not os.path.isabs(told):
        usual = {"win32": os.environ.get("LOCALAPPDATA", "~"), "darwin": "~/Library/Caches"}
        told = os.path.expanduser(usual.get(sys.platform, "~/.cache"))
    return os.path.join(told, "shootlint") if os.path.isabs(told) else None


def _make(folder: str) -> None:
    """Makes a folder and those above it that are missing, for their owner alone."""
    if not os.path.isdir(folder):
        if os.path.dirname(folder) != folder:
            _make(os.path.dirname(folder))
        with contextlib.suppress(FileExistsError):
            os.mkdir(folder, 0o700)


def digest(content: bytes) -> str:
    return sha256(content).hexdigest()


def ordinary(path: str, largest: int, follow: bool = True) -> bytes | None:
    """What is in a file; None where it is not an ordinary one that can be read, or is too large."""
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags | (0 if follow else getattr(os, "O_NOFOLLOW", 0)))
    except (OSError, ValueError):
        return None
    try:
        told = os.fstat(handle)
        if not stat.S_ISREG(told.st_mode) or told.st_size > largest:
            return None
        with open(handle, "rb", closefd=False) as file:
            return file.read()
    except OSError:
        return None
    finally:
        os.close(handle)


def _digest_of(path: str) -> str:
    """A digest of a file, or of all files below a folder and their names; empty where there is nothing.

    Raises ValueError where that is too much to read each time.
    """
    if not os.path.isdir(path):
        content = ordinary(path, LARGEST_FILE)
        if content is None and os.path.lexists(path):
            raise ValueError(f"{path} cannot be read")
        return "" if content is None else digest(content)
    found: list[tuple[str, str, str]] = []
    for folder, folders, files in os.walk(path):
        folders[:] = sorted(each for each in folders if each != "__pycache__")
        for file in sorted(files):
            content = ordinary(os.path.join(folder, file), LARGEST_FILE)
            if content is None or len(found) == MOST_FILES_OF_PACKAGE:
                raise ValueError(f"{path} is too large")
            found.append((os.path.relpath(folder, path), file, digest(content)))
    return digest(json.dumps(found).encode())


def program() -> list[str]:
    """Digests of all our own files, so that a verdict of another state of the program is none of this one's."""
    modules = map(import_module, ("shootlint", "shootlint.grammar", "shootlint.rules"))
    return [_digest_of(folder) for module in modules for folder in module.__path__]


def installed() -> list[str]:
    """The installed packages with their versions, as the folders of their metadata are called."""
    return [
        name
        for folder in sys.path
        if os.path.isdir(folder)
        for name in sorted(os.listdir(folder))
        if name.endswith((".dist-info", ".egg-info"))
    ]
