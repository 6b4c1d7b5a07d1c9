"""A year's minutes judged by all rules, beside asking sun libraries for the altitude of each of them."""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from measuring import ROOT, compare, large_plan


def run(rounds: int) -> None:
    """A year's minutes judged by all rules, beside asking a sun library for the altitude of each of them."""
    import datetime

    import numpy as np
    import pandas
    from astral import Observer
    from astral.sun import elevation
    from pvlib.solarposition import get_solarposition

    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.physics import sun
    from shootlint.rulebook.book import shipped_book
    from shootlint.rulebook.hours import Question
    from shootlint.rulebook.hours import hours as judge

    def plan_of(path: Path, text: str) -> Any:
        document = Loader().load_source(Source(path.name, text, path))
        if document.plan is None or document.complaints:
            sys.exit("\n".join(map(str, document.complaints)))
        return document.plan

    here = ROOT / "plans" / "evening.shoot"
    plan, book = plan_of(here, here.read_text("utf-8")), shipped_book()
    year = [datetime.date(2026, 1, 1) + datetime.timedelta(days=day) for day in range(365)]
    start = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)
    seconds = start.timestamp() + 60.0 * np.arange(525_600)
    observer, sample = Observer(55.6412, 9.2871), seconds[:: 525_600 // 4000]

    def timed(work: Callable[[], object], times: int = 1) -> Callable[[], float]:
        def run() -> float:
            started = time.perf_counter()
            work()
            return (time.perf_counter() - started) * times

        return run

    def by_astral() -> None:
        for instant in sample.tolist():
            elevation(observer, datetime.datetime.fromtimestamp(instant, datetime.UTC), with_refraction=False)

    def by_pvlib() -> None:
        for instant in sample[:20].tolist():
            get_solarposition(pandas.Timestamp(instant, unit="s", tz="UTC"), 55.6412, 9.2871)

    compare(
        "One setup at every minute of a year (525,600)",
        {
            f"all {len(book.rules)} rules, every level": timed(lambda: judge(plan, book, year[0], year, "note")),
            "the rules that are errors": timed(lambda: judge(plan, book, year[0], year)),
            "the sun's place alone, our own": timed(lambda: sun.sun_position(seconds, 55.6412, 9.2871)),
            "astral, its altitude alone (4,000 scaled)": timed(by_astral, seconds.size / sample.size),
            "pvlib, the same (20 scaled)": timed(by_pvlib, seconds.size / 20),
            "pvlib on one array (52,560 scaled)": timed(
                lambda: get_solarposition(pandas.to_datetime(seconds[::10], unit="s", utc=True), 55.6412, 9.2871), 10
            ),
        },
        max(rounds // 5, 1),
    )
    # The sun's place takes 17 functions such as sine and about 60 plain steps; here they stand alone, on arrays of the size of
    # a block and into arrays made ready.
    block = np.linspace(0.1, 0.9, 21_600)
    ready = np.empty_like(block)

    def floor() -> None:
        for _ in range(seconds.size // block.size + 1):
            for function, count in (
                (np.sin, 5),
                (np.cos, 5),
                (np.arctan2, 3),
                (np.arcsin, 1),
                (np.hypot, 1),
                (np.mod, 3),
                (np.multiply, 60),
            ):
                for _ in range(count):
                    function(*([block] * function.nin), out=ready)

    compare(
        "The sun's place of a year's minutes, and the same number of numpy's functions alone",
        {
            "in blocks of 21,600": timed(
                lambda: [sun.sun_position(part, 55.6412, 9.2871) for part in np.array_split(seconds, 24)]
            ),
            "numpy's functions alone": timed(floor),
        },
        max(rounds // 3, 1),
    )
    print("\nMemory and time of hours, all levels (the large plan has one setup)")
    usual = {"people": 6, "lights": 2, "setups": 1, "minutes": 60}
    cases = {"people": (6, 60, 240), "lights": (2, 12)}
    plans = [
        (f"{size} {name}", plan_of(here, large_plan(**(usual | {name: size}))), year)
        for name, sizes in cases.items()
        for size in sizes
    ]
    plans += [(f"{days} days", plans[0][1], year[:days]) for days in (1, 30)] + [
        ("1,095 days", plans[0][1], [*year, *year, *year])
    ]
    for title, asked, days in plans:
        taken = min(timed(lambda asked=asked, days=days: judge(asked, book, year[0], days, "note"))() for _ in range(2))
        tracemalloc.start()
        judge(asked, book, year[0], days, "note")
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(f"  {title:14} {len(days):5} days  {taken * 1000:9.0f} ms   at most {peak / 1e6:7.1f} MB")
    shares: dict[str, float] = defaultdict(float)
    outcomes = Question.fails

    def watched(self: Any, rule: Any, graph: Any) -> Any:
        started = time.perf_counter()
        found = outcomes(self, rule, graph)
        shares[rule.name] += time.perf_counter() - started
        return found

    Question.fails = watched  # type: ignore[method-assign]
    judge(plan, book, year[0], year, "note")
    Question.fails = outcomes  # type: ignore[method-assign]
    total = sum(shares.values())
    print("\nThe rules that take most of a year, with the readings that each is the first to ask for")
    for name, share in sorted(shares.items(), key=lambda each: -each[1])[:8]:
        print(f"  {name:38} {share * 1000:9.1f} ms   {share / total:5.1%}")
