"""Heights and breadths of people by stature, age and pose.

Barefoot, looking straight ahead: shoes add about 25 mm (women's dress shoes about 45, from memory), hats 25 mm and
more, and adults asked for their height overstate it by about 25 mm. Ratios are means over men and women of one
survey; what people differ by stands in RATIO_DEVIATIONS. An age of nan (or none given) is an adult.

Answers outside the domain: nan in (but for age), nan out; a stature at or below zero, an age below zero and a pose not
in the list give nan.

Source of the adult rows: C. C. Gordon et al., 2012 Anthropometric Survey of U.S. Army Personnel (ANSUR II), report
NATICK/TR-15/007 (2014), its public data of 4082 men and 1986 women: fit adults in service, no world sample.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from shootlint.physics.arrays import Floats, floats, only_where, silent
from shootlint.physics.stature import ADULT, years

# A pose is given as its place in this tuple: on the feet; on a seat; upright on the knees; on the ground, legs crossed
# or stretched; on the ground at full length.
POSES = ("standing", "seated", "kneeling", "sitting", "lying")
STANDING, SEATED, KNEELING, SITTING, LYING = range(5)

# Means of men and of women [m]. Head height runs from crown to chin and is derived, about 4 mm high; kneeling is
# stature less the height of the middle of the kneecap.
ANSUR_MEANS: dict[str, tuple[float, float]] = {
    "stature": (1.7562, 1.6285),
    "sitting height": (0.918, 0.857),
    "crown to eye": (0.114, 0.109),
    "head height": (0.236, 0.222),
    "head breadth": (0.154, 0.148),
    "shoulder breadth": (0.510, 0.450),
    "shoulder height": (1.441, 1.335),
    "kneeling height": (1.268, 1.179),
}


def _adult_ratio(part: str, whole: str = "stature") -> float:
    men, women = np.divide(ANSUR_MEANS[part], ANSUR_MEANS[whole])
    return float(men + women) / 2.0


# Ratio to stature by age in years (crown to eye: to head height). The last row is the adult mean of ANSUR II. Sourced
# among the children's: head height 1/4 at birth (textbook), the fall of sitting height to puberty (Hawkes et al., J. Pediatr. 2020). All other children's values are from memory or drawn between, good to about twice the adult deviation.
_AGES: Floats = np.array([0.0, 2.0, 6.0, 10.0, 12.0, 14.0, ADULT])


def _by_age(part: str, *children: float) -> Floats:
    return np.array([*children, _adult_ratio(part)])


_SITTING_HEIGHT = _by_age("sitting height", 0.660, 0.570, 0.550, 0.530, 0.520, 0.520)
_HEAD_HEIGHT = _by_age("head height", 1 / 4, 1 / 5, 1 / 6, 0.151, 1 / 7, 0.138)
_HEAD_BREADTH = _by_age("head breadth", 0.190, 0.153, 0.122, 0.104, 0.096, 0.090)
_SHOULDER_BREADTH = _by_age("shoulder breadth", 0.300, 0.262, 0.250, 0.252, 0.256, 0.262)
_EYE_IN_HEAD = np.array([0.5, 0.5, 0.5, 0.495, 0.495, 0.49, _adult_ratio("crown to eye", "head height")])

# Neck and shoulder slope below the chin, to stature; taken alike at every age for want of a source.
SHOULDER_BELOW_CHIN = 1.0 - _adult_ratio("shoulder height") - _adult_ratio("head height")
# Height of the kneecap as a share of the leg (stature less sitting height); taken alike at every age.
KNEE_SHARE_OF_LEG = (1.0 - _adult_ratio("kneeling height")) / (1.0 - _adult_ratio("sitting height"))
# Shoulder to elbow of an upper arm that hangs, to stature: R. Drillis and R. Contini, Body Segment Parameters (1966), from
# memory (shoulders at 0.818 of stature, elbows at 0.630).
UPPER_ARM = 0.188
# Chest of a person on the back, from the ground up, to stature: from memory, about 0.24 m of an adult.
CHEST_DEPTH = 0.14
# What an easy back loses on the ground, 20 to 50 mm of an adult, to stature: from memory.
SLUMP = 0.020

# Crown over the support as a sum: these times stature, sitting height and head breadth. The last row answers for a
# pose that is none. A lying head has its middle half a breadth over the ground.
_CROWN: Floats = np.array(
    [
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [1.0 - KNEE_SHARE_OF_LEG, KNEE_SHARE_OF_LEG, 0.0],
        [-SLUMP, 1.0, 0.0],
        [0.0, 0.0, 0.5],
        [np.nan, np.nan, np.nan],
    ]
)
# Whether eye, chin and shoulder hang below the crown: in every pose but lying.
_UPRIGHT: Floats = np.array([1.0, 1.0, 1.0, 1.0, 0.0, np.nan])

# Standard deviation between adults of a ratio to stature: head breadth, shoulders and head height from the
# spread of ANSUR II's men; the rest from a sample of 29 of them, so good to a fifth.
RATIO_DEVIATIONS: dict[str, float] = {
    "sitting height": 0.015,
    "crown to eye": 0.005,
    "head height": 0.007,
    "head breadth": 0.004,
    "shoulder breadth": 0.017,
    "shoulder height": 0.007,
    "kneeling height": 0.010,
}


def _pose_place(pose: ArrayLike) -> Floats:
    given = floats(pose)
    return np.where((given >= 0) & (given < len(POSES)), given, len(POSES))


def _ratio(table: Floats, age: ArrayLike | None) -> Floats:
    given = years(age)
    return only_where(given >= 0, np.interp(given, _AGES, table))


def _length(table: Floats, stature: ArrayLike, age: ArrayLike | None) -> Floats:
    tall = floats(stature)
    return only_where(tall > 0, tall) * _ratio(table, age)


@silent
def crown_height(pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike = 0.0, age: ArrayLike | None = None) -> Floats:
    """Height of the top of the head over the ground.

    Parameters
    ----------
    pose : array_like of int, a place in POSES
    stature : array_like [m]
    support_height : array_like [m], of what carries the person: seat, step, cushion; 0 is the ground
    age : array_like [years]; nan or none is an adult

    Returns
    -------
    array [m]. Lying is half a head's breadth over the support: the picture sees the face at that height, eye and chin
    level with the crown, and the body runs sideways.

    Standard deviation between adults: 0 standing, 1.5 % of stature seated, 1 % kneeling, about 2 % sitting on the
    ground (backs differ by 30 mm). Sitting on the heels is none of these: sitting height plus 0.12 to 0.20 m.
    """
    tall = floats(stature)
    parts = _CROWN[_pose_place(pose).astype(np.intp)]
    share = parts[..., 0] + parts[..., 1] * _ratio(_SITTING_HEIGHT, age) + parts[..., 2] * _ratio(_HEAD_BREADTH, age)
    return floats(support_height) + only_where(tall > 0, tall) * share


def _below_crown(drop: Floats, pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike, age: ArrayLike | None) -> Floats:
    return crown_height(pose, stature, support_height, age) - drop * _UPRIGHT[_pose_place(pose).astype(np.intp)]


@silent
def eye_height(pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike = 0.0, age: ArrayLike | None = None) -> Floats:
    """Height of the eyes over the ground; level with the crown when lying.

    Parameters
    ----------
    pose, stature, support_height, age : as for `crown_height`

    Returns
    -------
    array [m]

    Standard deviation under the crown 0.5 % of stature; children's eyes lie near the middle of the head (from memory).
    """
    drop = head_height(stature, age) * _ratio(_EYE_IN_HEAD, age)
    return _below_crown(drop, pose, stature, support_height, age)


@silent
def chin_height(pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike = 0.0, age: ArrayLike | None = None) -> Floats:
    """Height of the chin over the ground; level with the crown when lying.

    Parameters
    ----------
    pose, stature, support_height, age : as for `crown_height`

    Returns
    -------
    array [m]

    Standard deviation under the crown 0.7 % of stature.
    """
    return _below_crown(head_height(stature, age), pose, stature, support_height, age)


@silent
def shoulder_height(pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike = 0.0, age: ArrayLike | None = None) -> Floats:
    """Height of the shoulder's outer point (acromion) over the ground; level with the crown when lying.

    Parameters
    ----------
    pose, stature, support_height, age : as for `crown_height`

    Returns
    -------
    array [m]

    Standard deviation under the crown 0.7 % of stature; for children without a source of its own.
    """
    tall = floats(stature)
    drop = head_height(tall, age) + SHOULDER_BELOW_CHIN * tall
    return _below_crown(drop, pose, stature, support_height, age)


@silent
def arm_height(pose: ArrayLike, stature: ArrayLike, support_height: ArrayLike = 0.0, age: ArrayLike | None = None) -> Floats:
    """Height over the ground at which a person bears a child: the crook of the elbow; lying, the top of the chest.

    Parameters
    ----------
    pose, stature, support_height, age : as for `crown_height`

    Returns
    -------
    array [m]

    The elbow of an arm that hangs: that a child is borne there, on the forearm or, by those who sit, on the lap little below
    it, is common practice, no source. People shift a child by 0.1 m up and down.
    """
    tall = floats(stature)
    on_chest = floats(support_height) + CHEST_DEPTH * only_where(tall > 0, tall)
    elbow = shoulder_height(pose, stature, support_height, age) - UPPER_ARM * tall
    return np.where(floats(pose) == LYING, on_chest, elbow)


@silent
def head_height(stature: ArrayLike, age: ArrayLike | None = None) -> Floats:
    """Length of the head from crown to chin.

    Parameters
    ----------
    stature : array_like [m]
    age : array_like [years]; nan or none is an adult

    Returns
    -------
    array [m]

    Standard deviation 0.7 % of stature (12 mm).
    """
    return _length(_HEAD_HEIGHT, stature, age)


@silent
def head_breadth(stature: ArrayLike, age: ArrayLike | None = None) -> Floats:
    """Greatest breadth of the head over the ears, without them.

    Parameters
    ----------
    stature : array_like [m]
    age : array_like [years]; nan or none is an adult

    Returns
    -------
    array [m]

    Standard deviation 0.4 % of stature; heads hardly follow stature, 5.5 mm between men.
    """
    return _length(_HEAD_BREADTH, stature, age)


@silent
def shoulder_breadth(stature: ArrayLike, age: ArrayLike | None = None) -> Floats:
    """Breadth over the upper arms, hanging (bideltoid).

    Parameters
    ----------
    stature : array_like [m]
    age : array_like [years]; nan or none is an adult

    Returns
    -------
    array [m]

    Standard deviation 1.7 % of stature; men lie 1 % of stature over this mean, women below. Light clothes add 10 to
    30 mm (common practice), coats more.
    """
    return _length(_SHOULDER_BREADTH, stature, age)
