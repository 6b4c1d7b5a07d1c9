"""Bodies, growth, sway and shake against surveys and studies."""

from __future__ import annotations

import numpy as np
import pytest

from shootlint.physics import body, motion, optics, stature


@pytest.mark.parametrize(
    ("function", "men", "women", "tolerance"),
    [
        # ANSUR II public data (NATICK/TR-15/007, 2014), means in mm at mean statures 1756.2 and 1628.5.
        (body.head_height, 236, 222, 3),
        (body.head_breadth, 154, 148, 4),
        (body.shoulder_breadth, 510, 450, 14),
    ],
)
def test_sizes_of_adults(function, men, women, tolerance):
    assert function(1.7562) * 1000 == pytest.approx(men, abs=tolerance)
    assert function(1.6285) * 1000 == pytest.approx(women, abs=tolerance)


@pytest.mark.parametrize(
    ("function", "pose", "support", "men", "women", "tolerance"),
    [
        # ANSUR II means in mm; seat of 450 mm from memory.
        (body.crown_height, body.STANDING, 0.0, 1756.2, 1628.5, 0.1),
        (body.crown_height, body.SEATED, 0.0, 918, 857, 4),
        (body.crown_height, body.SEATED, 0.450, 1368, 1307, 4),
        (body.crown_height, body.KNEELING, 0.0, 1268, 1179, 4),
        (body.eye_height, body.STANDING, 0.0, 1642, 1520, 4),
        (body.eye_height, body.SEATED, 0.0, 804, 748, 4),
        (body.chin_height, body.STANDING, 0.0, 1520, 1406, 4),
        (body.shoulder_height, body.STANDING, 0.0, 1441, 1335, 4),
    ],
)
def test_heights_of_adults(function, pose, support, men, women, tolerance):
    assert function(pose, 1.7562, support) * 1000 == pytest.approx(men, abs=tolerance)
    assert function(pose, 1.6285, support) * 1000 == pytest.approx(women, abs=tolerance)


# The first 29 men of ANSUR II's public file [mm]; the kneecap's middle.
ANSUR_MEN = {
    "stature": "1776 1702 1735 1655 1914 1720 1810 1850 1777 1811 1780 1733 1814 1861 1709 1740 1694 1766 1748 1794 1780 1680 1653 1959 1755 1630 1825 1795 1745",
    "sitting height": "928 884 917 903 919 898 957 952 922 932 969 871 906 966 918 864 899 929 915 969 949 914 867 959 945 874 961 958 906",
    "sitting eye height": "802 781 810 794 814 779 841 829 806 820 845 764 804 848 801 763 785 813 797 848 832 797 755 853 833 757 854 856 800",
    "head breadth": "150 146 148 158 153 155 158 156 160 146 155 148 154 165 160 152 160 153 150 150 150 149 150 153 159 155 154 155 150",
    "kneecap": "502 490 496 460 612 491 511 511 496 535 502 509 529 532 469 515 476 486 507 485 495 468 487 563 494 463 509 505 491",
}


def test_single_men_scatter_by_the_stated_deviations():
    stature, sitting, eye, breadth, knee = (np.fromstring(column, sep=" ") / 1000 for column in ANSUR_MEN.values())
    for part, measured, ours in (
        ("sitting height", sitting, body.crown_height(body.SEATED, stature)),
        ("crown to eye", sitting - eye, stature - body.eye_height(body.STANDING, stature)),
        ("head breadth", breadth, body.head_breadth(stature)),
        ("kneeling height", stature - knee, body.crown_height(body.KNEELING, stature)),
    ):
        error = (measured - ours) / stature / body.RATIO_DEVIATIONS[part]
        assert np.sqrt(np.mean(error**2)) == pytest.approx(1, abs=0.3)


@pytest.mark.parametrize(
    ("age", "boys", "girls"),
    # CDC growth charts (2000), stature by age, median at the birthday, cm.
    [
        (2, 86.5, 85.0),
        (3, 95.0, 93.9),
        (4, 102.2, 100.8),
        (6, 115.4, 114.7),
        (8, 127.9, 127.6),
        (10, 138.6, 138.0),
        (12, 149.1, 151.2),
        (14, 163.8, 160.4),
        (16, 173.5, 162.5),
        (18, 176.2, 163.1),
    ],
)
def test_growth_charts(age, boys, girls):
    for sex, median in enumerate((boys, girls)):
        assert stature.cdc_stature(age, sex) * 100 == pytest.approx(median, abs=0.05)


def test_growth_chart_between_birthdays():
    # CDC file: girls at 72.5 months 115.005 cm, boys at 24 months 86.452 cm.
    assert stature.cdc_stature(72.5 / 12, 1) * 100 == pytest.approx(115.005, abs=0.3)
    assert stature.cdc_stature(2, 0) * 100 == pytest.approx(86.452, abs=0.06)


@pytest.mark.parametrize(("age", "centimetres"), [(2, 17.3), (6, 19.2), (12, 21.3)])
def test_heads_of_children(age, centimetres):
    # One fifth, one sixth, one seventh of the median boy (from memory).
    assert body.head_height(stature.cdc_stature(age, 0), age) * 100 == pytest.approx(centimetres, abs=0.1)


@pytest.mark.parametrize(
    ("age", "sex", "function", "millimetres"),
    [(14, 1, body.head_breadth, 142.7)],
)
def test_head_sizes_at_maturity(age, sex, function, millimetres):
    # Cleft Palate-Craniofacial Journal 29 (1992), 303.
    assert function(stature.cdc_stature(age, sex), age) * 1000 == pytest.approx(millimetres, abs=4)


def test_standing_sway():
    # Lamp on a helmet, 20 adults: 36.8 cm a minute, so 6.1 mm/s; Oba et al. (2015): children sway faster.
    assert motion.sway_speed(np.nan) > 0.368 / 60
    assert motion.sway_speed(6) > motion.sway_speed(30)


@pytest.mark.parametrize(
    ("speed", "time", "f", "enlargement", "millimetres"),
    # Worked by hand, subject at 5 m: length of the trace on the print.
    [
        (10, 1 / 60, 35, 16.667, 0.0196),
        (20, 1 / 30, 35, 16.667, 0.0783),
        (50, 1 / 60, 35, 16.667, 0.0979),
        (1000, 1 / 125, 50, 8.333, 0.673),
    ],
)
def test_motion_blur(speed, time, f, enlargement, millimetres):
    m = optics.magnification(f / 1000, 5.0)
    assert motion.subject_blur(speed / 1000, time, m) * enlargement * 1000 == pytest.approx(millimetres, rel=0.005)


def test_longest_time_for_a_moving_person():
    # Worked by hand: 50 mm/s and 0.2 mm on the print, 0.0340 s; walking, 1/421 s.
    slow = motion.subject_blur(0.050, 0.0340, optics.magnification(0.035, 5.0))
    fast = motion.subject_blur(1.0, 1 / 421, optics.magnification(0.050, 5.0))
    assert slow * 16.667 == pytest.approx(0.0002, rel=0.003)
    assert fast * 8.333 == pytest.approx(0.0002, rel=0.005)


def test_rule_of_one_over_the_focal_length():
    # The hand-held rule with 0.03 mm allowed means a turn of 1.72 deg/s.
    blur = motion.hand_shake_blur(motion.HAND_SHAKE_ANGULAR_SPEED, 1 / 50, 0.050)
    assert blur == pytest.approx(3e-5, rel=0.002)
