"""Which folders belong to a plan. Nothing heavy is imported here."""

from __future__ import annotations

from pathlib import Path


def root_of(path: Path) -> Path:
    """The folder that the kits of a plan, or what a rule file uses, may not leave."""
    folder = path.parent
    return next((each for each in (folder, *folder.parents) if (each / ".git").exists()), folder)
