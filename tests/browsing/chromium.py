"""A browser for tests of pages, started once and kept in a thread of its own."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

import pytest

Seen = TypeVar("Seen")

PROGRAMS = {"chromium": "chromium", "pdftotext": "poppler-utils", "pdftoppm": "poppler-utils"}
"""What is needed, and the package of Debian that has it."""
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""Without these the browser itself would ask for things; in a container its sandbox cannot be had."""
DESKTOP = 1280


@dataclass
class Heard:
    """What a page said and asked for while it was open."""

    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


class Chromium:
    """Opens pages, each in a context of its own, and lets a function look at them."""

    def __init__(self) -> None:
        # The library keeps an event loop running in its thread; in the tests' own thread no other test could have one.
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="browser")
        self._thread.submit(self._start).result()

    def _start(self) -> None:
        from playwright.sync_api import sync_playwright

        self._library = sync_playwright().start()
        self._browser = self._library.chromium.launch(executable_path=shutil.which("chromium"), args=list(QUIET))

    def close(self) -> None:
        self._thread.submit(lambda: (self._browser.close(), self._library.stop())).result()
        self._thread.shutdown()

    def look(
        self,
        file: Path,
        what: Callable[[Any, Heard], Seen],
        width: int = DESKTOP,
        height: int = 900,
        dark: bool = False,
        paper: bool = False,
    ) -> Seen:
        """What a function sees of the page in a file, which is open in a window of so many CSS pixels."""
        return self._thread.submit(self._look, file.resolve().as_uri(), what, width, height, dark, paper).result()

    def visit(self, address: str, what: Callable[[Any], Seen]) -> Seen:
        """What a function sees of the page at an address of this machine, which may ask its own server for more."""
        return self._thread.submit(self._visit, address, what).result()

    def _visit(self, address: str, what: Callable[[Any], Seen]) -> Seen:
        with self._browser.new_context() as context:
            context.route("**/*", lambda route: route.continue_() if route.request.url.startswith(address) else route.abort())
            page = context.new_page()
            page.goto(address, wait_until="load")
            return what(page)

    def _look(self, address: str, what: Callable[[Any, Heard], Seen], width: int, height: int, dark: bool, paper: bool) -> Seen:
        heard = Heard()
        with self._browser.new_context(
            viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light"
        ) as context:
            # Nothing may leave the machine, whatever a page asks for.
            context.route("**/*", lambda route: route.continue_() if route.request.url == address else route.abort())
            page = context.new_page()
            page.emulate_media(media="print" if paper else "screen", color_scheme="dark" if dark else "light")
            page.on("console", lambda message: heard.said.append(f"{message.type}: {message.text}"))
            page.on("pageerror", lambda error: heard.said.append(f"error: {error}"))
            page.on("request", lambda request: heard.asked.append(request.url))
            page.goto(address, wait_until="load")
            page.evaluate("document.fonts.ready.then(() => true)")
            return what(page, heard)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Chromium]:
    from programs import program

    for name, package in PROGRAMS.items():
        program(name, package)
    browser = Chromium()
    yield browser
    browser.close()
