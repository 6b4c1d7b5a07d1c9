"""From the paths of a call to the plans that they name, and to what is told and kept of each."""

from __future__ import annotations

import argparse
import datetime
import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.checking.judge import Judge, JudgedPlan, Opened
from shootlint.commands import output
from shootlint.commands.paths import RULES, STANDARD_INPUT, asked, results
from shootlint.commands.refused import Refused
from shootlint.commands.store import Basis, Store, digest
from shootlint.commands.today import today
from shootlint.language import clocks
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Unreadable, standard_input
from shootlint.reports.records import PlanRecord

if TYPE_CHECKING:
    from shootlint.language.model import Plan
    from shootlint.readings.scene import Scene
    from shootlint.rulebook.trials import Trials


def judge_for(call: argparse.Namespace, day: datetime.date) -> Judge:
    """What judges the plans of a call to `check` on a day; raises Unreadable where a rule file that it names is no text."""
    return Judge(call.rules, day, call.margins, trials_of(call))


def trials_of(call: argparse.Namespace) -> Trials | None:
    """The trials that a call asks for, with progress on the terminal of whoever called, not from processes beside."""
    if call.trials is None:
        return None
    from multiprocessing import parent_process

    from shootlint.rulebook.trials import SEED, Trials

    seed = SEED if call.seed is None else call.seed
    if parent_process() is not None:
        return Trials(call.trials, seed)
    return Trials(call.trials, seed, progress=output.progress(call.trials, "trials"))


def opened(plan: str, rule_files: Iterable[str]) -> Opened:
    """What commands on one plan begin with; raises Unreadable where the plan or a rule file is no text."""
    judge = Judge(rule_files, today())
    return judge.opened(one_document(plan, judge.loader))


def one_document(path: str, loader: Loader) -> Document:
    """The only document that a path names; raises Unreadable."""
    found = list(results(asked([path]), lambda file: load(file, loader), _may_be_plan))
    if len(found) != 1:
        raise Unreadable(f"{path}: this is a folder of several plans; name one of them")
    name, document = found[0]
    if isinstance(document, Unreadable):
        raise Unreadable(f"{name}: {document}")
    return document


def sound_plan(document: Document) -> Plan:
    """The plan of a document, for what is asked of its setups; raises Refused where none of them is sound."""
    if document.plan is None or not document.plan.setup:
        raise Refused(f"{document.source.name}: there is no setup without a mistake in it")
    return document.plan


def chosen_scenes(document: Document, setup: str | None) -> list[Scene]:
    """The sound setups of a plan, or the one of that name; raises Refused where there is none."""
    from shootlint.readings.scene import places_of, scenes

    found = scenes(sound_plan(document))
    try:
        return found if setup is None else [found[place] for place in places_of([setup], found)]
    except ValueError as error:
        raise Refused(str(error)) from None


def _may_be_plan(found: Document | Unreadable) -> bool:
    return isinstance(found, Unreadable) or found.may_be_plan


def load(file: str, loader: Loader) -> Document | Unreadable:
    if file.endswith(RULES) and os.path.isfile(file):
        return Unreadable("this is a rule file and no plan; --rules judges plans by it, shootlint rules --verify runs its cases")
    try:
        if file == STANDARD_INPUT:
            return loader.load_source(standard_input())
        return loader.load(Path(file), file)
    except Unreadable as error:
        return error


def outcome(file: str, judge: Judge, store: Store | None) -> PlanRecord | Unreadable:
    """Judges a file and keeps what came of it. A house file that cannot be read is told with the plan that it is for, and so is
    whatever the program does wrong while it judges."""
    document = load(file, judge.loader)
    if isinstance(document, Unreadable):
        return document
    try:
        judged = judge.judge(document)
        record = judged.record()
    except Unreadable as error:
        return Unreadable(f"its house.rules cannot be used: {error}")
    except MemoryError:
        return Unreadable("judging it broke off: there is not enough memory for it")
    except Exception as fault:
        # Of many plans the others are judged all the same.
        output.complain_of_fault()
        return Unreadable(f"judging it broke off: this is a fault of the program itself ({type(fault).__name__})")
    bases = bases_of(judged, store) if store is not None and document.source.path is not None else None
    if store is not None and bases is not None:
        days = [each.until.date.isoformat() for each in document.plan.accept if each.until] if document.plan is not None else []
        store.keep(file, document.source.content, record, bases, days)
    return record


def bases_of(judged: JudgedPlan, store: Store) -> list[Basis] | None:
    """What a verdict rests on besides the plan's own text; None where it hangs on what is not there, such as a missing
    kit or a zone of another name, and what would have to be looked for is more than a few files."""
    document, book = judged.document, judged.book
    if document.kits_missing or (book is not None and book.complaints):
        return None
    named = [*document.named, *(book.named if book is not None else [])]
    bases: list[Basis | None] = [Basis(str(path), str(source.path), digest(source.content)) for path, source in named]
    zone = document.plan.site.zone if document.plan is not None and document.plan.site is not None else None
    if zone is not None:
        if clocks.zone(zone) is None:
            return None
        bases += [store.basis(path) for path in clocks.zone_files(zone)]
    if book is not None and book.packages:
        from shootlint.rulebook.packages import places

        bases += [store.basis(path) for name in book.packages for path in places(name)]
    return [each for each in bases if each is not None] if None not in bases else None
