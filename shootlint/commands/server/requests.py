"""Each message that the server understands, and what it does about it."""

from __future__ import annotations

from asyncio import CancelledError
from functools import partial
from threading import Event
from typing import Any

from lsprotocol import types

from shootlint.commands.refused import Refused
from shootlint.commands.server import completing, hovering, mending, outlining, placing, renaming, tidying
from shootlint.commands.server.protocol import Refusal, Server, changed_text, path_of
from shootlint.commands.server.session import Checked, Opened
from shootlint.commands.server.warming import warm

TRIGGERS = [" ", '"', ",", "{", "."]


def register(server: Server) -> None:
    """Registers all of them with a server."""
    _documents(server)
    _questions(server)
    _changes(server)


def _documents(server: Server) -> None:
    session = server.session

    @server.feature(types.INITIALIZE)
    def initialize(params: types.InitializeParams) -> None:
        server.answers.encoding = str(getattr(server.workspace.position_encoding, "value", server.workspace.position_encoding))  # type: ignore[assignment]
        addresses = [each.uri for each in params.workspace_folders or ()] or [params.root_uri or ""]
        session.folders = [path.resolve() for each in addresses if (path := path_of(each)) is not None]

    @server.feature(types.INITIALIZED)
    async def initialized(params: types.InitializedParams) -> None:
        server.in_background(server.work(warm))
        if server.can("workspace", "did_change_watched_files", "dynamic_registration"):
            watchers = [types.FileSystemWatcher(f"**/*.{ending}") for ending in ("shoot", "rules")]
            options = types.DidChangeWatchedFilesRegistrationOptions(watchers)
            method = types.WORKSPACE_DID_CHANGE_WATCHED_FILES
            server.client_register_capability(types.RegistrationParams([types.Registration(method, method, options)]))

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    async def did_open(params: types.DidOpenTextDocumentParams) -> None:
        item = params.text_document
        take = partial(session.open, item.uri, path_of(item.uri), item.version, item.text, item.language_id)
        server.take(item.uri, item.version, take)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    async def did_change(params: types.DidChangeTextDocumentParams) -> None:
        uri, version = params.text_document.uri, params.text_document.version

        def change() -> None:
            document = session.documents[uri]
            for each in params.content_changes:
                session.change(uri, version, changed_text(document, each, server.answers.encoding))

        if uri in server.latest:
            server.take(uri, version, change)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    async def did_close(params: types.DidCloseTextDocumentParams) -> None:
        uri = params.text_document.uri
        server.latest.pop(uri, None)
        await server.work(partial(session.close, uri))
        if uri not in server.latest:
            server.text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, []))
        _look_again()

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    async def did_save(params: types.DidSaveTextDocumentParams) -> None:
        _look_again()

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    async def did_change_watched_files(params: types.DidChangeWatchedFilesParams) -> None:
        _look_again()

    @server.feature(types.WORKSPACE_DID_CHANGE_WORKSPACE_FOLDERS)
    async def did_change_folders(params: types.DidChangeWorkspaceFoldersParams) -> None:
        gone = {path_of(each.uri) for each in params.event.removed}
        come = [path for each in params.event.added if (path := path_of(each.uri)) is not None]
        session.folders = [each for each in session.folders if each not in gone] + [each.resolve() for each in come]

    def _look_again() -> None:
        for uri in list(server.latest):
            server.schedule(uri)


