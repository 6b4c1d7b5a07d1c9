"""How bad a finding may be."""

from __future__ import annotations

LEVELS = ("error", "warning", "note")
"""From the worst on, as the rulebook has them. They stand here again because its modules bring numpy, and a plan that
cannot be read is reported without it."""
