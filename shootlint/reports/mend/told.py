"""What a run of `mend` gives to its reports."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.language.source import Source
    from shootlint.remedies.plan_mend import PlanMend


@dataclass(frozen=True)
class Told:
    """What would mend a plan."""

    mend: PlanMend
    source: Source
    """The plan as it was."""
    was_written: bool
    """Whether the changes are made, or only shown."""
