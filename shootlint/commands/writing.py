"""Writing of whole files: under another name beside the file first, then renamed, so that nobody ever finds half of one."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path


class ChangedMeanwhile(Exception):
    """The file no longer holds what was read from it. Its text says so, for a person."""


def rewrite(path: Path, before: bytes, after: bytes) -> None:
    """Puts other bytes into a file that holds `before`; its mode is kept, and a link to it stays a link.

    Raises ChangedMeanwhile where the file holds something else by now, and OSError where it cannot be written. In both cases
    the file is as it was, and nothing is left beside it.
    """
    target = os.path.realpath(path)
    found = os.stat(target)
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "this is not an ordinary file", target)
    # A file can be renamed over one that may not be written to, so the mode has to be asked.
    if not found.st_mode & 0o222 or not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "the file is read-only", target)
    with _beside(target, after, stat.S_IMODE(found.st_mode), found) as temporary, _alone_in(os.path.dirname(target)):
        if Path(target).read_bytes() != before:
            raise ChangedMeanwhile("the file has changed since it was read")
        os.replace(temporary, target)


def write_new(path: str, content: bytes) -> None:
    """Writes a file anew, whatever was in it; it gets the mode that new files get. Raises OSError, and leaves nothing."""
    target = os.path.realpath(path)
    umask = os.umask(0)
    os.umask(umask)
    with _beside(target, content, 0o666 & ~umask) as temporary:
        os.replace(temporary, target)


def create(files: Mapping[str, bytes]) -> None:
    """Makes files that are not there, with the folders that they want: all of them or none.

    Raises FileExistsError, with the name, where one is there, and OSError; what was made until then is taken away again.
    """
    umask = os.umask(0)
    os.umask(umask)
    for path in files:
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, "the file is there already", path)
    made: list[str] = []
    folders: list[str] = []
    try:
        for path, content in files.items():
            _make_folders(os.path.dirname(path), folders)
            with _beside(path, content, 0o666 & ~umask) as temporary:
                _put(temporary, path)
                made.append(path)
                with contextlib.suppress(FileNotFoundError):
                    os.unlink(temporary)
    except BaseException:
        for path in made:
            with contextlib.suppress(OSError):
                os.unlink(path)
        for folder in reversed(folders):
            with contextlib.suppress(OSError):
                os.rmdir(folder)
        raise


def _make_folders(folder: str, made: list[str]) -> None:
    """Makes a folder and those above it that are not there, and notes which."""
    if not folder or os.path.isdir(folder):
        return
    _make_folders(os.path.dirname(folder), made)
    os.mkdir(folder)
    made.append(folder)


def _put(temporary: str, path: str) -> None:
    """Gives a file its own name, which must not be there: a second name first, for renaming would write over what is."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise
    except OSError:
        # Some file systems have no second names; there an empty file of ours holds the place.
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        try:
            os.replace(temporary, path)
        except BaseException:
            os.unlink(path)
            raise


@contextlib.contextmanager
def _beside(target: str, content: bytes, mode: int, owner: os.stat_result | None = None) -> Iterator[str]:
    """The name of a hidden file in the same folder that holds the content, on the disk; it is gone after an error."""
    import tempfile

    folder, name = os.path.split(target)
    handle, temporary = tempfile.mkstemp(dir=folder, prefix=f".{name[:40]}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if owner is not None and hasattr(os, "chown"):
            # Only the superuser may give a file away; everyone else's files are theirs already.
            with contextlib.suppress(PermissionError):
                os.chown(temporary, owner.st_uid, owner.st_gid)
        os.chmod(temporary, mode)
        yield temporary
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    _sync_folder(folder)


def _sync_folder(folder: str) -> None:
    """Puts the new name on the disk, on systems where a folder can be asked to."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextlib.contextmanager
def _alone_in(folder: str) -> Iterator[None]:
    """Keeps other runs of this program out of a folder, so that none writes between our last look and the renaming."""
    try:
        from fcntl import LOCK_EX, flock
    except ImportError:
        # Only the look remains where the system has no such lock.
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        # Some network file systems have no locks.
        with contextlib.suppress(OSError):
            flock(handle, LOCK_EX)
        yield
    finally:
        os.close(handle)
