"""Lays plans and rule files out in the one canonical way; a folder means all below it, and - is standard input."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from shootlint.commands.paths import OURS
from shootlint.commands.refused import Refused

if TYPE_CHECKING:
    from shootlint.language.source import Source, Unreadable
    from shootlint.language.tidying import Language

ENDINGS = OURS


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "paths", nargs="+", metavar="PATH", help="a plan, a kit, a rule file, a folder of them, or - for standard input"
    )
    parser.add_argument("--verify", action="store_true", help="write nothing, and exit with 1 where a file would change")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.paths import STANDARD_INPUT
    from shootlint.reports.counting import plural

    def tell(line: str) -> None:
        # Where standard output takes a text, what is said of it goes beside it.
        if STANDARD_INPUT in call.paths and not call.verify:
            output.complain(line)
        else:
            output.say([line])

    seen = changed = refused = 0
    for name, source in sources_in(call.paths):
        seen += 1
        try:
            line = tidy(source, call.verify)
        except Refused as reason:
            for complaint in reason.complaints or [f"{name}: error: {reason}"]:
                output.complain(complaint)
            refused += 1
            continue
        if line is not None:
            changed += 1
            tell(f"{name}:{line}: not tidy" if call.verify else f"{name}: tidied")
    tell(f"{plural(seen, 'file')}, {changed} {'not tidy' if call.verify else 'tidied'}, {refused} refused")
    return 2 if refused else int(call.verify and changed > 0)


def tidy(source: Source | Unreadable, verify: bool) -> int | None:
    """Tidies one file, or standard input to standard output; returns the first line that changes, None where none does.

    Raises Refused for a text that is left alone.
    """
    from shootlint.commands import output
    from shootlint.commands.writing import ChangedMeanwhile, rewrite
    from shootlint.language.source import Unreadable
    from shootlint.language.tidying import Mistaken, Unproven, tidied

    if isinstance(source, Unreadable):
        raise Refused(str(source))
    try:
        text = tidied(source, language_of(source))
    except Mistaken as mistaken:
        raise Refused(f"{source.name} has mistakes", mistaken.complaints) from None
    except Unproven as error:
        raise Refused(f"{error}; nothing was written") from None
    line = None if text == source.text else _first_difference(source.text, text)
    if verify:
        return line
    if source.path is None:
        output.write("-", source.encoded(text).decode())
    elif line is not None:
        try:
            rewrite(source.path, source.content, source.encoded(text))
        except ChangedMeanwhile as error:
            raise Refused(f"{error}; nothing was written") from None
        except OSError as error:
            raise Refused(f"the file cannot be written: {error.strerror}") from None
    return line


def _first_difference(one: str, other: str) -> int:
    """The first line, counted from 1, in which two texts differ."""
    lines = one.split("\n"), other.split("\n")
    unlike = (at for at, (mine, yours) in enumerate(zip(*lines, strict=False), 1) if mine != yours)
    return next(unlike, min(map(len, lines)))


def language_of(source: Source) -> Language:
    """The language of a file, by its ending, or by the first word where that tells nothing."""
    from shootlint.language.reading import PLANS
    from shootlint.language.syntax import plan_parser
    from shootlint.language.tidying import Language

    plans = Language(PLANS, plan_parser(PLANS.outermost, PLANS.opening))
    ending = source.path.suffix if source.path is not None else ""
    if ending == ".shoot":
        return plans

    from shootlint.language.entry import shape
    from shootlint.rulebook.model import RULE_FILES
    from shootlint.rulebook.syntax import rule_parser

    rules = Language(RULE_FILES, rule_parser(RULE_FILES.outermost))
    return rules if ending == ".rules" or plans.first_word(source) in shape(RULE_FILES.root).settings else plans


def sources_in(paths: list[str]) -> Iterator[tuple[str, Source | Unreadable]]:
    """What paths stand for, each file once, by name: its text, or why that cannot be read."""
    from shootlint.commands.paths import STANDARD_INPUT, asked
    from shootlint.language.source import Unreadable, read_source, standard_input

    for each in asked(paths, ENDINGS):
        # A link in a folder leads to what has a place of its own, or lies elsewhere.
        files = [file for file in each.files if not (each.is_folder and os.path.islink(file))]
        for file in files:
            try:
                yield (file, read_source(Path(file), file)) if file != STANDARD_INPUT else ("standard input", standard_input())
            except Unreadable as reason:
                yield file, reason
        for error in each.refused:
            yield each.path, Unreadable(f"{error.filename} cannot be read: {error.strerror}")
        if each.is_folder and not (files or each.refused or each.passed_over):
            yield each.path, Unreadable("there is no plan and no rule file below this folder")
