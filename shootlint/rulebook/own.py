"""The program's own rule about trials: how often what holds on paper must hold when what is uncertain is drawn.

A house adjusts, levels and retires it as any other. It is judged only when trials are asked for, and its reading is known
only then, so it stands beside the rules in force and not among them.
"""

from __future__ import annotations

from functools import cache

from shootlint.language.source import Source, decode
from shootlint.language.units import BY_SPELLING
from shootlint.readings.catalogue import Reading
from shootlint.rulebook.model import Rule
from shootlint.rulebook.rule_files import parse

NOT_SURE = "trials.not-sure"
OWN = (NOT_SURE,)
SHARE = "share-that-holds"
_RULES = f"""
rule {NOT_SURE} {{
  title   "What holds on paper fails too often when distances, light and people are drawn"
  level   warning
  for     each setup
  set     at-least 90 %
  require {SHARE} >= at-least
  say     "holds on paper, but only in {{{SHARE}}} of trials; at least {{at-least}} is wanted"
  because "Nobody stands to the centimetre and no light keeps to the tenth of a stop; what just holds on paper is lost as often as not."
  source  "the share is a house's own choice; common practice, no source"
}}
"""


@cache
def own_rules() -> dict[str, tuple[Rule, Source]]:
    """The rules that judge trials, as written."""
    parsed = parse(decode(_RULES.encode(), "trials"))
    assert parsed.file is not None and not parsed.complaints
    return {str(rule.name): (rule, parsed.source) for rule in parsed.file.rule}


def _not_asked(scene: object) -> None:
    """It is put in place by who has counted; a plan does not tell it."""


SHARE_READING = Reading(
    SHARE, BY_SPELLING["%"], (), "The share of trials in which a rule holds.", "counted", "trials", "", "", _not_asked, (), True,
    "check --trials",
)  # fmt: skip
