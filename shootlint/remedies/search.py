"""The search for mends: every lever that a rule names is tried over all its options in one broadcast."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from shootlint.language.complaint import did_you_mean
from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING
from shootlint.readings.axes import AXES, INDEX, Mask
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import scenes
from shootlint.readings.wording import in_words
from shootlint.remedies.levers import Lever, Options, levers
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import Finding, Mend, Verdict
from shootlint.rulebook.judging import outcome, picked
from shootlint.rulebook.ready import ReadyRule

OPTION, MINUTE = INDEX["option"], INDEX["minute"]
STOP = BY_SPELLING["stops"]
MOST_MENDS = 3


def unknown_levers(book: Book) -> list[tuple[Place, str]]:
    """The levers that rules name and that do not exist."""
    return [
        (word.place, f"no lever is called {word}{did_you_mean(word, levers())}")
        for rule in book.rules.values()
        for word in rule.rule.remedy
        if word not in levers() and word.place is not None
    ]


def add_mends(verdict: Verdict, book: Book) -> None:
    """Gives each finding the least change of each of its levers that makes it hold."""
    verdict.findings = [replace(finding, mends=tuple(mends_for(finding, book))) for finding in verdict.findings]


def mends_for(finding: Finding, book: Book) -> list[Mend]:
    if finding.rule.scope == "plan":
        return list(finding.mends)
    graph = Graph(finding.scene)
    found = []
    for word in finding.rule.rule.remedy:
        lever = levers().get(word)
        options = lever.options(graph, finding) if lever is not None else None
        if lever is not None and options is not None and len(options.titles):
            mend = _least(lever, options, finding, book, graph)
            if mend is not None:
                found.append(mend)
    # A mend that breaks nothing else comes first; the rule's own order decides among equals.
    found.sort(key=lambda each: each[0])
    return [mend for _, mend in found[:MOST_MENDS]]


def _least(lever: Lever, options: Options, finding: Finding, book: Book, graph: Graph) -> tuple[bool, Mend] | None:
    """The first option with which the finding is gone, of those that break nothing else if there is one."""
    tried = Graph(finding.scene, options.replaced)
    count = len(options.titles)
    holds = ~_over_options(_fails_here(finding, tried), count)
    if not holds.any():
        return None
    broken = {
        rule.name: _over_options(_newly_failing(rule, graph, tried), count)
        for rule in book.rules.values()
        if rule.level != "note"
    }
    harmless = holds & ~np.any(list(broken.values()), axis=0) if broken else holds
    place = int(np.argmax(harmless)) if harmless.any() else int(np.argmax(holds))
    others = [name for name, fails in broken.items() if fails[place]]
    title = options.titles[place] + _spare(finding, tried, place)
    if others:
        title += f", though then {others[0]} fails"
    return bool(others), Mend(title, lever.grade, tuple(options.changes[place]))


def _fails_here(finding: Finding, graph: Graph) -> Mask:
    """Where the finding's rule does not surely hold, for the one that the finding is about."""
    failing, unsure, _ = outcome(finding.rule, graph)
    bad = failing | unsure
    position = tuple(
        slice(min(dict(finding.index).get(axis, 0), size - 1), min(dict(finding.index).get(axis, 0), size - 1) + 1)
        if axis in dict(finding.index)
        else slice(None)
        for axis, size in zip(AXES, bad.shape, strict=True)
    )
    here: Mask = bad[position]
    return here


def _newly_failing(rule: ReadyRule, before: Graph, after: Graph) -> Mask:
    """Where a rule that held, at every minute, now fails at one."""
    if rule.scope == "plan":
        before, after = _whole_plan(before), _whole_plan(after)
    newly: Mask = _at_any_minute(outcome(rule, after)[0]) & ~_at_any_minute(outcome(rule, before)[0])
    return newly


def _at_any_minute(failing: Mask) -> Mask:
    found: Mask = np.any(failing, axis=MINUTE, keepdims=True)
    return found


def _whole_plan(graph: Graph) -> Graph:
    """All setups of the plan, this one as it is tried and the others as they stand."""
    return PlanGraph([graph if scene.setup is graph.scene.setup else Graph(scene) for scene in scenes(graph.scene.plan)])


def _over_options(array: Mask, count: int) -> Mask:
    """Whether anything is true, for each option."""
    others = tuple(axis for axis in range(array.ndim) if axis != OPTION)
    return np.broadcast_to(array.any(axis=others), (count,))


def _spare(finding: Finding, tried: Graph, place: int) -> str:
    """What the deciding comparison leaves to spare with an option at the worst minute, in words; nothing where the rule
    holds without it."""
    measured = finding.measured
    comparisons = finding.rule.require.comparisons
    alike = (each for each in comparisons if measured and (each.left.text, each.sign) == (measured.reading, measured.sign))
    compared = next(alike, None)
    if compared is None or compared.sign in ("=", "!="):
        return ""
    left, right = compared.left.run(tried), compared.right.run(tried)
    at = {**dict(finding.index), "option": place}
    more = 1 if compared.sign in (">", ">=") else -1
    minutes = range(max(left.array.shape[MINUTE], right.array.shape[MINUTE]))
    spare = min(more * (picked(left, {**at, "minute": each}) - picked(right, {**at, "minute": each})) for each in minutes)
    if not (np.isfinite(spare) and spare > 0):
        return ""
    unit = STOP if compared.left.unit.kind == "exposure" else compared.left.unit
    text = in_words(spare, unit)
    return "" if text.split()[0] == "0" else f" (leaves {text} to spare)"
