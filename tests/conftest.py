"""A plan of pieces for tests that measure: what a test does not name stands as usual."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from string import Template

import numpy as np
import pytest
from hypothesis import settings

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import INDEX, RANK
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes

pytest_plugins = ["browsing.chromium"]
# An example that takes long on a busy machine is no fault: speed is for tests/benchmarks to show.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
# A shell that runs this in the background has interrupts ignored, which would go on to every process that a test interrupts.
signal.signal(signal.SIGINT, signal.default_int_handler)
PLAN = Template("""shootplan 1
date $date
site "Field" {
  position $position
  zone "$zone"
  $site
}
weather {
  $weather
}
$meter
people {
$people
}
print "Piece" { size $print }
camera "Body" {
  sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 12800, base 100
}
lens "Zoom" { focal 20 mm to 200 mm; aperture f/2 to f/22 }
$kit
stand "Stand" { mass 5 kg; spread 100 cm; carries 8 kg; highest 3 m }
gel "Warm" { shift +90 mired; loses 0.5 stops }
filter "Grey" { loses 3 stops }
setup "One" {
  time $time
  camera "Body"
  lens "Zoom", $focal
  aperture $aperture
  shutter $shutter
  iso $iso
  $setup
  support $support
  facing $facing
  frame $frame
  focus $focus
  print "Piece"
  $place
$rows
}
$more
""")
USUAL = {
    "date": "2026-06-10",
    "position": "52 N, 5 E",
    "zone": "Etc/UTC",
    "site": "background 10 m behind, shaded",
    "weather": "sky clear; wind 2 m/s; air 15 C",
    "meter": "",
    "people": "Ada 170",
    "print": "60 cm x 90 cm",
    "kit": 'light "Lamp" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg }',
    "time": "12:00 to 12:01",
    "focal": "50 mm",
    "aperture": "f/8",
    "shutter": "1/125 s",
    "iso": "100",
    "setup": "white-balance 5500 K",
    "support": "tripod, height 1.6 m, tilt 0 deg",
    "facing": "0 deg",
    "frame": "landscape",
    "focus": "5 m",
    "place": "",
    "rows": '  row "front", 5 m { "Ada" standing, at 0 cm }',
    "more": "",
}


@pytest.fixture(scope="session", autouse=True)
def own_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or keeps verdicts in the store of whoever runs them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        yield


class Shot:
    """The readings of a plan's first setup as plain numbers."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph

    def __call__(self, name: str):
        """A number, or an array of the axes along which the reading varies."""
        value = self.graph[name]
        assert not value.needs, (name, value.needs)
        return value.array.item() if value.array.size == 1 else np.squeeze(value.array)

    def partly(self, name: str) -> list[float]:
        """The numbers of a reading of which something is not known."""
        assert self.graph[name].needs, name
        return self.graph[name].array.ravel().tolist()

    def along(self, name: str, axis: str) -> list[float]:
        return np.moveaxis(self.graph[name].array, INDEX[axis], 0).reshape(-1).tolist()

    def pairs(self, name: str) -> np.ndarray:
        """A reading of lights and people, or of people and others, always with two axes."""
        array = self.graph[name].array
        axes = ("light", "person") if array.shape[INDEX["other"]] == 1 else ("person", "other")
        return array.reshape([size for axis, size in zip(INDEX, array.shape, strict=True) if axis in axes])


def as_people(told: str) -> str:
    """Turns `Ada 170, Ben 121 age 7` into lines of a plan."""
    lines = []
    for each in told.split(","):
        name, stature, *rest = each.split()
        lines.append(f'  "{name}" stature {stature} cm' + (f", {' '.join(rest)}" if rest else ""))
    return "\n".join(lines)


@pytest.fixture(scope="session")
def shoot() -> Callable[..., Shot]:
    """Makes a plan of pieces and measures its first setup."""

    def make(**pieces: str) -> Shot:
        assert pieces.keys() <= USUAL.keys(), pieces.keys() - USUAL.keys()
        told = USUAL | pieces
        told["people"] = as_people(told["people"])
        document = Loader().load_source(Source("plan.shoot", PLAN.substitute(told)))
        assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
        graph = Graph(scenes(document.plan)[0])
        assert len(INDEX) == RANK
        return Shot(graph)

    return make
