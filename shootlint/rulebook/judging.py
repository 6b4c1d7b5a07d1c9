"""Judging: every rule over every setup, and a finding where its condition is false."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from shootlint.language import clocks
from shootlint.language.model import Plan
from shootlint.language.source import Place
from shootlint.language.values import CLOCK
from shootlint.readings.axes import AXES, INDEX, Array, Mask
from shootlint.readings.catalogue import NAME as NAME_UNIT
from shootlint.readings.catalogue import Reading
from shootlint.readings.graph import Graph, PlanGraph, Value
from shootlint.readings.scene import Scene, scenes
from shootlint.readings.wording import in_plans_units, in_words, told_apart, written_out
from shootlint.rulebook.acceptances import order, set_apart
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import Finding, Measured, NotJudged, Verdict
from shootlint.rulebook.ready import ReadyRule
from shootlint.rulebook.running import Compared, Ready, Run, of_reading, too_many

if TYPE_CHECKING:
    from shootlint.rulebook.trials import Trials

MINUTE = INDEX["minute"]
NOWHERE: Mask = np.zeros((1,) * len(AXES), dtype=bool)
"""No place along any axis."""


@dataclass(frozen=True)
class Judged:
    """What judging a setup by one rule gave."""

    findings: tuple[Finding, ...] = ()
    not_judged: NotJudged | None = None
    held: int = 0

    def moved(self, scene: Scene) -> Judged:
        """The same of a setup that reads the same and may stand elsewhere in its file."""
        if not self.findings:
            return self
        findings = (replace(each, scene=scene, place=place_of(each.rule, scene, each.index)) for each in self.findings)
        return Judged(tuple(findings), self.not_judged, self.held)


def judge(
    plan: Plan,
    book: Book,
    today: datetime.date,
    trials: Trials | None = None,
    known: Sequence[dict[str, Judged]] | None = None,
) -> Verdict:
    """Judges all sound setups of a plan by a rulebook.

    `today` is the day on which acceptances are asked whether they are still good; `trials` tell how sure the verdict is.
    `known` is, for each setup, what rules that look at no other setup gave when it and all around it read the same; what
    it lacks is put into it.
    """
    verdict = Verdict()
    graphs = [Graph(scene) for scene in scenes(plan)]
    for at, graph in enumerate(graphs):
        before = known[at] if known is not None else {}
        for name, rule in book.rules.items():
            if rule.scope == "plan":
                continue
            if rule.looks_at_others:
                _add(_judged(rule, graph), verdict)
                continue
            if name in before:
                before[name] = before[name].moved(graph.scene)
            else:
                before[name] = _judged(rule, graph)
            _add(before[name], verdict)
    if not book.rules:
        # Nothing passes in silence, a house that judges nothing least of all.
        lacking = ("a rule: the rule files in force hold none, or retire them all",)
        verdict.not_judged += [NotJudged("everything", str(graph.scene.setup.name), lacking) for graph in graphs]
    if graphs:
        whole = PlanGraph(graphs)
        for rule in book.rules.values():
            if rule.scope == "plan":
                _add(_judged(rule, whole), verdict)
    if graphs and trials is not None:
        from shootlint.rulebook.sureness import add_sureness

        add_sureness(verdict, graphs, book, trials)
    verdict.findings.sort(key=order)
    if graphs:
        set_apart(plan, book, verdict, graphs[0].scene, today)
    verdict.safety = _cautions(book, graphs)
    return verdict


def outcome(rule: ReadyRule, graph: Graph) -> tuple[Mask, Mask, frozenset[str]]:
    """Where a rule fails and where it is not known, as arrays over all axes, and what would have to be told."""
    truth = rule.require.run(graph)
    refused = too_many(truth.array.shape, *_of_where(rule, graph))
    if refused:
        return NOWHERE, ~NOWHERE, truth.needs | refused
    unsure: Mask = (truth.array > 0.0) & (truth.array < 1.0)
    needs = truth.needs
    if rule.where is not None:
        narrowed = rule.where.run(graph)
        unsure = (unsure & (narrowed.array > 0.0)) | ((narrowed.array > 0.0) & (narrowed.array < 1.0) & (truth.array < 1.0))
        needs = needs | narrowed.needs
    return _failing(rule, graph, truth.array), _of_pairs(rule, graph, unsure), needs


def failing(rule: ReadyRule, graph: Graph) -> Mask:
    """Where a rule fails, as an array over all axes."""
    return _failing(rule, graph, rule.require.run(graph).array)


def _of_where(rule: ReadyRule, graph: Graph) -> list[tuple[int, ...]]:
    """The shape of what narrows a rule, where something does."""
    return [rule.where.run(graph).array.shape] if rule.where is not None else []


def _failing(rule: ReadyRule, graph: Graph, truth: Array) -> Mask:
    if too_many(truth.shape, *_of_where(rule, graph)):
        return NOWHERE
    fails: Mask = truth == 0.0
    if rule.where is not None:
        fails = fails & (rule.where.run(graph).array == 1.0)
    return _of_pairs(rule, graph, fails)


def _of_pairs(rule: ReadyRule, graph: Graph, found: Mask) -> Mask:
    return found & (graph["neighbours"].array == 1.0) if rule.axes == ("person", "other") else found


def _judged(rule: ReadyRule, graph: Graph) -> Judged:
    if has_nothing_to_judge(rule, graph.scene):
        return Judged()
    failing, unsure, needs = outcome(rule, graph)
    findings = tuple(_findings(rule, graph, failing)) if failing.any() else ()
    if unsure.any():
        told = tuple(sorted(needs)) or ("a value that can be worked out",)
        return Judged(findings, NotJudged(rule.name, str(graph.scene.setup.name), told))
    return Judged(findings, held=0 if findings else 1)


def _add(judged: Judged, verdict: Verdict) -> None:
    verdict.findings.extend(judged.findings)
    if judged.not_judged is not None:
        verdict.not_judged.append(judged.not_judged)
    verdict.held += judged.held


def has_nothing_to_judge(rule: ReadyRule, scene: Scene) -> bool:
    """Whether a setup lacks what a rule is for: a rule for each light says nothing of a picture by daylight."""
    return (rule.scope == "each light" and not scene.lamps) or (rule.scope == "each print" and scene.print is None)


class Ran:
    """What the parts of a rule give on one graph, each worked out once however many findings it has."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self._values: dict[Run, Value] = {}

    def __call__(self, run: Run) -> Value:
        if run not in self._values:
            self._values[run] = run(self.graph)
        return self._values[run]


