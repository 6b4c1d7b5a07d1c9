"""The hours of a plan as people read them in a terminal."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from shootlint.language.complaint import listed
from shootlint.readings.graph import Graph
from shootlint.reports.counting import day_in_words, plural
from shootlint.reports.hours.told import Evening, Told
from shootlint.reports.layout import wrapped
from shootlint.reports.visible import visible
from shootlint.rulebook.hours import Block, DayHours, SetupHours, Span

ORDINARY_DAY = 1440


def render(told: Told, colour: bool = False) -> str:
    lines = [*_heading(told), *_setups(told), *_slots(told)]
    for each in told.evenings:
        lines += _evening(told, each)
    return "".join(f"{visible(line)}\n" for line in [*lines, *_untold(told), *_closing(told)])


def _heading(told: Told) -> Iterator[str]:
    level = {"error": "errors", "warning": "errors and warnings", "note": "errors, warnings and notes"}[told.hours.level]
    dates = told.hours.dates
    if not dates:
        yield from wrapped(f"{told.name}: no minute can be named; it needs {listed(told.hours.lacking, 'and')}", 0, 2)
    elif len(dates) == 1:
        length = _length(told.hours.setups[0].days[0])
        yield from wrapped(f"{told.name} on {day_in_words(dates[0])}, judged by the rules that are {level}{length}", 0, 2)
        yield from _sun(told, 0)
    else:
        days = f"{plural(len(dates), 'day')}, {dates[0]} to {dates[-1]}"
        yield from wrapped(f"{told.name} on {days}, judged by the rules that are {level}", 0, 2)
        if told.best_only and told.best is not None:
            yield f"the longest span is on {day_in_words(dates[told.best])}"
            yield from _sun(told, told.best)


def _sun(told: Told, day: int) -> Iterator[str]:
    """When the sun rises and sets on a day, where the place is known."""
    setup = told.hours.setups[0]
    block = Block.of([setup.days[day].date], setup.scene, None)
    graph = Graph(setup.scene, block.turned)
    told_of = [
        _between(told, graph, "sunrise", "sunset", "sunrise {}, sunset {}", "the sun stays {}"),
        _between(told, graph, "civil-dawn", "civil-dusk", "civil twilight begins {} and ends {}", "civil twilight lasts all day"),
    ]
    if any(told_of):
        yield from wrapped("; ".join(filter(None, told_of)), 0, 2)


def _between(told: Told, graph: Graph, begins: str, ends: str, usual: str, never: str) -> str:
    """When something begins and ends, or that it never does; empty where that is not known, or not worth a word."""
    first, last = (graph[name].array.item() for name in (begins, ends))
    if math.isfinite(first) and math.isfinite(last):
        return usual.format(told.clock(first), told.clock(last))
    if math.isnan(first):
        return ""
    return never.format("up" if first > 0 else "down") if first > 0 or "{}" in never else "no civil twilight"


def _length(day: DayHours) -> str:
    if day.minutes == ORDINARY_DAY:
        return ""
    return f"; {_long(day.minutes)} long, as the clocks change" if day.minutes else "; the calendar there leaves this day out"


def _long(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])


def _setups(told: Told) -> Iterator[str]:
    for setup in told.hours.setups:
        yield ""
        yield f'setup "{setup.name}"'
        if setup.never:
            yield from wrapped(f"never holds: {_fail(setup.never)} whatever the hour", 2, 4)
        elif setup.never_together:
            one = f"one or another of {listed(setup.never_together, 'and')}"
            yield from wrapped(f"never holds: at every minute {one} fails", 2, 4)
        elif not setup.days:
            yield "  nothing asked of it fails whatever the hour"
        elif len(setup.days) == 1:
            yield from _spans(told, setup.days[0])
        elif told.best_only:
            if told.best is not None:
                yield from _spans(told, setup.days[told.best])
        else:
            yield from _table(told, setup)


def _spans(told: Told, day: DayHours) -> Iterator[str]:
    """One day's spans, each with what opens and closes it."""
    for span in day.spans:
        yield f"  holds {_from_to(told, span)}, {_long(span.minutes)}"
        for when, rules in (("before it", span.opened_by), ("after it", span.closed_by)):
            if rules:
                yield from wrapped(f"{when} {_fail(rules)}", 4, 6)
    if not day.spans:
        yield "  holds at no minute"


def _fail(rules: Sequence[str]) -> str:
    return f"{listed(rules, 'and')} {'fails' if len(rules) == 1 else 'fail'}"


def _from_to(told: Told, span: Span) -> str:
    start, end = told.clock(span.start), told.clock(span.end)
    return start if span.start == span.end else f"{start} to {end}"


