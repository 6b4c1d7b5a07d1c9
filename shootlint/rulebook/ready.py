"""A rule made ready: its conditions and its message checked whole, with the values and the level in force."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from shootlint.language.complaint import did_you_mean, listed
from shootlint.language.slots import Mismatch
from shootlint.language.source import Source
from shootlint.language.values import Quantity
from shootlint.readings.catalogue import Reading, behind, catalogue
from shootlint.rulebook import message as m
from shootlint.rulebook.compiling import Compiler
from shootlint.rulebook.expression import Scope
from shootlint.rulebook.model import Caution, Rule
from shootlint.rulebook.running import Ready

SCOPES: dict[str, tuple[str, ...]] = {
    "plan": (),
    "each setup": (),
    "each print": (),
    "each minute": (),
    "each person": ("person",),
    "each light": ("light",),
    "each pair of neighbours": ("person", "other"),
}
"""What a rule may be for, and the axes along which it then has an answer each."""


@dataclass(frozen=True)
class ReadyRule:
    """A rule, checked and ready to judge by, with the values and the level that the house gives it."""

    rule: Rule
    source: Source
    level: str
    sets: dict[str, Quantity]
    require: Ready
    where: Ready | None
    message: m.Message
    scope: str
    origin: tuple[str, ...] = ()
    """Where the house changed it, in words."""

    @property
    def name(self) -> str:
        return str(self.rule.name)

    @property
    def axes(self) -> tuple[str, ...]:
        return SCOPES[self.scope]

    @cached_property
    def rests_on(self) -> frozenset[str]:
        """All readings that its verdict rests on: those that it names and those that they are worked out from."""
        asked = self.require.readings | (self.where.readings if self.where is not None else frozenset())
        pairs = frozenset({"neighbours"}) if self.axes == ("person", "other") else frozenset()
        return frozenset().union(*(behind(name) for name in asked | pairs))

    @cached_property
    def looks_at_others(self) -> bool:
        """Whether its verdict on a setup rests on the plan's other setups too."""
        return any(catalogue()[name].of_others for name in self.rests_on)


@dataclass(frozen=True)
class ReadyCaution:
    caution: Caution
    when: Ready


def ready_rule(
    rule: Rule,
    source: Source,
    level: str,
    sets: dict[str, Quantity],
    origin: tuple[str, ...] = (),
    readings: Mapping[str, Reading] | None = None,
) -> ReadyRule:
    """Checks a rule whole; raises Mismatch at what is wrong in it. It may ask for `readings`, or for all that there are."""
    scope = scope_of(rule.scope, source)
    axes = frozenset(SCOPES[scope])
    compiler = Compiler(
        source, sets, axes, scope, over_setups=scope == "plan", readings=catalogue() if readings is None else readings
    )
    where = compiler.condition(rule.scope.where) if rule.scope.where is not None else None
    require = compiler.condition(rule.require)
    text = m.compile_message(rule.say, compiler, m.NAMES[scope])
    return ReadyRule(rule, source, level, dict(sets), require, where, text, scope, origin)


def scope_of(scope: Scope, source: Source) -> str:
    words = " ".join(scope.words)
    if words not in SCOPES:
        place = source.place(scope.start, scope.where.start if scope.where is not None else scope.end)
        known = list(SCOPES)
        raise Mismatch(place, f"a rule is not for {words}{did_you_mean(words, known) or f'; it is for {listed(known)}'}")
    return words
