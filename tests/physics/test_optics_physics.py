"""Laws the optics must keep for any lens and any distance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shootlint.physics import framing, optics

focal_lengths = st.floats(0.008, 0.4)
f_numbers = st.floats(0.9, 45)
distances = st.floats(0.9, 200)
blurs = st.floats(1e-6, 1e-4)
angles = st.floats(-80, 80)


@given(focal_lengths, f_numbers, distances, blurs)
def test_limits_put_back_blur_by_what_is_allowed(f, n, s, c):
    for limit in (optics.near_limit(f, n, c, s), optics.far_limit(f, n, c, s)):
        if np.isfinite(limit):
            assert optics.defocus_blur(f, n, s, limit) == pytest.approx(c, rel=1e-6)
        else:
            assert optics.defocus_blur(f, n, s, np.inf) <= c * (1 + 1e-9)


@given(focal_lengths, f_numbers, distances, blurs)
def test_limits_enclose_the_focus_and_are_its_harmonic_halves(f, n, s, c):
    near, far = optics.near_limit(f, n, c, s), optics.far_limit(f, n, c, s)
    assert near <= s <= far
    if far < 1e6:
        assert optics.shared_focus(near, far) == pytest.approx(s, rel=1e-6)


@given(focal_lengths, f_numbers, distances)
def test_blur_grows_on_both_sides_of_the_focus(f, n, s):
    away = np.array([1.0, 1.01, 1.1, 2.0, 10.0, np.inf])
    assert (np.diff(optics.defocus_blur(f, n, s, s * away)) > 0).all()
    assert (np.diff(optics.defocus_blur(f, n, s, s / away[:-1])) > 0).all()
    assert optics.defocus_blur(f, n, s, s) == 0


@given(focal_lengths, f_numbers, distances)
def test_infinity_is_the_limit_of_far(f, n, s):
    assert optics.defocus_blur(f, n, s, np.inf) == pytest.approx(optics.defocus_blur(f, n, s, 1e12), rel=1e-6)
    assert optics.defocus_blur(f, n, np.inf, s) == pytest.approx(optics.defocus_blur(f, n, 1e12, s), rel=1e-6)
    assert optics.near_limit(f, n, 1e-5, np.inf) == pytest.approx(f * f / (n * 1e-5))
    assert optics.far_limit(f, n, 1e-5, np.inf) == np.inf
    assert optics.magnification(f, np.inf) == 0
    assert optics.image_distance(f, np.inf) == f


@given(focal_lengths, f_numbers, blurs, st.floats(1.0001, 3))
def test_hyperfocal_focus_reaches_infinity(f, n, c, farther):
    hyperfocal = optics.hyperfocal_distance(f, n, c)
    assert optics.near_limit(f, n, c, hyperfocal) == pytest.approx(hyperfocal / 2, rel=1e-9)
    assert optics.far_limit(f, n, c, hyperfocal * farther) == np.inf
    assert np.isfinite(optics.far_limit(f, n, c, hyperfocal * 0.99))


@given(st.floats(0.004, 0.06), focal_lengths, distances)
def test_field_and_magnification_and_angle_are_one_relation(side, f, s):
    field = framing.field_size(side, f, s)
    assert field * optics.magnification(f, s) == pytest.approx(side)
    angle = framing.field_angle(side / 2, optics.image_distance(f, s))
    assert 2 * s * np.tan(np.radians(angle)) == pytest.approx(field)


@given(angles)
def test_stretch_is_even(angle):
    assert framing.edge_stretch(angle) == framing.edge_stretch(-angle) >= 1


@given(st.lists(st.just(0.0) | st.floats(1e-9, 1e-3), min_size=1, max_size=5))
def test_combined_blur_lies_between_the_greatest_and_the_sum(parts):
    together = optics.combined_blur(*parts)
    assert max(parts) * (1 - 1e-9) <= together <= sum(parts) * (1 + 1e-9)


def test_combined_blur_spreads_over_axes_and_keeps_nan():
    assert optics.combined_blur(np.zeros((3, 1)), np.ones(2), 1.0).shape == (3, 2)
    assert np.isnan(optics.combined_blur(np.nan, np.inf, 1.0))


@given(st.floats(0.05, 20), st.floats(0.002, 0.2))
def test_eye_and_print_resolution_match(distance, acuity):
    assert framing.resolution_for_eye(distance, acuity) * framing.eye_limit(distance, acuity) == pytest.approx(1)


def test_enlargement_fills_the_print():
    assert framing.enlargement(0.036, 0.024, 0.36, 0.30) == pytest.approx(12.5)
    assert framing.enlargement(0.036, 0.024, 0.36, 0.10) == pytest.approx(10)


@pytest.mark.parametrize(
    ("function", "arguments", "answer"),
    [
        (optics.hyperfocal_distance, (0.05, 8, 0), np.inf),
        (optics.near_limit, (0.05, 8, 0, 5), 5),
        (optics.far_limit, (0.05, 8, 0, 5), 5),
        (optics.defocus_blur, (0.05, 8, 5, 0), np.inf),
        (framing.field_size, (0.036, 0.05, np.inf), np.inf),
        (optics.shared_focus, (4, np.inf), 8),
        (optics.shared_focus, (4, 4), 4),
        (framing.resolution_for_eye, (0,), np.inf),
        (framing.print_resolution, (0, 0.3), 0),
        (framing.field_angle, (0, 5), 0),
        (optics.airy_disc, (8, 0, 550e-9), optics.airy_disc(8)),
    ],
)
def test_limits_have_their_documented_values(function, arguments, answer):
    assert function(*arguments) == pytest.approx(answer)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (optics.magnification, (0.05, 0.05)),
        (optics.magnification, (0.0, 5)),
        (optics.magnification, (0.05, -5)),
        (optics.hyperfocal_distance, (0.05, 0, 3e-5)),
        (optics.hyperfocal_distance, (0, 8, 3e-5)),
        (optics.near_limit, (0.05, 8, 3e-5, 0.05)),
        (optics.near_limit, (0, 8, 3e-5, 5)),
        (optics.defocus_blur, (0.05, 8, 0.05, 5)),
        (optics.defocus_blur, (0, 8, 5, 4)),
        (framing.field_size, (0, 0.05, 5)),
        (framing.field_size, (0.036, 0, 5)),
        (framing.field_size, (0.036, 0.05, 0.05)),
        (framing.enlargement, (1, 0, 1, 1)),
        (framing.enlargement, (1, 1, 0, 1)),
        (framing.enlargement, (1, 1, 1, 0)),
        (framing.eye_limit, (0.5, 0)),
        (optics.near_limit, (0.05, -8, 3e-5, 5)),
        (optics.far_limit, (0.05, 8, -3e-5, 5)),
        (optics.defocus_blur, (0.05, 8, 5, -1)),
        (optics.shared_focus, (6, 4)),
        (optics.shared_focus, (0, 4)),
        (optics.airy_disc, (0,)),
        (framing.edge_stretch, (90,)),
        (framing.field_angle, (1, 0)),
        (framing.eye_limit, (-1,)),
        (framing.print_resolution, (100, 0)),
        (framing.enlargement, (0, 1, 1, 1)),
    ],
)
def test_nonsense_is_nan(function, arguments):
    assert np.isnan(function(*arguments))
