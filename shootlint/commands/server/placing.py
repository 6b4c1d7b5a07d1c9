"""Where what a name stands for is declared, and everywhere that it is named."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from shootlint.commands.server import names
from shootlint.commands.server.saying import saying_at
from shootlint.commands.server.session import Checked, Session
from shootlint.language.source import Place, Source
from shootlint.rulebook.expression import Named
from shootlint.rulebook.model import RULE_FILES


@dataclass(frozen=True)
class Spot:
    """A stretch of a file: of the document asked about where it has no path. Offsets count in `source`."""

    path: Path | None
    source: Source
    start: int
    end: int


def definitions(session: Session, checked: Checked, offset: int) -> list[Spot]:
    """Where what stands at an offset is declared: a name's thing, a file, a rule."""
    if checked.source is None:
        return []
    rule = names.rule_at(checked, offset)
    if rule is not None:
        found = names.place_of_rule(rule)
        return [Spot(found[0], found[1].source, found[1].start, found[1].end)] if found is not None else []
    mention = names.mention_at(checked, offset)
    if mention is not None and checked.document is not None:
        return [_spot(place) for place in names.declarations(mention, checked.document.mentions)]
    saying = saying_at(checked, offset)
    path = names.named_file(checked, saying) if saying is not None else None
    if path is not None:
        source = session.files.read(path, str(path))
        return [Spot(path, source, 0, 0)]
    return _set_value(checked, offset)


def _set_value(checked: Checked, offset: int) -> list[Spot]:
    """Where a rule sets the value that its condition names."""
    node = names.node_at(checked, offset) if checked.vocabulary is RULE_FILES else None
    if not isinstance(node, Named) or checked.source is None:
        return []
    for line in checked.tree.lines:
        if line.block is not None and line.block.start <= offset <= line.block.end:
            for each in line.block.lines:
                if each.head.text == "set" and len(each.clauses[0]) > 1 and each.clauses[0][1].text == node.name:
                    return [Spot(checked.source.path, checked.source, each.clauses[0][1].start, each.clauses[0][1].end)]
    return []


def references(checked: Checked, offset: int, with_declaration: bool) -> list[Spot]:
    """Everywhere in a plan and its kits that the thing at an offset is named."""
    mention = names.mention_at(checked, offset)
    if mention is None or checked.document is None:
        return []
    thing = names.thing_of(mention)
    found = [
        each.name.place
        for each in names.mentions_of(thing, checked.document.mentions)
        if with_declaration or each.slot.declares != thing.kind
    ]
    found += [each.place for each in names.acceptances(thing, checked)]
    return [_spot(place) for place in found if place is not None]


def _spot(place: Place) -> Spot:
    return Spot(place.source.path, place.source, place.start, place.end)
