"""`check --watch`: plans are judged again as they are saved, and a browser on this machine is kept fresh, and nobody else."""

from __future__ import annotations

import http.client
import os
import signal
import subprocess
import sys
import time
from argparse import Namespace
from collections.abc import Callable, Iterator
from urllib.parse import urlsplit

import pytest

from shootlint.commands.serving import HOST, Pages

PATIENCE = 60
PAGE = "<!doctype html><html lang='en'><title>{0}</title><body><h1>{0}</h1></body></html>\n"


def asked(address: str, host: str | None = None, method: str = "GET", path: str = "") -> tuple[int, dict[str, str], str]:
    """Status, headers and text of what a server answers."""
    parts = urlsplit(address)
    connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=PATIENCE)
    connection.putrequest(method, path or parts.path, skip_host=True)
    connection.putheader("Host", host or parts.netloc)
    connection.endheaders()
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    return answer.status, dict(answer.getheaders()), text


@pytest.fixture
def served() -> tuple[Pages, str]:
    pages = Pages()
    pages.put({"": PAGE.format("first"), "other plan.html": PAGE.format("other")})
    return pages, pages.serve()


def test_pages_are_for_this_machine_and_for_whoever_knows_where(served) -> None:
    _, address = served
    assert urlsplit(address).hostname == "127.0.0.1"
    status, headers, text = asked(address)
    assert status == 200 and "<h1>first</h1>" in text
    assert headers["Cache-Control"] == "no-store"
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert asked(f"{address}other%20plan.html")[2].count("other") == 2
    port = urlsplit(address).port
    # A page from elsewhere may have its own name lead here (DNS rebinding), but cannot say that it is us.
    for host in ("rebound.example", f"rebound.example:{port}", HOST, f"localhost:{port}"):
        assert asked(address, host=host)[0] == 403
    for path in ("/", "/changes", "/guessed-key/", address[: address.rindex("/") - 3], "/../../etc/passwd", "*", "//"):
        assert asked(address, path=path)[0] == 404
    assert asked(f"{address}missing.html")[0] == 404
    assert asked(address, method="POST")[0] == 501


def test_whoever_waits_is_told_of_a_change(served) -> None:
    pages, address = served
    version = pages.get("")[1]
    assert pages.wait(version - 1) == version
    pages.put({"": PAGE.format("second")})
    # One who has an older version is told at once, without another change.
    status, headers, text = asked(f"{address}changes", path=f"{urlsplit(address).path}changes?{version}")
    assert (status, headers["Content-Type"], text) == (200, "text/event-stream", "data: changed\n\n")
    assert "<h1>second</h1>" in asked(address)[2]
    assert asked(f"{address}other%20plan.html")[0] == 404


def test_a_browser_shows_what_is_shown_now(served, chromium) -> None:
    pages, address = served

    def followed(page) -> list[str]:
        seen = [page.inner_text("h1")]
        for title in ("second", "third"):
            pages.put({"": PAGE.format(title)})
            page.wait_for_function("title => document.querySelector('h1')?.textContent === title", arg=title)
            seen.append(page.inner_text("h1"))
        return seen

    assert chromium.visit(address, followed) == ["first", "second", "third"]


@pytest.fixture
def watching(studio) -> Iterator[Callable[..., subprocess.Popen[bytes]]]:
    """Starts `check --watch` in the studio's folder; what it says goes to files there."""
    started = []

    def start(*arguments: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-u", "-P", "-m", "shootlint.commands.main", "check", *arguments, "--watch"]
        with open(studio.folder / "out.txt", "wb") as out, open(studio.folder / "err.txt", "wb") as err:
            started.append(subprocess.Popen(command, cwd=studio.folder, stdout=out, stderr=err, stdin=subprocess.DEVNULL))
        return started[-1]

    yield start
    for process in started:
        process.kill()
        process.wait()


def until(found: Callable[[], object]) -> object:
    end = time.monotonic() + PATIENCE
    while not (answer := found()):
        assert time.monotonic() < end, "nothing came of it"
        time.sleep(0.1)
    return answer


def test_a_saved_plan_is_judged_again(studio, watching, plan: str, rules: str) -> None:
    process = watching("plan.shoot", "--rules", "studio.rules", "--report", "json=out.json", "--report", "text=-")

    def said(name: str) -> str:
        return (studio.folder / name).read_text("utf-8")

    until(lambda: "on this machine alone" in said("err.txt"))
    address = said("err.txt").split("sheets: ")[1].split()[0]
    assert "Both is at ISO 400" in asked(address)[2]
    # As editors save: under another name first.
    studio.write(".plan.new", plan.replace("iso      400", "iso      800"))
    os.replace(studio.folder / ".plan.new", studio.folder / "plan.shoot")
    until(lambda: "Both is at ISO 800" in said("out.txt"))
    until(lambda: "Both is at ISO 800" in asked(address)[2])
    assert "judged again: plan.shoot changed" in said("err.txt") and "ISO 800" in said("out.json")
    # A rule file counts as well; one that cannot be used is told, and the next save may mend it.
    (studio.folder / "studio.rules").unlink()
    until(lambda: "shootlint: --rules" in said("err.txt") or "studio.rules" in said("err.txt").split("judged again")[-1])
    studio.write("studio.rules", rules.replace("iso <= 200", "iso <= 1000"))
    until(lambda: "Both is at ISO" not in asked(address)[2])
    process.send_signal(signal.SIGINT)
    assert process.wait(PATIENCE) == 0
    # It closes with the process.
    with pytest.raises(ConnectionError):
        asked(address)


def test_a_folder_has_a_page_that_leads_to_its_sheets(studio, watching, plan: str) -> None:
    studio.write("second.shoot", plan.replace("Rowing club", "Second club"))
    watching(".", "--rules", "studio.rules")
    until(lambda: "on this machine alone" in (studio.folder / "err.txt").read_text())
    address = (studio.folder / "err.txt").read_text().split("sheets: ")[1].split()[0]
    page = asked(address)[2]
    assert '<a href="plan.html">' in page and '<a href="second.html">' in page
    assert "<h1><bdi>Second club, jetty</bdi></h1>" in asked(f"{address}second.html")[2]


@pytest.mark.parametrize(
    ("path", "reason"), [("-", "standard input is none"), ("missing.shoot", "--watch: missing.shoot is not there")]
)
def test_what_cannot_be_watched_is_told(studio, path: str, reason: str) -> None:
    done = studio.run("check", path, "--watch")
    assert done.status == 2 and reason in done.err


def test_without_its_library_it_says_what_to_install(studio, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "watchfiles", None)
    done = studio.run("check", "plan.shoot", "--watch")
    assert done.status == 2 and 'pip install "shootlint[watch]"' in done.err


def test_a_fault_of_one_round_does_not_end_the_watch(studio, capsys, monkeypatch: pytest.MonkeyPatch) -> None:
    import watchfiles

    from shootlint.commands import watching
    from shootlint.reports.run import Run

    rounds = [Run(), ZeroDivisionError("a fault"), Run()]
    saved = {(1, str(studio.folder / "plan.shoot"))}
    monkeypatch.setattr(watchfiles, "watch", lambda *_, **__: iter([saved, saved]))

    def judge() -> Run:
        found = rounds.pop(0)
        if isinstance(found, Exception):
            raise found
        return found

    assert watching.watch(Namespace(paths=["plan.shoot"], rules=[]), judge) == 0
    assert not rounds
    assert "judging broke off: ZeroDivisionError: a fault" in capsys.readouterr().err
