"""Plans judged in processes beside this one.

Each process is a new start of Python, on every system: a copy of this one would copy the locks of the threads that the
arrays' library has started. A process has one plan at a time, so that one which dies is known to have died of that plan.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime
import multiprocessing
import signal
import sys
from collections.abc import Callable, Iterator
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING

from shootlint.commands.store import Store
from shootlint.language.source import Unreadable

if TYPE_CHECKING:
    from shootlint.reports.records import PlanRecord

_NEW = multiprocessing.get_context("spawn")


def judged_beside(
    files: list[str],
    jobs: int,
    call: argparse.Namespace,
    day: datetime.date,
    store: Store | None,
    tell: Callable[[int], None] | None = None,
) -> dict[str, PlanRecord | Unreadable]:
    """Judges files in so many processes; a file of which its process dies is told as such, and the others are judged.

    `tell` is told how many are judged.
    """
    outcomes: dict[str, PlanRecord | Unreadable] = {}
    processes: dict[Connection, BaseProcess] = {}
    at: dict[Connection, str] = {}
    left = iter(files)

    def give(file: str, process: Connection | None = None) -> None:
        """Gives a file to a process that has nothing to do, or to a new one."""
        if process is None:
            process, processes[process] = _started(call, day, store)
        at[process] = file
        with contextlib.suppress(OSError):
            # Where it has died meanwhile, that is seen when it is asked for what it has found.
            process.send(file)

    try:
        for _, file in zip(range(jobs), left, strict=False):
            give(file)
        while at:
            for process in wait(list(at)):
                assert isinstance(process, Connection)
                file = at.pop(process)
                try:
                    outcomes[file] = process.recv()
                    free: Connection | None = process
                except (EOFError, OSError):
                    outcomes[file] = Unreadable(f"judging it broke off: {_end_of(processes.pop(process))}")
                    process.close()
                    free = None
                if tell is not None:
                    tell(len(outcomes))
                following = next(left, None)
                if following is not None:
                    give(following, free)
    finally:
        for each in processes.values():
            each.terminate()
        for each in processes.values():
            each.join()
    return outcomes


def _started(call: argparse.Namespace, day: datetime.date, store: Store | None) -> tuple[Connection, BaseProcess]:
    ours, theirs = _NEW.Pipe()
    process = _NEW.Process(target=_work, args=(theirs, call, day, store), daemon=True)
    with _uninterrupted():
        process.start()
    # The end of the process is then the end of the pipe.
    theirs.close()
    return ours, process


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """What starts meanwhile does not take note when the user interrupts: this process ends those beside it itself.

    An interruption is put off until then and not lost.
    """
    if sys.platform == "win32":
        yield
        return
    # Otherwise it is started with the first process, and lets interruptions through again.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_of(process: BaseProcess) -> str:
    process.join()
    code = process.exitcode or 0
    if code < 0:
        with contextlib.suppress(ValueError):
            return f"its process was ended by {signal.Signals(-code).name}"
    return f"its process ended with status {code}"


def _work(plans: Connection, call: argparse.Namespace, day: datetime.date, store: Store | None) -> None:
    """What a process beside does: judges what it is given until there is no one any more who gives."""
    from shootlint.commands.main import spare_time
    from shootlint.commands.pipeline import judge_for, outcome

    spare_time()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    judge = judge_for(call, day)
    with contextlib.suppress(EOFError, OSError):
        while True:
            plans.send(outcome(plans.recv(), judge, store))
