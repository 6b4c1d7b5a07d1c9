"""The server as a process of its own, spoken to by a real client: pygls, with what three real editors say that they can.

Those capability sets are recorded from the editors by pytest-lsp (its folder `clients`).
"""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import os
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from lsprotocol import types as t
from pygls.lsp.client import LanguageClient
from pytest_lsp import client_capabilities

ROOT = Path(__file__).parents[3]
SERVER = [sys.executable, "-P", "-m", "shootlint.commands.main", "editor"]
EDITORS = ("visual_studio_code", "neovim", "emacs")
PATIENCE = 60
"""Seconds; no time that anything should take, only one after which something hangs."""
DRAFT = "plans/first-draft.shoot"


@dataclass
class Talk:
    """A client and what the server has told it."""

    client: LanguageClient
    folder: Path
    initialized: t.InitializeResult | None = None
    published: list[t.PublishDiagnosticsParams] = field(default_factory=list)
    logged: list[str] = field(default_factory=list)
    registered: list[str] = field(default_factory=list)
    news: asyncio.Event = field(default_factory=asyncio.Event)

    def uri(self, name):
        return (self.folder / name).as_uri()

    def document(self, name):
        return t.TextDocumentIdentifier(self.uri(name))

    def open(self, name, text, version=1, language="shootplan"):
        self.client.text_document_did_open(
            t.DidOpenTextDocumentParams(t.TextDocumentItem(self.uri(name), language, version, text))
        )

    def change(self, name, text, version):
        whole = t.TextDocumentContentChangeWholeDocument(text)
        self.client.text_document_did_change(
            t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version, self.uri(name)), [whole])
        )

    async def diagnostics(self, name, version):
        """What is published for a version of a document."""

        async def wait():
            while True:
                for each in self.published:
                    if each.uri == self.uri(name) and each.version == version:
                        return list(each.diagnostics)
                self.news.clear()
                await self.news.wait()

        return await asyncio.wait_for(wait(), PATIENCE)


