"""The day on which a run takes place."""

from __future__ import annotations

import datetime
import os

from shootlint.language.source import Unreadable


def today() -> datetime.date:
    """The day on which acceptances are asked whether they are still good; SHOOTLINT_TODAY says another one, for CI."""
    told = os.environ.get("SHOOTLINT_TODAY")
    try:
        return datetime.date.fromisoformat(told) if told else datetime.date.today()
    except ValueError:
        raise Unreadable(f"SHOOTLINT_TODAY is a date such as 2026-11-24, not {told}") from None
