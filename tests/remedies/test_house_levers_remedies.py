"""What a house makes of the levers: what it forbids, how far it lets a mend go, and what it would rather turn."""

from __future__ import annotations

import datetime
import itertools
from pathlib import Path

import numpy as np
import pytest

from shootlint.language.edits import changed
from shootlint.language.loading import Document, Loader
from shootlint.language.source import Source, read_source
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.finding_mends import add_mends
from shootlint.remedies.house import HouseLevers, house_levers
from shootlint.remedies.levers import levers
from shootlint.remedies.plan_mend import mend_plan
from shootlint.remedies.reading import Rereader
from shootlint.rulebook.book import Book, book_of
from shootlint.rulebook.judging import judge

ROOT = Path(__file__).parents[2]
ANY_DAY = datetime.date(2026, 1, 1)
TWO_ROWS = ROOT / "rules/examples/two-rows.shoot"


def book(text: str) -> Book:
    return book_of([Source("house.rules", text)])


def house(text: str) -> HouseLevers:
    made = book(text)
    found, complaints = house_levers(made)
    assert not [*made.complaints, *complaints], [str(each) for each in (*made.complaints, *complaints)]
    return found


def told(text: str) -> list[str]:
    made = book(text)
    return [str(each) for each in (*made.complaints, *house_levers(made)[1])]


@pytest.fixture(scope="module")
def document() -> Document:
    return Loader().load(TWO_ROWS, TWO_ROWS.name)


@pytest.fixture(scope="module")
def graph(document: Document) -> Graph:
    return Graph(scenes(document.plan)[0])


def titles(house: HouseLevers, lever: str, graph: Graph) -> list[str]:
    return [title for turn in house.turns_of(lever, graph) for title in turn.titles]


# --- what each says


def test_a_house_that_says_nothing_has_all_levers_at_their_own_prices(graph):
    free = house("")
    assert free.allowed == levers() and not free.bounds
    assert {turn.lever.name for turn in free.turns(graph)} == {
        name for name, lever in levers().items() if any(True for _ in lever.turns(graph))
    }


def test_what_is_forbidden_is_not_turned(graph):
    found = house('forbid camera-distance because "the path ends there"\nforbid iso because "grain"\n')
    assert set(levers()) - set(found.allowed) == {"camera-distance", "iso"}
    assert not titles(found, "iso", graph) and not titles(found, "camera-distance", graph) and titles(found, "aperture", graph)


@pytest.mark.parametrize("lever", sorted(levers()))
def test_every_lever_can_be_forbidden(lever, graph):
    assert lever not in {turn.lever.name for turn in house(f'forbid {lever} because "so"\n').turns(graph)}


