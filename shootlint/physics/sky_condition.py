"""Kinds of sky as words in one order, and what each does to clear-sky light."""

from __future__ import annotations

import numpy as np

from shootlint.physics.arrays import Floats

# Functions take a condition as its place in this tuple, so that it may be an array.
SKY_CONDITIONS = ("clear", "hazy", "cloudy", "overcast")
CLEAR, HAZY, CLOUDY, OVERCAST = range(4)

# By how much all light of sun and sky is divided: USNO Circular 171 (Janiczek and DeYoung, 1987), sky conditions 1
# (clear), 2 (thin cloud), 3 (average cloud) and 10 (dark stratus), as read in a program that follows it. Calling thin cloud
# hazy, average cloud cloudy and dark stratus overcast is our choice; a bright overcast is nearer to cloudy.
CLOUD_DIVISOR: Floats = np.array([1.0, 2.0, 3.0, 10.0])

# Share of the clear sky's direct part that still comes as direct light, the rest joins the sky: common practice, no
# source. Haze keeps soft shadows; cloud keeps none.
DIRECT_KEPT: Floats = np.array([1.0, 0.5, 0.0, 0.0])

# Light of an unobstructed sky on a vertical plane over that on level ground: 1/2 for an even sky; 0.3962 for the CIE
# overcast sky, whose zenith is three times as bright as its horizon (Moon and Spencer's law, integrated).
VERTICAL_SKY_SHARE: Floats = np.array([0.5, 0.5, 0.5, 0.3962])

# How far the sky's colour has gone from clear blue to the grey of cloud: common practice, no source.
CLOUD_COLOUR_SHARE: Floats = np.array([0.0, 0.5, 1.0, 1.0])
