"""What trials tell of a plan, for the reports."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from shootlint.reports.counting import plural
from shootlint.reports.layout import columns, wrapped
from shootlint.reports.records import FindingRecord, HeldRecord, SurenessRecord
from shootlint.reports.visible import visible

SURE = 0.01
"""A rule that fails in fewer trials than this is only counted."""


def percent(share: float) -> str:
    """A share as people say it, never rounded to all or to none of them."""
    shown = f"{share * 100:.1f}".removesuffix(".0")
    if shown in ("0", "100") and share not in (0.0, 1.0):
        shown = "under 0.1" if shown == "0" else "over 99.9"
    return f"{shown} %"


def told(name: str, sureness: SurenessRecord) -> Iterator[str]:
    """How sure a plan's verdict is, in lines."""
    trials = f"{plural(sureness.trials, 'trial').replace(str(sureness.trials), f'{sureness.trials:,}')} (seed {sureness.seed})"
    yield from wrapped(
        f"{visible(name)}: in {trials} all that holds on paper, notes left out, holds in {percent(sureness.whole)}", 0, 4
    )
    shaky = sorted((each for each in sureness.held if each.share >= SURE), key=lambda each: -each.share)
    rows = [(percent(1 - each.share), _held(each)) for each in shaky]
    rest = len(sureness.held) - len(shaky)
    if rest:
        rows.append((f"over {percent(1 - SURE)}", f"{'the other ' if shaky else 'all '}{rest}"))
    yield from columns(rows, 4, right=[0])
    if sureness.watch:
        yield "Watch on location, what decides most first:"
    for place, watch in enumerate(sureness.watch, 1):
        yield from wrapped(f"{visible(watch.words)} (it decides {percent(watch.decides)} of what varies)", f"    {place}. ", 7)
    if shaky and not sureness.watch:
        yield "    what decides it cannot be told from so few trials"


def _held(held: HeldRecord) -> str:
    where = f', setup "{visible(held.setup)}"' if held.setup else ""
    least = max(held.about, key=lambda each: each[1], default=None)
    whom = f", least for {visible(' and '.join(least[0]))}" if least is not None else ""
    return f"{held.rule}{where}{whom}"


def failing(finding: FindingRecord) -> str:
    """In how many trials a finding stands, for its line; nothing without trials."""
    if finding.share is None:
        return ""
    from shootlint.rulebook.own import NOT_SURE

    return "" if finding.rule == NOT_SURE else f", in {percent(finding.share)} of trials"


def as_json(sureness: SurenessRecord) -> dict[str, Any]:
    """The same for programs."""
    from shootlint.reports.json import plain

    return {
        "count": sureness.trials,
        "seed": sureness.seed,
        "holds": plain(sureness.whole),
        "rules": [
            {
                "rule": each.rule,
                "setup": each.setup or None,
                "share-of-trials": plain(each.share),
                "about": [{"about": list(about), "share-of-trials": plain(share)} for about, share in each.about],
            }
            for each in sureness.held
        ],
        "watch": [
            {
                "uncertainty": each.uncertainty,
                "setup": each.setup or None,
                "of": each.owner or None,
                "words": each.words,
                "decides": plain(each.decides),
                "rule": each.rule,
                "about": list(each.about),
                "alone": None if each.alone is None else {"value": plain(each.alone), "unit": each.unit},
            }
            for each in sureness.watch
        ],
    }
