"""A plan as text: what the model says, in the phrases that it declares, laid out as every other text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from shootlint.language.entry import HOLE, Declared, Entry, shape
from shootlint.language.loading import KIT_FIELDS, Loader, read_one
from shootlint.language.model import Plan
from shootlint.language.sameness import same
from shootlint.language.source import Source, Unwritable
from shootlint.language.syntax import plan_parser
from shootlint.language.tidying import Language, Mistaken, Unproven, tidied
from shootlint.language.vocabulary import PLANS

INDENT = "  "
_NO_LINE_HOLDS = re.compile("[\n\r\0\ud800-\udfff]")
LONGEST_ON_ONE_LINE = 80
"""A block that is no longer, and has neither blocks nor names in it, stands on one line."""


def plan_language() -> Language:
    """The language of plans and kits, with its parser."""
    return Language(PLANS, plan_parser(PLANS.outermost, PLANS.opening))


def plan_text(plan: Plan) -> str:
    """The file that says a plan, laid out; read again, it says the same. Raises Unwritable where there is no such file.

    Things that were read from a kit stay there: the file names the kit as the plan does.
    """
    own = without_kits(plan)
    text = laid_out(own, tuple(each.name for each in shape(Plan).settings.values()))
    document = read_one(Source("the plan", text))
    if document.complaints:
        raise Unwritable(f"{document.complaints[0].place.text}: {document.complaints[0].message}")
    if not same(document.plan, own):
        raise Unwritable("written and read again, the plan would not be the same; a measure is what its text says")
    _refuse_to_lose(plan, own, text)
    return text


def without_kits(plan: Plan) -> Plan:
    """A plan without what was read from its kits: as its own file says it. One that was made in Python has it all."""
    if plan.where is None or not plan.kit:
        return plan
    own = plan.where.source
    things = {
        name: [each for each in getattr(plan, name) if each.where is None or each.where.source is own] for name in KIT_FIELDS
    }
    return plan.model_copy(update={name: tuple(each) for name, each in things.items()})


def _refuse_to_lose(plan: Plan, own: Plan, text: str) -> None:
    """Raises Unwritable where a thing that is left to the plan's kits is in none of them: it came from elsewhere."""
    left = {name: [each for each in getattr(plan, name) if each not in getattr(own, name)] for name in KIT_FIELDS}
    if plan.where is None or not any(left.values()):
        return
    again = Loader().load_source(Source("the plan", text, plan.where.source.path)).plan
    for name, things in left.items():
        there = getattr(again, name) if again is not None else ()
        for thing in things:
            if not any(same(thing, each) for each in there):
                raise Unwritable(
                    f'{name} "{thing.name}" is in none of the kits that the plan names; it was read from another file'
                )


def laid_out(plan: Plan, names: tuple[str, ...]) -> str:
    """Some of a plan's lines and blocks, by the names of their fields, laid out; raises Unwritable."""
    pieces = [(list(_setting(each, plan)), each) for each in shape(Plan).settings.values() if each.name in names]
    lines: list[str] = []
    for piece, declared in pieces:
        # What opens a block stands apart; single lines stand together.
        opens = declared.entry is not None and bool(shape(declared.entry).settings or shape(declared.entry).named)
        lines += ["", *piece] if opens and lines and piece else piece
    text = "".join(f"{line}\n" for line in lines)
    try:
        return tidied(Source("the plan", text), plan_language())
    except Mistaken as mistaken:
        first = mistaken.complaints[0]
        raise Unwritable(f"{first.place.text}: {first.message}") from None
    except Unproven as error:
        raise Unwritable(str(error)) from None


def _setting(declared: Declared, entry: Entry) -> Iterator[str]:
    """The lines that say one setting of an entry."""
    for value in _values(declared, entry):
        yield from _line(declared, value)


def _values(declared: Declared, entry: Entry) -> tuple[Any, ...]:
    """What there is to say of a field; nothing where it says what it would without a word."""
    value = getattr(entry, declared.name)
    if declared.repeated:
        return tuple(value)
    return () if not declared.required and value == declared.default else (value,)


def _line(declared: Declared, value: Any) -> Iterator[str]:
    """One line, and the block that it opens."""
    if declared.entry is None:
        yield _phrase(declared, value)
        return
    of = shape(declared.entry)
    text = _joined(" ".join(word for word in declared.phrase if word != HOLE), value)
    if not of.settings and of.named is None:
        yield text
        return
    fields = [*of.settings.values(), *([of.named] if of.named is not None else [])]
    groups = [(each.repeated, lines) for each in fields if (lines := list(_setting(each, value)))]
    inner = [line for _, lines in groups for line in lines]
    has_blocks = any(line.endswith("{") for line in inner)
    on_one_line = f"{text} {{ {'; '.join(inner)} }}"
    if of.named is None and inner and not has_blocks and len(on_one_line) <= LONGEST_ON_ONE_LINE:
        yield on_one_line
        return
    yield f"{text} {{"
    for at, (is_list, lines) in enumerate(groups):
        # In a long block, each list of things stands apart.
        yield from [""] if has_blocks and is_list and at else []
        yield from (f"{INDENT}{line}" for line in lines)
    yield "}"


def _joined(head: str, entry: Entry) -> str:
    """A line's own words: its head, what follows it, and its clauses."""
    text = head
    for declared in shape(type(entry)).parts:
        for value in _values(declared, entry):
            phrase = _phrase(declared, value)
            text += f", {phrase}" if declared.clause else f" {phrase}"
    return text.strip()


def _phrase(declared: Declared, value: Any) -> str:
    slot = declared.slot
    words = [slot.write(value) if word == HOLE and slot is not None else word for word in declared.phrase]
    text = " ".join(words)
    if _NO_LINE_HOLDS.search(text):
        raise Unwritable(f"{declared.name}: a line of a plan cannot hold {str(value)!r}")
    return text
