"""Where each light stands as faces and the lens see it: its angle and height, shadows of heads, catchlights, glare."""

from __future__ import annotations

import numpy as np

from shootlint.physics import flash, shadow, sun
from shootlint.physics.optics import defocus_blur
from shootlint.readings.axes import INDEX, Array, along, least, most, turned
from shootlint.readings.catalogue import given, reading
from shootlint.readings.focus import THIN_LENS
from shootlint.readings.framing import PERSPECTIVE, down_the_frame
from shootlint.readings.scene import Scene

GLASSES_TILT = -8.0
"""How far the lenses of glasses look down, in degrees (pantoscopic tilt of usual fittings; from memory)."""
GLASSES_SPREAD = 14.0
"""How far the surface of a usual lens turns from its middle to its rim, in degrees: 25 mm of rim on a radius of about
0.1 m (base curve 5 to 6; from memory)."""


@reading("m", "light", formula="light distance × sin(angle)", source="geometry")
def light_across(light_angle: Array, light_distance: Array) -> Array:
    """How far to the right of the camera's axis a light stands."""
    return light_distance * np.sin(np.radians(light_angle))


@reading("m", "light", formula="front row's distance - light distance × cos(angle)", source="geometry")
def light_away(light_angle: Array, light_distance: Array, row_distance: Array) -> Array:
    """How far from the camera a light stands, along the ground below its axis."""
    return least(row_distance, "person") - light_distance * np.cos(np.radians(light_angle))


@reading("m", "light", formula="light away cos(tilt) + (light height - camera height) sin(tilt)", source=PERSPECTIVE)
def light_along_axis(light_away: Array, light_height: Array, camera_tilt: Array, camera_height: Array) -> Array:
    """Distance from the lens to a light along the camera's axis; below 0 behind the camera."""
    tilt = np.radians(camera_tilt)
    return light_away * np.cos(tilt) + (light_height - camera_height) * np.sin(tilt)


@reading(
    "m",
    "light",
    formula="the least way, sideways or up, by which light and stand are outside the frame at their distance",
    source=PERSPECTIVE,
)
def light_margin(
    light_across: Array,
    light_away: Array,
    light_along_axis: Array,
    light_height: Array,
    modifier_width: Array,
    modifier_height: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_width: Array,
    sensor_height: Array,
) -> Array:
    """How far outside the frame a light and the stand below it are; negative where they are in the picture, infinite behind the camera."""
    tilt, forward = np.radians(camera_tilt), light_along_axis
    upward = (light_height - camera_height) * np.cos(tilt) - light_away * np.sin(tilt)
    half_width, half_height = forward * sensor_width / image_distance / 2, forward * sensor_height / image_distance / 2
    beside = np.abs(light_across) - modifier_width / 2 - half_width
    # The stand reaches from the light to the ground, so a light above the frame may have its stand in it.
    ground = -camera_height * np.cos(tilt) - light_away * np.sin(tilt)
    # To a tilted camera the foot of the stand is not as far as the light on it, and the frame there not as high.
    foot = light_away * np.cos(tilt) - camera_height * np.sin(tilt)
    under = -half_height - (upward + modifier_height / 2)
    over = np.where(foot > 0, ground - foot * sensor_height / image_distance / 2, -np.inf)
    outside = np.maximum(beside, np.maximum(under, over))
    return np.where(forward > 0, outside, np.where(np.isnan(forward), np.nan, np.inf))


@reading("1", "light", formula="as for head-x, of the middle of the modifier", source=PERSPECTIVE)
def light_x(light_across: Array, light_along_axis: Array, image_distance: Array, sensor_width: Array) -> Array:
    """Where a light falls in the frame: 0 is its left edge, 1 its right edge, beyond them outside; nowhere behind the camera."""
    ahead = np.where(light_along_axis > 0, light_along_axis, np.nan)
    return 0.5 + light_across * image_distance / (ahead * sensor_width)


