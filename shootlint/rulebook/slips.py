"""What people write in conditions out of habit from elsewhere, and what this language writes instead."""

from __future__ import annotations

import re

_VALUE = r"(?:[+-]?[\d./]+(?:\s*(?!(?:and|or|to)\b)[^\W\d]+)?|[\w.-]+)"
_NO_JOIN = r"""(?:(?!\b(?:and|or)\b)[^<>=≤≥(),#"\n])*"""

SLIPS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), instead)
    for pattern, instead in (
        (r"==", "equality is written with one ="),
        (r"=>", "write >="),
        (r"=<", "write <="),
        (r"≥", "write >="),
        (r"≤", "write <="),
        (r"<>|≠|=!", "write !="),
        (r"&&?", "conditions are joined by the word and"),
        (r"\|\|?", "conditions are joined by the word or"),
        (r"!(?!=)", "a condition is turned about by the word not"),
        (r"\b(?P<at>AND|OR|NOT|IS|BETWEEN)\b\s*.?", "and, or, not, is and between are written in small letters"),
        (r"×|·", "a product is written with *"),
        (r"÷|:(?=\s)", "a quotient is written with /"),
        (r"\*\*|\^", "there are no powers; multiply a value by itself"),
        (rf"(?P<at>%)\s+{_VALUE}", "% is the unit of a share, and there is no remainder of a division"),
        (r"(?P<whole>\d+),(?P<part>\d+)", "decimals are written with a point: {whole}.{part}"),
        (r"\bis\s+between\b", "write between alone, without is"),
        (
            rf"\bbetween\s+(?P<low>{_VALUE})\s*(?P<at>\bto\b|,|-|–|\.\.)\s*(?P<high>{_VALUE})",
            "both ends of a span are joined by and: between {low} and {high}",
        ),
        (r"\bis\s+not\s+(?P<number>[\d.]+)", "is asks for a word; write != {number}"),
        (r"\bis\s+(?P<number>[\d.]+)", "is asks for a word; write = {number}"),
        (r"\b(?:is\s+)?(?:at\s+least|no(?:t)?\s+(?:less|fewer|earlier)\s+than)\b", "write >="),
        (r"\b(?:is\s+)?(?:at\s+most|no(?:t)?\s+(?:more|greater|later)\s+than)\b", "write <="),
        (r"\b(?:is\s+)?(?:more|greater|larger|higher|longer|later)\s+than\b", "write >"),
        (r"\b(?:is\s+)?(?:less|fewer|smaller|lower|shorter|earlier)\s+than\b", "write <"),
        (
            rf"[<>]=?{_NO_JOIN}(?P<at>[<>]=?)",
            "one comparison has two sides; write between A and B, or join two comparisons by and",
        ),
    )
)
"""What is written, and what to write instead. A group named `at` is what is marked; others are put into the words."""


SEEN = 200
"""How many characters before and after a place are looked at, so that a line without end takes no time without end."""


def slip_at(text: str, at: int) -> tuple[int, int, str] | None:
    """The slip at which reading broke off, where it is a known one: from where to where it goes, and what to write."""
    start = max(text.rfind("\n", 0, at) + 1, at - SEEN)
    line = text[start : at + SEEN].partition("\n")[0]
    for pattern, instead in SLIPS:
        for found in pattern.finditer(line):
            # What is only noticed behind it, by the next word or the end of the line, is still due to it.
            if found.start() <= at - start and not line[found.end() : at - start].strip():
                groups = found.groupdict()
                first, last = found.span("at") if "at" in groups else found.span()
                return start + first, start + last, f"{line[first:last]} is not written here; {instead.format(**groups)}"
    return None
