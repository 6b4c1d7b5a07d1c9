"""The reports say what they said. Where a change is meant, `python -m tests.golden` writes them afresh."""

from __future__ import annotations

import pytest

from .__main__ import HERE, goldens, of_all, plans


@pytest.mark.parametrize("plan", plans())
def test_the_reports_say_what_they_said(plan):
    for path, text in goldens(plan):
        assert path.read_text("utf-8") == text, f"{path.name}; if that is meant: python -m tests.golden"


def test_the_reports_on_all_plans_say_what_they_said():
    for path, text in of_all():
        assert path.read_text("utf-8") == text, f"{path.name}; if that is meant: python -m tests.golden"


def test_no_golden_is_of_nothing():
    kept = {path.name.rpartition(".")[0] for path in HERE.iterdir() if path.is_file() and path.suffix != ".py"}
    assert kept - {"all", "levers"} == {"-".join(plan.removesuffix(".shoot").split("/")[1:]) for plan in plans()}
