"""What the server found, in the protocol's own types and in the positions that its client counts in."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from lsprotocol import types

from shootlint.commands.server.findings import Related, Said
from shootlint.commands.server.hovering import Hover
from shootlint.commands.server.mending import Offer
from shootlint.commands.server.offering import Item
from shootlint.commands.server.outlining import Symbol
from shootlint.commands.server.placing import Spot
from shootlint.commands.server.positions import Encoding, LineIndex, Position
from shootlint.commands.server.renaming import Rename
from shootlint.commands.server.session import Opened, Session
from shootlint.commands.server.where import Where
from shootlint.language.source import Source
from shootlint.language.tree import as_string

SOURCE = "shootlint"
SEVERITY = {
    "error": types.DiagnosticSeverity.Error,
    "warning": types.DiagnosticSeverity.Warning,
    "note": types.DiagnosticSeverity.Information,
    "hint": types.DiagnosticSeverity.Hint,
}
KIND = {
    "word": types.CompletionItemKind.Keyword,
    "name": types.CompletionItemKind.Variable,
    "unit": types.CompletionItemKind.Unit,
    "rule": types.CompletionItemKind.Event,
    "reading": types.CompletionItemKind.Property,
    "value": types.CompletionItemKind.EnumMember,
    "function": types.CompletionItemKind.Function,
    "file": types.CompletionItemKind.File,
}
_REST_OF_NAME = re.compile(r'[\w .&-]*"')


class Answers:
    """Makes answers for one client."""

    def __init__(self, session: Session, encoding: Encoding) -> None:
        self.session = session
        self.encoding: Encoding = encoding
        self._index: tuple[str, bool, LineIndex] | None = None

    def index(self, text: str, marked: bool = False) -> LineIndex:
        if self._index is None or self._index[0] is not text or self._index[1] != marked:
            self._index = (text, marked, LineIndex(text, self.encoding, marked))
        return self._index[2]

    def of(self, document: Opened) -> LineIndex:
        """Where the lines of an open document are."""
        return self.index(document.bare, document.marked)

    def offset(self, document: Opened, position: types.Position) -> int:
        return self.of(document).offset(Position(position.line, position.character))

    def range(self, index: LineIndex, start: int, end: int) -> types.Range:
        first, last = index.span(start, end)
        return types.Range(types.Position(*first), types.Position(*last))

    def location(self, path: Path | None, source: Source, start: int, end: int, document: Opened) -> types.Location:
        """A place in a file, or in the document itself."""
        if path is None or path == document.path:
            return types.Location(document.uri, self.range(self.of(document), start, end))
        opened = next((each for each in self.session.documents.values() if each.path == path), None)
        # Whoever opens a file takes a byte-order mark off; who has it open may have kept it.
        index = LineIndex(source.text, self.encoding, opened is not None and opened.marked)
        return types.Location(self.session.uri_of(path), self.range(index, start, end))

    def diagnostic(self, said: Said, document: Opened) -> types.Diagnostic:
        page = types.CodeDescription(said.page.as_uri()) if said.page is not None else None
        return types.Diagnostic(
            range=self.range(self.of(document), said.start, said.end),
            message=said.message,
            severity=SEVERITY[said.level],
            code=said.rule,
            code_description=page,
            source=SOURCE,
            related_information=[self._related(each, document) for each in said.related] or None,
        )

    def _related(self, related: Related, document: Opened) -> types.DiagnosticRelatedInformation:
        place = related.place
        return types.DiagnosticRelatedInformation(
            self.location(related.path, place.source, place.start, place.end, document), related.message
        )

    def action(self, offer: Offer, document: Opened, versioned: bool) -> types.CodeAction:
        index = self.of(document)
        edits = [types.TextEdit(self.range(index, each.place.start, each.place.end), each.text) for each in offer.changes]
        return types.CodeAction(
            title=offer.title,
            kind=types.CodeActionKind.QuickFix,
            diagnostics=[self.diagnostic(offer.said, document)],
            is_preferred=offer.preferred or None,
            edit=self.edit({document.uri: edits}, versioned),
        )

    def edit(self, edits: dict[str, list[types.TextEdit]], versioned: bool) -> types.WorkspaceEdit:
        """Changes of files; of those that are open only in the version that was asked about, where the client can tell."""
        if not versioned:
            return types.WorkspaceEdit(changes=edits)
        versions = {uri: self.session.documents[uri].version if uri in self.session.documents else None for uri in edits}
        return types.WorkspaceEdit(
            document_changes=[
                types.TextDocumentEdit(types.OptionalVersionedTextDocumentIdentifier(uri, versions[uri]), each)
                for uri, each in edits.items()
            ]
        )

    def renaming(self, renames: Iterable[Rename], document: Opened, versioned: bool) -> types.WorkspaceEdit:
        edits: dict[str, list[types.TextEdit]] = {}
        for each in renames:
            where = self.location(each.source.path, each.source, each.start, each.end, document)
            edits.setdefault(where.uri, []).append(types.TextEdit(where.range, each.text))
        return self.edit(edits, versioned)

    def edits(self, changes: Iterable[tuple[int, int, str]], document: Opened) -> list[types.TextEdit]:
        index = self.of(document)
        return [types.TextEdit(self.range(index, start, end), text) for start, end, text in changes]

    def hover(self, hover: Hover, document: Opened, markdown: bool) -> types.Hover:
        kind = types.MarkupKind.Markdown if markdown else types.MarkupKind.PlainText
        text = hover.text if markdown else re.sub(r"\\([\\`*_{}\[\]<>#|!])|`{3,}(?:text)?\n?|`", r"\1", hover.text)
        return types.Hover(types.MarkupContent(kind, text), self.range(self.of(document), hover.start, hover.end))

    def completions(self, here: Where, items: list[Item], offset: int, document: Opened) -> list[types.CompletionItem]:
        index = self.of(document)
        # What is left of the name behind the cursor, and its quotation mark, make room for the new one.
        rest = _REST_OF_NAME.match(document.bare, offset) if here.in_name else None
        in_hole = here.in_name and "{" in here.typed.rpartition("}")[2]
        start = offset - len(here.typed.rpartition("{")[2]) if in_hole else here.start
        whole = self.range(index, start, offset if rest is None or in_hole else rest.end())
        found = []
        for number, item in enumerate(items):
            text = item.text if in_hole or not item.quoted else as_string(item.text)
            found.append(
                types.CompletionItem(
                    label=item.text,
                    kind=KIND[item.sort],
                    detail=item.detail or None,
                    sort_text=f"{number:04}",
                    filter_text=text,
                    text_edit=types.TextEdit(whole, item.insert or text),
                )
            )
        return found

    def symbols(self, symbols: Iterable[Symbol], document: Opened) -> list[types.DocumentSymbol]:
        index = self.of(document)
        return [
            types.DocumentSymbol(
                name=each.name,
                kind=_kind(each),
                range=self.range(index, each.start, each.end),
                selection_range=self.range(index, *each.chosen),
                detail=each.detail or None,
                children=self.symbols(each.inner, document),
            )
            for each in symbols
        ]

    def flat_symbols(
        self, symbols: Iterable[Symbol], document: Opened, around: str | None = None
    ) -> list[types.SymbolInformation]:
        """The outline as a plain list, for a client that knows no other."""
        index = self.of(document)
        found = []
        for each in symbols:
            where = types.Location(document.uri, self.range(index, each.start, each.end))
            found.append(types.SymbolInformation(where, each.name, _kind(each), container_name=around))
            found += self.flat_symbols(each.inner, document, each.name)
        return found

    def locations(self, spots: Iterable[Spot], document: Opened) -> list[types.Location]:
        return [self.location(each.path, each.source, each.start, each.end, document) for each in spots]


def _kind(symbol: Symbol) -> types.SymbolKind:
    return types.SymbolKind.Object if symbol.opens else types.SymbolKind.Field
