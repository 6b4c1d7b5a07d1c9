"""Names: what is called so, where it is declared and where it is named, in a plan and in its kits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from shootlint.commands.server.findings import file_of, is_here
from shootlint.commands.server.saying import Saying, saying_at
from shootlint.commands.server.session import Checked
from shootlint.language.folders import root_of
from shootlint.language.loading import scope_of
from shootlint.language.reading import Mention
from shootlint.language.slots import Dotted, Quoted
from shootlint.language.source import Place
from shootlint.language.values import Name
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.book import Book
from shootlint.rulebook.expression import Formula, Named, Node, ScopeAtom
from shootlint.rulebook.ready import ReadyRule

PLACED = "placed "


@dataclass(frozen=True)
class Thing:
    """What a name stands for: its kind, and the setup in which alone it is known, if any."""

    kind: str
    name: str
    setup: int | None = None


def mention_at(checked: Checked, offset: int) -> Mention | None:
    """The name at an offset."""
    for mention in checked.document.mentions if checked.document is not None else ():
        place = mention.name.place
        if place is not None and is_here(place, checked) and place.start <= offset <= place.end:
            return mention
    return _accepted_at(checked, offset)


ACCEPTABLE = frozenset({"person", "light", "print", "setup"})
"""What acceptances are for, by kind."""


def _accepted_at(checked: Checked, offset: int) -> Mention | None:
    """The name in an acceptance at an offset, as what it stands for; None where that may be several things."""
    document = checked.document
    if document is None or document.plan is None:
        return None
    for each in document.plan.accept:
        place = each.about.place
        if place is not None and is_here(place, checked) and place.start <= offset <= place.end:
            alike = {
                one.slot.declares: one for one in document.mentions if one.slot.declares in ACCEPTABLE and one.name == each.about
            }
            return Mention(next(iter(alike.values())).slot, each.about, None) if len(alike) == 1 else None
    return None


def thing_of(mention: Mention) -> Thing:
    """What a name stands for: a person who stands in a setup is the person declared for the plan."""
    kind = (mention.slot.of or mention.slot.declares).removeprefix(PLACED)
    return Thing(kind, str(mention.name), scope_of(kind, mention)[1])


def mentions_of(thing: Thing, mentions: list[Mention]) -> list[Mention]:
    """Every mention of a thing, declarations included, in the order of the text."""
    found = [
        each for each in mentions if str(each.name) == thing.name and each.name.place is not None and thing_of(each) == thing
    ]
    return list({(each.name.place.source, each.name.place.start): each for each in found if each.name.place}.values())


def declarations(mention: Mention, mentions: list[Mention]) -> list[Place]:
    """Where what a name stands for is declared: the person's place in the setup first, for who names one standing there."""
    wanted = mention.slot.of or mention.slot.declares
    there = scope_of(wanted, mention)
    found = [
        each.name.place
        for each in mentions
        if each.slot.declares and str(each.name) == str(mention.name) and scope_of(each.slot.declares, each) == there
    ]
    return [place for place in found if place is not None]


def acceptances(thing: Thing, checked: Checked) -> list[Name]:
    """The names in acceptances that stand for a thing: they are texts, and mean whoever is called so."""
    plan = checked.document.plan if checked.document is not None else None
    return [each.about for each in plan.accept if str(each.about) == thing.name] if plan is not None else []


# --- files and rules


def named_file(checked: Checked, saying: Saying) -> Path | None:
    """The file that a line names, where it is one that there is."""
    slot, source = saying.declared.slot, checked.source
    if not isinstance(slot, Quoted) or slot.name != "FILE" or source is None or source.path is None:
        return None
    try:
        path = (source.path.parent / str(saying.value)).resolve()
        # Nothing that a plan or a rule file says leads out of its folder.
        return path if path.is_relative_to(root_of(source.path)) and path.is_file() else None
    except (OSError, ValueError):
        return None


def rule_at(checked: Checked, offset: int) -> ReadyRule | None:
    """The rule that is named at an offset."""
    saying = saying_at(checked, offset)
    if saying is None or not isinstance(saying.declared.slot, Dotted) or saying.value is None or checked.book is None:
        return None
    return rule_called(str(saying.value), checked.book)


def rule_called(name: str, book: Book) -> ReadyRule | None:
    now = book.name_now(name)
    return book.rules.get(now) or book.own.get(now)


def place_of_rule(rule: ReadyRule) -> tuple[Path, Place] | None:
    """Where a rule is written, where that is a file of this machine."""
    path, place = file_of(rule), rule.rule.name.place
    return (path, place) if path is not None and place is not None else None


def node_at(checked: Checked, offset: int) -> Node | None:
    """The smallest part of a condition at an offset."""
    found: Node | None = None
    for node in _nodes(checked):
        if node.start <= offset <= node.end and (found is None or node.end - node.start <= found.end - found.start):
            found = node
    return found


def _nodes(checked: Checked) -> Iterator[Node]:
    lines = list(checked.tree.lines)
    while lines:
        line = lines.pop()
        lines += line.block.lines if line.block is not None else ()
        for clause in line.clauses:
            for atom in clause:
                top = atom.node if isinstance(atom, Formula) else atom.scope.where if isinstance(atom, ScopeAtom) else None
                yield from _below(top) if top is not None else ()


def _below(node: Node) -> Iterator[Node]:
    left = [node]
    while left:
        node = left.pop()
        yield node
        for name in type(node).__dataclass_fields__:
            inner = getattr(node, name)
            parts = inner if isinstance(inner, tuple) else (inner,)
            left += [each for each in parts if isinstance(each, Node)]


def reading_at(checked: Checked, offset: int) -> tuple[str, int, int] | None:
    """The reading that is named at an offset of a rule file, in a condition or in the braces of a message, and where."""
    node = node_at(checked, offset)
    if isinstance(node, Named):
        return (node.name, node.start, node.end) if node.name in catalogue() else None
    for hole in _IN_BRACES.finditer(checked.source.text if checked.source is not None else ""):
        for word in _WORD.finditer(hole.group()):
            start, end = hole.start() + word.start(), hole.start() + word.end()
            if start <= offset <= end and word.group() in catalogue():
                return word.group(), start, end
    return None


_IN_BRACES = re.compile(r"(?<=[{])[^{}\n\"]*(?=[}])")
_WORD = re.compile(r"[a-z][\w-]*")
