"""What to watch on location: which uncertain inputs decide what holds, and how much of each by itself turns a verdict.

How much an input decides is the share of the variance of "fails or holds" between trials that is explained by knowing
that input alone: the first-order sensitivity index of Sobol (1993), estimated from groups of trials of which each has
a tenth of the input's distribution (Saltelli et al., Global Sensitivity Analysis, 2008). It finds inputs that lose a
picture in either direction, which a correlation would not. An index within what chance gives is taken as nought.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from shootlint.readings.axes import Array, Mask
from shootlint.readings.scene import Scene
from shootlint.readings.wording import in_plans_units, in_words, least_bit, number, told_apart
from shootlint.rulebook.draws import Input
from shootlint.rulebook.finding import Watched
from shootlint.rulebook.trials import Part, Tally, varied

GROUPS = 10
_EDGES = np.array([NormalDist().inv_cdf(place / GROUPS) for place in range(1, GROUPS)])
WORKED_AT_ONCE = 4_000_000
MOST_ANSWERS = 200
"""So many answers of rules are looked at, those that vary most."""
MOST_WATCHED = 3
REACH = 4.0
"""As many standard deviations an input is turned by itself."""


@dataclass(frozen=True)
class Answer:
    """What one rule says of one element: fails or holds."""

    part: int
    element: int


@dataclass(frozen=True)
class Decided:
    """How much of the variance of each answer each input explains."""

    inputs: list[Input]
    answers: list[Answer]
    explained: Array
    """Variance explained, one row an input and one column an answer."""
    variance: Array
    telling: Mask
    """Which answers count for the plan as a whole: those of notes only where no others differ."""

    @property
    def shares(self) -> Array:
        """The share of all variance that each input explains."""
        total = self.variance[self.telling].sum()
        share: Array = self.explained[:, self.telling].sum(axis=1) / total if total > 0 else np.zeros(len(self.inputs))
        return share

    def most_of(self, place: int) -> Answer:
        """The answer that an input decides most, of those that count."""
        return self.answers[int(np.argmax(np.where(self.telling, self.explained[place], -1.0)))]

    def worst_for(self, answer: Answer) -> Input | None:
        """The input that decides most for one answer; None where none does so beyond chance."""
        if answer not in self.answers or not self.inputs:
            return None
        column = self.explained[:, self.answers.index(answer)]
        return self.inputs[int(np.argmax(column))] if column.max() > 0 else None


def decided(tally: Tally) -> Decided:
    """Which inputs decide the answers that differ between trials."""
    varying = []
    for place, answers in enumerate(tally.answers):
        share = answers.mean(axis=0)
        spread = share * (1 - share)
        varying += [(float(spread[element]), Answer(place, element)) for element in np.flatnonzero(spread).tolist()]
    notes = [tally.parts[answer.part].rule.level == "note" for _, answer in varying]
    order = sorted(range(len(varying)), key=lambda each: (notes[each], -varying[each][0], each))[:MOST_ANSWERS]
    chosen = [varying[each][1] for each in order]
    telling = np.array([not notes[each] for each in order], dtype=bool)
    inputs = list(tally.kept)
    if not chosen:
        return Decided(inputs, [], np.zeros((len(inputs), 0)), np.zeros(0), telling)
    failed = np.stack([tally.answers[each.part][:, each.element] for each in chosen], axis=1).astype(np.float32)
    count = len(failed)
    mean = failed.mean(axis=0, dtype=np.float64)
    variance = mean * (1 - mean)
    explained = _explained([tally.kept[each] for each in inputs], failed, mean)
    # What groups of so many trials would differ by without any cause, and three standard deviations of that.
    by_chance = variance * (GROUPS - 1) / count
    beyond = explained - by_chance > 3 * variance * np.sqrt(2 * (GROUPS - 1)) / count
    explained = np.where(beyond, explained - by_chance, 0.0)
    return Decided(inputs, chosen, explained, variance, telling if telling.any() else ~telling)


def _explained(draws: list[Array], failed: np.ndarray[tuple[int, ...], np.dtype[np.float32]], mean: Array) -> Array:
    """The variance of the means of groups of trials with like draws, one row an input and one column an answer."""
    count = len(failed)
    found = [np.zeros((0, len(mean)))]
    # Whole numbers of trials are exact in single precision. A few large products rather than one for each input.
    many = max(WORKED_AT_ONCE // (GROUPS * count), 1)
    for first in range(0, len(draws), many):
        group = np.searchsorted(_EDGES, np.stack(draws[first : first + many]))
        groups = (group[:, np.newaxis, :] == np.arange(GROUPS)[:, np.newaxis]).astype(np.float32)
        sizes = groups.sum(axis=2, dtype=np.float64)[:, :, np.newaxis]
        sums = (groups.reshape(-1, count) @ failed).reshape(*groups.shape[:2], -1)
        found.append((sizes * (sums / np.maximum(sizes, 1) - mean) ** 2).sum(axis=1) / count)
    return np.concatenate(found)


def watched(tally: Tally, told: Decided) -> tuple[Watched, ...]:
    """The inputs that decide most, each with the answer that it decides most."""
    shares = told.shares
    order = sorted(range(len(told.inputs)), key=lambda place: (-shares[place], told.inputs[place].key))
    return tuple(
        _watched(tally, told.inputs[place], told.most_of(place), float(shares[place]))
        for place in order[:MOST_WATCHED]
        if shares[place] > 0
    )


def _watched(tally: Tally, watch: Input, answer: Answer, share: float) -> Watched:
    part, uncertainty = tally.parts[answer.part], watch.uncertainty
    about = part.about(answer.element)
    what = f"{part.rule.name} for {' and '.join(about)}" if about else part.rule.name
    turned, telling = told_of(tally, watch, answer, what)
    size = None if turned is None else abs(_off(watch, turned))
    words = f"{in_words_of(watch, tally)}: {telling}"
    return Watched(uncertainty.name, watch.setup, watch.owner, words, share, part.rule.name, about, size, uncertainty.unit)


def in_words_of(watch: Input, tally: Tally) -> str:
    """What to do about an input, and in which setup where there are several."""
    where = f' in setup "{watch.setup}"' if watch.setup and len(tally.drawn) > 1 else ""
    return watch.uncertainty.watch.format(name=watch.owner) + where


def told_of(tally: Tally, watch: Input, answer: Answer, what: str) -> tuple[float | None, str]:
    """By how much an input turns an answer alone, and in words; what is usual where it fails, when nothing does so alone."""
    part = tally.parts[answer.part]
    turned = alone(tally, watch, part, answer.element)
    if turned is not None:
        verb = "saves" if part.failing[answer.element] else "loses"
        return turned, f"{amount(watch, turned, part.standing.scene)} {verb} {what}"
    failing = tally.answers[answer.part][:, answer.element]
    usual = float(tally.kept[watch][failing].mean()) * _step(tally, watch, part)
    return None, f"{amount(watch, usual, part.standing.scene)} on average where other things too are off and lose {what}"


def _step(tally: Tally, watch: Input, part: Part) -> float:
    return max((drawn.step_of(watch) for drawn in tally.drawn if part.drawn in (None, drawn)), default=0.0)


def alone(tally: Tally, watch: Input, part: Part, element: int) -> float | None:
    """By how much an input alone must be off for a rule's answer to turn: the step, as the uncertainty takes it, that is
    nearest to nought. None where nothing within reach turns it."""
    step = _step(tally, watch, part)
    if step == 0:
        return None
    grid = np.linspace(-REACH, REACH, 161)
    turned = _turned(tally, watch, part, element, grid)
    if not turned.any():
        return None
    nearest = float(grid[turned][np.argmin(np.abs(grid[turned]))])
    fine = np.linspace(nearest - np.sign(nearest) * (grid[1] - grid[0]), nearest, 51)
    return float(fine[int(np.argmax(_turned(tally, watch, part, element, fine)))]) * step


def _turned(tally: Tally, watch: Input, part: Part, element: int, draws: Array) -> Mask:
    """For which draws of one input, all else being as planned, an answer is another than planned."""
    answers = []
    for first in range(0, len(draws), tally.size):
        piece = draws[first : first + tally.size]
        failed = part.judged(varied(tally.drawn, {watch: piece})[part.drawn])
        answers.append(np.broadcast_to(failed, (len(piece), len(part.elements)))[:, element])
    turned: Mask = np.concatenate(answers) != part.failing[element]
    return turned


def _off(watch: Input, step: float) -> float:
    """A step in base units, or as the factor that it stands for."""
    return float(np.exp(step)) if watch.uncertainty.kind == "lognormal" else step


def amount(watch: Input, step: float, scene: Scene) -> str:
    """A step in the plan's own unit, with its direction."""
    uncertainty, off = watch.uncertainty, _off(watch, step)
    if uncertainty.kind == "lognormal":
        finer = told_apart(lambda finer: [(each, number(each, 1 + finer)) for each in (1.0, off)])
        return f"{number(off, 1 + finer)} times {uncertainty.more}"
    size = least_bit(in_words(abs(off), in_plans_units(uncertainty.unit, scene.in_feet)))
    return f"{size} {uncertainty.more if off > 0 else uncertainty.less}"
