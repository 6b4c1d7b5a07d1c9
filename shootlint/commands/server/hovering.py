"""What is shown of a word, a value or a name that the pointer rests on, in Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shootlint.commands import levers as levers_command
from shootlint.commands import readings as readings_command
from shootlint.commands import rules as rules_command
from shootlint.commands.server import names
from shootlint.commands.server.findings import is_here
from shootlint.commands.server.measured import Shown, readings_about, readings_of
from shootlint.commands.server.saying import Saying, saying_at
from shootlint.commands.server.session import Checked
from shootlint.commands.words import meaning, opening
from shootlint.language.entry import shape
from shootlint.language.reading import Mention
from shootlint.language.source import Place
from shootlint.readings.catalogue import catalogue
from shootlint.remedies.levers import levers
from shootlint.rulebook.expression import Called
from shootlint.rulebook.model import RULE_FILES, Bare, Words

MOST_LINES = 14
"""So much of what declares a name is shown."""


@dataclass(frozen=True)
class Hover:
    start: int
    end: int
    text: str


def hover(checked: Checked, offset: int) -> Hover | None:
    """What is to be said of what stands at an offset; None where nothing is."""
    if checked.source is None:
        return None
    if checked.vocabulary is RULE_FILES:
        found = _in_condition(checked, offset)
        if found is not None:
            return found
    rule = names.rule_at(checked, offset)
    saying = saying_at(checked, offset)
    page = _page_of(saying)
    if page is not None and saying is not None:
        return Hover(saying.value_start or saying.start, saying.end, fenced(page))
    if rule is not None and saying is not None:
        return Hover(saying.start, saying.end, fenced(rules_command.page(rule)))
    mention = names.mention_at(checked, offset)
    if mention is not None and mention.name.place is not None:
        return Hover(mention.name.place.start, mention.name.place.end, "\n\n".join(_of_name(checked, mention)))
    return Hover(saying.start, saying.end, "\n\n".join(_of_word(checked, saying))) if saying is not None else None


def _page_of(saying: Saying | None) -> list[str] | None:
    """The page of a lever that a rule file names."""
    slot = saying.declared.slot if saying is not None else None
    bare = slot.of if isinstance(slot, Words) else slot
    if saying is None or not isinstance(bare, Bare) or bare.of != "lever":
        return None
    values = saying.value if isinstance(saying.value, tuple) else (saying.value,)
    return [line for each in values if str(each) in levers() for line in levers_command.page_of(levers()[str(each)])] or None


def _in_condition(checked: Checked, offset: int) -> Hover | None:
    reading = names.reading_at(checked, offset)
    if reading is not None:
        name, start, end = reading
        return Hover(start, end, fenced(readings_command.page_of(catalogue()[name])))
    node = names.node_at(checked, offset)
    if isinstance(node, Called):
        declared = shape(RULE_FILES.root).settings["rule"].entry
        assert declared is not None
        return Hover(node.start, node.end, ours(shape(declared).settings["require"].meaning))
    return None


def _of_word(checked: Checked, saying: Saying) -> Iterator[str]:
    declared = saying.declared
    written = declared.written() if declared.entry is None else shape(declared.entry).line(declared.written())
    yield f"`{written}` in {opening(checked.vocabulary, saying.owner)}"
    yield ours(meaning(declared))
    if declared.entry is not None:
        rows = [f"- `{part.written()}`: {ours(meaning(part))}" for part in shape(declared.entry).parts]
        yield "\n".join(rows)
    if saying.value_start is not None and checked.document is not None:
        yield from listed(readings_of(checked, saying.value_start, saying.end))


def _of_name(checked: Checked, mention: Mention) -> Iterator[str]:
    assert checked.document is not None
    thing = names.thing_of(mention)
    places = names.declarations(mention, checked.document.mentions)
    people = [each for each in names.mentions_of(thing, checked.document.mentions) if each.slot.declares == thing.kind]
    where = next((each.name.place for each in people if each.name.place is not None), places[0] if places else None)
    yield f'{thing.kind} "{plain(thing.name)}"'
    if where is not None:
        yield fenced(declaring_lines(where))
        if not is_here(where, checked):
            yield f"declared in {plain(where.source.name)}, line {where.line}"
    yield from listed(readings_about(checked, thing.kind, thing.name))


def declaring_lines(place: Place) -> list[str]:
    """The lines that declare a name, its block included as far as it is short."""
    text = place.source.text
    start = text.rfind("\n", 0, place.start) + 1
    lines = text[start:].split("\n")
    first = lines[0].rstrip("\r")
    if not first.rstrip().endswith("{"):
        return [first.strip()]
    indent = len(first) - len(first.lstrip())
    found = [first[indent:]]
    for line in lines[1:MOST_LINES]:
        found.append(line.rstrip("\r")[indent:])
        if line.strip() == "}" and len(line) - len(line.lstrip()) <= indent:
            return found
    return [*found, "…"]


def listed(shown: list[Shown]) -> Iterator[str]:
    """Readings as a list, setup by setup."""
    for setup in dict.fromkeys(each.setup for each in shown):
        rows = [f"- `{each.name}` {plain(each.words)}" for each in shown if each.setup == setup]
        yield f'in setup "{plain(setup)}"\n\n' + "\n".join(rows)


def fenced(lines: Iterable[str]) -> str:
    """Lines as they are, whatever is in them."""
    text = "\n".join(lines)
    fence = "```"
    while fence in text:
        fence += "`"
    return f"{fence}text\n{text}\n{fence}"


def plain(text: str) -> str:
    """A text in which nothing is Markdown. Only an editor shows it, which makes no links of what a site would, so nothing that
    does not belong to it is put in, as `reports.literal` does, and names can be copied."""
    return "".join(f"\\{each}" if each in "\\`*_{}[]<>#|!" else each for each in text)


def ours(text: str) -> str:
    """A meaning from the model, in which backticks are meant."""
    return plain(text).replace("\\`", "`")
