"""Writes the files that colour plans and rule files in editors, from the languages themselves.

python -m shootlint.commands.colouring.prepare           writes them
python -m shootlint.commands.colouring.prepare --verify  exits with 1 when they are out of date
"""

from __future__ import annotations

import sys
from pathlib import Path

from shootlint.commands.colouring import textmate, vim

FOLDER = Path(__file__).parent / "files"


def made() -> dict[str, str]:
    """All files by their paths below the folder that is shipped."""
    return {**textmate.files(), **vim.files()}


def main() -> int:
    wanted = made()
    there = {path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*") if path.is_file()}
    if "--verify" in sys.argv[1:]:
        current = there == set(wanted) and all((FOLDER / path).read_text("utf-8") == text for path, text in wanted.items())
        print(f"the colours are {'up to date' if current else 'out of date: run python -m shootlint.commands.colouring.prepare'}")
        return 0 if current else 1
    for path in there - set(wanted):
        (FOLDER / path).unlink()
    for path, text in wanted.items():
        (FOLDER / path).parent.mkdir(parents=True, exist_ok=True)
        (FOLDER / path).write_text(text, "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
