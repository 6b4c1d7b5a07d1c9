"""How long checking takes, beside other checkers of text files on the same content. A script, not a test: nothing here asserts.

    python tests/benchmark.py [--rounds 15] [--plans 1000]
    python tests/benchmark.py readings [--rounds 15]
    python tests/benchmark.py trials [--rounds 5]
    python tests/benchmark.py hours [--rounds 15]

All runs are interleaved and told as medians and as ratios, so that a busy machine tells the same story. The others read
the same content written as YAML, with a JSON Schema that asks of it what such a schema can ask. They come with the
extra `benchmark`. The section `readings` runs alone and needs none of them: it measures every reading of a large plan,
how that grows, and what memory a thousand people take. So does `trials`, which measures `check --trials`. The section `hours` judges a year's minutes
beside asking sun libraries for their altitude, and needs the extra `test`. Timings of a checkout lie where compiled code is not kept; run it with the package installed.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tracemalloc
import unittest.mock
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import shootlint
from shootlint.language.loading import read_one
from shootlint.language.source import decode
from shootlint.language.tree import Line

ROOT = Path(__file__).parent.parent
BIN = Path(sys.executable).parent

SCHEMA_SCRIPT = """
import json, sys
import yaml
from jsonschema import Draft202012Validator
validator = Draft202012Validator(json.load(open(sys.argv[1])))
for path in sys.argv[2:]:
    with open(path) as file:
        for error in validator.iter_errors(yaml.load(file, yaml.CSafeLoader)):
            print(path, error.message)
            sys.exit(1)
