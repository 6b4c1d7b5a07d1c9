"""Where a house's own rules are found. Nothing heavy is imported here."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from shootlint.language.folders import root_of
from shootlint.language.source import Unreadable

HOUSE_FILE = "house.rules"


def house_file(plan: Path) -> Path | None:
    """The nearest house.rules in the folder of a plan or above it, within its repository where it is in one."""
    root = root_of(plan)
    within = (root / ".git").exists()
    for folder in plan.parents:
        candidate = folder / HOUSE_FILE
        if candidate.is_file():
            return candidate
        if within and folder == root:
            return None
    return None


def refuse_foreign(file: Path, plan: Path) -> None:
    """Raises Unreadable where a plan's house.rules is surely none of the plan's house: a link that leads out of the repository,
    so that whoever proposes a change could have any file of the machine read, or somebody else's file in a folder where
    everybody may put one, such as the system's folder for temporary files."""
    root = root_of(plan)
    if (root / ".git").exists() and not file.resolve().is_relative_to(root.resolve()):
        raise Unreadable("it is a link that leads out of the repository; put the file itself there, or name it with --rules")
    if not hasattr(os, "geteuid"):
        return
    try:
        everybody = os.stat(file.parent).st_mode & stat.S_IWOTH
        owner = os.lstat(file).st_uid
        ours = {0, os.geteuid(), *([os.stat(plan).st_uid] if plan.exists() else [])}
    except OSError as error:
        raise Unreadable(f"it cannot be looked at: {error.strerror}") from None
    if everybody and owner not in ours:
        raise Unreadable("it is somebody else's, in a folder where everybody may put files; name it with --rules if it is meant")
