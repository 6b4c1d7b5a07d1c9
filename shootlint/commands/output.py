"""Where reports go: standard output or a file, the latter written under another name first and then renamed."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path


def wants_colour() -> bool:
    """Colour is for a terminal that can show it and a person who has not declined it (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write(path: str, text: str) -> None:
    """Writes a report; raises OSError with nothing half written."""
    if path == "-":
        sys.stdout.write(text)
        return
    target = Path(path)
    handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, target)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
