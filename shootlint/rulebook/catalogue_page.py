"""Writes rules/CATALOGUE.md: every shipped rule and caution on one page, made from their files.

python -m shootlint.rulebook.catalogue_page PATH            writes it
python -m shootlint.rulebook.catalogue_page PATH --verify   exits with 1 when it is out of date
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from shootlint.rulebook.book import shipped_book
from shootlint.rulebook.ready import ReadyRule


def lines() -> Iterator[str]:
    book = shipped_book()
    yield "# The shipped rules"
    yield ""
    yield "Made from the files in this folder by `python -m shootlint.rulebook.catalogue_page`: change those, not this page."
    yield "`shootlint rules NAME` prints a rule's whole page, with its examples and what a house has made of it."
    kind = None
    for name, rule in book.rules.items():
        if name.partition(".")[0] != kind:
            kind = name.partition(".")[0]
            yield ""
            yield f"## {kind}"
        yield ""
        yield from _rule(rule)
    yield ""
    yield "## Cautions"
    for name, ready in book.cautions.items():
        yield ""
        yield f"### {name}"
        yield ""
        yield f"{ready.caution.say}"
        yield ""
        yield f"Printed when `{ready.when.text}`. Source: {ready.caution.source}."


def _rule(rule: ReadyRule) -> Iterator[str]:
    where = f" where {rule.where.text}" if rule.where is not None else ""
    yield f"### {rule.name}"
    yield ""
    yield f"{rule.rule.title} ({rule.level}). {rule.rule.because}"
    yield ""
    yield f"- for {rule.scope}{where}"
    yield f"- requires `{rule.require.text}`"
    if rule.sets:
        yield f"- a house may adjust {', '.join(f'{name} {value}' for name, value in rule.sets.items())}"
    if rule.rule.remedy:
        yield f"- mended by {', '.join(rule.rule.remedy)}"
    yield f"- source: {rule.rule.source}"


def main() -> int:
    path, text = Path(sys.argv[1]), "\n".join(lines()) + "\n"
    if "--verify" not in sys.argv[2:]:
        path.write_text(text, "utf-8")
        return 0
    current = path.exists() and path.read_text("utf-8") == text
    print(f"{path.name} is {'up to date' if current else 'out of date: run python -m shootlint.rulebook.catalogue_page'}")
    return 0 if current else 1


if __name__ == "__main__":
    sys.exit(main())