@pytest.mark.parametrize(
    ("line", "lever", "first", "last"),
    [
        # The values that a house may bound: what the lever is turned to, in any unit of its kind.
        ("bound iso, at most 200", "iso", {"iso 125", "iso 200"}, {"iso 250"}),
        ("bound iso, at least 125, at most 200", "iso", {"iso 125", "iso 200"}, {"iso 250"}),
        ("bound aperture, at least f/4", "aperture", {"aperture f/4", "aperture f/22"}, {"aperture f/3.5"}),
        ("bound aperture, at most f/8, at least f/4", "aperture", {"aperture f/4", "aperture f/8"}, {"aperture f/9", "aperture f/3.5"}),
        ("bound shutter, at most 25 ms", "shutter", {"shutter 1/40 s"}, {"shutter 1/30 s"}),
        ("bound shutter, at most 0.025 s", "shutter", {"shutter 1/40 s"}, {"shutter 1/30 s"}),
        ("bound focal-length, at least 4 cm", "focal-length", {"focal length 40 mm", "focal length 105 mm"}, {"focal length 35 mm"}),
        ("bound focal-length, at most 2 in", "focal-length", {"focal length 45 mm"}, {"focal length 55 mm"}),
        ("bound white-balance, at least 5000 K", "white-balance", {"white balance 5000 K"}, {"white balance 4900 K"}),
        ("bound light-distance, at most 290 cm", "light-distance", {"Octa at 2.9 m", "Octa at 1 m"}, {"Octa at 3 m"}),
        ("bound light-distance, at most 10 ft", "light-distance", {"Octa at 3 m"}, {"Octa at 3.1 m"}),
        ("bound light-height, at most 2.5 m", "light-height", {"Octa 2.5 m high"}, {"Octa 2.6 m high"}),
        ("bound light-angle, at most 60 deg", "light-angle", {"Octa right 60 deg", "Octa left 60 deg"}, {"Octa right 65 deg"}),
        ("bound bag, at most 26.5 lb", "bag", {"bag 12 kg on Octa"}, {"bag 13 kg on Octa"}),
        ("bound bag, at most 12 kg", "bag", {"bag 12 kg on Octa"}, {"bag 13 kg on Octa"}),
        ("bound power, at most 50 %", "power", {"power 1/2 on Octa"}, {"power 1/1 on Octa", "power -0.3 stops on Octa"}),
        ("bound power, at least 0.25", "power", {"power 1/4 on Octa", "power 1/1 on Octa"}, {"power 1/8 on Octa"}),
        ("bound camera-distance, at least 4 m, at most 5 m", "camera-distance", {"camera 0.8 m back", "camera 0.2 m nearer"}, {"camera 0.9 m back", "camera 0.3 m nearer"}),
        ("bound row-distance, at most 4.8 m", "row-distance", {'row "back" at 4.8 m'}, {'row "back" at 4.85 m'}),
        ("bound gel, at most +50 mired", "gel", {'gel "quarter CTO" on Octa'}, {'gel "full CTO" on Octa'}),
        ("bound camera-height, at least 130 cm", "camera-height", {"camera height 1.35 m"}, {"camera height 1.25 m"}),
        ("bound camera-tilt, at least -2 deg, at most 2 deg", "camera-tilt", {"camera tilt -2 deg", "camera tilt 2 deg"}, {"camera tilt -3 deg", "camera tilt 3 deg"}),
        # Where there is no such value, how far the lever goes from what the plan says.
        ("bound time, at most 20 min", "time", {"time 19:05 to 19:20", "time 19:45 to 20:00"}, {"time 19:00 to 19:15", "time 19:50 to 20:05"}),
        ("bound time, at most 1200 s", "time", {"time 19:05 to 19:20"}, {"time 19:00 to 19:15"}),
        ("bound slot-end, at most 3 min", "slot-end", {"time 19:25 to 19:43", "time 19:25 to 19:37"}, {"time 19:25 to 19:44"}),
        ("bound sideways, at most 10 cm", "sideways", {"Lou 10 cm to the camera's right"}, {"Lou 15 cm to the camera's right"}),
        ("bound sideways, at most 0.1 m", "sideways", {"Lou 10 cm to the camera's right"}, {"Lou 15 cm to the camera's right"}),
    ],
)  # fmt: skip
def test_a_bound_lets_a_lever_go_so_far_and_no_farther(line, lever, first, last, graph):
    free, bound = titles(house(""), lever, graph), titles(house(line + "\n"), lever, graph)
    assert first | last <= set(free)
    assert first <= set(bound) and last.isdisjoint(bound)
    assert [each for each in free if each in set(bound)] == bound, "in the same order"


@pytest.mark.parametrize("lever", ["iso", "power", "sideways", "time", "bag"])
def test_a_bound_with_no_room_leaves_no_option(lever, graph):
    least = {"iso": "51200", "power": "1.1", "sideways": "3 m", "time": "10 h", "bag": "90 kg"}[lever]
    if lever == "time":
        least = "1200 min"
    assert not titles(house(f"bound {lever}, at least {least}\n"), lever, graph)


def test_what_is_left_of_a_turn_says_the_same_as_before(graph, document):
    """The arrays of a bounded turn are those of the same options of the free one."""
    (free,) = levers()["iso"].turns(graph)
    (bound,) = house("bound iso, at least 160, at most 320\n").turns_of("iso", graph)
    at = [free.titles.index(title) for title in bound.titles]
    assert bound.titles == ["iso 160", "iso 200", "iso 250", "iso 320"]
    for name, array in bound.arrays(graph).items():
        assert np.array_equal(array.ravel(), free.arrays(graph)[name].ravel()[at])
    assert [changed(document.source.text, each) for each in bound.changes] == [
        changed(document.source.text, free.changes[each]) for each in at
    ]


def test_what_a_house_prefers_is_cheaper_however_far_it_goes(graph):
    assert levers()["light-distance"].first <= levers()["sideways"].first
    found = house("prefer sideways before light-distance\n")
    dearest = max(float(turn.prices.max()) for turn in found.turns_of("sideways", graph))
    cheapest = min(float(turn.prices.min()) for turn in found.turns_of("light-distance", graph))
    assert dearest < cheapest


