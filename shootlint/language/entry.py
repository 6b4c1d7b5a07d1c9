"""How a word of the language is declared: once, as a field of the plan's model.

A model class is an entry of the language. Its parts stand in the line itself, its settings are the lines of its block:

    class Print(Entry):
        name: NewName = part("…", "What the print is called.")
        at_least: Resolution | None = setting("at least …", "The fewest pixels per inch that will do.", None)

A phrase shows how it is written, with … where the value goes and a leading comma where a clause of its own begins. The
reader, the reference page, completion and hover all come from these declarations.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError, PydanticUndefined

from shootlint.language.slots import Slot
from shootlint.language.source import Place
from shootlint.language.values import Quantity, Size, Span

HOLE = "…"
REQUIRED: Any = PydanticUndefined


class Entry(BaseModel):
    """A line of a plan with its parts, and the settings in its block. Immutable."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)

    where: Place | None = Field(None, exclude=True, repr=False)
    """Its line in the file that it was read from."""

    @classmethod
    def word(cls) -> str:
        """What the reference calls it."""
        return cls.__name__.lower()


def part(phrase: str, meaning: str, default: Any = REQUIRED, unit: str | None = None, example: str | None = None) -> Any:
    """A part of an entry's own line.

    `unit` is the likely unit, offered where none is written; `example` is a better value to show than the kind's own.
    """
    extra: dict[str, Any] = {"sort": "part", "phrase": phrase, "unit": unit, "example": example}
    return Field(default, description=meaning, json_schema_extra=extra)


def setting(
    phrase: str,
    meaning: str,
    default: Any = REQUIRED,
    unit: str | None = None,
    example: str | None = None,
    most: int | None = None,
    most_in_all: int | None = None,
) -> Any:
    """A line of an entry's block, which begins with the phrase's first word; a phrase of … alone begins with a name.

    `most` is how often it may be said in one block, of what is said as often as needed, and `most_in_all` how often in all
    blocks of a file; as often as the file has room for where they are None.
    """
    extra: dict[str, Any] = {"sort": "setting", "phrase": phrase, "unit": unit, "example": example}
    extra |= {"most": most, "most_in_all": most_in_all}
    return Field(default, description=meaning, json_schema_extra=extra)


def refuse(message: str, place: Place | None = None) -> PydanticCustomError:
    """The error that a validator raises: a sentence for the person who wrote the plan, and where it points if not at
    the whole value."""
    return PydanticCustomError("plan", "{message}", {"message": message, "place": place})


@dataclass(frozen=True)
class Bounds:
    """Holds a value between limits, given in base units; used as a pydantic validator."""

    low: float | None = None
    high: float | None = None
    open: bool = False
    """Whether the low limit itself is out."""
    words: str = ""
    """What to write instead; {nought} in it stands for 0 with the value's own unit."""

    def __call__(self, value: Any) -> Any:
        if isinstance(value, Span):
            for each in value:
                self(each)
            return value
        if isinstance(value, Size):
            self(value.width), self(value.height)
            return value
        number = float(value)
        if self.low is not None and (number < self.low or (self.open and number == self.low)):
            raise refuse(f"{value} is too little; {self.words.format(nought=_nought(value))}", value.place)
        if self.high is not None and number > self.high:
            raise refuse(f"{value} is too much; {self.words.format(nought=_nought(value))}", value.place)
        return value


def _nought(value: Any) -> str:
    return f"0 {value.unit.name}" if isinstance(value, Quantity) else "0"


def positive(value: Any) -> Any:
    return Bounds(0.0, None, open=True, words="write more than {nought}")(value)


def not_negative(value: Any) -> Any:
    return Bounds(0.0, None, words="write {nought} or more")(value)


def rising(value: Span) -> Span:
    """A span written from small to large."""
    if value.low.value > value.high.value:
        raise refuse(f"{value} runs backwards; write the smaller one first")
    return value


