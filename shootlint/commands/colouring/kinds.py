"""What is coloured alike in a text, found from the grammars, the vocabularies, the units and the readings.

Each kind is a pattern. At any place of a text the first kind whose pattern fits there is what stands there, so their
order is that of the terminals in the grammar, with what has a narrower meaning before what has a wider one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shootlint.language.entry import HOLE, shape
from shootlint.language.parsing import Parser
from shootlint.language.reading import PLANS
from shootlint.language.slots import Choice
from shootlint.language.syntax import plan_parser
from shootlint.language.units import BY_SPELLING
from shootlint.language.vocabulary import Vocabulary, fields_of
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.compiling import FUNCTIONS
from shootlint.rulebook.model import RULE_FILES
from shootlint.rulebook.syntax import rule_parser

NAMED_TERMINALS = {
    "COMMENT": "comment", "STRING": "string", "DATE": "date", "CLOCK": "clock", "APERTURE": "aperture", "NUMBER": "number",
    "COMPARISON": "operator", "PLUS": "operator", "MINUS": "operator", "TIMES": "operator", "DIVIDE": "operator",
    "LEFT": "bracket", "RIGHT": "bracket", "OPEN": "brace", "CLOSE": "brace", "_COMMA": "comma",
}  # fmt: skip
"""What the terminals of the grammars are, but for words."""


@dataclass(frozen=True)
class Kind:
    """What is coloured alike. `unit` is the pattern of a unit that may follow right behind."""

    name: str
    pattern: str
    begins_line: bool = False
    """Whether it stands only where a line begins."""
    unit: str | None = None


@dataclass(frozen=True)
class Coloured:
    """A language to be coloured."""

    name: str
    """What editors are to call it."""
    title: str
    ending: str
    vocabulary: Vocabulary
    parser: Parser

    def kinds(self) -> list[Kind]:
        """All kinds, that which counts first before the others."""
        terminals = {each.name: each.pattern for each in self.parser.lark.terminals}

        def pattern(name: str) -> str:
            found = terminals[name]
            if found.type != "re":
                return re.escape(str(found.value))
            # The grammar's reader has put the characters themselves in the place of their escapes.
            return str(found.value).replace("\n", r"\n").replace("\r", r"\r")

        known = [name for name in NAMED_TERMINALS if name in terminals]
        by_width = sorted(known, key=lambda name: (-_priority(self.parser, name), known.index(name)))
        number, word = pattern("NUMBER"), pattern("WORD")
        units = words(unit for unit in BY_SPELLING if unit != "%") + "|%"
        found = []
        for name in by_width:
            unit = f"(?:{units})" if name == "NUMBER" else None
            found.append(Kind(NAMED_TERMINALS[name], number if name == "NUMBER" else pattern(name), unit=unit))
        found += [
            Kind("block", words(self.vocabulary.opening), begins_line=True),
            Kind("head", words(self.vocabulary.words - self.vocabulary.opening), begins_line=True),
            *([Kind("joining", words(self.parser.keywords))] if self.parser.keywords else []),
            Kind("rule", r"[^\W\d_][\w-]*(?:\.[\w-]+)+"),
            Kind("choice", words(_choices(self.vocabulary))),
            Kind("phrase", words(_phrases(self.vocabulary))),
            *(self._of_expressions() if self.parser.keywords else ()),
            Kind("word", word),
            Kind("end", ";"),
        ]
        return found

    def _of_expressions(self) -> Iterator[Kind]:
        yield Kind("function", words(FUNCTIONS))
        yield Kind("reading", words(name for name, each in catalogue().items() if not each.package))


def _priority(parser: Parser, name: str) -> int:
    return next(int(each.priority) for each in parser.lark.terminals if each.name == name)


def words(known: Iterable[str]) -> str:
    """A pattern for whole words: one that goes on, with a hyphen, a full stop or a slash in it, is another word."""
    longest_first = sorted(set(known), key=lambda each: (-len(each), each))
    return f"(?:{'|'.join(map(re.escape, longest_first))})(?!\\w|[-.\\/]\\w)".replace(r"\-", "-").replace(r"\/", "/")


def _choices(vocabulary: Vocabulary) -> set[str]:
    """Words of which one is chosen: those of every choice, and those that a value's name gives with bars between them."""
    found: set[str] = set()
    for entry in vocabulary.entries:
        for declared in fields_of(shape(entry)):
            slot = declared.slot
            if isinstance(slot, Choice):
                found |= set() if slot.quoted else set(slot.words)
            elif slot is not None:
                barred = re.findall(r"[\w-]+(?: [a-z]+)*(?:\|[\w-]+(?: [a-z]+)*)+", slot.name)
                found |= {word for run in barred for word in re.split(r"[| ]", run)}
    return found


def _phrases(vocabulary: Vocabulary) -> set[str]:
    phrases = (each.phrase for entry in vocabulary.entries for each in fields_of(shape(entry)))
    return {word for phrase in phrases for word in phrase if word != HOLE} | vocabulary.connecting


LANGUAGES = (
    Coloured("shootplan", "Shoot plan", "shoot", PLANS, plan_parser(PLANS.outermost, PLANS.opening)),
    Coloured("shootrules", "Rules for shoot plans", "rules", RULE_FILES, rule_parser(RULE_FILES.outermost)),
)
