"""Colour: of daylight on the faces, and of every light against the white balance and against the daylight."""

from __future__ import annotations

import numpy as np

from shootlint.physics import colour, daylight_colour
from shootlint.physics.daylight_colour import mixed_colour
from shootlint.readings.axes import Array, least, most
from shootlint.readings.catalogue import reading
from shootlint.readings.daylight import behind_cloud

MODEL = "spectral clear-sky model of Bird and Riordan at ten altitudes of the sun, correlated colour temperature by Ohno (2013)"
LOOSE = "15 % of mired"
NEUTRAL = 5500.0
"""What daylight-balanced eyes and screens call neutral, for saying how a light reads (common practice, no source)."""


@reading(
    "K",
    "minute",
    formula="by the sun's altitude",
    source=MODEL,
    uncertainty=LOOSE,
    holds_for="a clear sky; the same through haze",
)
def sun_colour(sun_altitude: Array) -> Array:
    """Colour of direct sunlight."""
    return daylight_colour.direct_colour(sun_altitude)


@reading(
    "K",
    "minute",
    formula="by the sun's altitude and the sky",
    source=MODEL,
    uncertainty="a factor of 1.5 in the blue of a clear sky",
)
def sky_colour(sun_altitude: Array, sky: Array) -> Array:
    """Colour of skylight, which is the colour of open shade."""
    return daylight_colour.sky_colour(sun_altitude, sky)


@reading(
    "K",
    "minute",
    formula="sun, sky and ground mixed in mired by their light",
    source=f"{MODEL}; mixing in mired is an approximation",
    uncertainty=LOOSE,
)
def ambient_colour(
    sun_altitude: Array,
    sky_colour: Array,
    sun_colour: Array,
    direct_light: Array,
    sky_light: Array,
    ground_light: Array,
    sunlit: Array,
    sky: Array,
) -> Array:
    """Colour of the daylight on faces that are turned to the camera. The ground is taken as grey."""
    ground = np.where((sunlit > 0) & ~np.asarray(behind_cloud(sky)), daylight_colour.global_colour(sun_altitude), sky_colour)
    above = mixed_colour(sky_colour, sky_light, ground, ground_light)
    lit = mixed_colour(sun_colour, direct_light, above, sky_light + ground_light)
    return np.where(direct_light > 0, lit, above)


@reading(
    "mired", "minute", formula="10⁶ / ambient colour - 10⁶ / white balance", source="mired: Priest (1932)", uncertainty=LOOSE
)
def ambient_off_balance(ambient_colour: Array, white_balance: Array) -> Array:
    """How much warmer (+) or cooler (-) than the white balance the daylight comes out; the shift that would make it neutral."""
    return colour.mired(ambient_colour) - colour.mired(white_balance)


@reading(
    "mired",
    "minute",
    "light",
    formula="10⁶ / light colour - 10⁶ / ambient colour",
    source="mired: Priest (1932)",
    uncertainty=LOOSE,
)
def off_ambient(light_colour: Array, ambient_colour: Array) -> Array:
    """How much warmer (+) or cooler (-) than the daylight a light is."""
    return colour.mired(light_colour) - colour.mired(ambient_colour)


@reading("1", "light", formula="distance in CIE 1976 u'v' between light colour and white balance, on daylight and Planckian locus", source="CIE 15; Krystek (1985) for the Planckian locus",
         holds_for="1000 K to 25000 K; gels that leave the locus to the side differ")  # fmt: skip
def chroma_off_balance(light_colour: Array, white_balance: Array) -> Array:
    """How far a light's chromaticity lies from the white balance's; about 0.0011 is one step that can just be seen."""
    return colour.uv_prime_difference(light_colour, white_balance)


@reading("1", "minute", "light", formula="distance in CIE 1976 u'v' between light colour and ambient colour", source="CIE 15; Krystek (1985) for the Planckian locus",
         holds_for="1000 K to 25000 K")  # fmt: skip
def chroma_off_ambient(light_colour: Array, ambient_colour: Array) -> Array:
    """How far a light's chromaticity lies from the daylight's."""
    return colour.uv_prime_difference(light_colour, ambient_colour)


@reading(
    "K",
    "light",
    formula="10⁶ / (10⁶ / 5500 K + off balance)",
    source="mired: Priest (1932); 5500 K as neutral is common practice, no source",
)
def reads_as(off_balance: Array) -> Array:
    """The colour as which a light reads in the picture after the white balance."""
    return colour.temperature_from_mired(colour.mired(NEUTRAL) + off_balance)


@reading("mired", formula="the largest - the smallest off balance of key and fill lights", source="definition")
def front_colours_apart(off_balance: Array, is_front: Array) -> Array:
    """How far apart in colour the lights are that light the faces."""
    warmest = most(np.where(is_front > 0, off_balance, -np.inf), "light")
    return warmest - least(np.where(is_front > 0, off_balance, np.inf), "light")
