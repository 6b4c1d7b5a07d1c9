"""What reports read of the rules by which plans are judged: plain data, which no verdict holds.

They are many and the same for many plans, so a report that lists rules asks for them by `Run.rulebook`.
"""

from __future__ import annotations

from typing import NamedTuple


class RuleRecord(NamedTuple):
    """A rule as its file has it."""

    name: str
    title: str
    level: str
    scope: str
    requires: str
    """Its condition as written; empty for a rule that a house gave up."""
    because: str
    source: str | None
    remedy: tuple[str, ...]
    formerly: tuple[str, ...]
    values: tuple[tuple[str, str], ...]
    """What a house may adjust, as shipped."""
    file: str


class InForceRecord(NamedTuple):
    """A rule, and what a house makes of it."""

    rule: RuleRecord
    level: str
    values: tuple[tuple[str, str], ...]
    origin: tuple[str, ...]
    """What the house says of it and where, in words."""
    retired: str | None
    """Why the house does without it; None where it is in force."""
    is_shipped: bool
    """Whether it comes with the program, and not from the house or from a package that it uses."""


class RulebookRecord(NamedTuple):
    """The rules by which a plan is judged."""

    title: str | None
    files: tuple[str, ...]
    """The rule files besides the shipped ones and those of packages."""
    rules: tuple[InForceRecord, ...]
