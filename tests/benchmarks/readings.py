"""Every reading of a large plan: time, growth, what dominates, and memory."""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections import defaultdict
from statistics import median

from measuring import large_plan


def run(rounds: int) -> None:
    """Measuring every reading of every setup: time, growth, what dominates, and memory."""
    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.readings.catalogue import catalogue
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import Scene, scenes

    def scenes_of(**sizes: int) -> list[Scene]:
        document = Loader().load_source(Source("large.shoot", large_plan(**sizes)))
        if document.plan is None or document.complaints:
            sys.exit("\n".join(map(str, document.complaints)))
        return scenes(document.plan)

    def measure(found: list[Scene]) -> float:
        started = time.perf_counter()
        for scene in found:
            graph = Graph(scene)
            for name in catalogue():
                graph[name]
        return time.perf_counter() - started

    usual = {"people": 60, "lights": 6, "setups": 8, "minutes": 240}
    found = scenes_of(**usual)
    measure(found)
    times = [measure(found) for _ in range(rounds)]
    print(f"\nEvery reading ({len(catalogue())}) of a plan of 60 people, 6 lights, 8 setups and 240 minutes (median of {rounds})")
    print(
        f"  {median(times) * 1000:.0f} ms, {median(times) / len(found) * 1000:.1f} ms a setup; fastest {min(times) * 1000:.0f} ms"
    )
    print("\nHow it grows, one size at a time (median of 5, the whole plan)")
    for name, sizes in {"people": (15, 30, 60, 120, 240), "lights": (1, 3, 6, 12, 24), "minutes": (15, 60, 240, 420)}.items():
        for size in sizes:
            other = scenes_of(**(usual | {name: size}))
            measure(other)
            taken = median(measure(other) for _ in range(5))
            print(f"  {size:5} {name:10} {taken * 1000:9.0f} ms   {taken / median(times):5.2f} x")
    own: dict[str, float] = defaultdict(float)
    for _ in range(5):
        for scene in found:
            graph = Graph(scene)
            done: set[str] = set()

            def work(name: str, graph: Graph = graph, done: set[str] = done) -> None:
                """Works out what a reading needs first, so that its own time is told alone."""
                if name in done:
                    return
                done.add(name)
                for needed, _ in catalogue()[name].needs:
                    work(needed)
                started = time.perf_counter()
                graph[name]
                own[name] += time.perf_counter() - started

            for name in catalogue():
                work(name)
    total = sum(own.values())
    print(f"\nThe readings that take most of it ({total / 5 * 1000:.0f} ms in all)")
    for name, share in sorted(own.items(), key=lambda each: -each[1])[:12]:
        print(f"  {name:38} {share / 5 * 1000:9.2f} ms   {share / total:5.1%}")
    print("\nMemory of all readings of one setup with 6 lights and 240 minutes")
    for count in (100, 300, 1000):
        crowd = scenes_of(people=count, lights=6, setups=1, minutes=240)[0]
        tracemalloc.start()
        graph = Graph(crowd)
        for name in catalogue():
            graph[name]
        kept, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        alone = median(measure([crowd]) for _ in range(3))
        print(
            f"  {count:5} people in rows of ten: at most {peak / 1e6:7.1f} MB, kept {kept / 1e6:7.1f} MB, {alone * 1000:7.0f} ms"
        )
