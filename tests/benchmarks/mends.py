"""Mends: candidate settings judged in one broadcast beside a plain loop over check, and how long whole plans take."""

from __future__ import annotations

import datetime
import sys
import time
from itertools import combinations
from pathlib import Path
from statistics import median

from measuring import ROOT, compare

sys.path.insert(0, str(ROOT / "tests"))

GOOD = (
    "evening", "family-and-infant", "choir-on-steps", "wheelchair-on-the-promenade", "southern-shearers", "team-in-rain-gear",
)  # fmt: skip
DAY = datetime.date(2026, 11, 25)


def run(rounds: int) -> None:
    """How many settings are judged a second, what share of broken plans is mended, and mends of sixty people."""
    candidates(max(rounds // 3, 1))
    broken_plans()
    sixty_people()


def candidates(rounds: int) -> None:
    from shootlint.language.edits import changed
    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.remedies.crossing import crossed_turns, overlap
    from shootlint.remedies.levers import Turn, levers
    from shootlint.remedies.standing import Standing
    from shootlint.remedies.tried import Tried
    from shootlint.rulebook.book import shipped_book
    from shootlint.rulebook.judging import judge

    loader = Loader()
    document = loader.load(ROOT / "plans/evening.shoot", "evening.shoot")
    assert document.plan is not None
    standing = Standing(document.plan, shipped_book(), DAY)
    assert not standing.failing["error"]
    singles = [turn for lever in levers().values() for turn in lever.turns(standing.graphs[0]) if all(turn.changes)]
    of_the_setup = [turn for turn in singles if turn.axis != "person"]
    couples = [(one, other) for one, other in combinations(of_the_setup, 2) if not overlap(one, other)]
    pairs = [crossed_turns(one, other, standing.scenes[0])[0] for one, other in couples[:: max(len(couples) // 40, 1)]]

    def broadcast(turns: list[Turn]) -> float:
        started = time.perf_counter()
        for turn in turns:
            Tried(standing, turn, 0).tally()
        return (time.perf_counter() - started) / sum(len(turn.titles) for turn in turns)

    texts = [changed(document.source.text, turn.changes[0]) for turn in singles][:40]

    def loop() -> float:
        started = time.perf_counter()
        for text in texts:
            tried = loader.load_source(Source("evening.shoot", text, document.source.path)).plan
            assert tried is not None
            judge(tried, shipped_book(), DAY)
        return (time.perf_counter() - started) / len(texts)

    print(f"\n{len(singles)} turns of {sum(len(turn.titles) for turn in singles)} settings, and {len(pairs)} pairs of "
          f"{sum(len(turn.titles) for turn in pairs)}")  # fmt: skip
    compare(
        "One candidate setting of plans/evening.shoot, judged by all rules",
        {
            "two levers crossed, in one broadcast": lambda: broadcast(pairs),
            "one lever, in one broadcast": lambda: broadcast(singles),
            "a plain loop that reads and judges, without mends or reports": loop,
        },
        rounds,
    )


def mended(text: str, path: Path) -> tuple[float, tuple[int, int], tuple[int, int]]:
    """Seconds that a search takes, and errors and warnings before and after."""
    from shootlint.language.loading import Loader
    from shootlint.language.source import Source
    from shootlint.remedies.house import HouseLevers
    from shootlint.remedies.plan_mend import mend_plan
    from shootlint.remedies.reading import Rereader
    from shootlint.rulebook.book import shipped_book

    loader = Loader()
    document = loader.load_source(Source(path.name, text, path))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    started = time.perf_counter()
    found = mend_plan(Rereader(document, loader, shipped_book(), DAY), HouseLevers())
    taken = time.perf_counter() - started
    before, after = found.failing_before, found.failing_after
    return taken, (before["error"], before["warning"]), (after["error"], after["warning"])


def broken_plans() -> None:
    from faulty import faulty

    from shootlint.language.loading import Loader

    times, clean, better = [], 0, 0
    for seed in range(60):
        path = ROOT / "plans" / f"{GOOD[seed % len(GOOD)]}.shoot"
        taken, before, after = mended(faulty(Loader().load(path, path.name), seed, 1 + seed % 5), path)
        if before != (0, 0):
            times.append(taken)
            clean += after == (0, 0)
            better += after < before
    print(
        f"\n{len(times)} good plans broken in one to five places: {clean} mended to no error and no warning, {better} bettered;"
    )
    print(f"  {median(times):.2f} s each by the median, {max(times):.2f} s at most")
    path = ROOT / "plans/first-draft.shoot"
    taken, before, after = mended(path.read_text("utf-8"), path)
    print(f"  the first draft from {before} errors and warnings to {after} in {taken:.2f} s")


def sixty_people() -> None:
    """The choir grown to sixty, in five rows on five steps, with one thing wrong at a time."""
    text = choir_of_sixty()
    path = ROOT / "plans/choir-of-sixty.shoot"
    print("\nSixty people in five rows, broken in one place")
    for title, old, new in (
        ("as it is", "", ""),
        ("aperture", "aperture      f/11", "aperture      f/4"),
        ("power of both keys", "power -0.5 stops", "power 1/8"),
        ("somebody's place", '"P24" standing on 30 cm', '"P24" kneeling on 30 cm'),
        ("ballast", "bag 28 kg", "bag 1 kg"),
    ):
        taken, before, after = mended(text.replace(old, new) if old else text, path)
        print(f"  {title:20} from {before} errors and warnings to {after} in {taken:.2f} s")


def choir_of_sixty() -> str:
    kit = (ROOT / "plans/kit/orchard.shoot").read_text("utf-8").split("\n", 2)[2]
    people = "\n".join(f'  "P{number}" stature {168 + number * 7 % 12} cm' for number in range(60))
    rows = "\n".join(
        f'  row "r{row}", {14 + 0.6 * row:.1f} m {{\n'
        + "\n".join(
            f'    "P{row * 12 + place}" standing{f" on {15 * row} cm" if row else ""}, at {-341 + 62 * place + 31 * (row % 2) - 15} cm'
            for place in range(12)
        )
        + "\n  }"
        for row in range(5)
    )
    return f"""shootplan 1
{kit}
date 2026-05-09
site "Steps" {{
  position 53.5510 N, 9.9930 E; zone "Europe/Berlin"; ground paved; background 30 m behind, shaded
  shade "library", bearing 180 deg to 360 deg, up to 45 deg
}}
weather {{ sky cloudy; wind 2 m/s, gusts 4 m/s; air 15 C }}
people {{
{people}
}}
print "Piece" {{ size 100 cm x 70 cm; viewed from 1.5 m; at least 150 ppi }}
setup "All" {{
  time          20:00 to 20:20
  camera        "Main body"
  lens          "Portrait zoom", 59 mm
  aperture      f/11
  shutter       1/60 s
  iso           800
  white-balance 5600 K
  support       tripod, height 2.2 m, tilt -5 deg
  facing        265 deg
  frame         landscape, full-length
  focus         between rows
  print         "Piece"
  frames        80
  place "Large octa" as key, left 25 deg, distance 9 m, height 3.3 m, power -0.5 stops, stand "Heavy", bag 28 kg
  place "Second octa" as key, right 25 deg, distance 9 m, height 3.3 m, power -0.5 stops, stand "Heavy two", bag 28 kg
{rows}
}}
"""
