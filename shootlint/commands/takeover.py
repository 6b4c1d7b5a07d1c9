"""A group that has been photographed before, taken over into a folder of its own: its plan, the kits and the house's rules.

People, kits, site, prints and setups are kept as they stand, comments and all. What was of that day alone (the date, the
weather, what the meter read, what was accepted) becomes comments to be filled in anew, so that nothing of the old evening
counts for the new one in silence.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.commands.paths import STANDARD_INPUT
from shootlint.commands.refused import Refused
from shootlint.language.complaint import listed
from shootlint.language.edits import Change, changed
from shootlint.language.folders import seen_from_here
from shootlint.language.loading import HEADINGS, Document, Loader, read_one
from shootlint.language.source import Source, Unreadable, read_source
from shootlint.language.tree import as_string

if TYPE_CHECKING:
    from shootlint.language.values import Name

OF_THE_DAY = ("date", "weather", "meter", "accept")
"""The words of a plan whose lines were of one day alone."""


@dataclass
class Moved:
    """Files on their way into a new folder, and the names that they get there."""

    home: Path
    """The folder in which they lie, so that those below it keep their names."""
    beside: str
    """The folder of the new one into which all others go."""
    names: dict[Path, str] = field(default_factory=dict)

    def name(self, path: Path) -> str:
        """The new name of a file, which no other file has."""
        if path in self.names:
            return self.names[path]
        inside = path.is_relative_to(self.home)
        wanted = path.relative_to(self.home) if inside else Path(self.beside) / path.name
        taken, number = {each.casefold() for each in self.names.values()}, 1
        name = wanted
        while name.as_posix().casefold() in taken:
            number += 1
            name = wanted.with_stem(f"{wanted.stem}-{number}")
        self.names[path] = name.as_posix()
        return self.names[path]

    def pointed(self, source: Source, named: Iterable[Name]) -> str:
        """A text in which each file that it names is named where it will lie."""
        assert source.path is not None
        own = os.path.dirname(self.name(source.path))
        changes = []
        for name in named:
            assert name.place is not None
            there = os.path.relpath(self.name((source.path.parent / name).resolve()), own or ".")
            if Path(there).as_posix() != name:
                changes.append(Change(name.place, as_string(Path(there).as_posix())))
        return changed(source.text, changes)


def taken_over(plan: str, folder: Path, date: str | None) -> tuple[dict[str, bytes], list[str]]:
    """The files of a new folder by their names, the plan first, and what is to be said of them; raises Refused."""
    document = _document(plan)
    assert document.source.path is not None
    old = document.source.path
    moved = Moved(old.parent, "kit", {old: old.name})
    for kit in document.kits:
        assert kit.source.path is not None
        moved.name(kit.source.path)
    made = {old.name: document.source.encoded(_plan_text(document, moved, date))}
    for kit in document.kits:
        if kit.plan is not None and kit.source.path is not None:
            made[moved.name(kit.source.path)] = kit.source.encoded(moved.pointed(kit.source, kit.plan.kit))
    rules, remarks = _rules(old, folder, set(made))
    return made | rules, [*remarks, *_to_fill_in(document, folder / old.name, date)]


def _document(plan: str) -> Document:
    if plan == STANDARD_INPUT:
        raise Refused("standard input lies in no folder that could be taken over; name a file")
    try:
        document = Loader().load(Path(plan), plan)
    except Unreadable as error:
        raise Refused(f"{plan}: {error}") from None
    if document.complaints or document.plan is None:
        raise Refused(f"{plan}: only a plan without a mistake can be taken over", document.complaints)
    if not document.is_plan:
        raise Refused(f"{plan}: this is a kit, for it has no setup; name a plan")
    return document


def _plan_text(document: Document, moved: Moved, date: str | None) -> str:
    from shootlint.language.formatting import line_end
    from shootlint.language.tidying import Mistaken, Unproven, tidied
    from shootlint.language.written import plan_language

    source, plan = document.source, document.plan
    assert plan is not None
    try:
        # Laid out, each line outside the blocks says one thing, so whole lines can become comments.
        pointed = tidied(Source(source.name, moved.pointed(source, plan.kit)), plan_language())
        text = _as_comments(pointed, date)
        again = Source(source.name, tidied(Source(source.name, text), plan_language()))
    except (Mistaken, Unproven) as error:
        raise Refused(f"{source.name}: {error}") from None
    complaints = read_one(again).complaints
    if complaints:
        raise Refused(f"--date {date}: {complaints[0].message}")
    title = f'"{plan.title}"' if plan.title is not None else "another plan"
    day = f" of {plan.date}" if plan.date is not None else ""
    head = "".join(each for each in f"# Begun from {title}{day}." if each.isprintable())
    end = line_end(again)
    return f"{head}{end}# What was of that day alone stands below as comments, to be filled in anew.{end}{again.text}"


def _as_comments(text: str, date: str | None) -> str:
    """A text whose lines and blocks that were of one day alone are comments, with the new day where it is known."""
    source = Source("the plan", text)
    lines = text.split("\n")
    said = {line.head.text: source.line_and_column(line.end)[0] for line in read_one(source).tree.lines}
    if date is not None and "date" not in said:
        lines[max(said[word] for word in HEADINGS if word in said) - 1] += f"\ndate {date}"
    for line in read_one(source).tree.lines:
        if line.head.text not in OF_THE_DAY:
            continue
        first, _ = source.line_and_column(line.start)
        last, _ = source.line_and_column(line.block.end if line.block is not None else line.end)
        for at in range(first - 1, last):
            lines[at] = f"# {lines[at]}".rstrip()
        if line.head.text == "date" and date is not None:
            lines[first - 1] = f"date {date}"
    return "\n".join(lines)


def _to_fill_in(document: Document, plan: Path, date: str | None) -> list[str]:
    said = [line.head.text for line in document.tree.lines if line.head.text in OF_THE_DAY]
    missing = [word for word in dict.fromkeys(said) if word != "date" or date is None]
    return [f"{plan}: fill in {listed(missing, 'and')}; what was of the old day stands there as comments"] if missing else []


def _rules(old: Path, folder: Path, taken: set[str]) -> tuple[dict[str, bytes], list[str]]:
    """The house's rules with all that they use, where they would not hold in the new folder anyway."""
    from shootlint.rulebook.book import book_of
    from shootlint.rulebook.house import HOUSE_FILE, house_file
    from shootlint.rulebook.rule_files import parse

    house, there = house_file(old), house_file(folder.resolve() / old.name)
    if house is None or (there is not None and there.resolve() == house.resolve()):
        return {}, []
    if there is not None:
        return {}, [f"{seen_from_here(there)} holds there, and not {seen_from_here(house)}"]
    try:
        source = read_source(house, seen_from_here(house))
    except Unreadable as error:
        raise Refused(f"{seen_from_here(house)}: {error}") from None
    book = book_of([source])
    if book.complaints:
        raise Refused(f"{seen_from_here(house)}: only rules without a mistake can be taken over", book.complaints)
    assert source.path is not None
    moved = Moved(source.path.parent, "rules", {source.path: HOUSE_FILE})
    made = {}
    for each in (source, *(used for _, used in book.named if used.path != source.path)):
        assert each.path is not None
        parsed = parse(each).file
        named = [use.file for use in parsed.use if use.file is not None] if parsed is not None else []
        made[moved.name(each.path)] = each.encoded(moved.pointed(each, named))
    twice = sorted(taken & made.keys())
    if twice:
        raise Refused(f"{twice[0]} would be both a kit and a rule file")
    return made, []
