"""Pages in a real browser: silent, alone, readable without seeing, narrow, in the dark and on paper."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from browsing.checks import faults

from shootlint.commands.main import main

PLANS = Path(__file__).parents[2] / "plans"
LOOKED_AT = (
    "evening.shoot",
    "choir-on-steps.shoot",
    "family-and-infant.shoot",
    "hurried-draft.shoot",
    "southern-shearers.shoot",
    "wheelchair-on-the-promenade.shoot",
)
"""Every kind of thing that a sheet may have on it: many people, an infant, feet, several setups, a hundred findings."""


@pytest.fixture
def page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The sheet of a plan, in a file."""
    monkeypatch.setenv("SHOOTLINT_TODAY", "2026-08-25")

    def write(plan: Path) -> Path:
        target = tmp_path / f"{plan.stem}.html"
        assert main(["sheet", str(plan), "--to", str(target)]) in (0, 1)
        return target

    return write


@pytest.mark.parametrize("name", LOOKED_AT)
def test_a_sheet_has_no_fault(chromium, page, name: str) -> None:
    assert faults(chromium, page(PLANS / name)) == []


def test_the_page_of_a_team_has_no_fault_and_leads_to_its_sheets(chromium, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setenv("SHOOTLINT_TODAY", "2026-08-25")
    target = tmp_path / "team.html"
    assert main(["check", str(PLANS), "--report", f"html={target}"]) == 1
    assert faults(chromium, target) == []

    def links(opened, _) -> list[str]:
        return list(dict.fromkeys(opened.locator("a").evaluate_all("each => each.map(link => link.href)")))

    sheets = [Path(unquote(urlsplit(link).path)) for link in chromium.look(target, links)]
    titles = [chromium.look(sheet, lambda opened, _: opened.locator("h1").inner_text()) for sheet in sheets]
    assert len(titles) == 11 and "Harbour choir on the library steps" in titles


def test_awkward_names_break_no_page(chromium, page, plan: str, tmp_path: Path) -> None:
    text = plan
    for known, name in (
        ("Asta", "\u0645\u0631\u064a\u0645 <script>alert(1)</script>"),
        ("Bent", "W" * 200),
        ("Both", "\U0001f469\u200d\U0001f467 \u5bb6\u65cf"),
        ("Rowing club, jetty", "A title of many words that goes on and on " * 6),
        ("Fifty", "x" * 120),
    ):
        text = text.replace(f'"{known}"', f'"{name}"')
    (tmp_path / "plan.shoot").write_text(text, "utf-8")
    assert faults(chromium, page(tmp_path / "plan.shoot")) == []