@reading("1", "light", formula="as for head-y, of the middle of the modifier", source=PERSPECTIVE)
def light_y(
    light_height: Array,
    light_away: Array,
    camera_height: Array,
    camera_tilt: Array,
    image_distance: Array,
    sensor_height: Array,
    light_x: Array,
) -> Array:
    """Where a light falls in the frame: 0 is its top edge, 1 its bottom edge, beyond them outside; nowhere behind the camera."""
    down = down_the_frame(light_height, light_away, camera_height, camera_tilt, image_distance, sensor_height)
    return np.where(np.isnan(light_x), np.nan, down)


@reading("1", "light", formula="as for feet-y, of the ground below the light", source=PERSPECTIVE)
def light_foot_y(
    light_away: Array, camera_height: Array, camera_tilt: Array, image_distance: Array, sensor_height: Array, light_x: Array
) -> Array:
    """Where the foot of a light's stand falls in the frame: 0 is its top edge, 1 its bottom edge; nowhere behind the camera."""
    down = down_the_frame(np.zeros_like(light_away), light_away, camera_height, camera_tilt, image_distance, sensor_height)
    return np.where(np.isnan(light_x), np.nan, down)


@reading("yes", "light", formula="light margin is negative", source="definition")
def light_in_frame(light_margin: Array) -> Array:
    """Whether a light or its stand is in the picture."""
    return np.where(np.isnan(light_margin), np.nan, light_margin < 0)


@reading(
    "mm",
    "light",
    formula="(f / N) m |d - s| / d, times the enlargement, d the light's distance along the camera's axis",
    source=THIN_LENS,
)
def light_blur(
    focal_length: Array,
    aperture: Array,
    focus_distance: Array,
    light_away: Array,
    light_height: Array,
    camera_tilt: Array,
    enlargement: Array,
    camera_height: Array | None = None,
) -> Array:
    """Diameter on the print of the patch into which defocus spreads a point of a light that stands in the picture."""
    tilt = np.radians(camera_tilt)
    above = np.nan if camera_height is None else light_height - camera_height
    forward = np.where(tilt == 0, light_away, light_away * np.cos(tilt) + above * np.sin(tilt))
    return defocus_blur(focal_length, aperture, focus_distance, np.where(forward > 0, forward, np.nan)) * enlargement


@reading(
    "deg",
    "light",
    "person",
    formula="angle along the ground between the directions from the face to the camera and to the light",
    source="geometry",
)
def light_turn(light_across: Array, light_away: Array, sideways: Array, head_distance: Array) -> Array:
    """How far to the side of the camera a light stands as a face turned to the camera sees it: 0 to 180."""
    to_light = np.degrees(np.arctan2(light_across - sideways, light_away - head_distance))
    to_camera = np.degrees(np.arctan2(-sideways, -head_distance))
    return sun.separation_of_bearings(to_light, to_camera)


@reading("deg", "light", "person", formula="atan((light height - eye height) / distance along the ground)", source="geometry")
def light_elevation(
    light_across: Array, light_away: Array, light_height: Array, sideways: Array, head_distance: Array, eye_height: Array
) -> Array:
    """How far above a person's eyes a light stands, as the person sees it."""
    along_ground = np.hypot(light_across - sideways, light_away - head_distance)
    return np.degrees(np.arctan2(light_height - eye_height, along_ground))


@reading(
    "deg",
    "light",
    "person",
    formula="half the angle between the directions to the light and to the camera",
    source="law of reflection on a round cornea",
)
def catchlight_angle(
    light_across: Array,
    light_away: Array,
    light_height: Array,
    sideways: Array,
    head_distance: Array,
    eye_height: Array,
    camera_height: Array,
) -> Array:
    """How far from the middle of the eye a light's reflection sits; it is lost beyond about 49 deg, the edge of the iris."""
    light = (light_across - sideways, light_away - head_distance, light_height - eye_height)
    camera = (-sideways, -head_distance, camera_height - eye_height)
    dot = sum(one * two for one, two in zip(light, camera, strict=True))
    lengths = np.sqrt(sum(each**2 for each in light) * sum(each**2 for each in camera))
    return np.degrees(np.arccos(np.clip(dot / np.where(lengths > 0, lengths, np.nan), -1, 1))) / 2


@given("yes", "person", asks="person glasses")
def glasses(scene: Scene) -> Array:
    """Whether a person wears glasses."""
    return along("person", [sitter.person.glasses for sitter in scene.sitters])


