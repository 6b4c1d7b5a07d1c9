"""Writes what every kind of report of `check` says of every plan in plans/, for tests to compare with.

    python -m tests.golden

writes tests/golden/PLAN.KIND afresh; the diff then shows what a change makes the reports say.
"""

from __future__ import annotations

import contextlib
import os
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from shootlint.commands.arguments import kinds, renderer
from shootlint.commands.many import run_over

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
TODAY = "2026-05-01"
"""The day on which acceptances are asked whether they are still good."""
FOR_PROGRAMS_ALONE = {"json"}
"""The kinds that are held to their schema and not looked at: they are long, and any number more changes them."""


def plans() -> list[str]:
    """The plans, as a call from the checkout's top folder names them; kits are none."""
    found = (path.relative_to(ROOT) for path in sorted((ROOT / "plans").rglob("*.shoot")))
    return [str(path) for path in found if path.parent.name != "kit"]


def golden_name(plan: str) -> str:
    return "-".join(Path(plan).with_suffix("").parts[1:])


def goldens(plan: str) -> Iterator[tuple[Path, str]]:
    """What each kind of report says of a plan, and the file in which that is kept."""
    with contextlib.chdir(ROOT), patch.dict(os.environ, SHOOTLINT_TODAY=TODAY):
        run = run_over(Namespace(paths=[plan], rules=[], margins=True, trials=None, seed=None, jobs=1, cache=False))
    for kind in sorted({*kinds()} - FOR_PROGRAMS_ALONE):
        render = renderer(kind)
        assert render is not None
        yield HERE / f"{golden_name(plan)}.{kind}", render(run)


def main() -> None:
    written = {}
    for plan in plans():
        written |= dict(goldens(plan))
    for old in {path for path in HERE.iterdir() if path.suffix != ".py" and path.is_file()} - written.keys():
        old.unlink()
    for path, text in written.items():
        path.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