def _questions(server: Server) -> None:
    answers = server.answers

    @server.feature(types.TEXT_DOCUMENT_HOVER)
    async def hover(params: types.HoverParams) -> types.Hover | None:
        markdown = types.MarkupKind.Markdown in (server.can("text_document", "hover", "content_format") or ())

        def work(checked: Checked, document: Opened) -> types.Hover | None:
            found = hovering.hover(checked, answers.offset(document, params.position))
            return answers.hover(found, document, markdown) if found is not None else None

        return await server.answer(params.text_document.uri, work, None)

    @server.feature(types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=TRIGGERS))
    async def completion(params: types.CompletionParams) -> list[types.CompletionItem]:
        def work(checked: Checked, document: Opened) -> list[types.CompletionItem]:
            if checked.source is None:
                return []
            offset = answers.offset(document, params.position)
            here, items = completing.completions(checked, offset)
            return answers.completions(here, items, offset, document)

        return await server.answer(params.text_document.uri, work, [])

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    async def symbols(params: types.DocumentSymbolParams) -> Any:
        nested = server.can("text_document", "document_symbol", "hierarchical_document_symbol_support")

        def work(checked: Checked, document: Opened) -> Any:
            found = outlining.outline(checked)
            return answers.symbols(found, document) if nested else answers.flat_symbols(found, document)

        return await server.answer(params.text_document.uri, work, [])

    @server.feature(types.TEXT_DOCUMENT_FOLDING_RANGE)
    async def folding(params: types.FoldingRangeParams) -> list[types.FoldingRange]:
        def work(checked: Checked, document: Opened) -> list[types.FoldingRange]:
            kinds = {True: types.FoldingRangeKind.Comment, False: types.FoldingRangeKind.Region}
            return [types.FoldingRange(each.first, each.last, kind=kinds[each.comment]) for each in outlining.folds(checked)]

        return await server.answer(params.text_document.uri, work, [])

    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: types.DefinitionParams) -> list[types.Location]:
        def work(checked: Checked, document: Opened) -> list[types.Location]:
            spots = placing.definitions(server.session, checked, answers.offset(document, params.position))
            return answers.locations(spots, document)

        return await server.answer(params.text_document.uri, work, [])

    @server.feature(types.TEXT_DOCUMENT_REFERENCES)
    async def references(params: types.ReferenceParams) -> list[types.Location]:
        def work(checked: Checked, document: Opened) -> list[types.Location]:
            offset = answers.offset(document, params.position)
            return answers.locations(placing.references(checked, offset, params.context.include_declaration), document)

        return await server.answer(params.text_document.uri, work, [])


def _changes(server: Server) -> None:
    answers = server.answers

    def versioned() -> bool:
        return bool(server.can("workspace", "workspace_edit", "document_changes"))

    @server.feature(types.TEXT_DOCUMENT_CODE_ACTION, types.CodeActionOptions([types.CodeActionKind.QuickFix]))
    async def actions(params: types.CodeActionParams) -> list[types.CodeAction]:
        uri, kinds = params.text_document.uri, params.context.only
        wants_mends = kinds is None or any(each in ("", types.CodeActionKind.QuickFix) for each in kinds)
        if not wants_mends or server.can("text_document", "code_action", "code_action_literal_support") is None:
            return []

        cancelled = Event()

        def work(checked: Checked, document: Opened) -> list[types.CodeAction]:
            def wanted() -> bool:
                return not cancelled.is_set() and server.latest.get(uri) == checked.version

            start, end = (answers.offset(document, each) for each in (params.range.start, params.range.end))
            offers = mending.offers(checked, start, end, wanted)
            return [answers.action(each, document, versioned()) for each in offers]

        try:
            return await server.answer(uri, work, [])
        except CancelledError:
            cancelled.set()
            raise

    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    async def formatting(params: types.DocumentFormattingParams) -> list[types.TextEdit]:
        def work(checked: Checked, document: Opened) -> list[types.TextEdit]:
            return answers.edits(tidying.tidying(checked), document)

        return await server.answer(params.text_document.uri, work, [])

    @server.feature(types.TEXT_DOCUMENT_PREPARE_RENAME)
    async def prepare_rename(params: types.PrepareRenameParams) -> types.PrepareRenamePlaceholder | None:
        def work(checked: Checked, document: Opened) -> types.PrepareRenamePlaceholder | None:
            try:
                start, end, name = renaming.renamed_at(checked, answers.offset(document, params.position))
            except Refused:
                return None
            return types.PrepareRenamePlaceholder(answers.range(answers.of(document), start, end), name)

        return await server.answer(params.text_document.uri, work, None)

    @server.feature(types.TEXT_DOCUMENT_RENAME)
    async def rename(params: types.RenameParams) -> types.WorkspaceEdit | None:
        def work(checked: Checked, document: Opened) -> types.WorkspaceEdit | None:
            offset = answers.offset(document, params.position)
            try:
                found = renaming.renames(server.session, checked, offset, params.new_name)
            except Refused as reason:
                raise Refusal(str(reason)) from None
            return answers.renaming(found, document, versioned())

        return await server.answer(params.text_document.uri, work, None)