def talk(folder, conversation, capabilities=None, encodings=None, folders=True, server=SERVER, environment=None):
    """Starts a server, has a conversation with it and ends it as the protocol says; returns what the conversation does."""

    async def run():
        client = LanguageClient("tests", "1")
        here = Talk(client, folder)

        @client.feature(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def published(params):
            here.published.append(params)
            here.news.set()

        @client.feature(t.WINDOW_LOG_MESSAGE)
        def logged(params):
            here.logged.append(params.message)
            here.news.set()

        @client.feature(t.CLIENT_REGISTER_CAPABILITY)
        def registered(params):
            here.registered += [each.method for each in params.registrations]

        await client.start_io(*server, cwd=folder, env={**os.environ, **(environment or {})})
        able = capabilities or t.ClientCapabilities()
        if encodings is not None:
            able.general = t.GeneralClientCapabilities(position_encodings=encodings)
        workspace = [t.WorkspaceFolder(folder.as_uri(), "studio")] if folders else None
        here.initialized = await asyncio.wait_for(
            client.initialize_async(t.InitializeParams(able, process_id=os.getpid(), workspace_folders=workspace)), PATIENCE
        )
        client.initialized(t.InitializedParams())
        try:
            return await asyncio.wait_for(conversation(here), PATIENCE * 3)
        finally:
            process = client._server
            await asyncio.wait_for(client.shutdown_async(None), PATIENCE)
            client.exit(None)
            assert await asyncio.wait_for(process.wait(), PATIENCE) == 0
            with contextlib.suppress(asyncio.CancelledError):
                await client.stop()

    return asyncio.run(run())


@pytest.fixture
def folder(desk):
    return desk.folder


def able(editor):
    return client_capabilities(editor)


@pytest.mark.parametrize("editor", EDITORS)
def test_a_session_with_a_real_editors_capabilities(folder, editor):
    """Findings, a quick fix that is made, hover, completion, outline, folding, definition, references, renaming, formatting."""
    text = (folder / DRAFT).read_text("utf-8")
    capabilities = able(editor)

    async def conversation(here):
        offers = here.initialized.capabilities
        assert offers.text_document_sync.change == t.TextDocumentSyncKind.Full
        assert offers.hover_provider and offers.rename_provider and offers.document_formatting_provider
        here.open(DRAFT, text)
        found = await here.diagnostics(DRAFT, 1)
        sync = next(each for each in found if each.code == "exposure.shutter-above-sync")
        assert sync.severity == t.DiagnosticSeverity.Error and sync.source == "shootlint"
        assert sync.code_description.href.endswith("/exposure/shutter-above-sync.rules")
        assert Path(sync.code_description.href.removeprefix("file://")).is_file()
        heads = next(each for each in found if each.code == "posing.heads-stacked")
        assert [each.message for each in heads.related_information] == ["Dagny is here"]
        assert {each.severity for each in found} >= {1, 2, 3}

        actions = await here.client.text_document_code_action_async(
            t.CodeActionParams(here.document(DRAFT), sync.range, t.CodeActionContext([sync]))
        )
        action = next(each for each in actions if each.diagnostics[0].code == sync.code)
        assert action.title.startswith("shutter 1/160 s") and action.kind == "quickfix"
        versioned = capabilities.workspace.workspace_edit is not None and capabilities.workspace.workspace_edit.document_changes
        if versioned:
            (change,) = action.edit.document_changes
            assert (change.text_document.uri, change.text_document.version) == (here.uri(DRAFT), 1)
            (edit,) = change.edits
        else:
            ((uri, (edit,)),) = action.edit.changes.items()
            assert uri == here.uri(DRAFT)
        lines = text.split("\n")
        line = lines[edit.range.start.line]
        lines[edit.range.start.line] = line[: edit.range.start.character] + edit.new_text + line[edit.range.end.character :]
        here.change(DRAFT, "\n".join(lines), 2)
        assert "exposure.shutter-above-sync" not in {each.code for each in await here.diagnostics(DRAFT, 2)}

        where = lambda needle, into=1: t.Position(  # noqa: E731
            next(number for number, line in enumerate(lines) if needle in line),
            next(each for each in lines if needle in each).index(needle) + into,
        )
        hover = await here.client.text_document_hover_async(t.HoverParams(here.document(DRAFT), where("f/4")))
        assert "blur" in hover.contents.value and hover.range.start == where("aperture    f/4", 0)
        completions = await here.client.text_document_completion_async(
            t.CompletionParams(here.document(DRAFT), where("f/4", -12))
        )
        assert "aperture" in [each.label for each in completions]
        symbols = await here.client.text_document_document_symbol_async(t.DocumentSymbolParams(here.document(DRAFT)))
        assert any(each.name.startswith("setup") for each in symbols)
        folds = await here.client.text_document_folding_range_async(t.FoldingRangeParams(here.document(DRAFT)))
        assert len(folds) > 5
        (kit,) = await here.client.text_document_definition_async(t.DefinitionParams(here.document(DRAFT), where('"Big box" as')))
        assert kit.uri == here.uri("plans/kit/belfry.shoot")
        spots = await here.client.text_document_references_async(
            t.ReferenceParams(t.ReferenceContext(True), here.document(DRAFT), where('"Birk" '))
        )
        assert len(spots) == text.count('"Birk"')
        renamed = await here.client.text_document_rename_async(t.RenameParams(here.document(DRAFT), where('"Birk" '), "Bjarke"))
        changes = renamed.document_changes[0].edits if versioned else renamed.changes[here.uri(DRAFT)]
        assert [each.new_text for each in changes] == ['"Bjarke"'] * text.count('"Birk"')
        edits = await here.client.text_document_formatting_async(
            t.DocumentFormattingParams(here.document(DRAFT), t.FormattingOptions(2, True))
        )
        assert list(edits) == []
        watches = capabilities.workspace.did_change_watched_files
        assert here.registered == (["workspace/didChangeWatchedFiles"] if watches and watches.dynamic_registration else [])
        assert here.logged == []

    talk(folder, conversation, capabilities)


@pytest.mark.parametrize(
    ("offered", "agreed", "length"),
    [
        (None, "utf-16", 2),
        ([t.PositionEncodingKind.Utf16], "utf-16", 2),
        ([t.PositionEncodingKind.Utf8, t.PositionEncodingKind.Utf16], "utf-8", 4),
        ([t.PositionEncodingKind.Utf32, t.PositionEncodingKind.Utf16], "utf-32", 1),
    ],
)
def test_columns_count_in_what_was_agreed_on(folder, offered, agreed, length):
    """Emoji before a place, a byte-order mark and line ends of both kinds: every place is still the right one."""
    units = {"utf-8": lambda s: len(s.encode()), "utf-16": lambda s: len(s.encode("utf-16-le")) // 2, "utf-32": len}[agreed]
    assert units("😀") == length

    async def conversation(here):
        assert here.initialized.capabilities.position_encoding == agreed
        for number, (mark, ends) in enumerate([("", "\n"), ("", "\r\n"), ("\ufeff", "\n"), ("\ufeff", "\r\n")]):
            name = f"plans/draft-{number}.shoot"
            text = mark + (folder / DRAFT).read_text("utf-8").replace("Birk", "😀😀Birk").replace("\n", ends)
            here.open(name, text)
            found = await here.diagnostics(name, 1)
            soft = next(each for each in found if each.code == "focus.person-soft" and "Birk" in each.message)
            line = text.split(ends)[soft.range.start.line]
            assert (soft.range.start.character, soft.range.end.character) == (units(line[: line.index('"')]), units(line))
            at = t.Position(soft.range.start.line, units(line[: line.index("standing") + 2]))
            hover = await here.client.text_document_hover_async(t.HoverParams(here.document(name), at))
            assert hover.range.start.character == units(line[: line.index("standing")])
            broken = text.replace("# ", "😀 # ", 1)
            here.change(name, broken, 2)
            mistake = next(each for each in await here.diagnostics(name, 2) if each.code is None and each.severity == 1)
            assert (mistake.range.start.line, mistake.range.start.character) == (0, units(mark))

    talk(folder, conversation, encodings=offered)


def test_what_is_typed_fast_is_judged_once_it_rests_and_never_told_of_an_older_text(folder):
    text = (folder / DRAFT).read_text("utf-8")

    async def conversation(here):
        here.open(DRAFT, text)
        await here.diagnostics(DRAFT, 1)
        for version in range(2, 60):
            here.change(DRAFT, text.replace("f/4", f"f/{version}"), version)
        found = await here.diagnostics(DRAFT, 59)
        assert any("f/59" in each.message or each.code is not None for each in found)
        versions = [each.version for each in here.published]
        assert versions == sorted(versions) and versions[-1] == 59
        assert len(versions) < 58
        # What is asked right behind a change is answered of the changed text.
        here.change(DRAFT, "shootplan 1\n", 60)
        symbols = await here.client.text_document_document_symbol_async(t.DocumentSymbolParams(here.document(DRAFT)))
        assert len(symbols) == 1
        here.client.text_document_did_close(t.DidCloseTextDocumentParams(here.document(DRAFT)))
        assert await here.diagnostics(DRAFT, None) == []

    talk(folder, conversation)


def test_a_kit_that_is_being_changed_is_what_open_plans_are_judged_with(folder):
    plan, kit = (folder / "plans/evening.shoot").read_text("utf-8"), (folder / "plans/kit/belfry.shoot").read_text("utf-8")

    async def conversation(here):
        here.open("plans/evening.shoot", plan, 7)
        assert await here.diagnostics("plans/evening.shoot", 7) == []
        here.published.clear()
        here.open("plans/kit/belfry.shoot", kit.replace("sync    1/160 s", "sync    1/20 s"))
        found = await here.diagnostics("plans/evening.shoot", 7)
        assert "exposure.shutter-above-sync" in {each.code for each in found}

    talk(folder, conversation)


def test_a_rename_that_is_refused_says_why_and_one_without_a_name_is_none(folder):
    async def conversation(here):
        text = (folder / DRAFT).read_text("utf-8")
        here.open(DRAFT, text)
        lines = text.split("\n")
        number = next(number for number, line in enumerate(lines) if '"Birk" ' in line)
        at = t.Position(number, lines[number].index("Birk"))
        with pytest.raises(Exception, match='there is a person called "Cleo" already') as refused:
            await here.client.text_document_rename_async(t.RenameParams(here.document(DRAFT), at, "Cleo"))
        assert refused.value.code == -32803
        ready = await here.client.text_document_prepare_rename_async(t.PrepareRenameParams(here.document(DRAFT), at))
        assert ready.placeholder == "Birk"
        assert (
            await here.client.text_document_prepare_rename_async(t.PrepareRenameParams(here.document(DRAFT), t.Position(0, 0)))
            is None
        )
        assert here.logged == []

    talk(folder, conversation)


# --- nothing that a client sends ends the server


def framed(message):
    body = message if isinstance(message, bytes) else json.dumps(message).encode()
    return b"Content-Length: %d\r\n\r\n%s" % (len(body), body)


def answers_to(messages, folder, wanted=(0,), **environment):
    """The status of a server that is sent bytes and, once it has answered all that is wanted, told to end; what it sends,
    by the numbers of the requests; and what it says on standard error."""
    process = subprocess.Popen(
        SERVER,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=folder,
        env={**os.environ, **environment},
    )
    watch = threading.Timer(PATIENCE * 2, process.kill)
    watch.start()
    try:
        feeding = threading.Thread(target=lambda: (process.stdin.write(b"".join(messages)), process.stdin.flush()))
        feeding.start()
        found: dict[int, Any] = {}
        while not set(wanted) <= set(found) and (message := read_message(process.stdout)) is not None:
            if "method" not in message:
                found[message["id"]] = message
        feeding.join()
        rest, errors = process.communicate(b"".join(END))
        left = io.BytesIO(rest)
        for message in iter(lambda: read_message(left), None):
            if "method" not in message:
                found[message["id"]] = message
        return process.returncode, found, errors.decode()
    finally:
        watch.cancel()


def read_message(stream):
    """The next message; anything else on standard output fails here."""
    size = None
    while (line := stream.readline()) not in (b"", b"\r\n"):
        name, _, value = line.partition(b": ")
        assert name in (b"Content-Length", b"Content-Type"), line
        size = int(value) if name == b"Content-Length" else size
    return json.loads(stream.read(size)) if size is not None else None


def request(number, method, params=None):
    return framed({"jsonrpc": "2.0", "id": number, "method": method, "params": params})


def notice(method, params=None):
    return framed({"jsonrpc": "2.0", "method": method, "params": params})


BEGIN = [request(0, "initialize", {"processId": None, "rootUri": None, "capabilities": {}}), notice("initialized", {})]
END = [request(999, "shutdown"), notice("exit")]


def opened(uri, text="shootplan 1\n", version=1):
    return notice(
        "textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "shootplan", "version": version, "text": text}}
    )


BAD_MESSAGES = [
    framed(b"{"),
    framed(b"[]"),
    framed(b"5"),
    framed(b"null"),
    framed(b"\xff\xfe"),
    framed(b'{"jsonrpc": "2.0"}'),
    framed(b'{"jsonrpc": "1.0", "id": 1, "method": "shutdown"}'),
    framed(("[" * 100_000).encode()),
    b"Content-Length: x\r\n\r\n",
    b"\r\n\r\n\r\n",
    notice("no/such/notice", {"a": 1}),
    notice("textDocument/didOpen", {"textDocument": 5}),
    notice("textDocument/didOpen", None),
    notice("textDocument/didChange", {"textDocument": {"uri": "file:///none", "version": 1}, "contentChanges": [{"text": "x"}]}),
    notice("textDocument/didChange", {"textDocument": {"uri": "x", "version": "one"}, "contentChanges": {}}),
    notice("textDocument/didClose", {"textDocument": {"uri": "file:///never/opened"}}),
    notice("$/cancelRequest", {"id": 77}),
    notice("workspace/didChangeWatchedFiles", {"changes": [{"uri": "file:///x", "type": 1}]}),
    notice("workspace/didChangeWorkspaceFolders", {"event": {"added": [], "removed": [{"uri": "file:///x", "name": "x"}]}}),
    opened("http://[broken"),
    opened("file://\x00"),
    opened("file:///" + "a" * 5000),
    opened("untitled:\ud83d", "\ud83d"),
    opened("file:///proc/self/mem", "shootplan 1\nkit \"/dev/zero\"\nkit \"../../dev/stdin\"\n"),
    opened("file:///x.shoot", "{" * 100_000),
    opened("file:///x.rules", "require " + "(" * 5_000),
]  # fmt: skip
BAD_REQUESTS = [
    ("textDocument/hover", {"textDocument": 5}),
    ("textDocument/hover", None),
    ("textDocument/rename", {"textDocument": {"uri": "file:///none"}, "position": {"line": -1, "character": 0}, "newName": "x"}),
    ("no/such/request", {}),
    ("workspace/executeCommand", {"command": "rm"}),
]


def test_no_message_ends_the_server(folder):
    """After each message that makes no sense, a question that does is answered."""
    known = folder / "plans/evening.shoot"
    sent = [*BEGIN, opened(known.as_uri(), known.read_text("utf-8"))]
    for number, message in enumerate(BAD_MESSAGES, 1):
        sent += [message, request(number, "textDocument/documentSymbol", {"textDocument": {"uri": known.as_uri()}})]
    asked = range(1, len(BAD_MESSAGES) + 1)
    status, found, _ = answers_to(sent, folder, asked)
    assert status == 0 and found[999]["result"] is None
    for number in asked:
        assert len(found[number]["result"]) > 5, BAD_MESSAGES[number - 1]


def test_a_request_that_makes_no_sense_is_answered_as_an_error(folder):
    asked = [request(number, method, params) for number, (method, params) in enumerate(BAD_REQUESTS, 1)]
    status, found, _ = answers_to([*BEGIN, *asked], folder, range(1, len(asked) + 1))
    assert status == 0
    for number in range(1, len(asked) + 1):
        assert found[number]["error"]["code"] < 0 and found[number]["error"]["message"]


def test_questions_about_documents_that_are_not_open_and_places_outside_are_answered(folder):
    uri = (folder / "plans/evening.shoot").as_uri()
    far = {"line": 2**31 - 1, "character": 2**31 - 1}
    kinds = [
        "hover",
        "completion",
        "definition",
        "references",
        "prepareRename",
        "documentSymbol",
        "foldingRange",
        "formatting",
        "codeAction",
    ]
    asked = []
    for number, kind in enumerate(kinds):
        for first, address in ((10, uri), (30, "file:///not/open.shoot")):
            params = {"textDocument": {"uri": address}, "position": far, "context": {"includeDeclaration": True, "diagnostics": [], "triggerKind": 1},
                      "options": {"tabSize": 2, "insertSpaces": True}, "range": {"start": far, "end": far}}  # fmt: skip
            asked.append((number + first, request(number + first, f"textDocument/{kind}", params)))
    status, found, _ = answers_to([*BEGIN, opened(uri), *(each for _, each in asked)], folder, [number for number, _ in asked])
    assert status == 0
    assert [found[number] for number, _ in asked if "error" in found[number]] == []


def test_a_fault_in_one_request_is_answered_as_an_error_and_told_in_the_log_and_the_server_goes_on(folder, tmp_path):
    """The fault is made by a module that is loaded before the server and breaks one of its parts."""
    (tmp_path / "breaking.py").write_text(
        "import sys\nfrom shootlint.commands.server import hovering\n"
        "def hover(checked, offset):\n    print('no place for this')\n    raise RuntimeError('the hover is broken')\n"
        "hovering.hover = hover\nfrom shootlint.commands.main import main\nsys.exit(main(['editor']))\n",
        "utf-8",
    )

    async def conversation(here):
        here.open(DRAFT, (folder / DRAFT).read_text("utf-8"))
        with pytest.raises(Exception, match="the hover is broken"):
            await here.client.text_document_hover_async(t.HoverParams(here.document(DRAFT), t.Position(0, 0)))
        assert await here.client.text_document_document_symbol_async(t.DocumentSymbolParams(here.document(DRAFT)))
        assert len(await here.diagnostics(DRAFT, 1)) > 10
        while not any("the hover is broken" in each for each in here.logged):
            here.news.clear()
            await asyncio.wait_for(here.news.wait(), PATIENCE)

    talk(folder, conversation, server=[sys.executable, "-P", str(tmp_path / "breaking.py")])


def test_a_client_that_is_gone_ends_the_server(folder):
    process = subprocess.run(SERVER, input=b"".join(BEGIN), capture_output=True, cwd=folder, timeout=PATIENCE, check=False)
    # "The server should exit with success code 0 if the shutdown request has been received before; otherwise with error
    # code 1." (LSP 3.17, Exit Notification)
    assert process.returncode == 1


def test_standard_output_holds_the_protocol_alone_even_where_a_package_writes_there(folder, tmp_path):
    """`answers_to` takes standard output apart and would fail at anything else in it."""
    package = tmp_path / "site"
    (package / "loud").mkdir(parents=True)
    (package / "loud/__init__.py").write_text(
        "import os, sys\nprint('hello')\nos.write(1, b'hello')\nassert sys.stdin.read() == ''\nsys.exit(3)\n", "utf-8"
    )
    (package / "loud-1.dist-info").mkdir()
    (package / "loud-1.dist-info/METADATA").write_text("Metadata-Version: 2.1\nName: loud\nVersion: 1\n", "utf-8")
    (package / "loud-1.dist-info/entry_points.txt").write_text("[shootlint.readings]\nloud = loud\n", "utf-8")
    (folder / "plans/house.rules").write_text('use shipped\nuse package "loud"\n', "utf-8")
    known = folder / "plans/evening.shoot"
    asked = request(5, "textDocument/documentSymbol", {"textDocument": {"uri": known.as_uri()}})
    messages = [*BEGIN, opened(known.as_uri(), known.read_text("utf-8")), asked]
    status, found, errors = answers_to(messages, folder, (0, 5), PYTHONPATH=str(package))
    assert status == 0 and errors.count("hello") >= 2
    assert len(found[5]["result"]) > 5


def test_a_package_at_fault_leaves_the_findings_of_the_shipped_rules(folder):
    (folder / "plans/house.rules").write_text('use shipped\nuse package "no-such-package"\n', "utf-8")

    async def conversation(here):
        here.open(DRAFT, (folder / DRAFT).read_text("utf-8"))
        found = await here.diagnostics(DRAFT, 1)
        assert any("no installed package offers" in each.message for each in found)
        assert sum(each.code is not None for each in found) > 10

    talk(folder, conversation)


def test_without_the_extra_it_is_said_what_to_install(folder):
    hide = "import sys; sys.modules['pygls'] = None; from shootlint.commands.main import main; sys.exit(main(['editor']))"
    done = subprocess.run([sys.executable, "-P", "-c", hide], capture_output=True, cwd=folder, text=True, input="", check=False)
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr.splitlines() == [
        'shootlint: the editor\'s server needs what the extra "editor" brings: pip install "shootlint[editor]"'
    ]


def test_no_other_command_loads_the_server(folder):
    look = "import sys; from shootlint.commands.main import main; main(sys.argv[1:]); print(sorted({'pygls', 'lsprotocol', 'asyncio'} & set(sys.modules)))"
    for call in (["check", DRAFT, "--no-cache"], ["words"], ["rules"], ["tidy", "--verify", DRAFT]):
        done = subprocess.run([sys.executable, "-P", "-c", look, *call], capture_output=True, cwd=folder, text=True, check=False)
        assert done.stdout.splitlines()[-1] == "[]", done.stderr


SLOW = """
import sys, time
from shootlint.commands.server import mending, session
judge, offers = session.judge, mending.offers

def slow_judge(*arguments, **more):
    time.sleep(1)
    return judge(*arguments, **more)

def slow_offers(*arguments):
    time.sleep(1)
    yield from offers(*arguments)

session.judge, mending.offers = slow_judge, slow_offers
from shootlint.commands.main import main
sys.exit(main(["editor"]))
"""


def test_what_was_worked_out_for_a_version_that_is_no_longer_the_latest_is_dropped(folder, tmp_path):
    """Judging and mending take a second here, and the next version comes meanwhile."""
    (tmp_path / "slow.py").write_text(SLOW, "utf-8")
    text = (folder / DRAFT).read_text("utf-8")

    async def conversation(here):
        here.open(DRAFT, text)
        found = await here.diagnostics(DRAFT, 1)
        sync = next(each for each in found if each.code == "exposure.shutter-above-sync")
        here.change(DRAFT, text + "\n", 2)
        await asyncio.sleep(0.3)
        here.change(DRAFT, text + "\n\n", 3)
        await here.diagnostics(DRAFT, 3)
        assert [each.version for each in here.published] == [1, 3]

        asked = t.CodeActionParams(here.document(DRAFT), sync.range, t.CodeActionContext([sync]))
        actions = asyncio.ensure_future(here.client.text_document_code_action_async(asked))
        await asyncio.sleep(0.3)
        here.change(DRAFT, text, 4)
        # Nothing, or what is offered for the version that has come: never anything for the one that is gone.
        for action in await actions or ():
            assert [each.text_document.version for each in action.edit.document_changes] == [4]
        assert await here.client.text_document_code_action_async(asked)

    talk(folder, conversation, able("neovim"), server=[sys.executable, "-P", str(tmp_path / "slow.py")])
