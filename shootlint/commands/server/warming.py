"""Loads and works out what the first check of a session would otherwise wait for."""

from __future__ import annotations

import datetime
from importlib.resources import files

from shootlint.language.loading import Loader
from shootlint.language.source import decode
from shootlint.rulebook.book import shipped_book
from shootlint.rulebook.judging import judge

EXAMPLE = "two-rows.shoot"


def warm() -> None:
    """Reads the shipped rules and judges one of their own examples by them."""
    content = files("shootlint.rules").joinpath("examples", EXAMPLE).read_bytes()
    plan = Loader().load_source(decode(content, EXAMPLE)).plan
    book = shipped_book()
    if plan is not None:
        judge(plan, book, datetime.date.today())
