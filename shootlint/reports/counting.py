"""Numbers of things, and days, in words."""

from __future__ import annotations

import datetime

A_FEW = 5
"""Of so many plans a person reads what holds, too; of more only what does not."""
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def plural(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def day_in_words(date: datetime.date) -> str:
    return f"{WEEKDAYS[date.weekday()]} {date}"
