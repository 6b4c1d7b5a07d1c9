"""Whether two texts mean the same: their trees, their comments and what they say, all but where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from shootlint.language.entry import Entry
from shootlint.language.source import Place, Source


def same(one: Any, other: Any) -> bool:
    """Whether two values, of whatever parts, differ in nothing but places and the spaces inside a measure as written."""
    pairs = [(one, other)]
    # Not by calls: a condition may nest deeper than those can.
    while pairs:
        one, other = pairs.pop()
        # What was made in Python stands nowhere.
        if isinstance(one, Place | Source) or isinstance(other, Place | Source):
            continue
        if type(one) is not type(other):
            return False
        mine, yours = _parts(one), _parts(other)
        if mine is None or yours is None:
            if one != other:
                return False
        elif len(mine) != len(yours):
            return False
        else:
            pairs += zip(mine, yours, strict=True)
    return True


def _parts(value: Any) -> list[Any] | None:
    """What a value is made of; None where it has no parts."""
    if value is None or isinstance(value, str | int | float):
        return None
    if isinstance(value, dict):
        return [*value, *value.values()]
    if isinstance(value, Entry):
        return [getattr(value, name) for name in type(value).model_fields]
    if is_dataclass(value):
        return list(_told((each.name, getattr(value, each.name)) for each in fields(value)))
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        return list(_told(zip(value._fields, value, strict=True)))
    return list(value) if isinstance(value, tuple | list) else None


def _told(named: Any) -> Iterator[Any]:
    """The parts that are no places: those of a tree are whole numbers called start or end."""
    for name, part in named:
        if isinstance(part, int) and name.rpartition("_")[2] in ("start", "end"):
            continue
        # A measure may be written with any number of spaces before its unit.
        yield "".join(part.split()) if name == "written" and isinstance(part, str) else part
