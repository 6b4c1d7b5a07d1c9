"""Field sheets: the one of a judged plan, and those that lie beside a page over many."""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Iterable, Iterator
from urllib.parse import quote

from shootlint.commands import output
from shootlint.commands.pipeline import Judge, load
from shootlint.language.source import Unreadable
from shootlint.reports.html import Beside
from shootlint.reports.records import PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.sheet.gathered import gather
from shootlint.reports.sheet.page import sheet_page
from shootlint.rulebook.outlook import Loses, loses

LONGEST_NAME = 100


class NotWritten(Exception):
    """A sheet that could not be written. Its text says which and why."""


def beside(page: str, run: Run, rule_files: Iterable[str]) -> dict[str, Beside]:
    """Writes the sheets of a run's plans into a folder beside a page, and tells by each plan's path where its own lies.

    Raises NotWritten for the first that cannot be written; files that were in the folder stay there.
    """
    folder = f"{os.path.splitext(page)[0]}-sheets"
    judge = Judge(rule_files, run.today)
    plans = [record for record in run.plans if record.is_plan]
    names = dict(zip((record.path for record in plans), _names(record.path for record in plans), strict=True))
    tell = output.progress(len(plans), "sheets")
    found = {}
    for done, record in enumerate(plans, 1):
        beside = _one(record, os.path.join(folder, names[record.path]), judge)
        if beside is not None:
            found[record.path] = beside
        if tell is not None:
            tell(done)
    return found


def _one(record: PlanRecord, path: str, judge: Judge) -> Beside | None:
    """Writes the sheet of one plan; None where it has no sound setup, or can no longer be read."""
    document = load(record.path, judge.loader)
    if isinstance(document, Unreadable) or document.plan is None or not document.plan.setup:
        return None
    book, _ = judge.book_for(document.source)
    folder = os.path.dirname(path)
    try:
        os.makedirs(folder, exist_ok=True)
        output.write(path, sheet_page(gather(document.plan, book, judge.today, record)))
    except OSError as error:
        raise NotWritten(f"the sheet {path} cannot be written: {error.strerror}") from None
    link = quote(os.fsencode(os.path.join(os.path.basename(folder), os.path.basename(path))))
    lost = loses(document.plan, book, judge.today)
    return Beside(link, _in_words(lost, judge.today) if lost is not None else "")


def _in_words(lost: Loses, today: datetime.date) -> str:
    rules = f" ({', '.join(lost.rules)})" if lost.rules else ""
    return f'from {lost.date} on "{lost.setup}" would no longer hold at its time of day{rules}'


def _names(paths: Iterable[str]) -> Iterator[str]:
    """A file's name for each path, no two of them the same where letters' case does not count."""
    taken: set[str] = set()
    for path in paths:
        whole = re.sub(r"[^\w.-]+", "-", os.path.splitext(path)[0]).strip("-.")[-LONGEST_NAME:] or "plan"
        name, number = whole, 2
        while name.casefold() in taken:
            name, number = f"{whole}-{number}", number + 1
        taken.add(name.casefold())
        yield f"{name}.html"
