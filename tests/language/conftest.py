"""The contract's own plan and kit, and how the tests read a text as if it stood beside them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from shootlint.language.loading import Document, Loader
from shootlint.language.source import decode

PLANS = Path(__file__).parent / "plans"


@pytest.fixture(scope="session")
def evening() -> str:
    """The text of the contract's plan, which has no mistake."""
    return (PLANS / "evening.shoot").read_text("utf-8")


@pytest.fixture(scope="session")
def belfry() -> str:
    """The text of the contract's kit, which has no mistake."""
    return (PLANS / "kit" / "belfry.shoot").read_text("utf-8")


@pytest.fixture(scope="session")
def load() -> Callable[[str | bytes], Document]:
    """Reads a text as the contract's plan is read, with the contract's kit beside it."""

    def load(text: str | bytes) -> Document:
        content = text if isinstance(text, bytes) else text.encode("utf-8")
        return Loader().load_source(decode(content, "evening.shoot", PLANS / "evening.shoot"))

    return load


@pytest.fixture(scope="session")
def told(load: Callable[[str | bytes], Document]) -> Callable[[str | bytes], list[tuple[int, int, str]]]:
    """What the reader says of a text: line, column and message of each complaint."""
    return lambda text: [(each.place.line, each.place.column, each.message) for each in load(text).complaints]
