"""The language server: messages in and out, and when what is worked out.

Messages are read on one thread and everything about texts is done on another, one thing after the other, so that
nothing in the program has to bear being run beside itself and a new version of a text is heard of while an old one is
still being judged. What was worked out for a version that is no longer the latest is never sent.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, TypeVar

from lsprotocol import types
from pygls.exceptions import JsonRpcException, JsonRpcInvalidParams
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol, default_converter
from pygls.uris import to_fs_path

from shootlint.commands.server.answers import Answers
from shootlint.commands.server.findings import said_of
from shootlint.commands.server.positions import Encoding, LineIndex, Position
from shootlint.commands.server.session import Checked, Opened, Session

SHORTEST_PAUSE, LONGEST_PAUSE = 0.01, 0.25
"""Seconds that a document must rest before it is judged: a quarter of what judging it took last time, within these bounds.
Of letters that come faster than that only the last is judged."""

Result = TypeVar("Result")


class Refusal(JsonRpcException):
    """A request that is understood and not done; LSP 3.17 calls it RequestFailed."""

    CODE = -32803


class Protocol(LanguageServerProtocol):
    """As pygls has it, with an answer for every request, also for one whose parameters are not what they should be."""

    def structure_message(self, data: dict[str, Any]) -> Any:
        try:
            return super().structure_message(data)
        except JsonRpcException as error:
            if "method" in data and isinstance(data.get("id"), int | str):
                wrong = JsonRpcInvalidParams(f"the parameters of {data['method']} are not what the protocol says")
                self._send_response(data["id"], None, wrong.to_response_error())
            raise error


class Server(LanguageServer):
    def __init__(self) -> None:
        try:
            ours = version("shootlint")
        except PackageNotFoundError:
            ours = "unknown"
        super().__init__(
            "shootlint",
            ours,
            # Whole texts: what Python takes for the end of a line, and pygls with it, is not what the protocol does.
            text_document_sync_kind=types.TextDocumentSyncKind.Full,
            protocol_cls=Protocol,
            converter_factory=default_converter,
        )
        self.session = Session(self.log)
        self.worker = ThreadPoolExecutor(1, "shootlint")
        self.loop: asyncio.AbstractEventLoop | None = None
        self.latest: dict[str, int | None] = {}
        """The newest version of each open document that has been heard of; the session may be a little behind."""
        self.waiting: dict[str, asyncio.Task[None]] = {}
        self.took: dict[str, float] = {}
        """How long judging each document took last time, in seconds."""
        self.answers = Answers(self.session, "utf-16")

    def log(self, text: str) -> None:
        """Tells the log of the editor, from whichever thread."""
        message = types.LogMessageParams(types.MessageType.Error, text)
        if self.loop is not None:
            self.loop.call_soon_threadsafe(self.window_log_message, message)

    def report_server_error(self, error: Exception, source: Any) -> None:
        """Faults go to the log; nobody is interrupted by a window."""
        if not isinstance(error, Refusal):
            self.window_log_message(types.LogMessageParams(types.MessageType.Error, f"a fault of the server: {error}"))

    async def work(self, function: Callable[[], Result]) -> Result:
        """Does something on the thread on which everything about texts is done."""

        def guarded() -> Result:
            try:
                return function()
            except Exception:
                raise
            except BaseException as error:
                # Code of an installed package may try to end the program, or anything else.
                raise RuntimeError(f"{type(error).__name__}: {error}") from error

        return await asyncio.get_running_loop().run_in_executor(self.worker, guarded)

    # --- documents come, change and go

    def take(self, uri: str, version: int | None, change: Callable[[], None]) -> None:
        """Puts a new text in line, and the judging of it."""
        self.loop = asyncio.get_running_loop()
        self.latest[uri] = version
        self.in_background(self.work(change))
        self.schedule(uri)

    def schedule(self, uri: str) -> None:
        """Judges a document once it has rested for a moment; what waited for that before, does no more."""
        waiting = self.waiting.pop(uri, None)
        if waiting is not None:
            waiting.cancel()
        pause = min(max(self.took.get(uri, 0.0) / 4, SHORTEST_PAUSE), LONGEST_PAUSE)
        self.waiting[uri] = self.in_background(self._after(pause, uri))

    async def _after(self, pause: float, uri: str) -> None:
        await asyncio.sleep(pause)
        # From here on it is no longer called off: its result is looked at, and dropped where it is of no use.
        self.waiting.pop(uri, None)
        await self.publish(uri)

    async def publish(self, uri: str) -> None:
        """Judges a document and sends what is to be said of it, unless a newer version has come meanwhile."""
        wanted = self.latest.get(uri)

        def judge() -> tuple[int | None, list[types.Diagnostic], list[str]] | None:
            document = self.session.documents.get(uri)
            if document is None or self.latest.get(uri, wanted) != document.version:
                return None
            start = time.perf_counter()
            checked = self.session.checked(uri)
            found = [self.answers.diagnostic(each, document) for each in said_of(checked)]
            self.took[uri] = time.perf_counter() - start
            # Other documents may rest on this one, as plans do on a kit.
            return (
                checked.version,
                found,
                [each for each in self.session.documents if each != uri and self.session.is_stale(each)],
            )

        result = await self.work(judge)
        if result is None:
            return
        checked_version, found, stale = result
        if uri in self.latest and self.latest[uri] == checked_version:
            self.text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, found, checked_version))
        for other in stale:
            if other not in self.waiting:
                self.schedule(other)

    def in_background(self, work: Any) -> asyncio.Task[Any]:
        task: asyncio.Task[Any] = asyncio.ensure_future(work)
        task.add_done_callback(self._done)
        return task

    def _done(self, task: asyncio.Task[Any]) -> None:
        if not task.cancelled() and (error := task.exception()) is not None:
            logging.getLogger(__name__).error("a fault of the server", exc_info=error)
            self.window_log_message(types.LogMessageParams(types.MessageType.Error, f"a fault of the server: {error}"))

    async def answer(self, uri: str, function: Callable[[Checked, Opened], Result], nothing: Result) -> Result:
        """Answers a request about a document as it is now; with nothing where it is not open, or newer by then."""

        def work() -> tuple[int | None, Result] | None:
            document = self.session.documents.get(uri)
            if document is None:
                return None
            return document.version, function(self.session.checked(uri), document)

        found = await self.work(work)
        if found is None or self.latest.get(uri) != found[0]:
            return nothing
        return found[1]

    def can(self, *path: str) -> Any:
        """What the client says that it can, by the names of the protocol's members; None where it does not say."""
        found: Any = self.client_capabilities
        for name in path:
            found = getattr(found, name, None)
        return found


def path_of(uri: str) -> Path | None:
    """The file of an address; None for a text that has none."""
    if not uri.startswith("file:"):
        return None
    found = to_fs_path(uri)
    return Path(found) if found else None


def changed_text(document: Opened, change: Any, encoding: Encoding) -> str:
    """A text after a change. Whole texts are asked for; a client that sends a part of one is understood all the same."""
    part = getattr(change, "range", None)
    if part is None:
        return str(change.text)
    index = LineIndex(document.bare, encoding, document.marked)
    start, end = (index.offset(Position(each.line, each.character)) for each in (part.start, part.end))
    mark = document.text[: len(document.text) - len(document.bare)]
    return mark + document.bare[:start] + str(change.text) + document.bare[end:]