@reading("deg", "light", "person", formula="angle between the mirror that would show the light and the lens's middle - half the lens's curve - a quarter of the light's angular size",
         source="law of reflection; tilt and curve of usual glasses from memory", uncertainty="10 deg between glasses, noses and ways to hold a head")  # fmt: skip
def glare_clearance(
    light_across: Array,
    light_away: Array,
    light_height: Array,
    sideways: Array,
    head_distance: Array,
    eye_height: Array,
    camera_height: Array,
    glasses: Array,
    modifier_width: Array,
    modifier_height: Array,
    light_to_person: Array,
) -> Array:
    """How far a light is from shining in a person's glasses; negative where it does, infinite for who wears none."""
    # The face's own axes: forward to the camera along the ground, sideways to the right as it sees.
    away = np.hypot(sideways, head_distance)
    forward = (-sideways / away, -head_distance / away)
    east, north = light_across - sideways, light_away - head_distance
    ahead, side = east * forward[0] + north * forward[1], east * forward[1] - north * forward[0]
    turn, tilt = shadow.mirror_tilt(side, light_height - eye_height, ahead, 0.0, camera_height - eye_height, away)
    size = flash.angular_size(np.sqrt(modifier_width * modifier_height), light_to_person)
    clearance = np.hypot(turn, tilt - GLASSES_TILT) - GLASSES_SPREAD - size / 4
    return np.where(glasses > 0, clearance, np.inf)


@reading("share", "light", "person", formula="1 - product over the others of 1 - the share of the light's disc that a head covers, seen from the face",
         source="circles as seen from the face; bodies below the chin are left out", uncertainty="heads lean by 15 cm")  # fmt: skip
def light_hidden(
    light_across: Array,
    light_away: Array,
    light_height: Array,
    sideways: Array,
    head_distance: Array,
    crown_height: Array,
    chin_height: Array,
    head_breadth: Array,
    modifier_width: Array,
    modifier_height: Array,
) -> Array:
    """Share of a light that other heads hide from a person's face: the depth of the shadow that they throw on it."""
    heads = (sideways, head_distance, (crown_height + chin_height) / 2)
    between = [turned(each, "person", "other") - each for each in heads]
    distance = np.sqrt(sum(each**2 for each in between))
    # A ball is seen by the rays that touch it, so by the sine and not by the tangent: from near by that is more.
    with np.errstate(invalid="ignore", divide="ignore"):
        cover = np.degrees(np.arcsin(np.clip(turned(head_breadth, "person", "other") / 2 / distance, 0.0, 1.0)))
    shares = []
    # One light at a time, so that the arrays over pairs of people are not multiplied by the lights.
    for place in range(light_across.shape[INDEX["light"]]):
        lamp = [
            np.take(each, [min(place, each.shape[INDEX["light"]] - 1)], axis=INDEX["light"])
            for each in (light_across, light_away, light_height)
        ]
        size = np.sqrt(modifier_width * modifier_height)
        radius_of = np.take(size, [min(place, size.shape[INDEX["light"]] - 1)], axis=INDEX["light"]) / 2
        to_light = [one - head for one, head in zip(lamp, heads, strict=True)]
        reach = np.sqrt(sum(each**2 for each in to_light))
        dot = sum(one * two for one, two in zip(between, to_light, strict=True))
        with np.errstate(invalid="ignore", divide="ignore"):
            apart = np.degrees(np.arccos(np.clip(dot / (distance * reach), -1, 1)))
            share = shadow.hidden_disc_share(np.degrees(np.arctan2(radius_of, reach)), cover, np.nan_to_num(apart))
        inside = (dot > 0) & (distance < reach) & (distance > 0)
        # A head of which nobody knows how high it is may be anywhere.
        left = np.where(np.isnan(dot), np.nan, np.where(inside, 1 - share, 1.0))
        shares.append(1 - np.prod(left, axis=INDEX["other"], keepdims=True))
    return np.concatenate(shares, axis=INDEX["light"])


@reading("share", "person", formula="light hidden, of the key that is hidden most", source="definition")
def key_hidden(light_hidden: Array, is_key: Array) -> Array:
    """Share of a key light that other heads hide from a person's face."""
    return most(np.where(is_key > 0, light_hidden, 0.0), "light")
