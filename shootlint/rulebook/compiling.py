"""Expressions checked and made ready to run: dimensions, names and axes are settled once, when a rule is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import NoReturn

import numpy as np

from shootlint.language.complaint import did_you_mean, listed
from shootlint.language.slots import Mismatch, bounded, number_in
from shootlint.language.source import Place, Source
from shootlint.language.tree import Atom
from shootlint.language.units import BY_SPELLING, Unit
from shootlint.language.values import CLOCK, F_NUMBER, Clock, Quantity
from shootlint.language.when_and_where import clock_of
from shootlint.physics import exposure
from shootlint.readings.axes import AXES, PLURALS, single
from shootlint.readings.catalogue import ISO, NUMBER, TRUTH, Reading, catalogue
from shootlint.readings.graph import Graph, Value
from shootlint.rulebook import dimensions as d
from shootlint.rulebook import expression as e
from shootlint.rulebook.model import PLAIN, unit_named
from shootlint.rulebook.running import (
    DAY,
    REDUCTIONS,
    UNSURE,
    Compared,
    Ready,
    combined,
    comparison_holds,
    decision,
    mapped,
    of_reading,
    on_the_day,
    reduced,
    reduced_where,
    too_many,
    unknown,
)

ONE_VALUE = ("abs", "known")
"""What a condition may work out of one value, by name."""
FUNCTIONS = (*REDUCTIONS, *ONE_VALUE)
"""What a condition may work out of values."""
TOGETHER = f"write {listed(f'{name}(…)' for name in REDUCTIONS)} around it"
YES_AND_NO = {"yes": True, "true": True, "no": False, "false": False}
MINUTE = BY_SPELLING["min"]


@dataclass(frozen=True)
class Compiler:
    """Checks the expressions of one rule.

    `sets` are the values that the rule sets, as adjusted; `axes` are those of its scope.
    """

    source: Source
    sets: Mapping[str, Quantity]
    axes: frozenset[str]
    scope_words: str
    over_setups: bool = False
    """Whether the rule is for the whole plan, so that each reading has a value for each setup."""
    readings: Mapping[str, Reading] = field(default_factory=catalogue)

    def condition(self, node: e.Node) -> Ready:
        """A condition over the rule's scope; raises Mismatch where it is not one."""
        self._of_bounded_size(node, "this condition")
        ready = self.ready(node)
        self._is_truth(ready, node)
        self._in_scope(ready, node, TOGETHER)
        decided = decision(ready)
        if decided is not None:
            self.refuse(node, f"this condition {decided}, whatever the plan says")
        return ready

    def value(self, node: e.Node) -> Ready:
        """A quantity over the rule's scope, for a message."""
        self._of_bounded_size(node, "this")
        ready = self.ready(node)
        self._in_scope(ready, node, "its message cannot show one of them")
        return ready

    def _of_bounded_size(self, node: e.Node, what: str) -> None:
        if node.depth > e.DEEPEST:
            self.refuse(node, f"{what} nests {node.depth} deep; the most is {e.DEEPEST}")
        if node.end - node.start > e.LONGEST:
            self.refuse(node, f"{what} is {node.end - node.start:,} characters long; the most is {e.LONGEST:,}")

    def ready(self, node: e.Node) -> Ready:
        method: Callable[[e.Node], Ready] = getattr(self, f"_{type(node).__name__.lower()}")
        return method(node)

    def refuse(self, node: e.Node, message: str) -> NoReturn:
        raise Mismatch(self.place(node), message)

    def place(self, node: e.Node) -> Place:
        return self.source.place(node.start, node.end)

    def text(self, node: e.Node) -> str:
        return self.source.text[node.start : node.end]

    def _in_scope(self, ready: Ready, node: e.Node, instead: str) -> None:
        stray = next((axis for axis in AXES if axis in ready.axes - self.axes - {"minute"}), None)
        if stray is None:
            return
        # What a setup asks along the axis of setups is about the plan's others.
        each = {"other": "other person", "setup": "setup" if self.over_setups else "other setup"}.get(stray, stray)
        # A clock time rests on the day, of which the author has said nothing.
        named = sorted(ready.readings, key=lambda name: (name == DAY, name))
        culprits = [name for name in named if self.over_setups or stray in self.readings[name].axes]
        self.refuse(node, f"{culprits[0]} has a value for each {each}, and this rule is for {self.scope_in_words}; {instead}")

    @property
    def scope_in_words(self) -> str:
        return "the plan" if self.over_setups else self.scope_words

    def _is_truth(self, ready: Ready, node: e.Node) -> None:
        if ready.dimension != d.TRUTH:
            self.refuse(node, f"a condition belongs here, not {self._kind(ready)}; compare it with something")

    def _kind(self, ready: Ready) -> str:
        if ready.dimension == d.TRUTH:
            return "a condition"
        if ready.dimension == d.NAME:
            return "a name"
        if ready.dimension == d.WORD:
            return f"one of the words {listed(ready.words)}"
        return str(ready.dimension)

    def _beside(self, ready: Ready, other: Ready) -> str:
        """What kind of value one is, in a sentence with another one: time by the clock and time that passes are told apart."""
        passes = ready.dimension == d.TIME and other.dimension == d.INSTANT
        return "a length of time" if passes else self._kind(ready)

    # --- values

    def _measured(self, node: e.Measured) -> Ready:
        place = self.place(node)
        unit = PLAIN if node.unit is None else unit_named(node.unit, place)
        number = number_in(Atom("NUMBER", node.number, node.start, node.end), place)
        return self._constant(node, bounded(unit.to_base(number), unit, place), unit)

    def _fstop(self, node: e.FStop) -> Ready:
        return self._constant(node, _meant(float(node.text[2:]), F_NUMBER), F_NUMBER)

    def _timeofday(self, node: e.TimeOfDay) -> Ready:
        return self._on_the_clock(node, clock_of(node.text, self.place(node)))

    def _on_the_clock(self, node: e.Node, clock: Clock) -> Ready:
        return Ready(on_the_day(clock), d.INSTANT, frozenset(), CLOCK, self.text(node), frozenset({DAY}))

    def _constant(self, node: e.Node, value: float, unit: Unit) -> Ready:
        known = Value(single(value))
        return Ready(lambda graph: known, d.of_kind(unit.kind), frozenset(), unit, self.text(node))

    def _named(self, node: e.Named) -> Ready:
        if node.name in self.sets:
            set_to = self.sets[node.name]
            if set_to.unit is CLOCK:
                return self._on_the_clock(node, Clock(*divmod(round(set_to.value / 60), 60)))
            known = Value(single(_meant(set_to.value, set_to.unit)))
            return Ready(lambda graph: known, d.of_kind(set_to.kind), frozenset(), set_to.unit, node.name)
        reading = self.readings.get(node.name)
        if reading is None:
            hint = did_you_mean(node.name, [*self.readings, *self.sets])
            self.refuse(node, f"no reading is called {node.name}{hint}")
        ready = of_reading(reading)
        if not self.over_setups:
            return ready
        if reading.axes:
            self.refuse(
                node,
                f"{node.name} has a value for each {reading.axes[0]} of a setup; a rule for the plan uses readings of whole setups",
            )
        return replace(ready, axes=frozenset({"setup"}))

    def _negative(self, node: e.Negative) -> Ready:
        of = self.ready(node.of)
        if d.added(of.dimension, "-", of.dimension) is None or of.dimension in d.STEPS:
            self.refuse(node, f"{self._kind(of)} has no negative")
        return replace(of, run=mapped(np.negative, of.run), text=self.text(node), reading=None)

    def _arithmetic(self, node: e.Arithmetic) -> Ready:
        left, right = self.ready(node.left), self.ready(node.right)
        adding = node.sign in "+-"
        combine = d.added if adding else d.multiplied
        dimension = combine(left.dimension, node.sign, right.dimension)
        if dimension is None:
            verb = {"+": "added to", "-": "subtracted from", "*": "multiplied by", "/": "divided by"}[node.sign]
            first, second = (right, left) if node.sign in "+-" else (left, right)
            self.refuse(node, f"{self._beside(first, second)} cannot be {verb} {self._beside(second, first)}")
        alike = (each.unit for each in (left, right) if d.of_kind(each.unit.kind) == dimension and each.unit is not ISO)
        unit = next(alike, MINUTE if d.INSTANT in (left.dimension, right.dimension) else _unit_of(dimension))
        operation = {"+": np.add, "-": np.subtract, "*": np.multiply, "/": np.divide}[node.sign]
        return Ready(
            combined(operation, left.run, right.run), dimension, left.axes | right.axes, unit, self.text(node),
            left.readings | right.readings,
        )  # fmt: skip

    def _called(self, node: e.Called) -> Ready:
        if node.function not in FUNCTIONS:
            hint = did_you_mean(node.function, FUNCTIONS) or f"; there are {listed(sorted(FUNCTIONS), 'and')}"
            self.refuse(node, f"no function is called {node.function}{hint}")
        if not node.arguments:
            self.refuse(node, f"{node.function}() needs something to work on")
        arguments = [self.ready(each) for each in node.arguments]
        if node.where is not None and (node.function in ONE_VALUE or len(arguments) > 1):
            self.refuse(node.where, f"where narrows what is taken together, and {node.function}(…) takes nothing together here")
        where = None if node.where is None else self.ready(node.where)
        if node.function == "abs":
            return self._absolute(node, arguments)
        if node.function == "known":
            return self._whether_known(node, arguments)
        if len(arguments) > 1:
            return self._elementwise(node, arguments)
        return self._aggregate(node, arguments[0], where)

    def _absolute(self, node: e.Called, arguments: list[Ready]) -> Ready:
        if len(arguments) != 1 or node.over is not None:
            self.refuse(node, "abs(…) takes one value")
        of = arguments[0]
        if d.added(of.dimension, "-", of.dimension) is None or of.dimension in d.STEPS:
            self.refuse(node.arguments[0], f"{self._kind(of)} has no size without its sign")
        return replace(of, run=mapped(np.abs, of.run), text=self.text(node), reading=None)

    def _whether_known(self, node: e.Called, arguments: list[Ready]) -> Ready:
        """For guards: whether the plan says enough to work something out. It is itself always known."""
        if len(arguments) != 1 or node.over is not None:
            self.refuse(node, "known(…) takes one value")
        of = arguments[0]
        unsure = UNSURE if of.dimension == d.TRUTH else np.nan

        def truth(graph: Graph) -> Value:
            array = of.run(graph).array
            return Value(np.where(np.isnan(array) if np.isnan(unsure) else array == unsure, 0.0, 1.0))

        return Ready(truth, d.TRUTH, of.axes, TRUTH, self.text(node), of.readings)

    def _elementwise(self, node: e.Called, arguments: list[Ready]) -> Ready:
        if node.function not in ("min", "max") or node.over is not None:
            self.refuse(node, f"{node.function}(…) takes one value")
        first = arguments[0]
        for each, argument in zip(arguments[1:], node.arguments[1:], strict=True):
            self._same(first, each, node.arguments[0], argument)
        run = first.run
        for each in arguments[1:]:
            run = combined(np.minimum if node.function == "min" else np.maximum, run, each.run)
        axes = frozenset().union(*(each.axes for each in arguments))
        readings = frozenset().union(*(each.readings for each in arguments))
        return Ready(run, first.dimension, axes, first.unit, self.text(node), readings)

    def _aggregate(self, node: e.Called, of: Ready, where: Ready | None) -> Ready:
        if node.over is not None:
            axis = PLURALS.get(node.over)
            if axis is None:
                place = self.source.place(node.over_start, node.over_start + len(node.over))
                raise Mismatch(place, f"nothing runs over {node.over}{did_you_mean(node.over, PLURALS)}")
            axes = frozenset({axis})
            if not axes <= of.axes:
                self.refuse(node, f"{of.text} is the same for all {node.over}; leave out {node.function}(…)")
        else:
            axes = of.axes - self.axes - {"minute"}
            if not axes:
                # A rule holds where it holds at each minute, so minutes are taken together only where that is said.
                if "minute" in of.axes:
                    narrowed = f" where {where.text}" if where is not None else ""
                    write = f"{node.function}({of.text} over minutes{narrowed})"
                    self.refuse(node, f"{of.text} has a value for each minute; write {write}")
                self.refuse(node, f"{of.text} has one value for {self.scope_in_words}; leave out {node.function}(…)")
        if where is not None and node.where is not None:
            self._is_truth(where, node.where)
            if not axes & where.axes:
                plural = listed([each for each, axis in PLURALS.items() if axis in axes], "and") or "others"
                self.refuse(node.where, f"{where.text} is the same for all {plural}; it narrows nothing here")
        truth = node.function in ("any", "all", "count")
        if truth:
            self._is_truth(of, node.arguments[0])
        elif of.dimension in (d.TRUTH, d.NAME, d.WORD) or (node.function == "sum" and of.dimension in d.STEPS):
            self.refuse(node.arguments[0], f"{self._kind(of)} has no {node.function}")
        dimension = d.PLAIN if node.function == "count" else of.dimension
        # A sum of sensitivities is none.
        unit = NUMBER if node.function == "count" or (node.function == "sum" and of.unit is ISO) else of.unit
        truths = node.function in ("any", "all")
        if where is None:
            run = reduced(REDUCTIONS[node.function], axes, of.run, truths)
        else:
            run = reduced_where(node.function, axes, of.run, where.run, truths)
        readings = of.readings if where is None else of.readings | where.readings
        left = of.axes if where is None else of.axes | where.axes
        return Ready(run, dimension, left - axes, unit, self.text(node), readings)

    # --- conditions

    def _no_truth(self, node: e.Node, left: e.Node, said: str, negated: bool) -> None:
        """Refuses to ask a condition for yes or no, such as `sunlit = yes`, which is written `sunlit`."""
        reading = self.readings.get(left.name) if isinstance(left, e.Named) else None
        if reading is not None and reading.unit is TRUTH and said in YES_AND_NO:
            turned = "" if YES_AND_NO[said] != negated else "not "
            self.refuse(node, f"{reading.name} is a condition by itself; write {turned}{reading.name}")

    def _comparison(self, node: e.Comparison) -> Ready:
        self._no_word(node)
        if isinstance(node.right, e.Named):
            self._no_truth(node, node.left, node.right.name, node.sign == "!=")
        left, right = self.ready(node.left), self.ready(node.right)
        self._same(left, right, node.left, node.right, node)
        return self._compared(node, left, node.sign, right)

    def _no_word(self, node: e.Comparison) -> None:
        """Refuses a comparison of a reading with one of its words, such as `role = key`, which is written with `is`."""
        if not (isinstance(node.left, e.Named) and isinstance(node.right, e.Named)):
            return
        reading, word = self.readings.get(node.left.name), node.right.name
        if reading is not None and word in reading.words and word not in self.readings and word not in self.sets:
            self.refuse(node, f"words are not compared; write {reading.name} is {'not ' if node.sign == '!=' else ''}{word}")

    def _between(self, node: e.Between) -> Ready:
        value, low, high = self.ready(node.value), self.ready(node.low), self.ready(node.high)
        self._same(value, low, node.value, node.low)
        self._same(value, high, node.value, node.high)
        parts = [self._compared(node, value, ">=", low), self._compared(node, value, "<=", high)]
        return self._all_of(node, "and", parts)

    def _same(self, left: Ready, right: Ready, left_node: e.Node, right_node: e.Node, whole: e.Node | None = None) -> None:
        """Refuses two values that cannot be compared, at the whole of the comparison or else at the second of them."""
        if left.dimension == right.dimension and left.dimension not in (d.TRUTH, d.NAME, d.WORD):
            return
        for ready, node, beside in ((right, right_node, left), (left, left_node, right)):
            unit = beside.dimension.example
            if ready.dimension == d.PLAIN and unit and isinstance(node, e.Measured) and node.unit is None:
                write = f"write {node.number} {unit}"
                self.refuse(node, f"{node.number} carries no unit; {beside.text} is {_a(self._kind(beside))}, so {write}")
            if beside.dimension == d.INSTANT and isinstance(node, e.Measured) and ready.dimension in (d.PLAIN, d.TIME):
                self.refuse(
                    node, f"{beside.text} is a time of day, and {ready.text} is {self._beside(ready, beside)}; {_instead(node)}"
                )
        self.refuse(whole or right_node, f"{self._beside(left, right)} cannot be compared with {self._beside(right, left)}")

    def _compared(self, node: e.Node, left: Ready, sign: str, right: Ready) -> Ready:
        left, right = _beside_iso(left, right), _beside_iso(right, left)

        def truth(graph: Graph) -> Value:
            one, two = left.run(graph), right.run(graph)
            refused = too_many(one.array.shape, two.array.shape)
            if refused:
                return unknown(True, one.needs | two.needs | refused)
            holds = comparison_holds(sign, one.array, two.array).astype(np.float64)
            not_known = np.isnan(one.array) | np.isnan(two.array)
            if not_known.any():
                holds = np.where(not_known, UNSURE, holds)
            return Value(holds, one.needs | two.needs)

        return Ready(
            truth, d.TRUTH, left.axes | right.axes, TRUTH, self.text(node), left.readings | right.readings,
            comparisons=(Compared(left, sign, right, truth),),
        )  # fmt: skip

    def _isword(self, node: e.IsWord) -> Ready:
        self._no_truth(node, node.left, node.word, node.negated)
        left = self.ready(node.left)
        if left.dimension != d.WORD:
            self.refuse(node.left, f"`is` asks for a word, and {left.text} is {_a(self._kind(left))}")
        if node.word not in left.words:
            place = self.source.place(node.word_start, node.word_start + len(node.word))
            raise Mismatch(place, f"{left.text} is never {node.word}{did_you_mean(node.word, left.words)}")
        number = float(left.words.index(node.word))

        def truth(graph: Graph) -> Value:
            value = left.run(graph)
            same = value.array != number if node.negated else value.array == number
            return Value(np.where(np.isnan(value.array), UNSURE, same), value.needs)

        return Ready(truth, d.TRUTH, left.axes, TRUTH, self.text(node), left.readings)

    def _joined(self, node: e.Joined) -> Ready:
        parts = [self.ready(each) for each in node.parts]
        for ready, part in zip(parts, node.parts, strict=True):
            self._is_truth(ready, part)
        return self._all_of(node, node.word, parts)

    def _all_of(self, node: e.Node, word: str, parts: list[Ready]) -> Ready:
        operation = np.minimum if word == "and" else np.maximum
        run = parts[0].run
        for each in parts[1:]:
            run = combined(operation, run, each.run, truths=True)
        return Ready(
            run, d.TRUTH, frozenset().union(*(each.axes for each in parts)), TRUTH, self.text(node),
            frozenset().union(*(each.readings for each in parts)),
            comparisons=tuple(comparison for each in parts for comparison in each.comparisons),
            joined="or" if word == "or" or any(each.joined == "or" for each in parts) else "and",
        )  # fmt: skip

    def _negated(self, node: e.Negated) -> Ready:
        of = self.ready(node.of)
        self._is_truth(of, node.of)
        return replace(of, run=mapped(lambda truth: 1.0 - truth, of.run), text=self.text(node), comparisons=(), reading=None)


