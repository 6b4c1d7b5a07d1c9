"""What holds of any input, whoever wrote it: no failure, complaints inside the text and not without number, and a layout
that is stable and says the same."""

from __future__ import annotations

import atexit
import contextlib
import datetime
import re
import shutil
import signal
import tempfile
from collections.abc import Callable, Container, Iterable, Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path

from shootlint.commands.tidy import language_of
from shootlint.language.complaint import Complaint, Complaints
from shootlint.language.loading import Document, Loader
from shootlint.language.source import LARGEST_FILE, Source, Unreadable, decode
from shootlint.language.tidying import Mistaken, Unproven, tidied
from shootlint.remedies.house import house_levers
from shootlint.rulebook.book import Book, book_of
from shootlint.rulebook.judging import judge
from shootlint.rulebook.rule_files import shipped_sources

EXAMPLE = "examples/two-rows.shoot"
TODAY = datetime.date(2026, 5, 1)
SLOWEST = 20.0
"""Seconds over one input of a few kB, hundreds of times what it takes: past this the program hangs."""
SHIPPED = frozenset(each.name for each in shipped_sources())
BESIDE = {
    "kit.shoot": 'shootplan 1\nlens "Zoom" { focal 20 mm to 200 mm; aperture f/2 to f/22 }\ngel "Warm" { shift +90 mired; loses 0.5 stops }\n',
    "studio.rules": 'use "house.rules"\nlevel light.uneven note\n',
}
"""What lies beside each input, for it to name."""


@cache
def folder() -> Path:
    """A repository of its own in which inputs stand, so that what they name is looked for there and nowhere else."""
    made = Path(tempfile.mkdtemp(prefix="shootlint-fuzzing-")).resolve()
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    (made / ".git").mkdir()
    for name, text in BESIDE.items():
        (made / name).write_text(text, "utf-8")
    return made


def plan(content: bytes) -> Document | None:
    """Reads bytes as a plan and holds what came of it to the promises; None where they are no text."""
    source = _text(content, "plan.shoot")
    if source is None:
        return None
    document = Loader().load_source(source)
    told_well(document.complaints, {source.name, *BESIDE})
    assert document.plan is not None or document.complaints, "nothing was read and nothing is said of it"
    _laid_out_the_same(source)
    return document


def rules(content: bytes) -> Book | None:
    """Reads bytes as a house's rule file and holds what came of it to the promises; None where they are no text."""
    source = _text(content, "house.rules")
    if source is None:
        return None
    book = book_of([source])
    _, of_levers = house_levers(book)
    known = {source.name, *BESIDE}
    told_well([*book.complaints, *of_levers], known, most=Complaints.MOST + len(of_levers))
    told_well(book.notes, known)
    for name, rule in book.rules.items():
        assert rule.level in ("error", "warning", "note"), name
    if book.rules and not book.complaints:
        verdict = judge(_example(), book, TODAY)
        for finding in verdict.findings:
            assert finding.message and not odd_numbers(finding.message, source.text), finding.message
    _laid_out_the_same(source)
    return book


def _text(content: bytes, name: str) -> Source | None:
    try:
        return decode(content, name, folder() / name)
    except Unreadable as error:
        reason = str(error)
    assert reason
    return None


def told_well(complaints: Iterable[Complaint], names: Container[str], most: int = Complaints.MOST) -> None:
    """Holds complaints to what every one of them promises; `names` are the files that they may be about."""
    complaints = list(complaints)
    assert len(complaints) <= most
    for each in complaints:
        place = each.place
        text = place.source.text
        assert 0 <= place.start <= place.end <= len(text), each
        assert 1 <= place.line <= place.end_line <= text.count("\n") + 1 and place.column >= 1 and place.end_column >= 1, each
        assert place.source.name in names and str(each).startswith(f"{place.source.name}:"), each
        message = each.message
        assert message and "\0" not in message and len(message) <= Complaints.LONGEST + 1, each
        assert not message.endswith((".", " ")), each
    said = [(each.place.source.name, each.place.start, each.message) for each in complaints]
    assert len(set(said)) == len(said), "a mistake is told twice"


def _laid_out_the_same(source: Source) -> None:
    """What can be read has a layout, which is proven to say the same as it is made, and which has itself as its layout."""
    language = language_of(source)
    try:
        once = tidied(source, language)
    except Mistaken as mistaken:
        told_well(mistaken.complaints, {source.name})
        return
    except Unproven as unproven:
        if f"larger than {LARGEST_FILE:,} bytes" in str(unproven):
            return
        raise
    again = tidied(Source(source.name, once, source.path, source.marked), language)
    assert again == once, "tidied a second time it changes"


NO_NUMBER = re.compile(r"(?<![\w/.-])(?:[+-]?nan|[+-]?inf|\d{19,}|\d\.?\d*e[+-]?\d+)(?![\w-])", re.IGNORECASE)
"""What a number that is none looks like when it is written without a thought, and one that no person reads."""


def odd_numbers(said: str, written: str) -> list[str]:
    """Whatever somebody is shown that is no number, or none to read, but for what the text itself has written."""
    return [match[0] for match in NO_NUMBER.finditer(said) if match[0] not in written]


@cache
def _example():  # type: ignore[no-untyped-def]
    text = files("shootlint.rules").joinpath(EXAMPLE).read_text("utf-8")
    found = Loader().load_source(Source("example.shoot", text)).plan
    assert found is not None
    return found


PROMISES: dict[str, Callable[[bytes], object]] = {"plan": plan, "rules": rules}


class TooLong(Exception):
    """An input over which the program thought for longer than `SLOWEST`."""


@contextlib.contextmanager
def bounded() -> Iterator[None]:
    """Ends what takes more than `SLOWEST` seconds of this process's own time; where the system has no such clock, nothing."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def end(*_: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGVTALRM, end)
    signal.setitimer(signal.ITIMER_VIRTUAL, SLOWEST)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def broken(kind: str, content: bytes) -> Exception | None:
    """What an input breaks, if anything."""
    try:
        with bounded():
            PROMISES[kind](content)
    except Exception as error:
        return error
    return None
