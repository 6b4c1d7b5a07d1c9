"""Pages for a browser on this machine alone, which are loaded again when they have changed.

The server listens on the loopback address, answers only to its own name and port (so that no page from elsewhere can ask it
through a name of its own), gives what lies under an address that nobody can guess, and ends with the process.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Condition, Thread
from urllib.parse import unquote, urlsplit

HOST = "127.0.0.1"
CHANGES = "changes"
PATIENCE = 15.0
"""Seconds after which a browser that waits is told that nothing has changed, so that one which has gone is noticed."""


class Pages:
    """The pages that are shown now, by name; the first one's name is empty."""

    def __init__(self) -> None:
        self._pages: dict[str, str] = {}
        self._version = 0
        self._changed = Condition()
        self.key = secrets.token_urlsafe(16)

    def put(self, pages: Mapping[str, str]) -> None:
        """Shows other pages from now on; those who wait are told."""
        with self._changed:
            self._pages = dict(pages)
            self._version += 1
            self._changed.notify_all()

    def get(self, name: str) -> tuple[str, int] | None:
        """A page and the version it is of; None where there is none of that name."""
        with self._changed:
            return (self._pages[name], self._version) if name in self._pages else None

    def wait(self, version: int) -> int:
        """The version shown, as soon as it is another one than this, and in any case before long."""
        with self._changed:
            self._changed.wait_for(lambda: self._version != version, PATIENCE)
            return self._version

    def serve(self) -> str:
        """Starts to serve; gives the address of the first page. Raises OSError where that cannot be done."""
        server = _Server((HOST, 0), _Handler)
        server.pages = self
        Thread(target=server.serve_forever, daemon=True).start()
        return f"http://{HOST}:{server.server_port}/{self.key}/"


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    pages: Pages


class _Handler(BaseHTTPRequestHandler):
    server: _Server
    protocol_version = "HTTP/1.0"

    def do_GET(self) -> None:
        if self.headers.get("Host") != f"{HOST}:{self.server.server_port}":
            return self.send_error(HTTPStatus.FORBIDDEN)
        _, key, name = [*unquote(urlsplit(self.path).path).split("/", 2), "", ""][:3]
        if not secrets.compare_digest(key.encode(), self.server.pages.key.encode()):
            return self.send_error(HTTPStatus.NOT_FOUND)
        if name == CHANGES:
            return self._tell_changes()
        found = self.server.pages.get(name)
        if found is None:
            return self.send_error(HTTPStatus.NOT_FOUND)
        self._send_page(*found)

    def _send_page(self, page: str, version: int) -> None:
        nonce = secrets.token_urlsafe(16)
        script = (
            f'<script nonce="{nonce}">new EventSource("/{self.server.pages.key}/{CHANGES}?{version}")'
            ".onmessage = () => location.reload()</script>"
        )
        content = page.replace("</body>", f"{script}\n</body>").encode("utf-8", "replace")
        self._begin("text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        allowed = f"default-src 'none'; style-src 'unsafe-inline'; script-src 'nonce-{nonce}'; connect-src 'self'"
        self.send_header("Content-Security-Policy", f"{allowed}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
        self.end_headers()
        self.wfile.write(content)

    def _tell_changes(self) -> None:
        """Server-sent events (HTML Living Standard, 9.2): one message as soon as the pages are others than the browser has."""
        told = urlsplit(self.path).query
        version = int(told) if told.isascii() and told.isdigit() and len(told) < 10 else -1
        self._begin("text/event-stream")
        self.end_headers()
        while self.server.pages.wait(version) == version:
            self.wfile.write(b": still the same\n\n")
        self.wfile.write(b"data: changed\n\n")

    def _begin(self, kind: str) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", kind)
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")

    def handle(self) -> None:
        # A browser that has gone meanwhile is none of our business.
        try:
            super().handle()
        except (ConnectionError, TimeoutError):
            self.close_connection = True

    def log_message(self, *_: object) -> None:
        """Nothing: what is asked for is no finding."""
