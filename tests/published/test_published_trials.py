"""Trials against closed forms: shares from the normal distribution function, means and spreads from Gauss's quadrature.

Each tolerance follows from the number of trials: four standard errors, which a right program passes but once in 16,000
seeds; the seed stands, so a run is the same every time. Sources: the normal distribution function of the standard
library; thin-lens blur as in Ray, Applied Photographic Optics (3rd ed. 2002); inverse square, ISO 1230:1992; Gauss-Hermite
quadrature of numpy for the moments.
"""

from __future__ import annotations

import datetime
import math
from statistics import NormalDist

import numpy as np
import pytest

from shootlint.language.source import Source
from shootlint.readings.uncertainty import UNCERTAINTIES
from shootlint.rulebook.book import book_of
from shootlint.rulebook.draws import Drawn, Streams
from shootlint.rulebook.judging import judge
from shootlint.rulebook.trials import Trials

COUNT = 20_000
NORMAL = NormalDist()
LIT = {
    "kit": 'light "Lamp" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg }',
    "people": "Ada 170",
    "support": "tripod, height 1.6 m, tilt 0 deg",
}


def only(**sizes: str) -> str:
    """Lines of a house that knows everything exactly but what is named."""
    told = {name.replace("_", "-"): size for name, size in sizes.items()}
    assert told.keys() <= UNCERTAINTIES.keys()
    return "".join(f"uncertain {name} {told.get(name, '0')}\n" for name in UNCERTAINTIES)


def share(shot, require: str, scope: str = "each setup", **sizes: str) -> float:
    """The share of trials in which a condition does not hold for anybody."""
    rule = f'rule a.rule {{ title "t"; level error; for {scope}\nrequire {require}\nsay "s"; because "b" }}\n'
    book = book_of([Source("house.rules", rule + only(**sizes))])
    assert not book.complaints, list(map(str, book.complaints))
    verdict = judge(shot.graph.scene.plan, book, datetime.date(2026, 1, 1), Trials(COUNT))
    assert verdict.sureness is not None and not verdict.not_judged
    found = {each.rule: each.share for each in verdict.sureness.held}
    return found["a.rule"]


def close_to(expected: float):
    """Within four standard errors of a share."""
    assert 0.01 < expected < 0.99
    return pytest.approx(expected, abs=4 * math.sqrt(expected * (1 - expected) / COUNT))


@pytest.mark.parametrize("spread", [4, 5, 9])
@pytest.mark.parametrize("limit", [0.1, 0.2])
def test_focus_off_by_a_normal_error_against_a_blur_limit(shoot, spread, limit):
    shot = shoot(focal="100 mm", aperture="f/4", focus="5 m", rows='  row "front", 5 m { "Ada" standing, at 0 cm }')
    # |d - s| K = s - f at the limit, K = f² E / (N d L): the two focus distances at which the blur is just that much.
    d, f = 5.0, 0.1
    k = f**2 * shot("enlargement") / (shot("aperture") * d * limit / 1000)
    near, far = (d * k + f) / (1 + k), (d * k - f) / (k - 1)
    expected = NORMAL.cdf((near - d) / (spread / 100)) + 1 - NORMAL.cdf((far - d) / (spread / 100))
    found = share(shot, f"blur <= {limit} mm", "each person", focus_placement=f"{spread} cm")
    assert found == close_to(expected)


def test_a_leaning_child_against_the_same_blur_limit(shoot):
    limit, spread = 0.3, 2.5 * 3
    shot = shoot(people="Ada 120 age 7", focal="100 mm", aperture="f/4", focus="5 m")
    # |d - s| f² E / (N d (s - f)) = L solved for d, s the focus: d = s / (1 ∓ c).
    c = limit / 1000 * shot("aperture") * 4.9 / (0.1**2 * shot("enlargement"))
    near, far = 5 / (1 + c), 5 / (1 - c)
    expected = NORMAL.cdf((near - 5) / (spread / 100)) + 1 - NORMAL.cdf((far - 5) / (spread / 100))
    assert share(shot, f"blur <= {limit} mm", "each person", leaning="3 cm") == close_to(expected)


def lit(shoot, distance: str = "2 m", height: str | None = None):
    """One bare lamp straight before one person, in the height of the middle of the head."""
    middle = shoot(**LIT)
    up = height or f"{(middle('crown-height') + middle('chin-height')) / 2 * 100:.6f} cm"
    place = f'place "Lamp" as key, right 0 deg, distance {distance}, height {up}, power 1/1'
    return shoot(**LIT, place=place)


