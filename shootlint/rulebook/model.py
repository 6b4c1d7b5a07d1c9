"""What a rule file may say, declared as the plan's words are."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Annotated, ClassVar, Self

from pydantic import model_validator

from shootlint.language.complaint import did_you_mean, listed
from shootlint.language.entry import Entry, part, refuse, setting
from shootlint.language.model import kinds as k
from shootlint.language.reading import Vocabulary
from shootlint.language.slots import Choice, Cursor, FNumber, Mismatch, Quoted, Slot, TimeOfDay, bounded, number_in
from shootlint.language.source import Opaque, Place
from shootlint.language.tree import Atom, Clause
from shootlint.language.units import BY_SPELLING, Unit, of_kind
from shootlint.language.values import CLOCK, Name, Quantity
from shootlint.rulebook.expression import Formula, Node, Scope, ScopeAtom

PLAIN = Unit("number", 1.0, ("",))
LEVELS = ("error", "warning", "note")


@dataclass(frozen=True)
class Value(Slot):
    """A number with or without a unit, or an aperture."""

    name: str = "VALUE"
    example: str = "125 %"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER", "APERTURE"})
    says: ClassVar[str] = "a number, with its unit where it has one"

    def read(self, cursor: Cursor, unit: str | None) -> Quantity:
        atom = cursor.next
        if atom is not None and atom.kind == "APERTURE":
            return FNumber().read(cursor, unit)
        if atom is None or atom.kind != "NUMBER":
            cursor.refuse("a value such as 125 %")
        cursor.take()
        word = cursor.next
        found = PLAIN
        if word is not None and word.kind == "WORD":
            found = unit_named(word.text, cursor.place(word))
            cursor.take()
        place = cursor.since(atom)
        return Quantity(bounded(found.to_base(number_in(atom, place)), found, place), found, place.text, place)


@dataclass(frozen=True)
class ValueOrTime(Value):
    """The same, or a time of day as seconds since midnight."""

    starts: ClassVar[frozenset[str]] = Value.starts | TimeOfDay.starts

    def read(self, cursor: Cursor, unit: str | None) -> Quantity:
        atom = cursor.next
        if atom is None or atom.kind != "CLOCK":
            return super().read(cursor, unit)
        clock = TimeOfDay().read(cursor, unit)
        return Quantity(60.0 * clock.minutes, CLOCK, str(clock), clock.place)


def unit_named(text: str, place: Place) -> Unit:
    found = BY_SPELLING.get(text)
    if found is None:
        raise Mismatch(place, f"{text} is not a unit{did_you_mean(text, BY_SPELLING)}")
    if found.kind == "wind force":
        raise Mismatch(
            place, f"rules take a wind in {listed([unit.name for unit in of_kind('speed')])}, not as a Beaufort number"
        )
    return found


@dataclass(frozen=True)
class Bare(Slot):
    """A bare word that is none of the language: one that the rule file makes up, such as the name of a setting, or the
    name `of` a lever, of an uncertainty, or of a value that some rule sets."""

    name: str = "WORD"
    example: str = "allowance"
    of: str = ""
    starts: ClassVar[frozenset[str]] = frozenset({"WORD"})
    says: ClassVar[str] = "a word without quotation marks"

    def read(self, cursor: Cursor, unit: str | None) -> Name:
        atom = cursor.next
        if atom is None or atom.kind != "WORD":
            cursor.refuse("a word")
        cursor.take()
        return Name(atom.text, cursor.place(atom))


@dataclass(frozen=True)
class Words(Slot):
    """Bare words with commas between them."""

    name: str = "WORD, …"
    example: str = "aperture, focus"
    starts: ClassVar[frozenset[str]] = frozenset({"WORD"})
    of: Bare = field(default_factory=Bare)

    def explained(self) -> Iterator[tuple[str, str]]:
        return self.of.explained()

    def read(self, cursor: Cursor, unit: str | None) -> tuple[Name, ...]:
        words = [self.of.read(cursor, unit)]
        while cursor.next is None and cursor.next_clause():
            words.append(self.of.read(cursor, unit))
        return tuple(words)


@dataclass(frozen=True)
class Condition(Slot):
    name: str = "CONDITION"
    example: str = "blur <= sharp-limit"
    starts: ClassVar[frozenset[str]] = frozenset({"FORMULA"})
    says: ClassVar[str] = "what is to hold, of readings, numbers and words"

    def read(self, cursor: Cursor, unit: str | None) -> Node:
        atom = cursor.next
        if not isinstance(atom, Formula):
            cursor.refuse("a condition")
        cursor.take()
        return atom.node


@dataclass(frozen=True)
class For(Slot):
    name: str = "plan|each setup|each person|each light|each pair of neighbours|each minute|each print [where CONDITION]"
    example: str = "each person"
    starts: ClassVar[frozenset[str]] = frozenset({"SCOPE"})

    def explained(self) -> Iterator[tuple[str, str]]:
        return Condition().explained()

    def read(self, cursor: Cursor, unit: str | None) -> Scope:
        atom = cursor.next
        if not isinstance(atom, ScopeAtom):
            cursor.refuse("what the rule is for, such as each person")
        cursor.take()
        return atom.scope


@dataclass(frozen=True, order=True, slots=True)
class Month(Opaque):
    """A month of a year, by which rules are dated."""

    year: int
    month: int

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


@dataclass(frozen=True)
class MonthOfYear(Slot):
    """A month such as 2026-11: year and month joined by a hyphen."""

    name: str = "MONTH"
    example: str = "2026-11"
    starts: ClassVar[frozenset[str]] = frozenset({"NUMBER"})
    says: ClassVar[str] = "year and month"

    def read(self, cursor: Cursor, unit: str | None) -> Month:
        first, second = cursor.next, cursor.after()
        if first is None or second is None or first.end != second.start:
            cursor.refuse("a month such as 2026-11")
        place = cursor.place(first, second)
        written = re.fullmatch(r"(\d{4})-(0[1-9]|1[0-2])", place.text)
        if written is None:
            raise Mismatch(place, f"{place.text} is not a month; write year and month, such as 2026-11")
        cursor.take()
        cursor.take()
        return Month(int(written[1]), int(written[2]))


MOST_CHANGES = 50
"""Lines of an example that one case may change: each is put in by reading the plan anew (a choice, no source)."""


@dataclass(frozen=True)
class Changes(Slot):
    """Lines of a plan to put in the place of the example's own, each after a `with`, and before each the setup that it is of."""

    name: str = '[each setup,|setup "NAME",] LINE [with …]…'
    example: str = "aperture f/2.8"
    starts: ClassVar[frozenset[str]] = frozenset({"WORD", "STRING"})

    def explained(self) -> Iterator[tuple[str, str]]:
        yield from Quoted(example='"Everyone"').explained()
        yield "LINE", f"a line as a plan says it, such as {self.example}"

    def read(self, cursor: Cursor, unit: str | None) -> tuple[tuple[Clause, ...], ...]:
        changes: list[list[list[Atom]]] = [[[]]]
        while True:
            atom = cursor.next
            if atom is None:
                if not cursor.next_clause():
                    break
                changes[-1].append([])
            elif atom.kind == "WORD" and atom.text == "with":
                cursor.take()
                changes.append([[]])
            else:
                changes[-1][-1].append(cursor.take())
        if not all(clause for change in changes for clause in change):
            raise Mismatch(cursor.here(), "a line of a plan belongs after with")
        if len(changes) > MOST_CHANGES:
            raise Mismatch(cursor.here(), f"a case changes {MOST_CHANGES} lines at most; write a plan of its own for it")
        return tuple(tuple(tuple(clause) for clause in change) for change in changes)


