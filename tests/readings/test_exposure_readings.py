"""Daylight and flash together against the setting, what moves meanwhile, and the shutter that follows the light."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootlint.physics import exposure

KIT = """light "Lamp" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; duration 1/300 s }
light "Other" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; duration 1/800 s }
light "Third" { guide 60 m; power 1/1 to 1/256; colour 5600 K; modifier bare; mass 3 kg; duration 1/800 s }"""
NIGHT = {"time": "00:30 to 00:31", "date": "2026-12-20", "position": "48 N, 0 E"}


def lights(*roles_and_powers):
    names = ("Lamp", "Other", "Third")
    return "\n  ".join(
        f'place "{name}" as {role}, right 20 deg, distance 3 m, height 2 m, power {power}'
        for name, (role, power) in zip(names, roles_and_powers, strict=False)
    )


def test_light_adds_and_stops_do_not(shoot):
    one = shoot(place=lights(("key", "1/1")), kit=KIT, **NIGHT)
    two = shoot(place=lights(("key", "1/1"), ("fill", "1/1")), kit=KIT, **NIGHT)
    three = shoot(place=lights(("key", "1/1"), ("fill", "1/1"), ("rim", "1/1")), kit=KIT, **NIGHT)
    # As much light again is a stop: log2(1 + 1). A rim is not for the faces.
    assert two("front-over-setting") - one("front-over-setting") == pytest.approx(1)
    assert three("front-over-setting") == pytest.approx(two("front-over-setting"))
    assert two("fill-over-setting") == pytest.approx(one("front-over-setting"))
    assert two("key-over-setting") == pytest.approx(one("key-over-setting"))
    # In the night the flash is all that there is; the light of a moonless sky is some 15 stops under the setting.
    assert np.allclose(one("face-exposure"), one("front-over-setting"), atol=1e-4)


@settings(max_examples=30)
@given(key=st.integers(0, 8), fill=st.integers(0, 8), hour=st.integers(4, 20), shutter=st.sampled_from([8, 60, 125, 500]))
def test_face_exposure_is_the_logarithm_of_the_sum(shoot, key, fill, hour, shutter):
    found = shoot(
        place=lights(("key", f"1/{2**key}"), ("fill", f"1/{2**fill}")),
        kit=KIT,
        time=f"{hour:02}:00 to {hour:02}:01",
        shutter=f"1/{shutter} s",
        facing="200 deg",
    )
    key_light, fill_light = (2.0 ** found("flash")[place] for place in (0, 1))
    daylight = 2.0 ** np.array(found("ambient-over-setting"))
    assert np.exp2(found("face-exposure")) == pytest.approx(key_light + fill_light + daylight)
    assert found("lighting-ratio") == pytest.approx((key_light + fill_light + daylight) / (fill_light + daylight))
    assert (found("face-exposure") > found("ambient-over-setting")).all()


@pytest.mark.parametrize(("key", "fill", "ratio"), [("1/4", "1/4", 2), ("1/2", "1/4", 3), ("1/1", "1/4", 5), ("1/1", "1/8", 9)])
def test_the_two_conventions_of_the_lighting_ratio(shoot, key, fill, ratio):
    # Key and fill together over fill is one more than key over fill: 1:1 is 2:1, 2:1 is 3:1, 4:1 is 5:1, 8:1 is 9:1 (a
    # trade magazine tells of both). Readings use the one that adds.
    found = shoot(place=lights(("key", key), ("fill", fill)), kit=KIT, **NIGHT)
    assert found("lighting-ratio") == pytest.approx(ratio, rel=1e-3)
    key_to_fill = 2.0 ** (found("key-over-setting") - found("fill-over-setting"))
    assert key_to_fill == pytest.approx(ratio - 1)


def test_daylight_counts_as_fill(shoot):
    found = shoot(place=lights(("key", "1/1")), kit=KIT)
    over = found("key-over-setting") - found("ambient-over-setting")
    assert found("lighting-ratio") == pytest.approx(2.0**over + 1)
    assert shoot()("face-exposure") == pytest.approx(shoot()("ambient-over-setting"))


@pytest.mark.parametrize(
    ("first", "second"), [(("1/125 s", "100"), ("1/250 s", "200")), (("1/60 s", "400"), ("1/500 s", "3200"))]
)
def test_shutter_and_iso_undo_each_other_for_daylight_only(shoot, first, second):
    one, two = (shoot(shutter=time, iso=iso, place=lights(("key", "1/1")), kit=KIT) for time, iso in (first, second))
    for name in ("setting", "ambient-over-setting", "background-exposure", "sky-exposure"):
        assert one(name) == pytest.approx(two(name)), name
    # The flash is shorter than any of these exposures: it follows the ISO alone.
    assert two("flash") - one("flash") == pytest.approx(math.log2(int(second[1]) / int(first[1])))


@pytest.mark.parametrize("name", ["face-exposure", "background-exposure", "sky-exposure"])
def test_a_filter_and_a_shorter_time_darken(shoot, name):
    usual = shoot()(name)
    assert shoot(setup='filter "Grey"')(name) == pytest.approx(usual - 3)
    assert shoot(shutter="1/250 s")(name) == pytest.approx(usual - 1)
    assert shoot(aperture="f/11")(name) == pytest.approx(usual - 1)
    assert shoot(iso="200")(name) == pytest.approx(usual + 1)


def test_background_gets_the_sun_only_where_the_plan_says_so(shoot):
    # At noon in June, looking north, the sun is behind the camera and on what the camera sees.
    shaded, sunlit = (shoot(site=f"background 10 m behind, {each}") for each in ("shaded", "sunlit"))
    assert (sunlit("background-exposure") > shaded("background-exposure") + 1.5).all()
    # Looking at the sun, the background's near side is in its own shade: only the sunlit ground adds.
    against = shoot(site="background 10 m behind, sunlit", facing="180 deg")
    assert (against("background-exposure") < sunlit("background-exposure") - 1).all()
    assert (against("background-exposure") > shaded("background-exposure")).all()


# --- motion


@pytest.mark.parametrize(
    ("people", "pose", "speed"),
    # Common practice, no source: 15 mm/s for an adult who poses, 50 for a child of eight, 100 at two; half of it seated.
    [("Ada 170", "standing", 0.015), ("Ada 128 age 8", "standing", 0.05), ("Ada 86 age 2", "standing", 0.1), ("Ada 170", "seated on 45 cm", 0.0075), ("Ada 170", "kneeling", 0.0075)],
)  # fmt: skip
def test_motion_of_people_on_the_print(shoot, people, pose, speed):
    rows = f'  row "front", 5 m {{ "Ada" {pose}, at 0 cm }}'
    found = shoot(people=people, rows=rows, focal="35 mm", shutter="1/60 s", print="600 mm x 400 mm")
    assert found("sway") == pytest.approx(speed)
    # v t m E with m = 35 / 4965, E = 600 / 36, and 1/60 s standing for 1/64 s.
    assert found("motion-blur") == pytest.approx(speed / 64 * 35 / 4965 * 600 / 36)
    # Twice as far is half as much, twice the time twice as much.
    far = shoot(people=people, rows=rows.replace("5 m", "10 m"), focal="35 mm", shutter="1/30 s", print="600 mm x 400 mm")
    assert far("motion-blur") == pytest.approx(found("motion-blur"))


def test_hands_shake_and_tripods_do_not(shoot):
    held, stood = shoot(support="handheld, height 1.6 m"), shoot()
    # 1.72 deg/s is 0.030 rad/s, which is 0.03 mm of blur at one over the focal length: 50 mm, 1/128 s, on 25 times.
    assert held("hand-shake") == pytest.approx(math.radians(1.72) / 128 * 0.05 * (1 + 0.05 / 4.95) * 25)
    assert (held("hand-held"), stood("hand-held"), stood("hand-shake")) == (1, 0, 0)
    assert shoot(support="handheld, height 1.6 m", shutter="1/60 s")("hand-shake") == pytest.approx(2 * held("hand-shake"))


def test_the_closing_shutter_cuts_the_tail_of_a_flash(shoot):
    # An exponential tail, a tenth left after t0.1: at 1/512 s there are 10^(-300/512) of it left to come.
    found = shoot(place=lights(("key", "1/1"), ("fill", "1/1")), kit=KIT, shutter="1/500 s")
    lost = [-math.log2(1 - 10 ** (-each / 512)) for each in (300, 800)]
    assert found("flash-tail-lost") == pytest.approx(lost)
    slow = shoot(place=lights(("key", "1/1"), ("fill", "1/1")), kit=KIT, shutter="1/60 s")
    assert (slow("flash-tail-lost") < found("flash-tail-lost")).all() and (slow("flash-tail-lost") >= 0).all()


# --- blinks


@pytest.mark.parametrize("count", [1, 2, 6, 20])
@pytest.mark.parametrize(("shutter", "time"), [("1/125 s", 1 / 128), ("1/4 s", 1 / 4)])
def test_open_eyes_by_hand(shoot, count, shutter, time):
    # Ten blinks a minute of a quarter of a second, each spoiling the exposure's length too (Svenson & Barnes, 2006).
    people = ", ".join(f"P{place} 170" for place in range(count))
    row = "; ".join(f'"P{place}" standing, at {40 * place} cm' for place in range(count))
    found = shoot(people=people, rows=f'  row "front", 9 m {{ {row} }}', shutter=shutter)
    chance = (1 - (0.25 + time) / 6) ** count
    assert found("open-eyes-chance") == pytest.approx(chance)
    frames = found("frames-for-open-eyes")
    # So many pictures all fail together less than once in a hundred times, and one fewer does not do.
    assert (1 - chance) ** frames <= 0.01 + 1e-12
    assert frames == 1 or (1 - chance) ** (frames - 1) > 0.01


# --- the shutter that follows


THIRDS = [2.0 ** (-each / 3) for each in range(-15, 40)]


@pytest.mark.parametrize(
    ("iso", "aperture", "stop", "extra", "limits", "ends"),
    # The exact thirds of a stop that the marks of the limits stand for.
    [
        ("100", "f/8", 3.0, "", "1/20 s to 1/2 s", (2 ** (-13 / 3), 2**-1)),
        ("400", "f/4", 2.0, 'filter "Grey"', "1/30 s to 1/4 s", (2**-5, 2**-2)),
    ],
)
def test_each_minute_of_a_shutter_that_follows(shoot, iso, aperture, stop, extra, limits, ends):
    found = shoot(
        shutter=f"follows ambient at -1.5 stops, from {limits}",
        time="19:00 to 20:50",
        iso=iso,
        aperture=aperture,
        setup=extra,
        weather="sky cloudy",
    )
    ambient, times = found("ambient"), found("shutter")
    assert ambient.shape == times.shape == (111,)
    assert ambient[0] - ambient[-1] > 4
    shortest, longest = ends
    for light, time in zip(ambient, times, strict=True):
        # N² / t = 2^EV ISO / 100 for a setting 1.5 stops over the daylight, after what the filter takes.
        wanted = 2 ** (2 * stop) / (2 ** (light + 1.5 - (3 if extra else 0)) * int(iso) / 100)
        near = min(THIRDS, key=lambda each: abs(math.log2(each / wanted)))
        by_hand = min(max(near, shortest), longest)
        # Marks are rounded, so a time just between two of them may go either way.
        assert abs(math.log2(time / by_hand)) < 1e-9 or abs(abs(math.log2(near / wanted)) - 1 / 6) < 0.05
    assert times[0] == pytest.approx(shortest) and times[-1] == pytest.approx(longest)
    inside = (times > shortest * 1.01) & (times < longest * 0.99)
    assert inside.any()
    assert np.abs(found("follow-error")[inside]).max() < 1 / 6 + 0.1
    np.testing.assert_allclose(found("follow-error"), found("ambient-over-setting") + 1.5)


def test_a_shutter_that_follows_an_unknown_light_is_unknown(shoot):
    found = shoot(shutter="follows ambient at -1.5 stops, from 1/200 s to 1/15 s", weather="wind 2 m/s")
    for name in ("shutter", "setting", "motion-blur", "open-eyes-chance", "sync-share"):
        assert found.graph[name].needs == {"weather sky"}, name
        assert np.isnan(found.graph[name].array).all(), name


@settings(max_examples=25)
@given(st.floats(-3, 3), st.floats(0.01, 1))
def test_more_light_never_lengthens_the_exposure(shoot, follows, less):
    bright, dark = (
        shoot(shutter=f"follows ambient at {each:.2f} stops, from 1/4000 s to 1 s", time="18:00 to 18:30")("shutter")
        for each in (follows, follows - less)
    )
    assert (dark <= bright * 1.000001).all()
    assert set(np.round(np.log2(bright) * 3, 6)) <= set(np.round(np.log2(exposure.EXACT_EXPOSURE_TIMES) * 3, 6))


def test_what_camera_and_lens_can_do(shoot):
    found = shoot()
    assert found("camera-shortest") == pytest.approx(1 / 8192) and found("camera-longest") == pytest.approx(32)
    assert found("iso-lowest") == 100 and found("iso-highest") == 12800
    assert found("lens-shortest") == pytest.approx(0.020) and found("lens-longest") == pytest.approx(0.200)
    assert found("lens-widest") == pytest.approx(2) and found("lens-smallest") == pytest.approx(2**4.5)


@pytest.mark.parametrize("top", [0, 10, 30, 60, 85])
@pytest.mark.parametrize("sector", [(0, 359.9), (150, 240), (350, 20)])
def test_what_a_skyline_takes_from_the_face_by_counting_the_sky(shoot, top, sector):
    # Faces look south, where the camera stands. An even sky is cut into small pieces; each gives its solid angle times
    # the cosine to the upright face, where no skyline is before it.
    start, end = sector
    wall = f'shade "wall", bearing {start} deg to {end} deg, up to {top} deg'
    open_sky, walled = shoot(), shoot(site=wall)
    height, bearing = np.meshgrid(np.radians(np.arange(0.25, 90, 0.5)), np.arange(0.25, 360, 0.5))
    weight = np.cos(height) ** 2 * np.maximum(np.cos(np.radians(bearing - 180)), 0)
    inside = (bearing >= start) & (bearing <= end) if start < end else (bearing >= start) | (bearing <= end)
    left = weight[~(inside & (np.degrees(height) <= top))].sum() / weight.sum()
    assert walled("sky-light") / open_sky("sky-light") == pytest.approx(left, abs=0.01)


def test_the_longest_exposure_of_the_slot_decides_over_blinks(shoot):
    found = shoot(shutter="follows ambient at -1.5 stops, from 1/200 s to 1/2 s", time="19:00 to 20:30")
    longest = found("shutter").max()
    assert longest > 2 * found("shutter").min()
    assert found("open-eyes-chance") == pytest.approx(1 - (0.25 + longest) / 6)


def test_sunlit_ground_throws_up_half_of_its_share_of_all_the_light(shoot):
    # Sun behind the group: nothing but sky and ground on the faces. Level light is the sky's, twice what an upright face
    # gets of it, and the sun's; a fifth comes back from paved ground and half of that meets the face.
    found, front = shoot(facing="180 deg", site="ground paved"), shoot(facing="0 deg")
    height, turn = np.radians(front("sun-altitude")), np.radians(front("sun-bearing") - 180)
    level_sun = front("direct-light") / (np.cos(height) * np.cos(turn)) * np.sin(height)
    assert found("ground-light") == pytest.approx(0.5 * 0.2 * (2 * found("sky-light") + level_sun), rel=1e-3)
    wall = 'shade "wall", bearing 90 deg to 270 deg, up to 89 deg'
    shaded = shoot(facing="180 deg", site=f"ground paved\n  {wall}")
    assert shaded("ground-light") == pytest.approx(0.5 * 0.2 * 2 * found("sky-light"), rel=1e-6)
