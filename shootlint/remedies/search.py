"""The search for mends: every lever that a rule names is tried over all its options in one broadcast."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from shootlint.language.complaint import did_you_mean
from shootlint.language.source import Place
from shootlint.language.units import BY_SPELLING
from shootlint.language.values import F_NUMBER, POWER
from shootlint.readings.axes import AXES, INDEX, Mask, least, most
from shootlint.readings.catalogue import behind as behind_reading
from shootlint.readings.graph import Graph, PlanGraph
from shootlint.readings.scene import Scene, scenes
from shootlint.readings.wording import in_words, number
from shootlint.remedies.levers import Lever, Options, crossed, levers
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
    search = _Search(book)
    verdict.findings = [replace(finding, mends=tuple(search.mends_for(finding))) for finding in verdict.findings]


class _Search:
    """The search for the mends of one plan's findings. How things stand is worked out once for all of them."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._graphs: dict[int, Graph] = {}
        self._failing: dict[tuple[str, int], Mask] = {}

    def mends_for(self, finding: Finding) -> list[Mend]:
        if finding.rule.scope == "plan":
            return list(finding.mends)
        graph = self.graph(finding.scene)
        found = []
        for word in finding.rule.rule.remedy:
            lever = levers().get(word)
            options = lever.options(graph, finding) if lever is not None else None
            if lever is not None and options is not None and len(options.titles):
                mend = self.least(lever, options, finding)
                if mend is not None:
                    found.append(mend)
        # A mend that breaks nothing else comes first; the rule's own order decides among equals.
        found.sort(key=lambda each: each[0])
        return [mend for _, mend in found[:MOST_MENDS]]

    def graph(self, scene: Scene) -> Graph:
        """The readings of a setup as it stands."""
        return self._graphs.setdefault(id(scene.setup), Graph(scene))

    def least(self, lever: Lever, options: Options, finding: Finding) -> tuple[bool, Mend] | None:
        """The first option with which the finding is gone, of those that break nothing else if there is one."""
        tried = Graph(finding.scene, options.replaced)
        count = len(options.titles)
        holds = ~_over_options(_fails_here(finding, self.graph(finding.scene), tried), count)
        if not holds.any():
            return None
        broken = self.broken(tried, options, count)
        harmless = holds & ~np.any(list(broken.values()), axis=0) if broken else holds
        place = int(np.argmax(harmless)) if harmless.any() else int(np.argmax(holds))
        others = [name for name, fails in broken.items() if fails[place]]
        title = options.titles[place] + _spare(finding, tried, place)
        if others:
            title += f", though then {others[0]} fails"
        return bool(others), Mend(title, lever.grade, tuple(options.changes[place]))

    def broken(self, tried: Graph, options: Options, count: int) -> dict[str, Mask]:
        """For each rule that some option breaks, which options do: in the setup itself, and in others that its time touches."""
        touched = [(tried, set(options.replaced))]
        if "instant" in options.replaced:
            touched += [(each, {"other-starts", "other-ends"}) for each in self.neighbours_in_time(tried)]
        found: dict[str, Mask] = {}
        for rule in self.book.rules.values():
            if rule.level == "note":
                continue
            for after, replaced in touched:
                # A rule that asks for nothing that was turned stands as it stood.
                if behind(rule) & replaced:
                    newly = _over_options(self.newly_failing(rule, after), count)
                    found[rule.name] = found.get(rule.name, np.zeros(count, dtype=bool)) | newly
        return {name: fails for name, fails in found.items() if fails.any()}

    def newly_failing(self, rule: ReadyRule, after: Graph) -> Mask:
        """Where a rule that held, at every minute, now fails at one."""
        key = rule.name, id(after.scene.setup)
        if key not in self._failing:
            before = self.graph(after.scene)
            self._failing[key] = _at_any_minute(outcome(rule, self.whole(before) if rule.scope == "plan" else before)[0])
        failing = _at_any_minute(outcome(rule, self.whole(after) if rule.scope == "plan" else after)[0])
        newly: Mask = failing & ~self._failing[key]
        return newly

    def whole(self, graph: Graph) -> Graph:
        """All setups of the plan, this one as it is tried and the others as they stand."""
        return PlanGraph([graph if each.setup is graph.scene.setup else self.graph(each) for each in scenes(graph.scene.plan)])

    def neighbours_in_time(self, tried: Graph) -> list[Graph]:
        """The plan's other setups, to which this one begins and ends when each option says."""
        instants = tried["instant"].array
        starts, ends = (np.squeeze(edge(instants, "minute")).reshape(-1, 1) for edge in (least, most))
        plan, found = tried.scene.plan, []
        for scene in scenes(plan):
            if scene.setup is tried.scene.setup or scene.slot is None:
                continue
            others = [each for each in scenes(plan) if each.setup is not scene.setup and each.slot is not None]
            here = np.array([each.setup is tried.scene.setup for each in others])
            edges = {"other-starts": (starts, [each.slot.start.seconds for each in others if each.slot]),
                     "other-ends": (ends, [each.slot.end.seconds for each in others if each.slot])}  # fmt: skip
            tables = {name: np.where(here, tried_edge, np.array(told)) for name, (tried_edge, told) in edges.items()}
            found.append(Graph(scene, {name: crossed("option", "setup", table) for name, table in tables.items()}))
        return found


def behind(rule: ReadyRule) -> frozenset[str]:
    """All readings that a rule's verdict rests on."""
    asked = rule.require.readings | (rule.where.readings if rule.where is not None else frozenset())
    pairs = frozenset({"neighbours"}) if rule.axes == ("person", "other") else frozenset()
    return frozenset().union(*(behind_reading(name) for name in asked | pairs))


def _fails_here(finding: Finding, before: Graph, tried: Graph) -> Mask:
    """Where what the rule requires does not surely hold, for the one that the finding is about.

    An option that only takes the finding out of what the rule is for mends nothing, so the rule's guard counts as it
    stood before as well as after.
    """
    rule = finding.rule
    bad = rule.require.run(tried).array < 1.0
    if rule.where is not None:
        applied = _at_any_minute(rule.where.run(before).array > 0.0)
        bad = bad & (applied | (rule.where.run(tried).array > 0.0))
    position = tuple(
        slice(min(dict(finding.index).get(axis, 0), size - 1), min(dict(finding.index).get(axis, 0), size - 1) + 1)
        if axis in dict(finding.index)
        else slice(None)
        for axis, size in zip(AXES, bad.shape, strict=True)
    )
    here: Mask = bad[position]
    return here


def _at_any_minute(failing: Mask) -> Mask:
    found: Mask = np.any(failing, axis=MINUTE, keepdims=True)
    return found


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
    if unit in (F_NUMBER, POWER):
        return ""
    text = f"{number(spare, 1)} s" if unit.name == "s" else in_words(spare, unit)
    return "" if text.split()[0] == "0" else f" (leaves {text} to spare)"
