"""Where what is said goes: standard output or a file."""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Callable, Iterable

from shootlint.commands.writing import write_new
from shootlint.reports.visible import visible

WORTH_TELLING = 2.0
"""Seconds: how long work is going on is told where more than these are left."""
_SETTLED = 0.5
"""Seconds after which the pace so far says something about what is left."""
_AGAIN = 0.1
"""Seconds between what is told and what is told next."""


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


def complain_of_fault() -> None:
    """Tells on standard error where in the program the exception being handled came from."""
    from traceback import format_exc

    for line in format_exc().splitlines():
        complain(line)


def progress(whole: int, of: str, most: bool = False) -> Callable[[int], None] | None:
    """What tells on a terminal how much of long work is done; None where nobody would see it.

    It is one line on standard error, written over as the work goes on and gone when all of it is done. It appears only
    where more than two seconds are left by the pace so far, which is that since the first piece was done: before it, modules
    are loaded. `most` says that the whole is a bound, and the work may well end before.
    """
    if sys.stderr is None or not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        return None
    first: tuple[float, int] | None = None
    told, shown = 0.0, False

    def tell(done: int) -> None:
        nonlocal first, told, shown
        now = time.monotonic()
        began, begun = first = first or (now, done)
        if done >= whole:
            if shown:
                _over_the_line("")
            shown = False
        elif done > begun and now - began >= _SETTLED and now - told >= _AGAIN:
            left = (now - began) / (done - begun) * (whole - done)
            if shown or left > WORTH_TELLING:
                so_far = f"{100 * done // whole} % of {of}, at most" if most else f"{done:,} of {whole:,} {of}, about"
                _over_the_line(f"{so_far} {left:.0f} s left")
                told, shown = now, True

    return tell


def _over_the_line(text: str) -> None:
    """Puts a text in the place of the last line of standard error."""
    with contextlib.suppress(OSError):
        sys.stderr.write(f"\r\x1b[K{text}")
        sys.stderr.flush()


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
