"""Where a house's own rules are found. Nothing heavy is imported here."""

from __future__ import annotations

from pathlib import Path

from shootlint.language.folders import root_of

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