class SetValue(Entry):
    name: Annotated[Name, Bare()] = part("…", "What the value is called in the rule.")
    value: Annotated[Quantity, ValueOrTime()] = part("…", "The value that is shipped.")


class Case(Entry):
    plan: Annotated[Name, k.Quoted("PLAN", example='"two-rows"')] = part(
        "…", "An example plan: a file beside the rule or in the examples."
    )
    changes: Annotated[tuple[tuple[Clause, ...], ...], Changes()] | None = part(
        "with …", "What to change in it: the last line that begins so, or that of each setup or of the one named.", None
    )


def _levels() -> Choice:
    return k.one_of(*LEVELS)


class Rule(Entry):
    name: k.RuleName = part("…", "The rule's name: its kind, a full stop, and what it finds.")
    title: k.Text = setting("title …", "What is wrong when the rule does not hold.")
    level: Annotated[Name, _levels()] = setting(
        "level …", "How bad that is: the picture is lost or someone may be hurt; it will show; a choice."
    )
    scope: Annotated[Scope, For()] = setting("for …", "What it is judged for.")
    sets: tuple[SetValue, ...] = setting("set …", "A value that a house may adjust.", ())
    require: Annotated[Node, Condition()] = setting(
        "require …",
        "What must hold: readings compared by <, <=, =, !=, >=, > or `between A and B`, or by `is WORD`, with measures or, where "
        "they are times of day, with such as 18:30 on the day of the shoot; joined by and, or, "
        "not; with + - * / and brackets, and with min, max, mean, sum, count, any, all, abs and known, which run over what the rule "
        "is not for, or `over people`, lights, minutes or setups, of those `where` a condition holds.",
    )
    say: k.Text = setting("say …", "The message, with names and readings in braces, also {max(blur)}.")
    because: k.Text = setting("because …", "Why it matters.")
    source: k.Text | None = setting("source …", "Where the limit comes from.", None)
    remedy: Annotated[tuple[Name, ...], Words(of=Bare(of="lever"))] = setting("remedy …", "What may be turned to mend it.", ())
    since: Annotated[Month, MonthOfYear()] | None = setting(
        "since …", "When it came; a house that keeps to an earlier month takes it as a note.", None
    )
    formerly: tuple[k.RuleName, ...] = setting("formerly …", "A name that it had before, which still works.", ())
    fails: tuple[Case, ...] = setting("fails …", "An example in which the rule must fail.", (), most=100)
    holds: tuple[Case, ...] = setting("holds …", "An example in which the rule must hold.", (), most=100)