"""


def one_file() -> str:
    """The plan of the evening and its kit as one file of about a hundred lines."""
    plan, kit = ((ROOT / "plans" / name).read_text("utf-8") for name in ("evening.shoot", "kit/belfry.shoot"))
    head, setup = plan.split("\nsetup ", 1)
    head = "\n".join(line for line in head.splitlines() if not line.startswith("kit "))
    kit = "\n".join(line for line in kit.splitlines() if not line.startswith(("shootplan ", "title ")))
    return f"{head}\n\n{kit}\n\nsetup {setup}"


OFTEN = {
    "kit", "meter", "shade", "hazard", "print", "camera", "lens", "light", "stand", "gel", "filter", "setup", "place", "row", "accept",
}  # fmt: skip
"""Words that may come several times, and are lists in YAML."""


def as_data(lines: list[Line]) -> dict[str, Any]:
    """What lines of a plan say, as somebody would write it in YAML."""
    found: dict[str, Any] = {}
    for line in lines:
        head, *rest = line.clauses[0]
        clauses = [" ".join(atom.text.strip('"') for atom in clause) for clause in (rest, *line.clauses[1:]) if clause]
        said: Any = clauses[0] if len(clauses) == 1 else clauses
        if line.block is not None:
            said = ({"named": said} if clauses else {}) | as_data(line.block.lines)
        word = head.text.strip('"')
        if word in OFTEN:
            found.setdefault(word, []).append(said)
        else:
            found[word] = said
    return found


def schema() -> dict[str, Any]:
    """What a JSON Schema can ask of such a plan: words that there are and that are needed, and measures with their units."""

    def text(pattern: str) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{pattern}$"}

    def block(needed: list[str], **words: Any) -> dict[str, Any]:
        return {"type": "object", "required": needed, "additionalProperties": False, "properties": words}

    def several(of: Any) -> dict[str, Any]:
        return {"type": "array", "minItems": 1, "items": of}

    number = "[+-]?[0-9]+(\\.[0-9]+)?"
    length, mass, share = text(f"{number} (mm|cm|m|ft|in)"), text(f"{number} (kg|lb)"), text("1/[0-9]+|" + number)
    some, clauses = text("[^\t]+"), several(text("[^\t]+"))
    either = {"anyOf": [some, clauses]}
    clock, exposure, shutter = "[0-2][0-9]:[0-5][0-9]", text("1/[0-9]+ s|[0-9.]+ s"), "f/[0-9]+(\\.[0-9]+)?"
    measures = dict.fromkeys(("elevation", "closest", "spread", "highest"), length) | dict.fromkeys(("mass", "carries"), mass)
    kit = dict.fromkeys(
        ("named", "sensor", "pixels", "sync", "shutter", "iso", "focal", "aperture", "energy", "metered", "guide", "power", "colour",
         "duration", "recycle", "flashes", "modifier", "high-speed-sync", "shift", "loses"), either,
    )  # fmt: skip
    thing = block(["named"], **kit, **measures)
    row = {"type": "object", "required": ["named"], "minProperties": 2, "additionalProperties": either}
    setup = block(
        ["named", "camera", "lens", "aperture", "shutter", "iso", "focus", "frame", "row"],
        named=some, time=text(f"{clock} to {clock}"), camera=several(some), lens=several(either), aperture=text(shutter), shutter=exposure,
        iso=text("[0-9]+"), support=either, facing=text(f"{number} deg"), frame=either, focus=some, print=several(some), frames=text("[0-9]+"),
        place=several(clauses), row=several(row), **{"white-balance": text("[0-9]+ K")},
    )  # fmt: skip
    site = block(
        ["named", "position", "zone"], named=some, position=either, zone=some, ground={"enum": ["grass", "gravel", "sand", "paved"]},
        background=either, shade=several(either), hazard=several(either), elevation=length,
    )  # fmt: skip
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **block(
            ["shootplan", "setup"],
            shootplan=share, title=some, date=text("[0-9]{4}-[0-9]{2}-[0-9]{2}"), site=site, meter=several(some),
            weather=block([], sky={"enum": ["clear", "hazy", "cloudy", "overcast"]}, wind=either, air=text(f"{number} [CF]")),
            people={"type": "object", "additionalProperties": either}, print=several(block(["named", "size"], named=some, size=some, viewed=some, at=some)),
            **dict.fromkeys(("camera", "lens", "light", "stand", "gel", "filter"), several(thing)), setup=several(setup), accept=several(clauses),
        ),
    }  # fmt: skip


def write_yaml(plan: Path, target: Path) -> None:
    import yaml

    class Dumper(yaml.SafeDumper):
        def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
            """Lists are indented, as people write them and yamllint asks for."""
            super().increase_indent(flow, False)

    document = read_one(decode(plan.read_bytes(), plan.name))
    if document.complaints:
        sys.exit("\n".join(map(str, document.complaints)))
    data = as_data(document.tree.lines)
    text = yaml.dump(data, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=4096, default_flow_style=None)
    target.write_text(f"---\n{text}", "utf-8")


def run(*command: str | Path) -> float:
    """Seconds that a process takes. One that fails is no measurement."""
    started = time.perf_counter()
    done = subprocess.run([str(each) for each in command], capture_output=True, text=True, check=False)
    taken = time.perf_counter() - started
    if done.returncode:
        sys.exit(f"{command[0]} ended with {done.returncode}:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
    return taken


def compare(title: str, contenders: dict[str, Callable[[], float]], rounds: int, per: int = 1) -> None:
    """Runs the contenders in turn, round by round, and tells the median of each and its ratio to the first."""
    for contend in contenders.values():
        contend()
    taken: dict[str, list[float]] = defaultdict(list)
    for _ in range(rounds):
        for name, contend in contenders.items():
            taken[name].append(contend())
    first = median(next(iter(taken.values())))
    print(f"\n{title} (median of {rounds} interleaved rounds)")
    for name, times in taken.items():
        print(f"  {name:38} {median(times) * 1000 / per:9.2f} ms   {median(times) / first:5.2f} x")


def imports(plan: Path) -> None:
    """Which share of a cold start is imports, by the outermost package."""
    command = [sys.executable, "-X", "importtime", "-m", "shootlint.commands.main", "check", "--no-cache", str(plan)]
    whole = subprocess.run(command, capture_output=True, text=True, check=False).stderr
    shares: dict[str, int] = defaultdict(int)
    for own, name in re.findall(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)", whole):
        top = name.partition(".")[0]
        shares[
            top if top in ("shootlint", "numpy", "pydantic", "pydantic_core", "lark", "astral", "zoneinfo") else "the rest"
        ] += int(own)
    total = sum(shares.values())
    alone = median(run(sys.executable, "-c", "import shootlint.commands.pipeline, shootlint.remedies.search") for _ in range(7))
    bare = median(run(sys.executable, "-c", "") for _ in range(7))
    print(f"\nImports of a cold check: {total / 1000:.0f} ms as Python counts them, which slows them down")
    for name, share in sorted(shares.items(), key=lambda each: -each[1]):
        print(f"  {name:38} {share / 1000:9.2f} ms   {share / total:5.0%}")
    print(f"  bare interpreter {bare * 1000:.0f} ms; interpreter with all of these modules {alone * 1000:.0f} ms")


def large_plan(people: int = 60, lights: int = 6, setups: int = 8, minutes: int = 240) -> str:
    """A plan of rows of ten, each setup over the whole of its window."""
    kit = "\n".join(
        f'light "L{place}" {{ metered f/11 at 2 m; power 1/1 to 1/256; colour {5200 + 100 * place} K; duration 1/900 s; '
        f"recycle 2 s; flashes 300; modifier softbox, 60 cm x 90 cm; mass 3 kg }}"
        for place in range(lights)
    )
    placed = "\n".join(
        f'  place "L{place}" as {"key" if place < 2 else "fill" if place < 4 else "rim"}, right {(10 + 20 * place) % 180} deg, '
        f'distance {4 + place} m, height 2.6 m, power 1/{2 ** (place % 8)}, stand "Stand", bag 10 kg'
        for place in range(lights)
    )
    rows = "\n".join(
        f'  row "r{start}", {6 + start / 20:.2f} m {{ '
        + "; ".join(f'"P{place}" standing on {start + 1} cm' for place in range(start, min(start + 10, people)))
        + " }"
        for start in range(0, people, 10)
    )
    told = "\n".join(
        f'  "P{place}" stature {150 + place * 7 % 45} cm, age {7 + place % 70}{", glasses" * (place % 3 == 0)}'
        for place in range(people)
    )
    start = 16 * 60
    window = f"{start // 60}:{start % 60:02} to {(start + minutes) // 60}:{(start + minutes) % 60:02}"
    setup = """
