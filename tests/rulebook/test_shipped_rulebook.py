"""The shipped rules: their own cases, their limits from both sides, and whether their cases would notice a wrong sign."""

from __future__ import annotations

import datetime
import re
from itertools import product

import numpy as np
import pytest

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import along
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes
from shootlint.remedies.house import house_levers
from shootlint.remedies.levers import levers
from shootlint.rulebook.book import Book, book_of, shipped_book
from shootlint.rulebook.cases import changed, find_example, run_cases
from shootlint.rulebook.judging import judge, picked
from shootlint.rulebook.model import Case
from shootlint.rulebook.ready import ReadyRule
from shootlint.rulebook.rule_files import shipped_files

ANY_DAY = datetime.date(2026, 1, 1)
BOOK = shipped_book()
RULES = sorted(BOOK.rules)
NUMBER = re.compile(r"(?<![\w:.-])(?<!\d/)-?\d+(?:\.\d+)?(?![\w:./-])")
OPPOSITE = {"<": ">", ">": "<", "<=": ">=", ">=": "<=", "=": "!=", "!=": "=", "is not": "is", "is": "is not"}
SIGN = re.compile(r"<=|>=|!=|=|<|>|\bis not\b|\bis\b")
IN_FORCE = re.compile(r"^\s*(?:require|for)\b.*$", re.MULTILINE)


def text_of(rule: ReadyRule, case: Case) -> str:
    return changed(find_example(case.plan, rule.source), case.changes or ())


def judged(rule: ReadyRule, text: str):
    document = Loader().load_source(Source("example.shoot", text))
    if document.complaints or document.plan is None:
        return None
    return judge(document.plan, Book(rules={rule.name: rule}), ANY_DAY)


def test_the_shipped_files_are_sound():
    assert not BOOK.complaints, [str(each) for each in BOOK.complaints]
    assert not house_levers(BOOK)[1]
    assert len(RULES) >= 11


def test_each_rule_is_named_by_its_path():
    for parsed, source in shipped_files():
        named = [str(each.name) for each in (*parsed.file.rule, *parsed.file.caution)]
        assert named == [source.name.removeprefix("rules/").removesuffix(".rules").replace("/", ".")]


@pytest.mark.parametrize("name", RULES)
def test_each_rule_is_well_told(name):
    rule = BOOK.rules[name].rule
    assert rule.fails and rule.holds, "a rule ships with an example that fails and one that holds"
    assert rule.source, "a limit has a source, or says that it has none"
    assert rule.title[0].isupper() and not rule.title.endswith(".")
    assert rule.because[0].isupper() and rule.because.endswith(".")
    assert not rule.say.endswith("."), "a message ends without a full stop"
    assert set(map(str, rule.remedy)) <= set(levers())


@pytest.mark.parametrize("name", RULES)
def test_each_rule_does_what_its_cases_say(name):
    results = run_cases(BOOK.rules[name], BOOK)
    assert len(results) >= 2
    assert [each.fault for each in results] == [None] * len(results)


@pytest.mark.parametrize("name", RULES)
def test_each_message_is_whole(name):
    rule = BOOK.rules[name]
    for case in rule.rule.fails:
        verdict = judged(rule, text_of(rule, case))
        for finding in verdict.findings:
            assert not re.search(r"[{}]|\bnan\b|\binf\b|unknown", finding.message), finding.message
            assert finding.place.source.name == "example.shoot"


# --- a wrong sign is noticed


def mutants():
    for parsed, source in shipped_files():
        for rule in parsed.file.rule:
            for line in IN_FORCE.finditer(source.text):
                for sign in SIGN.finditer(line[0]):
                    at = line.start() + sign.start()
                    text = source.text[:at] + OPPOSITE[sign[0]] + source.text[at + len(sign[0]) :]
                    yield pytest.param(str(rule.name), source.name, text, id=f"{rule.name}: {line[0].strip()} @{sign.start()}")


@pytest.mark.parametrize(("name", "file", "text"), list(mutants()))
def test_each_sign_is_held_by_a_case(name, file, text):
    made = book_of([Source(file, text)])
    assert not made.complaints, [str(each) for each in made.complaints]
    assert any(each.fault for each in run_cases(made.rules[name], made)), "no case notices the wrong sign"


@pytest.mark.parametrize("name", [each for each in RULES if " not " in f" {BOOK.rules[each].require.text}"])
def test_each_not_is_held_by_a_case(name):
    rule = BOOK.rules[name]
    text = rule.source.text
    at = text.index("not", text.index("require"))
    made = book_of([Source(rule.source.name, text[:at] + text[at + 4 :])])
    assert not made.complaints
    assert any(each.fault for each in run_cases(made.rules[name], made))


# --- limits


