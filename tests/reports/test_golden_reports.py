"""The reports of the plans in plans/ are those that were last looked at; golden_reports.py beside tells how they are renewed."""

from __future__ import annotations

from functools import cache

import pytest
from golden_reports import GOLDEN, KINDS, reports

from shootlint.commands.arguments import kinds

STORED = sorted(path.name for path in GOLDEN.iterdir())


@cache
def now() -> dict[str, str]:
    return reports()


def test_none_is_missing_and_none_is_left_over():
    assert sorted(now()) == STORED
    assert set(KINDS) <= set(kinds())
    assert len(STORED) >= 3 * 9


@pytest.mark.parametrize("name", STORED)
def test_a_report_is_as_it_was(name):
    assert now()[name] == (GOLDEN / name).read_text("utf-8"), "look at it, and if it is well: python tests/golden_reports.py"
