"""The plans of a call to `check`, judged: what the store of verdicts knows is taken from there, the rest is judged here or,
where there is much of it, in processes beside. What comes of it is the same each way, and in the order of the call."""

from __future__ import annotations

import argparse
import datetime
import os
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.commands import output
from shootlint.commands import store as stores
from shootlint.commands.paths import SAID_OF_INPUT, STANDARD_INPUT, Asked, asked, results
from shootlint.commands.today import today
from shootlint.language.source import Unreadable, named_source
from shootlint.reports.records import PlanRecord
from shootlint.reports.rule_records import RulebookRecord
from shootlint.reports.run import Run

if TYPE_CHECKING:
    from shootlint.checking.judge import Judge

PLANS_A_PROCESS = 40
"""A process more is worth its start where it has so many plans to judge, by tests/benchmarks."""
MOST_BY_ITSELF = 8
"""More processes than these are started only when the call says so: each takes 60 MB, and not all cores that a machine
has are ours to use."""


def run_over(call: argparse.Namespace, narrowed: Callable[[list[Asked]], list[Asked]] | None = None) -> Run:
    """Judges all plans of a call, or those that `narrowed` leaves of them; raises Unreadable where a rule file that it names,
    or the day, cannot be used."""
    # Asked once: a run over midnight is still one run.
    day = today()
    for file in call.rules:
        # Whoever names one wants to know that it is none, whatever the store knows.
        named_source(file)
    store = stores.opened(vars(call), day.isoformat()) if call.cache else None
    plans = asked(call.paths)
    if narrowed is not None:
        plans = narrowed(plans)
    files = [file for each in plans for file in each.files]
    outcomes: dict[str, PlanRecord | Unreadable] = {}
    if store is not None:
        known = ((file, store.find(file)) for file in files if file != STANDARD_INPUT)
        outcomes = {file: record for file, record in known if record is not None}
    left = [file for file in files if file not in outcomes]
    rulebooks = Rulebooks(call, day)
    if left:
        outcomes |= _judged(left, call, day, store, rulebooks)
        if store is not None:
            store.thin_out()
    found = _in_order(plans, outcomes, day)
    found.rulebook = rulebooks
    return found


class Rulebooks:
    """The rules by which the plans of a run were judged, read when a report first asks for them.

    They are those of now, and so are all verdicts: one that was kept is good only where its rule files are as they were.
    """

    def __init__(self, call: argparse.Namespace, day: datetime.date) -> None:
        self.call = call
        self.day = day
        self._told: dict[int, RulebookRecord] = {}

    @cached_property
    def judge(self) -> Judge:
        """What judges here, by rulebooks that are then read already."""
        from shootlint.commands.pipeline import judge_for

        return judge_for(self.call, self.day)

    def __call__(self, plan: PlanRecord) -> RulebookRecord | None:
        if not plan.is_judged:
            return None
        from shootlint.reports.recording import rulebook_record

        try:
            book = self.judge.book_of(None if plan.path == SAID_OF_INPUT else Path(plan.path).resolve())
        except Unreadable:
            return None
        if id(book) not in self._told:
            self._told[id(book)] = rulebook_record(book, with_trials=self.call.trials is not None)
        return self._told[id(book)]


def _judged(
    files: list[str], call: argparse.Namespace, day: datetime.date, store: stores.Store | None, rulebooks: Rulebooks
) -> dict[str, PlanRecord | Unreadable]:
    outcomes: dict[str, PlanRecord | Unreadable] = {}
    # Trials tell of themselves how far they are.
    tell = output.progress(len(files), "plans") if call.trials is None else None
    beside = [file for file in files if file != STANDARD_INPUT]
    jobs = min(call.jobs or enough(len(beside)), len(beside))
    if jobs > 1:
        from shootlint.commands.workers import judged_beside

        outcomes = judged_beside(beside, jobs, call, day, store, tell)
    here = [file for file in files if file not in outcomes]
    if here:
        from shootlint.commands.pipeline import outcome

        for file in here:
            outcomes[file] = outcome(file, rulebooks.judge, store)
            if tell is not None:
                tell(len(outcomes))
    return outcomes


def enough(plans: int) -> int:
    """How many processes serve for a number of plans."""
    affinity = getattr(os, "sched_getaffinity", None)
    cores = len(affinity(0)) if affinity is not None else os.cpu_count() or 1
    return max(1, min(cores, MOST_BY_ITSELF, plans // PLANS_A_PROCESS))


def _in_order(plans: list[Asked], outcomes: dict[str, PlanRecord | Unreadable], day: datetime.date) -> Run:
    run = Run(today=day)
    for name, outcome in results(plans, outcomes.__getitem__, _may_be_plan):
        if isinstance(outcome, Unreadable):
            run.unreadable.append((name, str(outcome)))
        else:
            run.plans.append(outcome)
    return run


def _may_be_plan(outcome: PlanRecord | Unreadable) -> bool:
    return isinstance(outcome, Unreadable) or outcome.may_be_plan