def _findings(rule: ReadyRule, graph: Graph, failing: Mask) -> Iterator[Finding]:
    sizes = [max(len(graph.scene.names.get(axis, ())), 1) for axis in rule.axes]
    shape = [1] * len(AXES)
    shape[MINUTE] = failing.shape[MINUTE]
    for axis, size in zip(rule.axes, sizes, strict=True):
        shape[INDEX[axis]] = size
    failing = np.broadcast_to(failing, shape)
    per_element = failing.any(axis=MINUTE, keepdims=True)
    ran = Ran(graph)
    for position in np.argwhere(per_element):
        index = tuple((axis, int(position[INDEX[axis]])) for axis in rule.axes)
        minutes = failing[tuple(slice(None) if axis == MINUTE else place for axis, place in enumerate(position))]
        yield _finding(rule, ran, index, minutes)


def said_anyway(rule: ReadyRule, plan: Plan) -> str | None:
    """What a rule would say of the first thing in a plan that it is for, though it holds there; None where it is for nothing."""
    graphs = [Graph(scene) for scene in scenes(plan)]
    asked = [PlanGraph(graphs)] if rule.scope == "plan" else graphs
    for graph in asked:
        if not has_nothing_to_judge(rule, graph.scene):
            everything = np.ones((1,) * len(AXES), dtype=bool)
            meant = rule.where.run(graph).array == 1.0 if rule.where is not None else everything
            for finding in _findings(rule, graph, _of_pairs(rule, graph, meant)):
                return finding.message
    return None


def _finding(rule: ReadyRule, ran: Ran, index: tuple[tuple[str, int], ...], minutes: Mask) -> Finding:
    graph, scene = ran.graph, ran.graph.scene
    compared, minute = _decisive(rule, ran, index, np.flatnonzero(minutes).tolist())
    at = {**dict(index), "minute": minute}
    names = _names(scene, index)
    values = _told(rule, ran, at)
    measured = None
    if compared is not None:
        unit = compared.left.unit
        measured = Measured(
            compared.left.text, picked(ran(compared.left.run), at), picked(ran(compared.right.run), at), compared.sign, unit
        )  # fmt: skip
    about = tuple(scene.names[axis][place] for axis, place in index)
    spans = tuple(_spans(graph, minutes)) if rule.scope != "plan" else ()
    return Finding(rule, rule.message.filled(names, values), place_of(rule, scene, index), scene, about, index, measured, spans)


def _decisive(
    rule: ReadyRule, ran: Ran, index: tuple[tuple[str, int], ...], minutes: Sequence[int]
) -> tuple[Compared | None, int]:
    """The comparison that fails first as written, and the minute at which it fails by most."""
    for compared in rule.require.comparisons:
        truth = ran(compared.truth)
        failing = [minute for minute in minutes if picked(truth, {**dict(index), "minute": minute}) == 0.0]
        if failing:
            left, right = ran(compared.left.run), ran(compared.right.run)
            places = [{**dict(index), "minute": each} for each in failing]
            by = [abs(picked(left, place) - picked(right, place)) for place in places]
            return compared, failing[int(np.nanargmax(by)) if not np.isnan(by).all() else 0]
    return None, int(minutes[0])


