"""Which folders belong to a plan, and how a path is told. Nothing heavy is imported here."""

from __future__ import annotations

import os
from pathlib import Path


def root_of(path: Path) -> Path:
    """The folder that the kits of a plan, or what a rule file uses, may not leave."""
    folder = path.parent
    return next((each for each in (folder, *folder.parents) if (each / ".git").exists()), folder)


def stands_at(path: Path | None) -> Path:
    """Where a text stands: its file, or a name in the current folder where it is no file's."""
    return path if path is not None else Path.cwd() / "-"


def seen_from_here(path: Path) -> str:
    """A path as people know it: from the folder they are in, where it lies below it or beside a folder above it."""
    here = Path.cwd()
    if path.is_relative_to(here):
        return str(path.relative_to(here))
    return os.path.relpath(path, here) if here.is_relative_to(path.parent) else str(path)
