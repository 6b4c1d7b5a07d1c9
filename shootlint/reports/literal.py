"""Text that can do nothing in Markdown: what a plan says is shown as it is, and no more."""

from __future__ import annotations

import re

from shootlint.reports.visible import visible

_MARKS = re.compile(r"[\\`*_\[\]<>#|~$&]")
"""All that begins something inside a line, by CommonMark 0.31 and by what sites add to it: tables, strokes and formulas. What
begins a block does so at the start of a line only, where no text of a plan ever stands."""

_JOINER = "\u2060"
"""The word joiner of Unicode: it takes no room, and no line breaks at it."""
_SITES_LOOK_FOR = re.compile(
    r"(?<=[@#])(?=\w)"  # names of people and numbers of issues
    r"|(?<=:)(?=//)|(?<=\bwww)(?=\.)|(?<=\bmailto)(?=:)|(?<=\bxmpp)(?=:)"  # addresses
    r"|(?<=\bGH)(?=-\d)"
    r"|(?<=:)(?=[\w+-]+:)"  # pictures by their names
    r"|(?<=\b[0-9a-f]{6})(?=[0-9a-f]+\b)",  # revisions
    re.IGNORECASE | re.ASCII,
)
"""Where to part what sites make links of once Markdown is HTML already, so that no escape of Markdown helps against it."""


def literal(text: str) -> str:
    """A text in one line of Markdown, in a table too, where nothing in it is read as Markdown, HTML or a reference."""
    return _MARKS.sub(r"\\\g<0>", _SITES_LOOK_FOR.sub(_JOINER, visible(text)))


def code(text: str) -> str:
    """A text as a code span, in which neither Markdown nor a site looks for anything; not for tables."""
    text = visible(text)
    fence = "`" * (max((len(run) for run in re.findall("`+", text)), default=0) + 1)
    # A space at either end is taken away again, so that a text may begin with the mark of the fence.
    return f"{fence} {text} {fence}" if "`" in text or text != text.strip() else f"{fence}{text}{fence}"
