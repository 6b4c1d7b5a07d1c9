"""Prints the reference of the plan language and of rule files, from the model."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.language.entry import Declared, Entry
    from shootlint.language.reading import Vocabulary


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="WORD", help="only what is said of this word")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.refused import Refused
    from shootlint.language.complaint import none_called
    from shootlint.language.reading import PLANS
    from shootlint.rulebook.model import RULE_FILES

    languages = (PLANS, RULE_FILES)
    if call.name is None:
        pages = [line for language in languages for line in reference(language)]
    else:
        pages = [line for language in languages for line in page(language, call.name)]
    if not pages and call.name not in kinds():
        raise Refused(none_called("word", call.name, known_words()))
    output.say(pages)
    output.say(legend(pages or [call.name]))
    return 0


def known_words() -> set[str]:
    """Every word of which there is something to tell."""
    from shootlint.language.entry import HOLE, shape
    from shootlint.language.reading import PLANS, fields_of
    from shootlint.rulebook.model import RULE_FILES

    entries = (entry for language in (PLANS, RULE_FILES) for entry in language.entries)
    words = {each.phrase[0] for entry in entries for each in fields_of(shape(entry))} - {HOLE}
    return words | kinds().keys()


def kinds() -> dict[str, str]:
    """The names in capital letters that stand for values, each with what it stands for."""
    from shootlint.language.entry import shape
    from shootlint.language.reading import PLANS, fields_of
    from shootlint.rulebook.model import RULE_FILES

    found: dict[str, str] = {}
    for language in (PLANS, RULE_FILES):
        for entry in language.entries:
            for declared in fields_of(shape(entry)):
                for name, meaning in declared.slot.explained() if declared.slot is not None else ():
                    found.setdefault(name, meaning)
    return found


def legend(lines: list[str]) -> Iterator[str]:
    """What the names in capital letters in some lines stand for."""
    from shootlint.reports.layout import wrapped

    used = {word for line in lines for word in re.findall("[A-Z]+", line)}
    told = {name: meaning for name, meaning in kinds().items() if name in used}
    for name, meaning in sorted(told.items()):
        yield from wrapped(f"{name} is {meaning}", 0, 4)


def reference(language: Vocabulary) -> Iterator[str]:
    """All words of a language: each block with its line and what may stand in it."""
    from shootlint.language.entry import shape

    for entry in language.entries:
        of = shape(entry)
        if of.settings or of.named is not None:
            yield from block(language, entry)
            yield ""


def page(language: Vocabulary, name: str) -> Iterator[str]:
    """What a language says of one word: the block that it opens, and every line and clause that it begins."""
    from shootlint.language.entry import shape

    for entry in language.entries:
        of = shape(entry)
        for declared in [*of.settings.values(), *of.parts]:
            if declared.phrase[0] != name:
                continue
            yield f"in {opening(language, entry)}:"
            yield from rows(declared)
            if declared.entry is not None and (shape(declared.entry).settings or shape(declared.entry).named):
                yield from block(language, declared.entry)
            yield ""


def opening(language: Vocabulary, entry: type[Entry]) -> str:
    return language.file if entry is language.root else f"`{entry.word()}`"


def block(language: Vocabulary, entry: type[Entry]) -> Iterator[str]:
    from shootlint.language.entry import shape

    of = shape(entry)
    yield f"{language.file} holds" if entry is language.root else f"{entry.word()} {{ … }} holds"
    for declared in [*of.settings.values(), *([of.named] if of.named else [])]:
        yield from rows(declared)


def rows(declared: Declared) -> Iterator[str]:
    """A line or clause, what it means, and the parts of the line where it has several."""
    from shootlint.language.entry import shape
    from shootlint.reports.layout import wrapped

    said = declared.written()
    if declared.entry is not None:
        said = shape(declared.entry).line(said)
    yield from wrapped(said, 2, 6)
    yield from wrapped(meaning(declared), 6, 6)
    if declared.entry is not None:
        for part in shape(declared.entry).parts:
            yield from wrapped(f"{part.written()}: {meaning(part)}", 10, 12)


def meaning(declared: Declared) -> str:
    """What a word means, the unit that it is usually given in, and what holds where it is not said."""
    notes = []
    if declared.unit is not None:
        notes.append(f"usually in {declared.unit}")
    if declared.repeated:
        limits = ((declared.most, "times"), (declared.most_in_all, "times in all"))
        notes.append(", ".join(f"up to {most:,} {times}" for most, times in limits if most is not None) or "as often as needed")
    elif declared.required:
        notes.append("required")
    elif declared.default not in (None, (), False):
        notes.append(f"{declared.default} where it is not said")
    return declared.meaning + (f" ({', '.join(notes)})" if notes else "")