def test_preferences_follow_each_other(graph):
    found = house("prefer sideways before iso\nprefer iso before power\nprefer power before bag\n")

    def prices(name: str) -> tuple[float, float]:
        prices = [float(price) for turn in found.turns_of(name, graph) for price in turn.prices]
        return min(prices), max(prices)

    order = ["sideways", "iso", "power", "bag"]
    for one, other in itertools.pairwise(order):
        assert prices(one)[1] < prices(other)[0]


DARK = 'rule a.dark { title "t"; level error; for each setup\nrequire key-level >= 0.3 stops\nsay "x"; because "b"; remedy power, iso, aperture, light-distance }\n'


@pytest.mark.parametrize(
    ("lines", "lever"),
    [
        ("", "power"),
        ('forbid power because "the lamp is set"\n', "iso"),
        ('forbid power because "the lamp is set"\nforbid iso because "grain"\n', "aperture"),
        ("prefer light-distance before power\nprefer light-distance before iso\nprefer light-distance before aperture\n", "light-distance"),
    ],
)  # fmt: skip
def test_a_plan_is_mended_as_the_house_will_have_it(lines, lever, document):
    made = book(lines + DARK)
    mend = mend_plan(Rereader(document, Loader(), made, ANY_DAY), house_levers(made)[0])
    assert mend.holds
    found = {each.step.lever for each in mend.changes}
    assert found == {lever} or (lines.count("forbid") == 1 and len(found) == 1 and "power" not in found)


def test_mends_of_single_findings_heed_the_house_too(document):
    for lines, levers_turned in (("", {"power", "iso", "aperture"}), ("bound iso, at most 100\n", {"power", "aperture", "Octa"})):
        made = book(lines + 'forbid light-distance because "x"\n' * bool(not lines) + DARK)
        verdict = judge(document.plan, made, ANY_DAY)
        add_mends(verdict, Rereader(document, Loader(), made, ANY_DAY), house_levers(made)[0])
        (finding,) = verdict.findings
        assert {each.title.split()[0] for each in finding.mends} == levers_turned


# --- what is wrong with what it says


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ('forbid apperture because "x"', "8: error: no lever is called apperture; did you mean aperture?"),
        ("bound apperture, at most f/8", "7: error: no lever is called apperture; did you mean aperture?"),
        ('forbid zzzzzz because "x"', "8: error: no lever is called zzzzzz; shootlint levers lists them"),
        ("prefer apperture before iso", "8: error: no lever is called apperture; did you mean aperture?"),
        ("prefer iso before apperture", "19: error: no lever is called apperture; did you mean aperture?"),
        ("forbid iso", "1: error: this line lacks its because; add `because \"…\"`"),
        ("bound iso", "1: error: this bounds nothing; add `, at least …` or `, at most …` after iso"),
        ("bound iso, at most 200 K", "20: error: 200 K does not bound iso, which is a plain number"),
        ("bound aperture, at least 4", "26: error: 4 does not bound aperture, which is a value of aperture"),
        ("bound time, at most 20 m", "21: error: 20 m does not bound time, which is a value of time"),
        ("bound bag, at most 20", "20: error: 20 does not bound bag, which is a value of mass"),
        ("bound sideways, at least 10 kg, at most 20 cm", "26: error: 10 kg does not bound sideways, which is a value of length"),
        ("bound iso, at most 100, at least 400", "34: error: nothing lies between at least 400 and at most 100; put the smaller one first"),
        ("bound sideways, at least 1 m, at most 99 cm", "26: error: nothing lies between at least 1 m and at most 99 cm; put the smaller one first"),
        ("prefer iso before iso", "8: error: a lever cannot come before itself"),
        ("bound iso, at least 100, at least 200", "29: error: expected `at most VALUE`, not least"),
        ("bound iso, up to 200", None),
        ("bound iso at most 200", None),
        ("prefer iso", None),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_in_its_place(line, complaint):
    found = told(f"# one\n{line}\n")
    assert len(found) == 1
    if complaint is not None and "because" not in complaint:
        assert found == [f"house.rules:2:{complaint}"]


def test_bounds_that_leave_one_value_are_sound(graph):
    assert titles(house("bound iso, at least 200, at most 200\n"), "iso", graph) == ["iso 200"]


