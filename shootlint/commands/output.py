"""Where what is said goes: standard output or a file."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterable

from shootlint.commands.writing import write_new
from shootlint.reports.visible import visible


def prepare() -> None:
    """Makes standard output one that takes every text, so that the bytes do not depend on the place where we run."""
    if sys.stdout is None:
        # The caller has closed it; the exit status still tells what was found.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None:
        # A terminal keeps the encoding that it can show; a file or a pipe gets UTF-8.
        reconfigure(encoding=None if sys.stdout.isatty() else "utf-8", errors="backslashreplace")


def wants_colour() -> bool:
    """Colour is for a terminal that can show it and a person who has not declined it (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def say(lines: Iterable[str]) -> None:
    """Prints lines, with nothing in them that could do anything to a terminal."""
    write("-", "".join(f"{visible(line)}\n" for line in lines))


def complain(message: object) -> None:
    """Prints a line on standard error."""
    print(visible(str(message)), file=sys.stderr)


def progress(whole: int, of: str) -> Callable[[int], None] | None:
    """What tells on a terminal, in one line that is written over, how much of long work is done."""
    if sys.stderr is None or not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        return None

    def tell(done: int) -> None:
        line = f"{done:,} of {whole:,} {of}" if done < whole else ""
        sys.stderr.write(f"\r\x1b[K{line}")
        sys.stderr.flush()

    return tell


def write(path: str, text: str) -> None:
    """Writes a report; raises OSError with nothing half written in a file."""
    if path == "-":
        try:
            sys.stdout.write(text)
            sys.stdout.flush()
        except BrokenPipeError:
            # Whoever read it has seen enough. What was found is still told by the exit status.
            _give_up_output()
        except OSError:
            _give_up_output()
            raise
    elif os.path.exists(path) and not os.path.isfile(path) and not os.path.isdir(path):
        # A device or a pipe is written to; a file renamed to its place would take it away from everyone.
        with open(path, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
    else:
        write_new(path, text.encode("utf-8"))


def _give_up_output() -> None:
    """Sends what is still unwritten nowhere, so that Python does not complain of it once more at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    with contextlib.suppress(OSError):
        sys.stdout.flush()