class Caution(Entry):
    name: k.RuleName = part("…", "The caution's name.")
    when: Annotated[Node, Condition()] = setting("when …", "When it is printed; it is printed too when that is not known.")
    say: k.Text = setting("say …", "What to take care of.")
    source: k.Text | None = setting("source …", "Where it comes from.", None)


class Use(Entry):
    shipped: bool = part("shipped", "The rules that come with the program.", False)
    month: Annotated[Month, MonthOfYear()] | None = part(
        "…", "As they were in this month: what came later arrives as notes.", None
    )
    package: Annotated[Name, k.Quoted("PACKAGE", example='"studio-rules"')] | None = part(
        "package …", "Readings and rules of an installed package.", None
    )
    file: k.FileName | None = part("…", "Another rule file, beside this one.", None)


class Adjusted(Entry):
    name: Annotated[Name, Bare(of="value")] = part("…", "The value to adjust.")
    value: Annotated[Quantity, ValueOrTime()] = part("…", "What the house sets it to.")


class Adjust(Entry):
    rule: k.RuleName = part("…", "Which rule.")
    values: tuple[Adjusted, ...] = setting("…", "A value of that rule.", ())


class Levelled(Entry):
    rule: k.RuleName = part("…", "Which rule.")
    level: Annotated[Name, _levels()] = part("…", "Its level in this house.")


class Retire(Entry):
    rule: k.RuleName = part("…", "Which rule.")
    because: k.Text = part("because …", "Why the house does without it.")


class Forbid(Entry):
    lever: Annotated[Name, Bare(of="lever")] = part("…", "What no mend may turn.")
    because: k.Text = part("because …", "Why it stays as it is.")


class Bound(Entry):
    lever: Annotated[Name, Bare(of="lever")] = part("…", "What a mend may turn so far and no farther.")
    at_least: Annotated[Quantity, Value()] | None = part(", at least …", "The least that it may be turned to.", None)
    at_most: Annotated[Quantity, Value()] | None = part(", at most …", "The most that it may be turned to.", None)

    @model_validator(mode="after")
    def _bounded(self) -> Self:
        if self.at_least is None and self.at_most is None:
            raise refuse(f"this bounds nothing; add `, at least …` or `, at most …` after {self.lever}")
        return self


class Prefer(Entry):
    first: Annotated[Name, Bare(of="lever")] = part("…", "What a mend turns rather.")
    second: Annotated[Name, Bare(of="lever")] = part("before …", "What it turns only where the other one does not do.")


class Uncertain(Entry):
    name: Annotated[Name, Bare(of="uncertainty")] = part("…", "What is uncertain.")
    size: Annotated[Quantity, Value()] = part(
        "…", "How much, as one standard deviation; 0 for what this house knows exactly.", example="5 cm"
    )


class RuleFile(Entry):
    rulebook: k.Text | None = setting("rulebook …", "What the house style is called.", None)
    use: tuple[Use, ...] = setting("use", "Takes rules in.", ())
    adjust: tuple[Adjust, ...] = setting("adjust", "Sets values of a rule.", ())
    level: tuple[Levelled, ...] = setting("level", "Sets how bad a finding of a rule is.", ())
    retire: tuple[Retire, ...] = setting("retire", "Does without a rule.", ())
    forbid: tuple[Forbid, ...] = setting("forbid", "Keeps mends from turning something.", ())
    bound: tuple[Bound, ...] = setting("bound", "Keeps mends within bounds.", ())
    prefer: tuple[Prefer, ...] = setting("prefer", "Says what mends turn first.", ())
    uncertain: tuple[Uncertain, ...] = setting("uncertain", "Sets how uncertain something is in trials.", ())
    rule: tuple[Rule, ...] = setting("rule", "A rule.", ())
    caution: tuple[Caution, ...] = setting(
        "caution", "Something to take care of, printed with every report that calls for it.", ()
    )


RULE_FILES = Vocabulary(RuleFile, "a rule file")