def test_preferences_in_a_circle_are_told_at_the_line_that_closes_it():
    assert told("prefer iso before gel\nprefer gel before bag\nprefer bag before iso\n") == [
        "house.rules:3:8: error: bag cannot come before iso, since other lines put iso before it"
    ]
    assert told("prefer iso before gel\nprefer iso before gel\nprefer gel before bag\nprefer iso before bag\n") == []


def test_all_mistakes_are_told_at_once():
    assert len(told('forbid a because "x"\nbound b, at most 3\nprefer c before d\nbound iso, at most 3 m\n')) == 5


def test_a_preference_for_no_lever_hides_no_circle_after_it():
    assert told("prefer isso before gel\nprefer gel before bag\nprefer bag before gel\n") == [
        "house.rules:1:8: error: no lever is called isso; did you mean iso?",
        "house.rules:3:8: error: bag cannot come before gel, since other lines put gel before it",
    ]


def test_what_is_wrong_leaves_the_rest_in_force(graph):
    made = book('forbid isso because "x"\nforbid aperture because "y"\nbound iso, at most 200\n')
    found, complaints = house_levers(made)
    assert len(complaints) == 1
    assert "aperture" not in found.allowed and "iso 250" not in titles(found, "iso", graph)


# --- several files


def in_files(folder: Path, files: dict[str, str]) -> Book:
    (folder / ".git").mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return book_of([read_source((folder / "house.rules").resolve(), "house.rules")])


def test_the_house_has_the_last_word_over_the_files_that_it_uses(tmp_path, graph):
    made = in_files(
        tmp_path, {"common.rules": "bound iso, at most 800\n", "house.rules": 'use "common.rules"\nbound iso, at most 160\n'}
    )
    found, complaints = house_levers(made)
    assert not made.complaints and not complaints
    assert titles(found, "iso", graph) == ["iso 125", "iso 160"]


def test_the_house_has_the_last_word_though_it_speaks_first(tmp_path, graph):
    made = in_files(
        tmp_path, {"common.rules": "bound iso, at most 800\n", "house.rules": 'bound iso, at most 160\nuse "common.rules"\n'}
    )
    assert titles(house_levers(made)[0], "iso", graph) == ["iso 125", "iso 160"]


def test_what_a_used_file_forbids_stays_forbidden(tmp_path, graph):
    made = in_files(
        tmp_path, {"common.rules": 'forbid iso because "x"\n', "house.rules": 'use "common.rules"\nbound iso, at most 160\n'}
    )
    assert not titles(house_levers(made)[0], "iso", graph)


def test_a_preference_the_other_way_round_in_a_used_file_is_told(tmp_path):
    """A house and what it uses must agree: which of two lines has the last word cannot be told from a third."""
    made = in_files(
        tmp_path, {"common.rules": "prefer iso before gel\n", "house.rules": 'use "common.rules"\nprefer gel before iso\n'}
    )
    found = [str(each) for each in house_levers(made)[1]]
    assert found == ["house.rules:2:8: error: gel cannot come before iso, since other lines put iso before it"]


# --- very long files


def test_a_chain_of_all_levers_overflows_nothing(graph):
    """Every lever before the next: prices stay numbers that can be told apart."""
    names = sorted(levers())
    found = house("".join(f"prefer {one} before {other}\n" for one, other in itertools.pairwise(names)))
    firsts = [found.allowed[name].first for name in names]
    assert np.isfinite(firsts).all() and firsts == sorted(firsts) and len(set(firsts)) == len(firsts)
    for turn in found.turns(graph):
        assert np.isfinite(turn.prices).all()


def test_the_dearest_lever_of_a_long_chain_still_mends(document):
    names = [*sorted(set(levers()) - {"power"}), "power"]
    chain = "".join(f"prefer {one} before {other}\n" for one, other in itertools.pairwise(names))
    forbidden = "".join(f'forbid {name} because "x"\n' for name in names[:-1])
    made = book(chain + forbidden + DARK)
    mend = mend_plan(Rereader(document, Loader(), made, ANY_DAY), house_levers(made)[0])
    assert mend.holds and {each.step.lever for each in mend.changes} == {"power"}


def test_thousands_of_lines_are_read():
    many = "".join(f"bound iso, at most {100 + each}\n" for each in range(3000)) + "prefer iso before gel\n" * 3000
    assert house(many).bounds["iso"] == (-np.inf, 3099.0)