# Both setups of two-setups are shot at ISO 100, "Both" at f/5.6 and "One", the last, at f/4.
@pytest.mark.parametrize(
    ("case", "fault"),
    [
        ("iso 400", None), ("each setup, iso 400", "it fails"), ('setup "Both", iso 400', "it fails"), ('setup "One", iso 400', None),
        ("each setup, iso 400 with each setup, aperture f/2.8", None), ('setup "Both", iso 400 with setup "Both", aperture f/2.8', None),
        # A line that the setup lacks is put into it, and so is one of a row's block changed.
        ('setup "Both", facing 20 deg', "it fails"), ('setup "One", facing 20 deg', None), ('setup "Both", row "pair", 20 m', "it fails"),
        ('setup "Bth", iso 400', 'no setup is called "Bth"; did you mean "Both"?'),
        ("each setup", "a line of the setup belongs after each setup, such as each setup, iso 400"),
        ("each setup iso 400", "a comma belongs after each setup, and then the line of it"),
        ('setup "One" iso 400', 'a comma belongs after setup "One", and then the line of it'),
        ('setup "One", hazard "water", 3 m away', "the example has no line that begins with hazard"),
    ],
)  # fmt: skip
def test_a_case_changes_each_setup_or_one_by_its_name(case, fault):
    text = (
        'rule house.made { title "t"; level error; for each setup where max(row-distance) >= 4 m\n'
        "require (iso <= 100 or aperture <= f/4) and not known(facing) and max(row-distance) < 9 m\n"
        f'say "{{setup}} breaks it"; because "b"\nholds "two-setups" with {case}\n}}\n'
    )
    made = book_of([Source("house.rules", text)])
    assert not made.complaints
    (result,) = run_cases(made.rules["house.made"], made)
    assert result.fault is None if fault is None else fault in result.fault, result.fault


def comparisons():
    for name in RULES:
        for place, compared in enumerate(BOOK.rules[name].require.comparisons):
            if compared.left.reading is not None or compared.left.text.startswith("abs("):
                yield pytest.param(name, place, id=f"{name}: {compared.left.text} {compared.sign} {compared.right.text}")


@pytest.mark.parametrize(("name", "place"), list(comparisons()))
def test_each_comparison_turns_at_its_limit(name, place):
    """Readings just under, at and just over the limit, put in the place of what the example measures."""
    rule = BOOK.rules[name]
    compared = rule.require.comparisons[place]
    document = Loader().load_source(Source("example.shoot", text_of(rule, rule.rule.fails[0])))
    scene = scenes(document.plan)[0]
    limit = picked(compared.right.run(Graph(scene)), {})
    if compared.left.readings & compared.right.readings or not np.isfinite(limit) or len(compared.left.readings) != 1:
        pytest.skip("more than one thing is measured")
    step = max(abs(limit), 1.0) * 1e-6
    (reading,) = compared.left.readings
    tried = Graph(scene, {reading: along("option", [limit - step, limit, limit + step])})
    if reading in _behind(compared.right.readings):
        pytest.skip("the limit depends on what is measured")
    below, at, above = (picked(compared.truth(tried), {"option": option}) for option in range(3))
    expected = {"<": (1, 0, 0), "<=": (1, 1, 0), ">": (0, 0, 1), ">=": (0, 1, 1), "=": (0, 1, 0), "!=": (1, 0, 1)}[compared.sign]
    assert (below, at, above) == expected


def _behind(readings) -> set[str]:
    """Readings and all that they are worked out from."""
    found: set[str] = set()
    open_ = list(readings)
    while open_:
        name = open_.pop()
        if name not in found:
            found.add(name)
            open_ += [needed for needed, _ in catalogue()[name].needs]
    return found


def between(one: str, other: str, share: float) -> str | None:
    """A plan between two that differ in numbers only."""
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return None
    numbers = [(float(a), float(b)) for a, b in zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)]
    mixed = iter(a + (b - a) * share for a, b in numbers)
    return NUMBER.sub(lambda found: f"{next(mixed):.9f}".rstrip("0").rstrip("."), one)


def numeric_pair(rule: ReadyRule) -> tuple[str, str] | None:
    for fails, holds in product(rule.rule.fails, rule.rule.holds):
        bad, good = text_of(rule, fails), text_of(rule, holds)
        for one, other in ((bad, good), (bad, find_example(fails.plan, rule.source).text)):
            if one == other or between(one, other, 0.5) is None or judged(rule, other).findings:
                continue
            # Some things, such as frames, come in whole numbers only.
            if all(judged(rule, between(one, other, share)) is not None for share in (0.5, 0.3141, 1e-8)):
                return one, other
    return None


PAIRS = {name: pair for name in RULES if (pair := numeric_pair(BOOK.rules[name])) is not None}


def test_enough_rules_are_tried_at_their_limit():
    assert {"framing.head-cut", "posing.heads-stacked", "safety.stand-tips", "print.too-few-pixels"} <= set(PAIRS)


@pytest.mark.parametrize("name", sorted(PAIRS))
def test_each_verdict_turns_where_the_measure_meets_the_limit(name):
    """Half-way again and again between the plan that fails and the one that holds."""
    rule, (bad, good) = BOOK.rules[name], PAIRS[name]
    fails, holds = 0.0, 1.0
    last = judged(rule, bad)
    for _ in range(26):
        share = (fails + holds) / 2
        verdict = judged(rule, between(bad, good, share))
        if verdict.findings:
            fails, last = share, verdict
        else:
            holds = share
    assert 0 < holds < 1 and holds - fails < 1e-7
    measured = last.findings[0].measured
    # What is counted jumps past its limit.
    counted = measured is not None and measured.unit.kind == "number" and measured.value.is_integer()
    if measured is not None and not counted and len(rule.require.comparisons) == 1:
        assert measured.value == pytest.approx(measured.limit, rel=1e-4, abs=1e-6)
        assert {"<=": measured.value > measured.limit, ">=": measured.value < measured.limit}[measured.sign]
