"""Tells how a rule was judged: each reading, what it came from, formula, source, limit."""

from __future__ import annotations

import argparse
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from shootlint.commands.arguments import add_rules
from shootlint.commands.refused import Refused
from shootlint.reports.layout import columns, wrapped

if TYPE_CHECKING:
    from shootlint.checking.judge import Judge
    from shootlint.language.loading import Document
    from shootlint.readings.catalogue import Reading
    from shootlint.readings.graph import Graph
    from shootlint.rulebook.book import Book
    from shootlint.rulebook.ready import ReadyRule

MOST_SHOWN = 8
"""So many values of one reading are shown; the others are counted."""
DEEPEST = 28
"""Columns by which a reading is set in at most, so that there is room left for what is said of it."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument("rule", metavar="RULE", help="the name of a rule")
    parser.add_argument("--setup", metavar="SETUP", help="only this setup")
    add_rules(parser)


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.pipeline import chosen_scenes, opened
    from shootlint.language.complaint import none_called
    from shootlint.readings.graph import Graph, PlanGraph

    found = opened(call.plan, call.rules)
    judge, document, book = found.judge, found.document, found.book
    for complaint in found.complaints:
        output.complain(complaint)
    status = 2 if found.complaints else 0
    if call.rule in book.retired:
        output.say([f"{call.rule} is retired here, because {book.retired[call.rule]}"])
        return status
    if call.rule not in book.rules:
        raise Refused(none_called("rule", call.rule, book.rules))
    rule = book.rules[call.rule]
    if book.files:
        output.say([f"judged by {', '.join(book.files)}, the nearest or as named"])
    graphs = [Graph(scene) for scene in chosen_scenes(document, None if rule.scope == "plan" else call.setup)]
    if rule.scope == "plan":
        output.say(told(rule, PlanGraph(graphs), graphs))
    else:
        output.say(line for graph in graphs for line in [*told(rule, graph, [graph]), *spare(rule, graph, document, judge, book)])
    return status


def told(rule: ReadyRule, graph: Graph, parts: Sequence[Graph]) -> Iterator[str]:
    """How a rule was judged in one setup, or over all of them, of which each is then a part."""
    from shootlint.rulebook.judging import outcome

    failing, unsure, needs = outcome(rule, graph)
    verdict = "does not hold" if failing.any() else "cannot be judged" if unsure.any() else "holds"
    scope = "over the whole plan" if rule.scope == "plan" else f'in setup "{graph.scene.setup.name}"'
    yield f"{rule.name} ({rule.level}) {verdict} {scope}"
    where = f" where {rule.where.text}" if rule.where is not None else ""
    facts = [("for", f"{rule.scope}{where}"), ("requires", rule.require.text)]
    for name, value in rule.sets.items():
        changed = ", ".join(each for each in rule.origin if each.startswith(f"{name} "))
        facts.append(("set", f"{name} {value}" + (f" ({changed})" if changed else "")))
    if needs and unsure.any():
        facts.append(("needs", ", ".join(sorted(needs))))
    facts += [("because", str(rule.rule.because)), ("source", str(rule.rule.source or "none told"))]
    yield from columns(facts, 2)
    for compared in rule.require.comparisons:
        yield ""
        yield from _comparison(rule, graph, compared)
    readings = sorted(rule.require.readings | (rule.where.readings if rule.where is not None else frozenset()))
    for part in parts:
        yield ""
        yield "  what it came from" + (f' in setup "{part.scene.setup.name}"' if len(parts) > 1 else "")
        seen: set[str] = set()
        for name in readings:
            yield from _tree(name, part, seen, 2)
    yield ""


def spare(rule: ReadyRule, graph: Graph, document: Document, judge: Judge, book: Book) -> Iterator[str]:
    """By how much a rule holds in a setup where it is tightest, and what may drift how far before it fails."""
    from shootlint.remedies.house import house_levers
    from shootlint.remedies.margins import drifts, tightest
    from shootlint.remedies.standing import Standing

    assert document.plan is not None
    standing = Standing(document.plan, book, judge.today)
    at = next(place for place, scene in enumerate(standing.scenes) if scene.setup is graph.scene.setup)
    margin = None if standing.outcome(rule, at).failing.any() else tightest(rule, at, standing)
    if margin is not None:
        about = f" for {' and '.join(margin.about)}" if margin.about else ""
        yield f"  by how much it holds{about}"
        told = [f"{margin.spare_in_words()} of {margin.compared.left.text} to spare"]
        told += [f"{drift.words} would break it" for drift in drifts(margin, standing, house_levers(book)[0])]
        yield from (line for each in told for line in wrapped(each, 4, 6))
        yield ""


def _comparison(rule: ReadyRule, graph: Graph, compared: object) -> Iterator[str]:
    from shootlint.rulebook.judging import Ran, finer_to_tell, picked, shown
    from shootlint.rulebook.running import Compared

    assert isinstance(compared, Compared)
    yield from wrapped(f"{compared.left.text} {compared.sign} {compared.right.text}", 2, 4)
    ran = Ran(graph)
    left, right, truth = (ran(each) for each in (compared.left.run, compared.right.run, compared.truth))
    for at, label in _elements(rule, graph):
        verdict = {1.0: "holds", 0.0: "fails"}.get(picked(truth, at), "not known")
        if rule.where is not None and picked(ran(rule.where.run), at) == 0.0:
            verdict = "but the rule is not for this one"
        finer = finer_to_tell((compared.left, compared.right), ran, at)
        sides = f"{shown(compared.left, picked(left, at), graph.scene, finer)} {compared.sign} {shown(compared.right, picked(right, at), graph.scene, finer)}"
        yield from wrapped(f"{label + ': ' if label else ''}{sides}, {verdict}", 4, 6)


def _elements(rule: ReadyRule, graph: Graph) -> Iterator[tuple[dict[str, int], str]]:
    """Each element of the rule's scope, at the first and the last minute where the minute matters."""
    from itertools import product

    from shootlint.reports.measured import labels

    axes = list(rule.axes)
    clocks = labels(graph, "minute") if "minute" in rule.require.axes else []
    minutes = sorted({0, len(clocks) - 1}) if clocks else [0]
    pairs = graph["neighbours"].array if rule.axes == ("person", "other") else None
    # Where there is none of what the rule is for, such as no light at all, there is nothing to show.
    for places in product(*(range(len(graph.scene.names[axis])) for axis in axes), minutes):
        at = dict(zip([*axes, "minute"], places, strict=True))
        if pairs is not None and not pairs[..., at["person"], at["other"]].any():
            continue
        names = [graph.scene.names[axis][at[axis]] for axis in axes]
        yield at, ", ".join([*names, *([clocks[at["minute"]]] if clocks else [])])