def picked(value: Value, at: dict[str, int]) -> float:
    """A value's number for one element; axes along which it does not vary do not matter."""
    array = value.array
    position = tuple(min(at.get(axis, 0), size - 1) for axis, size in zip(AXES, array.shape, strict=True))
    return float(array[position])


def _told(rule: ReadyRule, ran: Ran, at: dict[str, int]) -> dict[str, str]:
    """The readings of a rule's message as texts. What the rule compares reads differently where it differs, whether the
    limit is filled in or stands in the message as written."""
    told = rule.message.readings
    finer = {each.text: 0 for each in told}
    for compared in rule.require.comparisons:
        rests_on = compared.left.readings | compared.right.readings
        # A limit that the rule sets rests on no reading.
        about = [
            each for each in told if each.readings & rests_on or (not each.readings and each.unit.kind == compared.left.unit.kind)
        ]
        needed = finer_to_tell([compared.left, compared.right, *about], ran, at)
        finer.update({each.text: max(finer[each.text], needed) for each in about})
    return {each.text: shown(each, picked(ran(each.run), at), ran.graph.scene, finer[each.text]) for each in told}


def finer_to_tell(these: Iterable[Ready], ran: Ran, at: dict[str, int]) -> int:
    """How many digits more it takes until values for one element that differ read differently."""
    values = [(each, picked(ran(each.run), at)) for each in these]
    known = [(each, value) for each, value in values if np.isfinite(value)]
    return told_apart(lambda finer: [(value, shown(each, value, ran.graph.scene, finer)) for each, value in known])


def shown(ready: Ready, number: float, scene: Scene, finer: int = 0) -> str:
    """A number as a message shows it: words and names as such, measures in their unit, with so many digits more."""
    if ready.words:
        return "unknown" if np.isnan(number) else ready.words[int(number)]
    if ready.unit is NAME_UNIT and ready.reading is not None:
        return "nobody" if np.isnan(number) else scene.names[ready.reading.of][int(number)]
    if ready.unit is CLOCK and np.isfinite(number) and scene.zone is not None:
        return clocks.wall_clock(number, scene.zone)
    return in_words(number, in_plans_units(ready.unit, scene.in_feet), finer)


def shown_whole(reading: Reading, number: float, scene: Scene) -> str:
    """A reading's value by itself: what the plan gives with all the digits that its author wrote."""
    ready = of_reading(reading)
    finer = written_out(lambda finer: shown(ready, number, scene, finer)) if reading.given else 0
    return shown(ready, number, scene, finer)


def _names(scene: Scene, index: tuple[tuple[str, int], ...]) -> dict[str, str]:
    names = {
        "plan": str(scene.plan.title or "the plan"),
        "setup": str(scene.setup.name),
        "print": str(scene.print.name) if scene.print is not None else "the print",
    }
    for axis, place in index:
        names[axis] = scene.names[axis][place]
        if axis == "person":
            names["row"] = str(scene.sitters[place].row.name)
    return names


def _spans(graph: Graph, minutes: Mask) -> Iterator[tuple[str, str]]:
    """The clock times between which a condition fails, one pair for each unbroken run of minutes."""
    instants, zone = graph["instant"], graph.scene.zone
    if zone is None or instants.unknown:
        return
    seconds = instants.array.ravel()
    failing = np.broadcast_to(minutes, seconds.shape) if len(minutes) == 1 else minutes
    for fails, run in groupby(enumerate(failing), key=lambda each: bool(each[1])):
        places = [place for place, _ in run]
        if fails:
            yield clocks.wall_clock(seconds[places[0]], zone), clocks.wall_clock(seconds[places[-1]], zone)


def place_of(rule: ReadyRule, scene: Scene, index: tuple[tuple[str, int], ...]) -> Place:
    """Where in the plan to look: the line of the person, the light or the print, else of the first thing to turn, else the setup's."""
    where: Place | None = None
    if index:
        axis, place = index[0]
        where = scene.sitters[place].posed.where if axis == "person" else scene.lamps[place].placement.where
    elif rule.scope == "each print" and scene.setup.print is not None:
        where = scene.setup.print.place
    if where is None:
        values = (getattr(scene.setup, str(word).replace("-", "_"), None) for word in rule.rule.remedy)
        found = next((value for value in values if value is not None and not isinstance(value, tuple)), None)
        where = getattr(found, "place", None) or getattr(found, "where", None) or scene.setup.where
    assert where is not None
    return where


def _cautions(book: Book, graphs: Iterable[Graph]) -> list[str]:
    """The cautions that some setup calls for, or may call for where the plan does not say."""
    graphs = list(graphs)
    return [
        str(each.caution.say)
        for each in book.cautions.values()
        if any((each.when.run(graph).array > 0.0).any() for graph in graphs)
    ]
