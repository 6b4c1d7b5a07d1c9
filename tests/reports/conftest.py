"""Runs of `check` to write reports of."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

import pytest

from shootlint.commands.many import run_over
from shootlint.reports.run import Run

PLAN = """\
shootplan 1
title "Rowing club, jetty"
date  2026-06-20

site "Jetty" {
  position   56.1500 N, 10.2000 E
  zone       "Europe/Copenhagen"
}

people {
  "Asta" stature 168 cm
  "Bent" stature 182 cm
}

print "Wall" { size 60 cm x 90 cm; viewed from 1.5 m }

camera "Body" {
  sensor  36 mm x 24 mm
  pixels  6000 px x 4000 px
  sync    1/200 s
  shutter 1/4000 s to 30 s
  iso     100 to 6400, base 100
}
lens "Fifty" { focal 50 mm; aperture f/1.8 to f/16 }

setup "Both" {
  time     20:00 to 20:10
  camera   "Body"
  lens     "Fifty", 50 mm
  aperture f/5.6
  shutter  1/125 s
  iso      400
  support  tripod, height 1.4 m
  facing   300 deg
  frame    landscape, three-quarter
  focus    row "only"
  print    "Wall"
  row "only", 4.0 m {
    "Asta" standing, at -30 cm
    "Bent" standing, at 30 cm
  }
}
"""


def rule(name: str, require: str, scope: str = "each setup", level: str = "error", say: str = "wrong", more: str = "") -> str:
    return f"""
rule {name} {{
  title   "A rule"
  level   {level}
  for     {scope}
  require {require}
  say     "{say}"
  because "It matters."
  {more}
}}
"""


@pytest.fixture
def judged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Run]:
    """Judges plans, given by file name, by rules, given as text."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)

    def run(rules: str, **plans: str | bytes) -> Run:
        (tmp_path / "own.rules").write_text(rules, "utf-8")
        for name, text in plans.items():
            (tmp_path / f"{name}.shoot").write_bytes(text if isinstance(text, bytes) else text.encode())
        paths = [f"{name}.shoot" for name in plans]
        return run_over(
            Namespace(
                margins=False, trials=None, seed=None, paths=paths, rules=["own.rules"] if rules else [], jobs=1, cache=False
            )
        )

    return run


@pytest.fixture
def plan() -> str:
    return PLAN


@pytest.fixture
def make_rule() -> Callable[..., str]:
    return rule
