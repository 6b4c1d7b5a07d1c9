"""Optics against published formulas and rules, worked by hand or by another route than the program's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from shootlint.physics import framing, optics

MM = 1e-3
# Blur the classic depth-of-field tables allow, 0.2 mm on a print seen from 250 mm, as the angle it fills [deg]: Ray (2000),
# p. 52, as quoted in secondary sources.
CLASSIC_BLUR_ANGLE = np.degrees(np.arctan(0.2 / 250.0))
FULL_FRAME = (36 * MM, 24 * MM)

# Worked apart from this program, in mm, by the formulas of Ray, Applied Photographic Optics (2002). Columns: focal length, f-number, blur, focus; hyperfocal, near, far.
DEPTH_OF_FIELD = [
    (50, 8, 0.030, 5000, 10466.67, 3389.37, 9527.44),
    (35, 5.6, 0.030, 4000, 7326.67, 2591.06, 8767.54),
    (85, 5.6, 0.030, 6000, 43090.95, 5274.54, 6956.84),
    (70, 8, 0.030, 6000, 20486.67, 4649.54, 8456.05),
    (24, 5.6, 0.020, 3000, 5166.86, 1900.34, 7120.25),
    (50, 2.8, 0.030, 3000, 29811.90, 2729.46, 3330.08),
]


@pytest.mark.parametrize(("f", "n", "c", "s", "hyperfocal", "near", "far"), DEPTH_OF_FIELD)
def test_depth_of_field_tables(f, n, c, s, hyperfocal, near, far):
    lens = (f * MM, n, c * MM)
    assert optics.hyperfocal_distance(*lens) / MM == pytest.approx(hyperfocal, abs=0.01)
    assert optics.near_limit(*lens, s * MM) / MM == pytest.approx(near, abs=0.01)
    assert optics.far_limit(*lens, s * MM) / MM == pytest.approx(far, abs=0.01)


@pytest.mark.parametrize(("f", "n", "c", "s", "hyperfocal", "near", "far"), DEPTH_OF_FIELD)
def test_published_limits_blur_by_what_was_allowed(f, n, c, s, hyperfocal, near, far):
    for limit in (near, far):
        assert optics.defocus_blur(f * MM, n, s * MM, limit * MM) / MM == pytest.approx(c, rel=3e-5)


def test_blur_against_a_ray_traced_through_the_lens_equation():
    # Smith, Modern Optical Engineering: similar triangles of the cone behind the pupil, image planes by 1/f = 1/s + 1/s'.
    f, n, focus, point = 0.035, 5.6, 4.5, 5.5
    sensor = brentq(lambda plane: 1 / plane + 1 / focus - 1 / f, f * 1.0001, f * 2)
    image = brentq(lambda plane: 1 / plane + 1 / point - 1 / f, f * 1.0001, f * 2)
    cone = f / n * abs(sensor - image) / image
    assert optics.defocus_blur(f, n, focus, point) == pytest.approx(cone, rel=1e-9)
    assert optics.image_distance(f, focus) == pytest.approx(sensor, rel=1e-9)


@pytest.mark.parametrize(("distance", "blur"), [(4000, 0.00612), (5500, 0.00891)])
def test_blur_worked_by_hand(distance, blur):
    # Worked by hand from the thin-lens blur, 35 mm at f/5.6 focused at 4.5 m.
    assert optics.defocus_blur(0.035, 5.6, 4.5, distance * MM) / MM == pytest.approx(blur, abs=5e-6)


def test_hyperfocal_focus_is_sharp_from_half_of_it():
    # Encyclopaedic example, 50 mm f/8 and 0.03 mm: "10.5 m" and "5.2 m" (from memory).
    hyperfocal = optics.hyperfocal_distance(0.050, 8, 0.03 * MM)
    assert hyperfocal == pytest.approx(10.5, abs=0.05)
    assert optics.near_limit(0.050, 8, 0.03 * MM, hyperfocal) == pytest.approx(5.2, abs=0.05)
    assert optics.far_limit(0.050, 8, 0.03 * MM, hyperfocal * 1.0001) == np.inf


def test_total_depth_by_the_pupil_formula():
    # van Walree, Derivation of the DOF equations, symmetric lens: 2 N c (1 + m) / (m^2 - (N c / f)^2).
    f, n, c, s = 0.050, 8, 3e-5, 5.0
    m = f / (s - f)
    total = 2 * n * c * (1 + m) / (m**2 - (n * c / f) ** 2)
    assert total / MM == pytest.approx(6138.07, abs=0.01)
    assert optics.far_limit(f, n, c, s) - optics.near_limit(f, n, c, s) == pytest.approx(total, rel=1e-9)


@pytest.mark.parametrize(
    ("f", "near", "far", "c", "focus", "f_number"),
    [
        # Conrad, Depth of Field in Depth: harmonic mean; f-numbers worked by hand.
        (70, 4000, 6000, 0.030, 4800, 6.906),
        (35, 4000, 5500, 0.030, 4631.58, 1.40),
        (35, 4000, 5500, 0.012, 4631.58, 3.51),
    ],
)
def test_focus_and_opening_for_two_rows(f, near, far, c, focus, f_number):
    assert optics.shared_focus(near * MM, far * MM) / MM == pytest.approx(focus, abs=0.01)
    for limit_of, row in ((optics.near_limit, near), (optics.far_limit, far)):
        assert limit_of(f * MM, f_number, c * MM, focus * MM) / MM == pytest.approx(row, rel=1e-3)


def test_one_third_rule_holds_only_for_far_twice_near():
    # NAVEDTRA 14209 teaches focusing a third in; optics gives Dn / (Dn + Df).
    assert (optics.shared_focus(4, 8) - 4) / (8 - 4) == pytest.approx(1 / 3)
    assert (optics.shared_focus(4, 6) - 4) / (6 - 4) == pytest.approx(0.400)
    near, far = (limit(0.050, 8, 3e-5, 2.0) for limit in (optics.near_limit, optics.far_limit))
    assert (2.0 - near) / (far - near) == pytest.approx(0.406, abs=5e-4)


@pytest.mark.parametrize(
    ("n", "disc"),
    # Born and Wolf: 2.43934 wavelengths of 550 nm times the f-number [mm].
    [(2.8, 0.00376), (4, 0.00537), (5.6, 0.00751), (8, 0.01073), (11, 0.01476), (16, 0.02147), (22, 0.02952)],
)
def test_diffraction_disc(n, disc):
    assert optics.airy_disc(n) / MM == pytest.approx(disc, abs=6e-6)


def test_airy_constant_is_twice_the_first_zero_of_the_bessel_function():
    from scipy.special import jn_zeros

    assert pytest.approx(2 * jn_zeros(1, 1)[0] / np.pi, rel=1e-7) == optics.AIRY_CONSTANT


@pytest.mark.parametrize(("n", "blur"), [(5.6, 0.01054), (8, 0.01192), (11, 0.01523), (16, 0.02162)])
def test_defocus_and_diffraction_together(n, blur):
    # Worked by hand: 70 mm focused at 5 m, a point at 4.8 m, in quadrature, disc at infinity focus.
    together = optics.combined_blur(optics.defocus_blur(0.070, n, 5.0, 4.8), optics.airy_disc(n))
    assert together / MM == pytest.approx(blur, abs=2e-5)


@pytest.mark.parametrize(
    ("print_size", "viewing", "angle", "enlargement", "blur"),
    [
        # Print-based circles of confusion on 36 x 24 mm; the 0.2 mm rule is Ray (2000), p. 52, as quoted.
        ((300, 200), 250, CLASSIC_BLUR_ANGLE, 8.333, 0.02400),
        ((300, 200), 250, framing.ONE_ARCMINUTE, 8.333, 0.00873),
        ((600, 400), 720, CLASSIC_BLUR_ANGLE, 16.667, 0.03456),
        ((600, 400), 250, CLASSIC_BLUR_ANGLE, 16.667, 0.01200),
        ((254, 203.2), 250, CLASSIC_BLUR_ANGLE, 8.467, 0.02362),
    ],
)
def test_circle_of_confusion_from_the_print(print_size, viewing, angle, enlargement, blur):
    grown = framing.enlargement(*FULL_FRAME, print_size[0] * MM, print_size[1] * MM)
    assert grown == pytest.approx(enlargement, abs=5e-4)
    assert framing.eye_limit(viewing * MM, angle) / grown / MM == pytest.approx(blur, abs=1e-5)


def test_acuity_angles():
    # 0.2 mm at 250 mm is 2.75 minutes; one and two minutes at 250 mm are 0.0727 and 0.1454 mm.
    minutes = CLASSIC_BLUR_ANGLE * 60
    assert minutes == pytest.approx(2.75, abs=0.005)
    np.testing.assert_allclose(framing.eye_limit(0.25, np.array([1, 2]) / 60) / MM, [0.0727, 0.1454], atol=5e-5)


# Worked by hand for 36 x 24 mm and 23.5 x 15.6 mm at infinity: horizontal, vertical, diagonal [deg]; lens makers' tables
# print the same in whole degrees (74, 54, 40, 24 across).
@pytest.mark.parametrize(
    ("sides", "f", "angles"),
    [
        ((36, 24, 43.2666), 24, (73.740, 53.130, 84.062)),
        ((36, 24, 43.2666), 35, (54.432, 37.849, 63.440)),
        ((36, 24, 43.2666), 50, (39.598, 26.991, 46.793)),
        ((36, 24, 43.2666), 85, (23.913, 16.071, 28.558)),
        ((23.5, 15.6), 35, (37.115, 25.127)),
    ],
)
def test_angles_of_view(sides, f, angles):
    np.testing.assert_allclose(2 * framing.field_angle(np.array(sides) * MM / 2, f * MM), angles, atol=0.002)


@pytest.mark.parametrize(
    ("f", "distance", "width", "height"),
    # Similar triangles with the image plane of the lens equation, in mm.
    [(35, 5000, 5106.86, 3404.57), (50, 6000, 4284.0, 2856.0), (85, 8000, 3352.24, 2234.82)],
)
def test_field_sizes(f, distance, width, height):
    np.testing.assert_allclose(framing.field_size(FULL_FRAME, f * MM, distance * MM) / MM, [width, height], atol=0.01)


def test_distance_for_a_field():
    assert framing.field_size(36 * MM, 35 * MM, 7326.67 * MM) == pytest.approx(7.5, abs=1e-5)


@pytest.mark.parametrize(
    ("angle", "stretch"),
    # Cosine tables: 1 / cos.
    [(10, 1.0154), (20, 1.0642), (30, 1.1547), (40, 1.3054), (45, 1.4142)],
)
def test_stretch(angle, stretch):
    assert framing.edge_stretch(angle) == pytest.approx(stretch, abs=5e-5)


def test_stretch_of_a_small_ball_against_its_traced_outline():
    # Pirenne, Optics, Painting and Photography: a ball draws an ellipse. Rays along the ball's outline, cut by the plane.
    angle, radius = np.radians(30.0), np.radians(1.5)
    turn = np.linspace(0, 2 * np.pi, 40001)
    cone = np.array([np.sin(radius) * np.cos(turn), np.sin(radius) * np.sin(turn), np.full_like(turn, np.cos(radius))])
    across = cone[0] * np.cos(angle) + cone[2] * np.sin(angle)
    ahead = cone[2] * np.cos(angle) - cone[0] * np.sin(angle)
    stretch = np.ptp(across / ahead) / np.ptp(cone[1] / ahead)
    assert framing.edge_stretch(30.0) == pytest.approx(stretch, rel=2e-4)
    assert stretch == pytest.approx(1.15483, abs=1e-5)


@pytest.mark.parametrize(
    ("viewing", "ppi"),
    # Worked by hand: 25.4 mm over the distance times the tangent of one minute of arc.
    [(250, 349), (300, 291), (500, 175), (720, 121), (1000, 87)],
)
def test_resolution_the_eye_can_use(viewing, ppi):
    assert framing.resolution_for_eye(viewing * MM) * 0.0254 == pytest.approx(ppi, abs=0.5)


def test_print_resolution():
    assert framing.print_resolution(6000, 0.600) * 0.0254 == pytest.approx(254.0)
