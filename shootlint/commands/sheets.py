"""Field sheets: the one of a judged plan, and those that lie beside a page over many."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple
from urllib.parse import quote

from shootlint.checking.judge import Judge
from shootlint.commands import output
from shootlint.commands.pipeline import load
from shootlint.language.source import Unreadable
from shootlint.reports.html import Beside
from shootlint.reports.run import Run
from shootlint.reports.sheet.gathered import gather, sheet_page
from shootlint.rulebook.outlook import Loses, loses

LONGEST_NAME = 100


class NotWritten(Exception):
    """A sheet that could not be written. Its text says which and why."""


class Made(NamedTuple):
    """The sheet of one plan of a run."""

    path: str
    """The plan's."""
    name: str
    """A file's name for the sheet, unlike that of any other of the run."""
    text: str
    loses: str
    """What the plan loses in the next weeks, in words; empty where nothing."""


def made(run: Run, rule_files: Iterable[str]) -> Iterator[Made]:
    """The sheets of a run's plans that have a sound setup and can still be read."""
    judge = Judge(rule_files, run.today)
    plans = [record for record in run.plans if record.is_plan]
    tell = output.progress(len(plans), "sheets")
    for done, (record, name) in enumerate(zip(plans, _names(each.path for each in plans), strict=True), 1):
        document = load(record.path, judge.loader)
        if not isinstance(document, Unreadable) and document.plan is not None and document.plan.setup:
            book, _ = judge.book_for(document.source)
            text = sheet_page(gather(document.plan, book, judge.today, record))
            lost = loses(document.plan, book, judge.today)
            yield Made(record.path, name, text, _in_words(lost) if lost is not None else "")
        if tell is not None:
            tell(done)


def beside(page: str, run: Run, rule_files: Iterable[str]) -> dict[str, Beside]:
    """Writes the sheets of a run's plans into a folder beside a page, and tells by each plan's path where its own lies.

    Raises NotWritten for the first that cannot be written; files that were in the folder stay there.
    """
    folder = f"{os.path.splitext(page)[0]}-sheets"
    # As for every other report: a folder that was misspelt is not made, and beside what is no place for a page nothing is.
    wrong = errno.EISDIR if os.path.isdir(page) else 0 if os.path.isdir(os.path.dirname(page) or ".") else errno.ENOENT
    if wrong:
        raise NotWritten(f"the report cannot be written to {page}: {os.strerror(wrong)}")
    found = {}
    for sheet in made(run, rule_files):
        path = os.path.join(folder, sheet.name)
        try:
            os.makedirs(folder, exist_ok=True)
            output.write(path, sheet.text)
        except OSError as error:
            raise NotWritten(f"the sheet {path} cannot be written: {error.strerror}") from None
        found[sheet.path] = Beside(link(os.path.join(os.path.basename(folder), sheet.name)), sheet.loses)
    return found


def link(path: str) -> str:
    """A path below a page as what leads there from it."""
    return quote(os.fsencode(path))


def _in_words(lost: Loses) -> str:
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
