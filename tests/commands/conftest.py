"""A studio's folder to run commands in, with a plan and rules of its own, so that these tests do not hang on the shipped rules."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from shootlint.commands.main import main

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
  row "only", 4.0 m {
    "Asta" standing, at -30 cm
    "Bent" standing, at 30 cm
  }
}
"""

RULES = """\
rulebook "Jetty Studio"

rule house.base-iso {
  title   "Shot above the base ISO"
  level   warning
  for     each setup
  require iso <= 200
  say     "{setup} is at ISO {iso}"
  because "Grain shows on the wall."
  source  "the studio's own prints"
  remedy  iso
}
rule house.tall {
  title   "Someone is tall"
  level   note
  for     each person
  set     under-beam 175 cm
  require stature <= under-beam
  say     "{person} is {stature} tall"
  because "The low beam hangs at 180 cm."
}
caution house.water {
  when iso > 0
  say  "Wear a life jacket on the jetty."
}
"""

BROKEN = PLAN.replace("iso      400", "iso      lots")
"""The setup has a mistake, so that nothing in the plan can be judged."""


@dataclass
class Outcome:
    status: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()

    @property
    def counts(self) -> str:
        return self.lines[-1]


@dataclass
class Studio:
    """A folder that is the current one; `run` calls the program in this process, `start` as a process of its own."""

    folder: Path
    capture: pytest.CaptureFixture[str]

    def write(self, name: str, text: str | bytes) -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    def run(self, *arguments: str) -> Outcome:
        self.capture.readouterr()
        try:
            status = main(list(arguments))
        except SystemExit as end:
            status = int(end.code or 0)
        out, err = self.capture.readouterr()
        return Outcome(status, out, err)

    def json(self, *arguments: str) -> Any:
        return json.loads(self.run(*arguments, "--report", "json=-").out)

    def start(self, *arguments: str, given: bytes = b"", folder: str = ".", **environment: str) -> Outcome:
        done = subprocess.run(
            [sys.executable, "-m", "shootlint.commands.main", *arguments],
            input=given,
            capture_output=True,
            cwd=self.folder / folder,
            env={**os.environ, **environment},
            check=False,
        )
        return Outcome(done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Studio:
    folder = tmp_path / "studio"
    # A repository of its own: no house.rules above it may have a say.
    (folder / ".git").mkdir(parents=True)
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    here = Studio(folder, capsys)
    here.write("plan.shoot", PLAN)
    here.write("studio.rules", RULES)
    return here


@pytest.fixture
def plan() -> str:
    return PLAN


@pytest.fixture
def rules() -> str:
    return RULES


@pytest.fixture
def broken() -> str:
    return BROKEN