@pytest.mark.parametrize("stops", [0.2, 0.5])
def test_a_lights_distance_off_by_a_normal_error_by_the_inverse_square(shoot, stops):
    shot = lit(shoot)
    assert shot("light-to-person") == pytest.approx(2, abs=1e-6)
    level = shot("flash")
    # -2 log2((d + e) / d) < -stops, where e is normal.
    expected = 1 - NORMAL.cdf(2 * (2 ** (stops / 2) - 1) / 0.25)
    found = share(shot, f"key-level >= {level - stops} stops", light_placing="25 cm")
    assert found == close_to(expected)


def test_mean_and_spread_of_the_light_by_the_inverse_square(shoot):
    shot, spread = lit(shoot), 0.15
    drawn = Drawn(shot.graph, dict.fromkeys(UNCERTAINTIES, 0.0) | {"light-placing": spread}, frozenset(shot_names(shot)))
    flash = drawn.graph(Streams(1, drawn.inputs).next(COUNT))["flash"].array.ravel()
    # Gauss-Hermite quadrature with 40 nodes is exact to the last digits for so smooth a function.
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    weights = weights / weights.sum()
    stops = shot("flash") - 2 * np.log2((2 + spread * nodes) / 2)
    mean = float(weights @ stops)
    deviation = math.sqrt(float(weights @ (stops - mean) ** 2))
    fourth = float(weights @ (stops - mean) ** 4)
    assert flash.mean() == pytest.approx(mean, abs=4 * deviation / math.sqrt(COUNT))
    # The standard error of a standard deviation: sqrt((fourth moment - variance²) / (4 n variance)).
    error = math.sqrt((fourth - deviation**4) / (4 * COUNT * deviation**2))
    assert flash.std() == pytest.approx(deviation, abs=4 * error)
    assert deviation == pytest.approx(2 * spread / 2 / math.log(2), rel=0.02), "as the slope of the law says"


def shot_names(shot) -> list[str]:
    shot("flash")
    return list(shot.graph.known())


def test_independent_errors_of_lamp_and_daylight_add_in_quadrature(shoot):
    shot = lit(shoot)
    under = float(np.min(shot("ambient-under-key")))
    expected = NORMAL.cdf((-0.5) / math.hypot(0.7, 0.3))
    found = share(
        shot, f"ambient-under-key >= {under - 0.5} stops", light_output="0.3 stops", daylight_model="0.7 stops",
    )  # fmt: skip
    # The evening's error is one for all its minutes, so that the darkest of them decides alone.
    assert found == close_to(expected)


def test_over_minutes_a_rule_fails_in_a_trial_when_it_fails_at_one_of_them(shoot):
    shot = shoot(time="20:00 to 20:40", position="52 N, 5 E")
    ambient = np.asarray(shot("ambient"))
    assert ambient.max() - ambient.min() > 0.5
    limit = float(ambient.min()) - 0.3
    found = share(shot, f"ambient >= {limit} EV", "each minute", daylight_model="0.7 stops")
    assert found == close_to(NORMAL.cdf(-0.3 / 0.7))


def test_a_factor_between_hands_is_lognormal(shoot):
    shot = shoot(support="handheld, height 1.6 m", shutter="1/30 s")
    shake = float(np.max(shot("hand-shake"))) * 1000
    found = share(shot, f"hand-shake <= {1.5 * shake} mm", steadiness="70 %")
    assert found == close_to(1 - NORMAL.cdf(math.log(1.5) / math.log(1.7)))


def test_draws_are_normal_and_independent(shoot):
    shot = lit(shoot)
    drawn = Drawn(shot.graph, {}, frozenset(shot_names(shot)) | frozenset(["blur", "head-x"]))
    draws = np.array(list(Streams(1, drawn.inputs).next(COUNT).values()))
    assert len(draws) > 5
    assert draws.mean(axis=1) == pytest.approx(np.zeros(len(draws)), abs=4 / math.sqrt(COUNT))
    assert draws.std(axis=1) == pytest.approx(np.ones(len(draws)), abs=4 / math.sqrt(2 * COUNT))
    between = np.corrcoef(draws)[np.triu_indices(len(draws), 1)]
    assert np.abs(between).max() < 4.5 / math.sqrt(COUNT)
