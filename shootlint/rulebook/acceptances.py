"""What plans accept: findings that somebody lives with, and acceptances that are themselves at fault.

An acceptance names its rule, whom or what it is for, why, and perhaps its last day. One that has run out, or that
accepts nothing, is a finding; one that names no rule is a mistake in the plan.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from functools import cache

import numpy as np

from shootlint.language.complaint import Complaint, none_called
from shootlint.language.edits import Change
from shootlint.language.model import Acceptance, Plan
from shootlint.language.source import Place, decode
from shootlint.readings.axes import RANK, Mask, along
from shootlint.readings.scene import Scene
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import Accepted, Finding, Mend, Verdict
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.own import OWN
from shootlint.rulebook.ready import ReadyRule, ready_rule
from shootlint.rulebook.rule_files import parse

# Their conditions are not asked: whether an acceptance is at fault is known only when all rules have been judged.
_RULES = """
rule accept.expired {
  title   "An acceptance has run out"
  level   warning
  for     plan
  require min(iso) >= 0
  say     "an acceptance has run out"
  because "What was accepted for a while comes back to be looked at; that is what the date is for."
}
rule accept.nothing {
  title   "An acceptance accepts nothing"
  level   note
  for     plan
  require min(iso) >= 0
  say     "an acceptance accepts nothing"
  because "An acceptance that is no longer needed would hide the next mistake of its kind."
}
"""


@cache
def own_rules() -> dict[str, ReadyRule]:
    """The rules that acceptances are held to, by name."""
    parsed = parse(decode(_RULES.encode(), "acceptances"))
    assert parsed.file is not None
    return {str(rule.name): ready_rule(rule, parsed.source, str(rule.level), {}) for rule in parsed.file.rule}


def mistakes(plan: Plan, book: Book) -> list[Complaint]:
    """Acceptances that name no rule."""
    known = {*book.rules, *OWN, *book.retired, *book.aliases}
    return [
        Complaint(each.rule.place, none_called("rule", each.rule, known))
        for each in plan.accept
        if str(each.rule) not in known and each.rule.place is not None
    ]


def set_apart(plan: Plan, book: Book, verdict: Verdict, scene: Scene, today: datetime.date) -> None:
    """Moves the accepted findings of a verdict to themselves, and adds findings about acceptances at fault."""
    left: list[Finding] = []
    used: set[int] = set()
    for finding in verdict.findings:
        matching = [place for place, each in enumerate(plan.accept) if _accepts(each, finding, book)]
        used.update(matching)
        good = next((plan.accept[place] for place in matching if not _expired(plan.accept[place], today)), None)
        if good is None:
            left.append(replace(finding, lapsed=plan.accept[matching[0]]) if matching else finding)
        else:
            verdict.accepted.append(Accepted(finding, good))
    for place, each in enumerate(plan.accept):
        if book.name_now(str(each.rule)) not in book.rules:
            continue
        if place not in used:
            if not any(missing.rule == book.name_now(str(each.rule)) for missing in verdict.not_judged):
                left.append(_about(each, scene, "accept.nothing", f'{each.rule} finds nothing for "{each.about}" to accept'))
        elif _expired(each, today):
            left.append(
                _about(each, scene, "accept.expired", f'the acceptance of {each.rule} for "{each.about}" ran out on {each.until}')
            )
    verdict.findings = sorted(left, key=order)


def order(finding: Finding) -> tuple[int, int, str, int, str]:
    """The order in which findings are told: by place, worst first."""
    return finding.place.start, LEVELS.index(finding.level), finding.rule.name, finding.place.end, finding.message


def _accepts(acceptance: Acceptance, finding: Finding, book: Book) -> bool:
    return book.name_now(str(acceptance.rule)) == finding.rule.name and (
        acceptance.about in finding.about or acceptance.about in _whole(finding.scene)
    )


def _whole(scene: Scene) -> set[str]:
    """The names that stand for all of a setup."""
    return {str(scene.setup.name), *([str(scene.print.name)] if scene.print is not None else [])}


def accepted(rule: ReadyRule, scene: Scene, plan: Plan, book: Book, today: datetime.date) -> Mask | None:
    """Whom or what of a setup a rule may fail for, along the axes of its scope, by acceptances that are still good; None
    where there are none."""
    about = {str(each.about) for each in plan.accept if book.name_now(str(each.rule)) == rule.name and not _expired(each, today)}
    if not about:
        return None
    spared = np.full((1,) * RANK, not about.isdisjoint(_whole(scene)))
    for axis in rule.axes:
        spared = spared | (along(axis, [name in about for name in scene.names[axis]]) > 0)
    return spared


def _expired(acceptance: Acceptance, today: datetime.date) -> bool:
    return acceptance.until is not None and today > acceptance.until.date


def _about(acceptance: Acceptance, scene: Scene, rule: str, message: str) -> Finding:
    where = acceptance.where
    assert where is not None
    mend = Mend("delete this line", "mechanical", (Change(_whole_line(where), ""),))
    return Finding(own_rules()[rule], message, where, scene, (), (), None, (), (mend,))


def _whole_line(where: Place) -> Place:
    """A line with its end and what stands after it there, so that no empty line is left."""
    text = where.source.text
    start = text.rfind("\n", 0, where.start) + 1
    end = text.find("\n", where.end)
    return where.source.place(start, len(text) if end < 0 else end + 1)
