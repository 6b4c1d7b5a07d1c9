"""From a keystroke in an editor to the findings, over the protocol and without it, beside a call of check."""

from __future__ import annotations

import asyncio
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from measuring import BIN, ROOT, compare
from measuring import run as start

LINES = 150


def long_plan() -> str:
    """A plan of about 150 lines: the shipped one with its setup shot again and again, a quarter of an hour later each time."""
    text = (ROOT / "plans" / "evening.shoot").read_text("utf-8")
    head, setup = text[: text.index("\nsetup ")], text[text.index("\nsetup ") :]
    found = head
    for number in range(20):
        start = f"{17 + number // 4}:{15 * (number % 4):02}"
        end = f"{17 + number // 4}:{15 * (number % 4) + 10:02}"
        again = re.sub(r'setup "[^"]*"', f'setup "Picture {number}"', setup)
        found += re.sub(r"time( +)\S+ to \S+", rf"time\g<1>{start} to {end}", again)
        if found.count("\n") >= LINES:
            break
    return found


def run(rounds: int) -> None:
    """Typing in a sound plan and in one with a hundred findings."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "plans" / "kit", Path(folder) / "kit")
        for title, text in (("sound", long_plan()), ("faulty", (ROOT / "plans" / "hurried-draft.shoot").read_text("utf-8"))):
            path = Path(folder) / f"{title}.shoot"
            path.write_text(text, "utf-8")
            asyncio.run(_compared(title, path, rounds))


async def _compared(title: str, path: Path, rounds: int) -> None:
    text = path.read_text("utf-8")
    editor, quit_ = await _editor(path, text)
    here = _session(path, text)
    names = ("keystroke to findings, in an editor", "the same without the protocol", "shootlint words, a process of its own")
    taken: dict[str, list[float]] = {name: [] for name in names}
    for _ in range(rounds + 1):
        taken[names[0]].append(await editor())
        taken[names[1]].append(here())
        taken[names[2]].append(start(BIN / "shootlint", "words"))
    await quit_()
    # The first round warms up; what was measured is told as all else is.
    replay = {name: iter([times[1], *times[1:]]) for name, times in taken.items()}
    compare(
        f"typing in a {title} plan of {text.count(chr(10))} lines",
        {name: (lambda times=times: next(times)) for name, times in replay.items()},
        rounds,
    )


def _typed(text: str, number: int) -> str:
    """A text after one more keystroke: a digit of an exposure time is another one."""
    return re.sub(r"(iso +)\d+", lambda match: f"{match[1]}{100 + number % 10}", text, count=1)


async def _editor(path: Path, text: str):
    from lsprotocol import types as t
    from pygls.lsp.client import LanguageClient

    client = LanguageClient("benchmark", "1")
    told: asyncio.Queue[int | None] = asyncio.Queue()

    @client.feature(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    def published(params: t.PublishDiagnosticsParams) -> None:
        told.put_nowait(params.version)

    await client.start_io(sys.executable, "-P", "-m", "shootlint.commands.main", "editor", cwd=path.parent)
    await client.initialize_async(t.InitializeParams(t.ClientCapabilities()))
    client.initialized(t.InitializedParams())
    client.text_document_did_open(t.DidOpenTextDocumentParams(t.TextDocumentItem(path.as_uri(), "shootplan", 0, text)))
    await told.get()
    version = 0

    async def type_on() -> float:
        nonlocal version
        version += 1
        await asyncio.sleep(0.2)
        change = t.TextDocumentContentChangeWholeDocument(_typed(text, version))
        started = time.perf_counter()
        client.text_document_did_change(
            t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version, path.as_uri()), [change])
        )
        while await told.get() != version:
            pass
        return time.perf_counter() - started

    async def quit_() -> None:
        await client.shutdown_async(None)
        client.exit(None)
        await client.stop()

    return type_on, quit_


def _session(path: Path, text: str) -> Callable[[], float]:
    from shootlint.commands.server.findings import said_of
    from shootlint.commands.server.session import Session

    session = Session()
    session.open(path.as_uri(), path, 0, text)
    version = 0

    def type_on() -> float:
        nonlocal version
        version += 1
        started = time.perf_counter()
        session.change(path.as_uri(), version, _typed(text, version))
        said_of(session.checked(path.as_uri()))
        return time.perf_counter() - started

    return type_on
