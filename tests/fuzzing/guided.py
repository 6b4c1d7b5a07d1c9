"""One process of a run guided by coverage: atheris tries inputs, and what they break is written down by its place.

    python -m tests.fuzzing.guided KIND FOLDER CORPUS [options of libFuzzer]

libFuzzer ends at the first failure of a process; here a failure is kept, with the smallest input that makes it, and the
run goes on.
"""

from __future__ import annotations

import random
import sys
import traceback
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["shootlint"]):
    from .promises import broken

from .damage import damaged
from .seeds import pieces


def main() -> None:
    kind, folder = sys.argv[1], Path(sys.argv[2])
    texts = [piece.decode("utf-8", "replace") for piece in pieces(kind)]

    def tried(content: bytes) -> None:
        error = broken(kind, content)
        if error is not None:
            keep(folder, content, error)

    def mutated(content: bytes, most: int, seed: int) -> bytes:
        draw = random.Random(seed)
        if draw.random() < 0.5:
            return atheris.Mutate(content, most)
        return damaged(content.decode("utf-8", "replace"), texts, draw).encode("utf-8", "replace")[:most]

    atheris.Setup([sys.argv[0], *sys.argv[3:]], tried, custom_mutator=mutated)
    atheris.Fuzz()


def keep(folder: Path, content: bytes, error: Exception) -> None:
    """Writes down what an input broke, unless a smaller one is known to break the same."""
    trace = traceback.extract_tb(error.__traceback__)
    last = next((each for each in reversed(trace) if "shootlint" in each.filename or "promises" in each.filename), trace[-1])
    name = f"{type(error).__name__}-{Path(last.filename).stem}-{last.lineno}"
    file = folder / f"{name}.input"
    if not file.exists() or len(content) < file.stat().st_size:
        file.write_bytes(content)
        (folder / f"{name}.txt").write_text("".join(traceback.format_exception(error)), "utf-8", errors="backslashreplace")


if __name__ == "__main__":
    main()