@dataclass(frozen=True, eq=False)
class Declared:
    """One field of an entry, taken apart for the reader and the reference."""

    name: str
    phrase: tuple[str, ...]
    clause: bool
    """Whether it begins a clause of its own, after a comma."""
    meaning: str
    unit: str | None
    required: bool
    default: Any
    repeated: bool
    slot: Slot | None
    entry: type[Entry] | None
    shown: str | None
    most: int | None = None
    most_in_all: int | None = None

    @cached_property
    def head(self) -> str | None:
        """The word it begins with; None where it begins with a value."""
        return None if self.phrase[0] == HOLE else self.phrase[0]

    def written(self, hole: Callable[[Slot], str] = lambda slot: slot.name) -> str:
        """Its phrase, with something in place of the value: by default the value's kind."""
        if self.entry is not None:
            return " ".join(word for word in self.phrase if word != HOLE)
        return " ".join(hole(self.slot) if word == HOLE and self.slot else word for word in self.phrase)

    def example(self) -> str:
        """A line or clause that says it, to show what belongs there."""
        if self.entry is not None and self.shown is not None:
            return f"{self.written()} {self.shown}"
        if self.entry is not None:
            parts = shape(self.entry).parts
            return _joined(self.written(), [each for each in parts if each.required] or parts[:1], True)
        return self.written(lambda slot: self.shown or slot.example)


@dataclass(frozen=True)
class Shape:
    """The fields of an entry: the parts of its line, and its settings by the word that begins them."""

    entry: type[Entry]
    parts: tuple[Declared, ...]
    settings: dict[str, Declared]
    named: Declared | None
    """The setting whose lines begin with a name."""

    def line(self, head: str = "") -> str:
        """How its line is written, for the reference."""
        return _joined(head, self.parts, False)


def _joined(head: str, parts: Any, example: bool) -> str:
    text = head
    for each in parts:
        phrase = each.example() if example else each.written()
        if not each.required and not example:
            phrase = f"[{', ' if each.clause else ''}{phrase}]" + ("…" if each.repeated else "")
            text += phrase if each.clause else f" {phrase}"
        else:
            text += f", {phrase}" if each.clause else f" {phrase}"
    return text.strip()


def _taken_apart(annotation: Any) -> tuple[Slot | None, type[Entry] | None, bool]:
    """The slot or the entry in an annotation, and whether it may be repeated."""
    origin = get_origin(annotation)
    if origin is tuple:
        slot, entry, _ = _taken_apart(get_args(annotation)[0])
        return slot, entry, True
    if origin in (Union, UnionType):
        return _taken_apart(next(each for each in get_args(annotation) if each is not type(None)))
    if origin is Annotated:
        slot = next((each for each in get_args(annotation)[1:] if isinstance(each, Slot)), None)
        return (slot, None, False) if slot is not None else _taken_apart(get_args(annotation)[0])
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return None, annotation, False
    return None, None, False


@cache
def shape(entry: type[Entry]) -> Shape:
    """An entry's fields, taken apart."""
    parts: list[Declared] = []
    settings: dict[str, Declared] = {}
    named: Declared | None = None
    for name, info in entry.model_fields.items():
        extra = info.json_schema_extra
        if not isinstance(extra, dict):
            continue
        # pydantic moves what is annotated outermost into the field's metadata.
        slot = next((each for each in info.metadata if isinstance(each, Slot)), None)
        slot, inner, repeated = (slot, None, False) if slot is not None else _taken_apart(info.annotation)
        phrase = str(extra["phrase"])
        words = tuple(phrase.removeprefix(", ").split())
        unit, (most, in_all) = extra["unit"], (extra.get(each) for each in ("most", "most_in_all"))
        field = Declared(
            name, words, phrase.startswith(", "), info.description or "", unit if isinstance(unit, str) else None,
            info.is_required(), None if info.is_required() else info.default, repeated, slot, inner,
            extra["example"] if isinstance(extra["example"], str) else None, most if isinstance(most, int) else None,
            in_all if isinstance(in_all, int) else None,
        )  # fmt: skip
        if extra["sort"] == "part":
            parts.append(field)
        elif field.head is None:
            named = field
        else:
            settings[field.head] = field
    return Shape(entry, tuple(parts), settings, named)


def in_words(value: Any) -> str:
    """A value as the plan would write it."""
    return value.written if isinstance(value, Quantity) else str(value)
