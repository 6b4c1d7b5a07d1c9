"""A studio's archive, and what is too large for one evening: how time and memory grow, as ratios to the smallest."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from checking import one_file
from measuring import BIN, large_plan

ARCHIVES = (100, 1000, 10_000)
RULES = (1, 100, 1000)
SETUPS = (1, 5, 25)
"""Of sixty people each: the last comes to two thousand lines."""


def cost(folder: Path, *arguments: str) -> tuple[float, float, str]:
    """Seconds and megabytes that a call takes, and the last line that it says. Findings are no failure here."""
    started = time.perf_counter()
    with subprocess.Popen(
        [str(BIN / "shootlint"), *arguments],
        cwd=folder,
        stdout=subprocess.PIPE,
        env={**os.environ, "XDG_CACHE_HOME": str(folder / "cache")},
    ) as process:
        assert process.stdout is not None
        said = process.stdout.read().decode()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        sys.exit(f"{arguments} ended with {process.returncode}")
    return time.perf_counter() - started, used.ru_maxrss / 1024, said.splitlines()[-1] if said else ""


def table(title: str, rows: list[tuple[str, float, float, str]]) -> None:
    print(f"\n{title}")
    first = rows[0][1]
    for name, seconds, megabytes, said in rows:
        print(f"  {name:34} {seconds:8.2f} s {seconds / first:8.2f} x {megabytes:6.0f} MB  {said}")


def run(rounds: int) -> None:
    """`rounds` is not asked for: each of these runs once, and takes long enough to be told from noise."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        (folder / ".git").mkdir()
        rows = []
        for count in ARCHIVES:
            plans = folder / f"plans-{count}"
            plans.mkdir()
            for place in range(count):
                (plans / f"plan-{place:05}.shoot").write_text(re.sub("title .*", f'title "Plan {place}"', one_file()), "utf-8")
            rows.append((f"{count:,} plans", *cost(folder, "check", plans.name, "--jobs", "1")))
            rows.append((f"{count:,} plans, all known", *cost(folder, "check", plans.name, "--jobs", "1")))
        table("an archive, in one process", rows)
        rows = []
        for setups in SETUPS:
            text = large_plan(people=60, lights=6, setups=setups, minutes=15)
            # Setups one after another, and a line for each person, as one would write it.
            text = re.sub(r"; (?=\"P)", "\n", text)
            (folder / "large.shoot").write_text(text, "utf-8")
            lines = text.count("\n")
            rows.append((f"{setups} setups of 60 people, {lines:,} lines", *cost(folder, "check", "large.shoot", "--no-cache")))
            rows.append(("  its sheet", *cost(folder, "sheet", "large.shoot", "--to", "large.html")))
            print(f"sheet of {setups} setups: {(folder / 'large.html').stat().st_size / 1000:.0f} kB")
        table("one large plan with many findings", rows)
        rows = []
        (folder / "evening.shoot").write_text(one_file(), "utf-8")
        for count in RULES:
            rules = "".join(
                f'rule house.r{place} {{\n  title "Rule {place}"\n  level note\n  for each person\n  require stature <= {100 + place / 10} cm\n'
                '  say "{person} is {stature} tall"\n  because "It is."\n}\n'
                for place in range(count)
            )
            (folder / "house.rules").write_text(f"use shipped\n{rules}", "utf-8")
            rows.append((f"{count:,} house rules", *cost(folder, "check", "evening.shoot", "--no-cache", "--no-margins")))
        table("a house with many rules, one plan of six", rows)
