"""Expressions of the rule language as a tree, each node with its place in the file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

LONGEST = 2_000
"""How many characters a condition may have, so that judging it takes bounded time and memory whatever a file says."""

DEEPEST = 40
"""How deep an expression may nest. A rule that a person reads with pleasure stays under ten."""


@dataclass(frozen=True, slots=True)
class Node:
    start: int
    end: int
    depth: int


@dataclass(frozen=True, slots=True)
class Measured(Node):
    """A number with its unit, or a plain number."""

    number: str
    unit: str | None


@dataclass(frozen=True, slots=True)
class FStop(Node):
    text: str


@dataclass(frozen=True, slots=True)
class TimeOfDay(Node):
    """What the clock shows on the day of the shoot, such as 18:30."""

    text: str


@dataclass(frozen=True, slots=True)
class Named(Node):
    """A reading, or a value that the rule sets."""

    name: str


@dataclass(frozen=True, slots=True)
class Called(Node):
    function: str
    arguments: tuple[Node, ...]
    over: str | None
    over_start: int = 0
    where: Node | None = None
    """The condition that narrows what is taken together."""


@dataclass(frozen=True, slots=True)
class Arithmetic(Node):
    sign: str
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Negative(Node):
    of: Node


@dataclass(frozen=True, slots=True)
class Comparison(Node):
    sign: str
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class IsWord(Node):
    left: Node
    word: str
    negated: bool
    word_start: int


@dataclass(frozen=True, slots=True)
class Between(Node):
    value: Node
    low: Node
    high: Node


@dataclass(frozen=True, slots=True)
class Joined(Node):
    """Conditions joined by `and` or by `or`."""

    word: Literal["and", "or"]
    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Negated(Node):
    of: Node


class Formula(NamedTuple):
    """A condition as it stands in a line, in the place of an atom."""

    kind: Literal["FORMULA"]
    text: str
    start: int
    end: int
    node: Node


@dataclass(frozen=True, slots=True)
class Scope:
    """What a rule is for: the words after `for`, and the condition that narrows it."""

    words: tuple[str, ...]
    where: Node | None
    start: int
    end: int


class ScopeAtom(NamedTuple):
    kind: Literal["SCOPE"]
    text: str
    start: int
    end: int
    scope: Scope