setup "S{number}" {{
  camera "Body"; lens "Zoom", 35 mm; aperture f/8; iso 200; white-balance 5600 K; filter "Grey"; frames 30
  shutter follows ambient at -1.5 stops, from 1/200 s to 1/15 s
  support handheld, height 2 m, tilt -3 deg
  facing 320 deg
  frame landscape, full-length
  focus between rows
  print "Piece"
{placed}
{rows}
}}"""
    return f"""shootplan 1
date 2026-06-10
window {window}
site "Field" {{
  position 55.6 N, 9.3 E; zone "Europe/Copenhagen"; ground grass; background 20 m behind, sunlit
  shade "church", bearing 215 deg to 290 deg, up to 31 deg
  shade "poplars", bearing 330 deg to 10 deg, up to 12 deg
  hazard "overhead line", 14 m away
}}
weather {{ sky clear; wind 2 m/s, gusts 4 m/s; air 13 C }}
meter 13 EV at 17:00
people {{
{told}
}}
print "Piece" {{ size 60 cm x 90 cm; viewed from 1.1 m; at least 180 ppi }}
camera "Body" {{
  sensor 36 mm x 24 mm; pixels 8256 px x 5504 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 25600, base 100
}}
lens "Zoom" {{ focal 24 mm to 105 mm; aperture f/4 to f/22; closest 45 cm }}
stand "Stand" {{ mass 5 kg; spread 110 cm; highest 3 m; carries 8 kg }}
filter "Grey" {{ loses 1 stops }}
{kit}
""" + "".join(setup.format(number=number, placed=placed, rows=rows) for number in range(setups))


def readings(rounds: int) -> None:
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


def trials(rounds: int) -> None:
    """Trials of the clean plan beside as many calls of check, how they grow, what dominates, and memory."""
    from shootlint.commands.pipeline import Judge
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


def hours(rounds: int) -> None:
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


def main() -> None:
    parser = argparse.ArgumentParser(description="Times checking beside other checkers of text files.")
    parser.add_argument("section", nargs="?", choices=["readings", "trials"], help="run this section alone")
    parser.add_argument("section", nargs="?", choices=["readings", "hours"], help="run this section alone")
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--plans", type=int, default=1000, help="how many plans one process checks")
    call = parser.parse_args()
    if call.section == "readings":
        return readings(call.rounds)
    if call.section == "trials":
        return trials(call.rounds)
    if call.section == "hours":
        return hours(call.rounds)
    shoot, lint = BIN / "shootlint", BIN / "yamllint"
    print(f"Measured: {Path(shootlint.__file__).parent}")
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        os.environ["XDG_CACHE_HOME"] = str(here / "cache")
        plan, data, rules = here / "one.shoot", here / "one.yaml", here / "schema.json"
        script, config = here / "script.py", here / "yamllint.yaml"
        plan.write_text(one_file(), "utf-8")
        write_yaml(plan, data)
        rules.write_text(json.dumps(schema()), "utf-8")
        script.write_text(SCHEMA_SCRIPT, "utf-8")
        config.write_text("extends: default\nrules:\n  line-length: {max: 200}\n", "utf-8")
        print(
            f"One plan of {len(plan.read_text('utf-8').splitlines())} lines, as YAML {len(data.read_text('utf-8').splitlines())} lines"
        )
        compare(
            "One plan, a cold process",
            {
                "shootlint check": lambda: run(shoot, "check", "--no-cache", plan),
                "shootlint check, as it was before": lambda: run(shoot, "check", plan),
                "shootlint --help": lambda: run(shoot, "--help"),
                "check-jsonschema": lambda: run(BIN / "check-jsonschema", "--schemafile", rules, data),
                "PyYAML in C and jsonschema": lambda: run(sys.executable, script, rules, data),
                "yamllint": lambda: run(lint, "-c", config, data),
            },
            call.rounds,
        )
        imports(plan)
        many, texts = here / "many", here / "texts"
        many.mkdir()
        texts.mkdir()
        for number in range(call.plans):
            shutil.copy(plan, many / f"{number:04}.shoot")
            shutil.copy(data, texts / f"{number:04}.yaml")
        listed = sorted(texts.iterdir())
        for plans in (10, 20, 40, 80):
            few = here / f"few-{plans}"
            few.mkdir()
            for number in range(plans):
                shutil.copy(plan, few / f"{number:04}.shoot")

            def judged(jobs: int, few: Path = few) -> float:
                return run(shoot, "check", "--no-cache", "--jobs", str(jobs), few)

            compare(
                f"When a second process is worth its start: {plans} plans, for each",
                {"in 1 process": lambda judged=judged: judged(1), "in 2 processes": lambda judged=judged: judged(2)},
                max(call.rounds // 3, 1),
                plans,
            )
        compare(
            f"{call.plans} plans in one process unless told otherwise, for each",
            {
                "shootlint check": lambda: run(shoot, "check", "--no-cache", "--jobs", "1", many),
                "shootlint check in 2 processes": lambda: run(shoot, "check", "--no-cache", "--jobs", "2", many),
                "shootlint check, as they were before": lambda: run(shoot, "check", many),
                "PyYAML in C and jsonschema": lambda: run(sys.executable, script, rules, *listed),
                "yamllint": lambda: run(lint, "-c", config, texts),
            },
            max(call.rounds // 5, 1),
            call.plans,
        )
    readings(call.rounds)
    trials(call.rounds)
    hours(call.rounds)


if __name__ == "__main__":
    main()
