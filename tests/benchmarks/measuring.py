"""What all sections share: how times are taken and told, and a plan as large as is wanted."""

from __future__ import annotations

import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
BIN = Path(sys.executable).parent


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
