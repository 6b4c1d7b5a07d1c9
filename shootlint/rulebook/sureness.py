"""How sure a verdict is: each finding's share of trials, each holding rule's, and findings for what holds too seldom."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from shootlint.readings.axes import single
from shootlint.readings.graph import Graph
from shootlint.readings.wording import told_apart
from shootlint.rulebook.book import Book
from shootlint.rulebook.finding import Finding, Held, Measured, Sureness, Verdict
from shootlint.rulebook.judging import place_of
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.own import NOT_SURE, SHARE, SHARE_READING
from shootlint.rulebook.ready import ReadyRule
from shootlint.rulebook.trials import Tally, Trials, tallied
from shootlint.rulebook.watching import Answer, Decided, decided, in_words_of, told_of, watched

MOST_EXPLAINED = 20
"""Of so many findings, those that hold least often, it is told what decides them: each takes as long as hundreds of trials."""


def add_sureness(verdict: Verdict, graphs: Sequence[Graph], book: Book, trials: Trials) -> None:
    """Tries a plan and tells in its verdict what came of it."""
    tally = tallied(graphs, book, trials)
    told = decided(tally)
    shares = {
        (part.rule.name, id(part.standing.scene.setup), part.index(element)): float(share)
        for place, part in enumerate(tally.parts)
        for element, share in enumerate(tally.share(place))
    }
    verdict.findings = [
        replace(each, share=shares.get((each.rule.name, id(each.scene.setup), each.index))) for each in verdict.findings
    ]
    rule = book.own.get(NOT_SURE)
    if rule is not None:
        verdict.findings += _not_sure(tally, told, rule)
    verdict.sureness = Sureness(
        trials.count,
        trials.seed,
        tally.whole / trials.count,
        tuple(_held(tally)),
        watched(tally, told),
    )


def _held(tally: Tally) -> Iterator[Held]:
    for place, part in enumerate(tally.parts):
        if part.holding.any():
            shares = tally.share(place)
            about = tuple(
                (part.about(element), float(shares[element]))
                for element in np.flatnonzero(part.holding & (shares > 0)).tolist()
                if part.rule.axes
            )
            setup = "" if part.drawn is None else str(part.standing.scene.setup.name)
            yield Held(part.rule.name, setup, float(tally.anybody[place] / tally.trials.count), about)


def _not_sure(tally: Tally, told: Decided, rule: ReadyRule) -> Iterator[Finding]:
    """A finding for each rule and element that holds as planned and does so in too few trials."""
    found = []
    for place, part in enumerate(tally.parts):
        for element in np.flatnonzero(part.holding).tolist():
            fails = float(tally.share(place)[element])
            graph = Graph(part.standing.scene, {SHARE: single(1 - fails)})
            if (rule.require.run(graph).array == 0).any():
                found.append((Answer(place, element), fails, graph))
    found.sort(key=lambda each: (-each[1], each[0].part, each[0].element))
    for number, (answer, fails, graph) in enumerate(found):
        yield _finding(tally, told if number < MOST_EXPLAINED else None, rule, answer, fails, graph)


def _finding(tally: Tally, told: Decided | None, rule: ReadyRule, answer: Answer, fails: float, graph: Graph) -> Finding:
    part = tally.parts[answer.part]
    scene, index, about = graph.scene, part.index(answer.element), part.about(answer.element)
    shares = {each.text: each.unit.from_base(float(each.run(graph).array.flat[0])) for each in rule.message.readings}
    finer = told_apart(lambda finer: [(share, f"{share:.{3 + finer}g}") for share in shares.values()])
    values = {text: f"{share:.{3 + finer}g} %" for text, share in shares.items()}
    what = f"{part.rule.name} for {' and '.join(about)}" if about else part.rule.name
    message = f"{what} {rule.message.filled({}, values)}"
    worst = told.worst_for(answer) if told is not None else None
    if worst is not None:
        message += f"; most by {worst.uncertainty.name}, so {in_words_of(worst, tally)}: {told_of(tally, worst, answer, 'it')[1]}"
    # It is never worse than what it says may fail.
    level = max(rule.level, part.rule.level, key=LEVELS.index)
    measured = Measured(SHARE, 1 - fails, rule.sets["at-least"].value, ">=", SHARE_READING.unit)
    where = place_of(part.rule, scene, index)
    return Finding(replace(rule, level=level), message, where, scene, about, index, measured, (), (), fails)
