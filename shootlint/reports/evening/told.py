"""What a run of `evening` gives to its reports."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.language.model import Plan
    from shootlint.readings.order import Order
    from shootlint.readings.packing import Item


@dataclass(frozen=True)
class Told:
    """The order of one plan's evening, and what is packed for it."""

    name: str
    plan: Plan
    order: Order
    items: list[Item]
    today: datetime.date

    @property
    def title(self) -> str:
        return str(self.plan.title) if self.plan.title is not None else self.name
