"""Of a corpus that has grown, the fewest small files that reach as many lines of the program as all of it."""

from __future__ import annotations

import sys
from pathlib import Path
from types import FrameType
from typing import Any

from .promises import broken
from .seeds import CORPUS

MOST_FILES = 30
LARGEST = 300
"""Bytes of a file: what is kept is read by people in a diff."""


def reached(kind: str, content: bytes) -> frozenset[tuple[str, int]]:
    """The lines of the program that an input makes it run."""
    lines: set[tuple[str, int]] = set()

    def look(frame: FrameType, event: str, _: Any) -> Any:
        if "/shootlint/" not in frame.f_code.co_filename:
            return None
        if event == "line":
            lines.add((frame.f_code.co_filename, frame.f_lineno))
        return look

    before = sys.gettrace()
    sys.settrace(look)
    try:
        broken(kind, content)
    finally:
        sys.settrace(before)
    return frozenset(lines)


def keep(kind: str, corpus: Path) -> int:
    """Puts the best files of a corpus in the place of what is kept; returns how many they are."""
    contents = {path.read_bytes() for path in [*corpus.iterdir(), *(CORPUS / kind).iterdir()]}
    known = {content: reached(kind, content) for content in contents if len(content) <= LARGEST}
    chosen: list[bytes] = []
    missing = frozenset().union(*known.values())
    while missing and len(chosen) < MOST_FILES:
        # As much as it reaches anew counts, and a shorter one before a longer one.
        best = max(known, key=lambda each: (len(known[each] & missing) / (40 + len(each)), each))
        if not known[best] & missing:
            break
        chosen.append(best)
        missing -= known[best]
    for old in (CORPUS / kind).iterdir():
        old.unlink()
    for number, content in enumerate(chosen):
        (CORPUS / kind / f"{number:02d}").write_bytes(content)
    return len(chosen)
