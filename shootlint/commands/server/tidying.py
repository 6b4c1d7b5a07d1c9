"""The one layout, as changes of the text that is open."""

from __future__ import annotations

from difflib import SequenceMatcher

from shootlint.commands.server.session import Checked
from shootlint.commands.tidy import language_of
from shootlint.language.tidying import Mistaken, Unproven, tidied

MOST_COMPARED = 4000
"""Lines. Of a longer text all that lies between the first and the last change is put in anew."""


def tidying(checked: Checked) -> list[tuple[int, int, str]]:
    """The changes that tidy a text, as stretches of it and what takes their place, line by line, so that a cursor
    elsewhere stays where it is. None where the text has mistakes of syntax, or is tidy."""
    source = checked.source
    if source is None:
        return []
    try:
        after = tidied(source, language_of(source))
    except (Mistaken, Unproven):
        return []
    old, new = source.text.splitlines(keepends=True), after.splitlines(keepends=True)
    if "".join(old) == "".join(new):
        return []
    before = 0
    while before < min(len(old), len(new)) and old[before] == new[before]:
        before += 1
    behind = 0
    while behind < min(len(old), len(new)) - before and old[-1 - behind] == new[-1 - behind]:
        behind += 1
    middle, instead = old[before : len(old) - behind], new[before : len(new) - behind]
    starts = [0]
    for line in old:
        starts.append(starts[-1] + len(line))
    if max(len(middle), len(instead)) > MOST_COMPARED:
        return [(starts[before], starts[before + len(middle)], "".join(instead))]
    return [
        (starts[before + one], starts[before + two], "".join(instead[three:four]))
        for tag, one, two, three, four in SequenceMatcher(None, middle, instead, autojunk=False).get_opcodes()
        if tag != "equal"
    ]
