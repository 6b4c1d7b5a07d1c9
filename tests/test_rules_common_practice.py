"""Rules of the trade: they say so, they name their limit, and a draft shows each of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shootlint.checking.judge import Judge
from shootlint.rulebook.book import shipped_book

PLANS = Path(__file__).parents[1] / "plans"
BOOK = shipped_book()
RULES = sorted(BOOK.rules)
MARKER = "common practice, no source"


@pytest.mark.parametrize("name", RULES)
def test_a_source_is_told_or_told_to_be_lacking(name: str) -> None:
    source = str(BOOK.rules[name].rule.source)
    assert source, "a rule tells its source, or that there is none"
    if "common practice" in source.lower():
        assert MARKER in source.lower(), "a convention is marked in the same words everywhere"


@pytest.mark.parametrize("name", RULES)
def test_a_message_names_the_limit_or_there_is_none(name: str) -> None:
    """A limit is a value that a house may adjust, or what the plan itself measures on the right of a comparison."""
    rule = BOOK.rules[name]
    limits = {word for word in re.findall(r"[a-z][a-z-]*", rule.require.text) if word in rule.sets}
    for compared in rule.require.comparisons:
        limits |= compared.right.readings
    said = set(re.findall(r"\{([a-z-]+)\}", str(rule.rule.say)))
    assert not limits or limits & said, f"none of {sorted(limits)} is in the message"


def test_every_shipped_rule_is_shown_by_a_draft() -> None:
    judge = Judge()
    found = set()
    for path in sorted(PLANS.glob("hurried-draft*.shoot")):
        verdict = judge.judge(judge.loader.load(path, path.name)).verdict
        assert verdict is not None
        found |= {finding.rule.name for finding in verdict.findings}
    assert set(RULES) <= found
