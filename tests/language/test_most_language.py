"""How often a line may stand in a plan, of what readings have an axis for: what is judged grows with their product."""

from __future__ import annotations

import pytest

from shootlint.language.entry import Entry, shape
from shootlint.language.loading import Document, Loader
from shootlint.language.model.place import People, Site
from shootlint.language.model.plan import Plan
from shootlint.language.model.setup import Row, Setup
from shootlint.language.source import Source

ENDINGS = """
camera "Body" { sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/8000 s to 30 s; iso 100 to 6400 }
lens "Fifty" { focal 50 mm; aperture f/2 to f/16 }
light "Lamp" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg }
"""


def setup(name: str, *lines: str) -> list[str]:
    return [
        f'setup "{name}" {{',
        '  camera "Body"; lens "Fifty"; aperture f/8; shutter 1/100 s; iso 100; frame landscape; focus 4 m',
        *lines,
        '  row "r", 4 m { "P0" }',
        "}",
    ]


def plan(
    setups: int = 1, meters: int = 1, shades: int = 1, places: int = 1, people: int = 1, acceptances: int = 0, gels: int = 0
) -> str:
    """A plan with so many of each, what belongs to one on a line of its own."""
    lines = [
        "shootplan 1",
        "date 2026-06-01",
        *("meter 10 EV at 20:00" for _ in range(meters)),
        "site {",
        *(f'  shade "wall {each}", bearing 10 deg to 20 deg, up to 30 deg' for each in range(shades)),
        "}",
        "people {",
        *(f'  "P{each}" stature 170 cm' for each in range(people)),
        "}",
        *ENDINGS.splitlines(),
        *(f'gel "G{each}" {{ shift {each} mired; loses 1 stops }}' for each in range(gels)),
        *('accept light.uneven for "P0", because "so"' for _ in range(acceptances)),
    ]
    placed = ['  place "Lamp" as fill, right 10 deg, distance 2 m, height 2 m, power 1/1']
    for each in range(setups):
        lines += setup(f"S{each}", *(placed * places if each == 0 else ()))
    return "\n".join(lines) + "\n"


CASES = {
    "acceptances": (Plan, "accept", "a plan takes 500 lines of `accept`"),
    "gels": (Plan, "gel", "a plan takes 300 lines of `gel`"),
    "setups": (Plan, "setup", "a plan takes 200 lines of `setup`"),
    "meters": (Plan, "meter", "a plan takes 200 lines of `meter`"),
    "shades": (Site, "shade", "`site` takes 100 lines of `shade`"),
    "places": (Setup, "place", "`setup` takes 20 lines of `place`"),
    "people": (People, '"P', "`people` takes 500 names"),
}


def read(text: str) -> Document:
    return Loader().load_source(Source("plan.shoot", text))


def most_of(entry: type[Entry], head: str) -> int:
    declared = shape(entry).settings.get(head) or shape(entry).named
    assert declared is not None and declared.most is not None
    return declared.most


@pytest.mark.parametrize("what", CASES)
def test_as_many_as_may_be_are_read(what):
    entry, head, message = CASES[what]
    most = most_of(entry, head)
    assert f" {most} " in message
    complaints = read(plan(**{what: most})).complaints
    # One lamp may be placed once.
    assert all("is placed twice" in each.message for each in complaints) and bool(complaints) is (what == "places")


@pytest.mark.parametrize("what", CASES)
def test_the_first_one_too_many_is_told_at_its_place(what):
    entry, head, message = CASES[what]
    most = most_of(entry, head)
    text = plan(**{what: most + 3})
    (complaint,) = (each for each in read(text).complaints if "is placed twice" not in each.message)
    assert complaint.message == f"{message} at most; leave out the rest, or put it into a plan of its own"
    alike = [number for number, line in enumerate(text.splitlines(), 1) if line.strip().startswith(head)]
    assert complaint.place.line == alike[most]


def test_what_is_not_read_is_known_all_the_same():
    """Who is one too many, and placed, is not called unknown as well."""
    text = plan(people=503).replace('{ "P0" }', '{ "P502" }')
    assert [each.message.partition(" at most")[0] for each in read(text).complaints] == ["`people` takes 500 names"]


def test_whoever_reads_a_plan_sees_the_first_setups():
    document = read(plan(setups=205))
    assert document.plan is not None and [str(each.name) for each in document.plan.setup] == [f"S{each}" for each in range(200)]


def test_people_placed_in_all_setups_have_a_most_too():
    """Ten setups of five hundred, or two hundred of twenty-five."""
    of = shape(Row).named
    assert of is not None and of.most_in_all == 5000
    row = "\n".join(["{", *(f'    "P{each}"' for each in range(500)), "  }"])

    def text(count: int) -> str:
        return plan(setups=count, people=500).replace('{ "P0" }', row)

    assert read(text(10)).complaints == []
    beyond = read(text(12))
    (complaint,) = beyond.complaints
    assert complaint.message == (
        "a plan takes 5,000 names in `row` in all at most; leave out the rest, or put it into a plan of its own"
    )
    assert text(12).splitlines()[complaint.place.line - 1].strip() == '"P0"'
    assert beyond.plan is not None and len(beyond.plan.setup) == 10


def test_what_many_kits_hold_together_has_a_most(tmp_path):
    (tmp_path / ".git").mkdir()
    for kit in range(2):
        gels = "".join(f'gel "G{kit}-{each}" {{ shift {each} mired; loses 1 stops }}\n' for each in range(200))
        (tmp_path / f"k{kit}.shoot").write_text(f"shootplan 1\n{gels}", "utf-8")
    path = tmp_path / "plan.shoot"
    path.write_text(plan() + 'kit "k0.shoot"\nkit "k1.shoot"\n', "utf-8")
    document = Loader().load(path, "plan.shoot")
    (complaint,) = document.complaints
    assert str(complaint).endswith(
        "k1.shoot:102:5: error: a plan takes 300 lines of `gel` at most with its kits; leave out what nobody uses"
    )
    assert document.plan is not None and len(document.plan.gel) == 300


@pytest.mark.parametrize("length", [250, 251])
def test_a_name_is_as_long_as_a_finding_can_bear(length):
    name = "n" * length
    complaints = [each.message for each in read(plan().replace('"S0"', f'"{name}"')).complaints]
    assert complaints == ([] if length == 250 else ["this name has 251 characters; 250 are the most"])