def _table(told: Told, setup: SetupHours) -> Iterator[str]:
    """A row for each day: its spans, and how long the longest of them is."""
    # The longest first in its row: what comes after it, many spans or a clock that changes, may go on below.
    width = max((len(_long(day.longest.minutes)) for day in setup.days if day.longest is not None), default=0)
    for day in setup.days:
        longest = _long(day.longest.minutes) if day.longest is not None else ""
        spans = ", ".join(_from_to(told, span) for span in day.spans) or "-"
        lead = f"  {day_in_words(day.date)}  {longest:>{width}}  "
        yield from wrapped(f"{spans}{_length(day)}", lead, len(lead))
    for word, of in (("opened", _opened), ("closed", _closed)):
        counted = Counter(rule for day in setup.days if day.longest is not None for rule in of(day.longest))
        if counted:
            told_of = [f"{rule} on {plural(count, 'day')}" for rule, count in counted.most_common()]
            yield from wrapped(f"the longest span is {word} by {listed(told_of, 'and')}", 2, 4)


def _opened(span: Span) -> tuple[str, ...]:
    return span.opened_by


def _closed(span: Span) -> tuple[str, ...]:
    return span.closed_by


def _slots(told: Told) -> Iterator[str]:
    layout = told.layout
    if layout is None or (not layout.laid and not told.hours.holds):
        return
    yield ""
    if not layout.laid and not layout.homeless:
        yield "the slots do not fit one after another, with the time that the rules want between them"
        return
    if layout.laid:
        yield f"where the slots have most room on {day_in_words(layout.date)}"
    for each in layout.laid:
        planned = f", planned {each.scene.time}" if each.scene.setup.time is not None else ""
        yield from wrapped(
            f'"{each.scene.setup.name}"{planned}; {_long(each.earlier)} earlier and {_long(each.later)} later would hold as well',
            f"  {told.clock(each.start)} to {told.clock(each.end)}  ",
            18,
        )
    # Of a setup that holds at no minute this has been said already.
    holding = {setup.name for setup in told.hours.setups if setup.holds}
    for scene in layout.homeless:
        if str(scene.setup.name) in holding:
            never = "at no time does it hold from its first minute to its last"
            yield from wrapped(f'"{scene.setup.name}"; {never}', "  no slot         ", 18)
    if not layout.in_planned_order:
        yield "  in another order than planned, in which they do not fit"
    if layout.failing:
        yield from wrapped(f"{_fail(layout.failing)} there all the same", 2, 4)


def _evening(told: Told, evening: Evening) -> Iterator[str]:
    """A row for each minute worth one."""
    if not evening.moments:
        return
    heads = ["clock", "sun", "off axis", "ambient", "shutter"]
    rows = [[told.clock(each.instant), *_values(evening, each.values)] for each in evening.moments]
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    yield ""
    yield f'the evening as planned, setup "{evening.name}"'
    yield "  " + "  ".join(f"{head:>{width}}" for head, width in zip(heads, widths, strict=True))
    for each, row in zip(evening.moments, rows, strict=True):
        lead = "".join(f"  {cell:>{width}}" for cell, width in zip(row, widths, strict=True)) + "  "
        changes = [*(f"{rule} stops holding" for rule in each.stops), *(f"{rule} holds again" for rule in each.holds_again)]
        yield from wrapped(", ".join(changes), lead, len(lead))
    for end in evening.ends:
        light = "too dark" if end.too_dark else "too bright"
        span = f"{told.clock(end.start)} to {told.clock(end.end)}"
        yield f"  {span} is {light} for the shutter, which is at its end"
        for step in end.steps:
            breaks = f", though then {_fail(step.breaks)}" if step.breaks else ", and all that held holds"
            yield from wrapped(f"{step.title}: it follows on to {told.clock(step.until)}{breaks}", 4, 6)
        if not end.steps:
            yield "    no step of ISO or aperture makes it follow on"


def _values(evening: Evening, values: dict[str, float]) -> Iterator[str]:
    from shootlint.readings.catalogue import catalogue
    from shootlint.rulebook.judging import shown
    from shootlint.rulebook.running import of_reading

    for name, value in values.items():
        yield shown(of_reading(catalogue()[name]), value, evening.graph.scene)


def _untold(told: Told) -> Iterator[str]:
    """What was not asked, and what could not be judged."""
    missing = [(setup.name, each) for setup in told.hours.setups for each in setup.not_judged]
    if missing or told.hours.left_out:
        yield ""
    for setup, each in missing:
        needs = listed(each.needs, "and")
        yield from wrapped(f'{told.name}: not judged: {each.rule} in setup "{setup}"; it needs {needs}', 0, 4)
    if told.hours.left_out:
        left_out = listed(told.hours.left_out, "and")
        yield from wrapped(f"not asked of single minutes, as they are about whole slots: {left_out}", 0, 2)


def _closing(told: Told) -> Iterator[str]:
    if len(told.hours.dates) < 2 or (told.best_only and told.best is not None):
        return
    yield ""
    if told.best is None:
        setups = "the setup holds" if len(told.hours.setups) == 1 else "all setups hold"
        yield f"on none of these days {setups}"
        return
    date, room = told.hours.dates[told.best], told.hours.longest_on(told.best) or 0
    least = ", for the setup with the least" if len(told.hours.setups) > 1 else ""
    yield f"the longest span is on {day_in_words(date)}: {_long(room)}{least}"
