"""Lists the rules in force here, prints one rule's page, or runs the rules' own examples."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from shootlint.reports.counting import plural

if TYPE_CHECKING:
    from shootlint.rulebook.book import Book
    from shootlint.rulebook.ready import ReadyRule

SHIPPED = "the shipped rules"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="RULE", help="only this rule, with its reason, values and examples")
    parser.add_argument(
        "--verify",
        nargs="?",
        const=SHIPPED,
        metavar="FILE",
        help="run the `fails` and `holds` of a rule file, or of the shipped rules",
    )
    parser.add_argument("--uncertain", action="store_true", help="list what trials draw, with the sizes in force here")


def run(call: argparse.Namespace) -> int:
    from pathlib import Path

    from shootlint.checking.judge import Judge
    from shootlint.commands import output
    from shootlint.commands.refused import Refused
    from shootlint.language.complaint import none_called
    from shootlint.language.source import read_source
    from shootlint.rulebook.book import book_of, shipped_book

    if call.verify is not None:
        book = shipped_book() if call.verify == SHIPPED else book_of([read_source(Path(call.verify), call.verify)])
        return verify(book, call.name, call.verify)
    book = Judge().book_of(None)
    for complaint in book.complaints:
        output.complain(complaint)
    output.say(f"{note.place}: note: {note.message}" for note in book.notes)
    status = 2 if book.complaints else 0
    if call.uncertain or call.name is None:
        output.say(uncertain(book) if call.uncertain else listing(book))
        return status
    if call.name in book.retired:
        output.say([f"{call.name} is retired here, because {book.retired[call.name]}"])
        return status
    rules = {**book.rules, **book.own}
    if call.name not in rules:
        raise Refused(none_called("rule", call.name, rules))
    output.say(page(rules[call.name]))
    return status


def listing(book: Book) -> Iterator[str]:
    from shootlint.reports.layout import columns

    rules = {**book.rules, **book.own}
    rows = [(name, rule.level, str(rule.rule.title)) for name, rule in rules.items()]
    yield from columns([*rows, *((name, "retired", f"because {reason}") for name, reason in book.retired.items())])


def uncertain(book: Book) -> Iterator[str]:
    """What trials draw: how much, for each of what, what it moves, and where the size comes from."""
    from shootlint.readings.uncertainty import UNCERTAINTIES
    from shootlint.reports.layout import wrapped

    width = max(map(len, UNCERTAINTIES))
    for name, each in UNCERTAINTIES.items():
        size = book.uncertain.get(name, each.size)
        house = ", as this house says" if name in book.uncertain else ""
        anew = ", anew in each setup" if each.anew and each.each not in ("setup", "row") else ""
        yield f"{name:{width}}  {each.unit.from_base(size):g} {each.unit.name} for each {each.each}{anew}{house}"
        for text in (each.meaning, f"Moves {', '.join(each.changes)}. {each.source[0].upper()}{each.source[1:]}."):
            yield from wrapped(text, width + 2, width + 2)


def page(rule: ReadyRule) -> Iterator[str]:
    """A rule's page: what, why, the limit, its values and where they come from, its mends and its examples."""
    from shootlint.reports.layout import columns, wrapped

    where = f" where {rule.where.text}" if rule.where is not None else ""
    yield f"{rule.name} ({rule.level})"
    yield from wrapped(str(rule.rule.title), 2, 2)
    facts = {
        "for": f"{rule.scope}{where}",
        "requires": rule.require.text,
        "says": str(rule.rule.say),
        "because": str(rule.rule.because),
        "source": str(rule.rule.source or "none told"),
        "values": ", ".join(f"{name} {value}" for name, value in rule.sets.items()),
        "set by": ", ".join(rule.origin),
        "mends": ", ".join(rule.rule.remedy),
        "file": rule.source.name,
    }
    rows = [(name, fact) for name, fact in facts.items() if fact]
    for kind, cases in (("fails", rule.rule.fails), ("holds", rule.rule.holds)):
        for case in cases:
            assert case.where is not None
            rows.append((kind, case.where.text.replace(kind, "", 1).strip()))
    yield from columns(rows, 2)


def verify(book: Book, name: str | None, told: str) -> int:
    """Runs the rules' own examples; prints what is wrong and a line of counts."""
    from shootlint.commands import output
    from shootlint.commands.main import trouble
    from shootlint.language.complaint import did_you_mean
    from shootlint.remedies.house import house_levers
    from shootlint.rulebook.cases import run_cases

    if name is not None and name not in book.rules:
        return trouble(f"no rule of {told} is called {name}{did_you_mean(name, book.rules)}")
    chosen = [rule for rule in book.rules.values() if name in (None, rule.name)]
    complaints = [*book.complaints, *house_levers(book)[1]]
    output.say(map(str, complaints))
    results = [result for rule in chosen for result in run_cases(rule, book)]
    faults = [result for result in results if result.fault is not None]
    output.say(f"{result.place}: error: {result.fault} [{result.rule}]" for result in faults)
    output.say(line for rule in chosen for line in _without_examples(rule))
    output.say([f"{plural(len(chosen), 'rule')}, {plural(len(results), 'example')}, {plural(len(faults), 'fault')}"])
    return 2 if complaints else 1 if faults else 0


def _without_examples(rule: ReadyRule) -> Iterator[str]:
    """What is said of a rule that does not show what it finds or what it lets pass, names no source, or shows no value."""
    if rule.rule.source is None:
        yield f"{rule.rule.name.place}: note: {rule.name} names no source; a fact of the trade says common practice, no source"
    if not rule.message.readings:
        yield f"{rule.rule.say.place}: note: the message of {rule.name} shows no value that was measured"
    for kind, cases in (("fails", rule.rule.fails), ("holds", rule.rule.holds)):
        if not cases:
            yield f"{rule.rule.name.place}: note: {rule.name} has no `{kind}` of its own"
