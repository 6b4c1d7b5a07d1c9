"""Trials of the clean plan beside as many calls of check, how they grow, what dominates, and memory."""

from __future__ import annotations

import time
import tracemalloc
import unittest.mock
from collections import defaultdict
from pathlib import Path
from statistics import median

from measuring import ROOT, large_plan


def run(rounds: int) -> None:
    """Trials of the clean plan beside as many calls of check, how they grow, what dominates, and memory."""
    from shootlint.checking.judge import Judge
    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.readings.catalogue import Reading
    from shootlint.readings.graph import Graph, Value, VariedGraph
    from shootlint.readings.scene import scenes
    from shootlint.reports import text
    from shootlint.reports.run import Run
    from shootlint.rulebook.book import shipped_book
    from shootlint.rulebook.trials import Trials, tallied
    from shootlint.rulebook.watching import decided, watched

    evening = ROOT / "plans/evening.shoot"

    def check(asked: Trials | None = None) -> float:
        started = time.perf_counter()
        judge = Judge(trials=asked)
        text.render(Run([judge.judge(judge.loader.load(evening, str(evening))).record()]))
        return time.perf_counter() - started

    def tried_alone(plan: str, asked: Trials) -> float:
        """Trials and what decides in them, without the plain check and its mends."""
        document = Loader().load_source(Source("plan.shoot", plan, evening))
        assert document.plan is not None
        graphs = [Graph(scene) for scene in scenes(document.plan)]
        started = time.perf_counter()
        tally = tallied(graphs, shipped_book(), asked)
        watched(tally, decided(tally))
        return time.perf_counter() - started

    count, sample = 10_000, 20
    check(Trials(count))
    alone, tried = [], []
    for _ in range(rounds):
        alone += [check() for _ in range(sample)]
        tried.append(check(Trials(count)))
    calls = median(alone) * count
    print(f"\n{count:,} trials of plans/evening.shoot, read and reported, all rules (median of {rounds} interleaved rounds)")
    print(f"  {count:,} calls of check in one process, by {sample * rounds} of them   {calls:9.1f} s")
    print(f"  check --trials {count:,}                                {median(tried):9.3f} s   {calls / median(tried):5.0f} x")
    print("\nHow it grows with trials")
    for some in (100, 1_000, 10_000, 100_000):
        taken = median(check(Trials(some)) for _ in range(3))
        print(f"  {some:7,} trials {taken * 1000:9.0f} ms   {taken / some * 1e6:9.1f} µs a trial")
    usual = {"people": 12, "lights": 2, "setups": 1, "minutes": 15}
    print("\nHow 1,000 trials grow, one size at a time, from 12 people, 2 lights, 1 setup and 15 minutes")
    first = median(tried_alone(large_plan(**usual), Trials(1000)) for _ in range(3))
    for name, sizes in {"people": (6, 12, 24, 48), "lights": (1, 2, 4), "setups": (1, 2, 4), "minutes": (15, 60, 240)}.items():
        for size in sizes:
            taken = median(tried_alone(large_plan(**(usual | {name: size})), Trials(1000)) for _ in range(3))
            print(f"  {size:5} {name:10} {taken * 1000:9.0f} ms   {taken / first:5.2f} x")
    own: dict[str, float] = defaultdict(float)
    inside = [0.0]
    work = VariedGraph._work_out

    def timed(graph: VariedGraph, reading: Reading) -> Value:
        """Works a reading out and tells its own time, without that of what it is worked out from."""
        started = time.perf_counter()
        inside.append(0.0)
        value = work(graph, reading)
        taken = time.perf_counter() - started
        own[reading.name] += taken - inside.pop()
        inside[-1] += taken
        return value

    with unittest.mock.patch.object(VariedGraph, "_work_out", timed):
        whole = check(Trials(count))
    print(
        f"\nWhat takes most of it: readings {sum(own.values()) / whole:.0%}, conditions, draws, counts and what decides the rest"
    )
    for name, share in sorted(own.items(), key=lambda each: -each[1])[:8]:
        print(f"  {name:38} {share * 1000:9.1f} ms   {share / whole:5.1%}")
    floor(count, evening, whole)
    print("\nMemory at most, as traced")
    for title, asked, plan in (
        ("100,000 trials of the evening", Trials(100_000), evening.read_text("utf-8")),
        ("500 trials of 60 people, 6 lights, 4 hours", Trials(500), large_plan(setups=1)),
        ("20 trials of 300 people, 6 lights, 4 hours", Trials(20), large_plan(people=300, setups=1)),
        ("2 trials of 1,000 people, 6 lights, 4 hours", Trials(2), large_plan(people=1000, setups=1)),
    ):
        tracemalloc.start()
        tried_alone(plan, asked)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        print(f"  {title:50} {peak / 1e6:8.0f} MB")


def floor(count: int, path: Path, taken: float) -> None:
    """How far trials are from numpy's floor: one multiplication for each number of each array that is worked out."""
    import numpy as np

    from shootlint.language.loading import Loader
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import scenes
    from shootlint.rulebook.book import shipped_book
    from shootlint.rulebook.draws import Drawn, Streams
    from shootlint.rulebook.judging import failing

    plan = Loader().load(path, path.name).plan
    assert plan is not None
    graph = Graph(scenes(plan)[0])
    rules = [rule for rule in shipped_book().rules.values() if rule.scope != "plan"]
    drawn = Drawn(graph, {}, frozenset().union(*(rule.rests_on for rule in rules)))
    varied = drawn.graph(Streams(1, drawn.inputs).next(count))
    for rule in rules:
        failing(rule, varied)
    arrays = [value.array for value in varied.known().values() if value.array.shape[0] == count]
    piece = np.ones(1 << 17)
    out = np.empty_like(piece)
    started = time.perf_counter()
    for array in arrays:
        for _ in range(-(-array.size // piece.size)):
            np.multiply(piece, piece, out=out)
    least = time.perf_counter() - started
    print(
        f"\nFloor: {len(arrays)} readings depend on draws, {sum(array.size for array in arrays) / 1e6:.1f} million numbers for "
        f"{count:,} trials;\n  one multiplication for each takes numpy {least * 1000:.1f} ms, so a check takes {taken / least:.0f} such passes"
    )