def _tree(name: str, graph: Graph, seen: set[str], depth: int) -> Iterator[str]:
    from shootlint.readings.catalogue import catalogue

    reading = catalogue()[name]
    indent = min(2 * depth, DEEPEST)
    value = values_in_words(reading, graph)
    known = ", as the plan says or leaves open" if reading.given else ", as above" if name in seen else ""
    yield from wrapped(f"{name}: {value}{known}", indent, indent + 4)
    if known:
        return
    seen.add(name)
    yield from wrapped(reading.formula, " " * indent + "  = ", indent + 4)
    yield from wrapped(f"source: {reading.source}", indent + 2, indent + 4)
    if reading.uncertainty:
        yield from wrapped(f"uncertainty: {reading.uncertainty}", indent + 2, indent + 4)
    for need, optional in reading.needs:
        if not (optional and graph[need].unknown):
            yield from _tree(need, graph, seen, depth + 1)


def values_in_words(reading: Reading, graph: Graph, only: Mapping[str, Collection[int]] | None = None) -> str:
    """A reading's values with the names along its axes; of axes in `only` those in these places alone."""
    from itertools import product

    from shootlint.reports.measured import labels
    from shootlint.rulebook.judging import picked, shown_whole

    value = graph[reading.name]
    if value.unknown:
        return f"unknown (needs {', '.join(sorted(value.needs))})"
    axes = [axis for axis in reading.axes if labels(graph, axis)]
    names = {axis: labels(graph, axis) for axis in axes}
    chosen = {axis: sorted((only or {}).get(axis, range(len(names[axis])))) for axis in axes}
    places = [dict(zip(axes, each, strict=True)) for each in product(*chosen.values())]
    if axes == ["minute"] and len(places) > 2:
        places = [places[0], places[-1]]
    texts = [
        " ".join(names[axis][at[axis]] for axis in axes)
        + (" " if axes else "")
        + shown_whole(reading, picked(value, at), graph.scene)
        for at in places[:MOST_SHOWN]
    ]
    more = len(places) - MOST_SHOWN
    return ", ".join(texts) + (f" and {more} more" if more > 0 else "")