def _unit_of(dimension: d.Dimension) -> Unit:
    return next((unit for unit in d.UNITS if d.of_kind(unit.kind) == dimension and unit.size == 1.0), NUMBER)


def _instead(node: e.Measured) -> str:
    """What to write in the place of a number that stands beside a time of day."""
    hour, _, minute = node.number.partition(".")
    if node.unit is None and hour.isdecimal() and int(hour[:9]) < 24 and (not minute or (len(minute) == 2 and int(minute) < 60)):
        return f"write {int(hour)}:{minute or '00'}"
    return "write a time of day such as 18:30, or ask how long there is between two, such as slot-end - sunset"


def _a(kind: str) -> str:
    return kind if kind.startswith(("a ", "one of")) else f"{'an' if kind[0] in 'aeio' else 'a'} {kind}"


def _meant(value: float, unit: Unit) -> float:
    """What a value of a rule stands for: an f-number, as in a plan, for the third of a stop that it marks."""
    return float(exposure.exact_f_number(value)) if unit is F_NUMBER else value


def _beside_iso(ready: Ready, other: Ready) -> Ready:
    """A plain number that a sensitivity is compared with is a mark too: ISO 125 is no more than 125."""
    if other.unit is not ISO or ready.unit is ISO or ready.readings or ready.dimension != d.PLAIN:
        return ready
    return replace(ready, run=mapped(lambda iso: np.where(iso > 0, exposure.exact_iso(iso), iso), ready.run), unit=ISO)
