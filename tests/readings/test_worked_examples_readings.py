"""Worked examples asked of the graph: a plan as text goes in, numbers worked by hand or published come out.

The physics is tested by itself; what is tested here is that the right settings of the plan reach it in the right units.
"""

from __future__ import annotations

import datetime
import math
from string import Template

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.language.loading import Loader
from shootlint.language.source import Source
from shootlint.readings.axes import varies
from shootlint.readings.catalogue import catalogue
from shootlint.readings.graph import Graph
from shootlint.readings.scene import scenes

PLAN = Template("""shootplan 1
date  $date
site "Field" {
  position $position
  zone     "$zone"
  $shade
}
weather { sky $sky; wind 2 m/s; air 15 C }
$meter
people {
$people
}
print "Piece" { size $print; viewed from $viewed }
camera "Body" {
  sensor  36 mm x 24 mm
  pixels  6000 px x 4000 px
  sync    1/200 s
  shutter 1/8000 s to 30 s
  iso     100 to 12800, base 100
}
lens "Zoom" { focal 24 mm to 105 mm; aperture f/2.8 to f/22 }
light "Lamp" {
  $output
  power    1/1 to 1/128
  colour   5600 K
  modifier $modifier
  mass     3 kg
}
light "Spare" { guide 30 m; power 1/1 to 1/64; colour 5600 K; modifier octabox, 60 cm; mass 2 kg }
stand "Stand" { mass 5 kg; spread 100 cm }
gel "Warm" { shift +159 mired; loses 1 stops }
gel "Half" { shift +90 mired; loses 0.5 stops }
filter "Grey" { loses 3 stops }
setup "One" {
  time          $time
  camera        "Body"
  lens          "Zoom", $focal
  aperture      $aperture
  shutter       $shutter
  iso           $iso
  white-balance 5500 K
  support       tripod, height $height, tilt $tilt
  facing        $facing
  frame         $frame
  focus         $focus
  print         "Piece"
  $filter
  $place
$rows
}
""")

# One arcminute, the program's eye, at a viewing distance of 103.132 mm per 0.030 mm of blur: 0.030 / tan(1/60 deg).
EYE = math.tan(math.radians(1 / 60))


def graph(**settings: str) -> Graph:
    usual = {
        "date": "2026-06-10",
        "position": "52 N, 5 E",
        "zone": "Europe/Amsterdam",
        "shade": "",
        "sky": "clear",
        "meter": "",
        "people": '  "Ada" stature 170 cm',
        "print": "36 mm x 24 mm",
        "viewed": "1 m",
        "output": "guide 60 m",
        "modifier": "bare",
        "time": "20:00 to 20:10",
        "focal": "50 mm",
        "aperture": "f/8",
        "shutter": "1/125 s",
        "iso": "100",
        "height": "1.6 m",
        "tilt": "0 deg",
        "facing": "90 deg",
        "frame": "landscape",
        "focus": "5 m",
        "filter": "",
        "place": "",
        "rows": '  row "front", 5 m { "Ada" standing, at 0 cm }',
    }
    assert settings.keys() <= usual.keys()
    document = Loader().load_source(Source("plan.shoot", PLAN.substitute(usual | settings)))
    assert document.plan is not None and not document.complaints, [str(each) for each in document.complaints]
    return Graph(scenes(document.plan)[0])


def number(found: Graph, name: str) -> float:
    value = found[name]
    assert not value.needs, (name, value.needs)
    return value.array.item()


def numbers(found: Graph, name: str) -> list[float]:
    assert not found[name].needs, (name, found[name].needs)
    return found[name].array.ravel().tolist()


# --- depth of field


# Worked apart from this program by the formulas of Ray, Applied Photographic Optics (2002). Marks stand for exact thirds
# of a stop, so that only f/8 and f/4 are what they say.
@pytest.mark.parametrize(
    ("focal", "f_number", "blur", "focus", "hyperfocal", "near", "far"),
    [
        (50, "f/8", 0.030, "5 m", 10.46667, 3.38937, 9.52744),
        (70, "f/8", 0.030, "6 m", 20.48667, 4.64954, 8.45605),
    ],
)
def test_depth_of_field_of_the_books(focal, f_number, blur, focus, hyperfocal, near, far):
    # A print of the sensor's own size, so that the eye's limit on the print is the limit on the sensor.
    found = graph(focal=f"{focal} mm", aperture=f_number, focus=focus, viewed=f"{blur / EYE:.6f} mm")
    assert number(found, "enlargement") == pytest.approx(1)
    assert number(found, "sensor-blur-limit") * 1000 == pytest.approx(blur, rel=1e-6)
    assert number(found, "hyperfocal") == pytest.approx(hyperfocal, abs=1e-4)
    assert number(found, "near-limit") == pytest.approx(near, abs=1e-4)
    assert number(found, "far-limit") == pytest.approx(far, abs=1e-4)


def test_limits_put_back_blur_by_the_limit():
    rows = '  row "front", 3.38937 m { "Ada" standing, at 0 cm }\n  row "back", 9.52744 m { "Ben" standing, at 50 cm }'
    people = '  "Ada" stature 170 cm\n  "Ben" stature 180 cm'
    found = graph(viewed=f"{0.030 / EYE:.6f} mm", rows=rows, people=people)
    assert np.array(numbers(found, "blur")) * 1000 == pytest.approx([0.030, 0.030], rel=1e-5)


def test_a_marked_aperture_is_its_exact_third():
    # f/5.6 is 2 to the power 2.5 and f/6.3 2 to the power 8/3; exact thirds of a stop.
    assert number(graph(aperture="f/5.6"), "aperture") == pytest.approx(5.656854)
    assert number(graph(aperture="f/6.3"), "aperture") == pytest.approx(6.349604)
    assert number(graph(shutter="1/125 s"), "shutter") == pytest.approx(1 / 128)
    assert number(graph(iso="125"), "iso") == pytest.approx(125.992)


def test_beyond_the_hyperfocal_distance_everything_is_sharp():
    assert number(graph(focus="11 m", viewed=f"{0.030 / EYE:.6f} mm"), "far-limit") == math.inf


TWO_ROWS = '  row "front", 4 m { "Ada" standing, at 0 cm }\n  row "back", 6 m { "Ben" standing, at 50 cm }'
TWO_PEOPLE = '  "Ada" stature 170 cm\n  "Ben" stature 180 cm'


@pytest.mark.parametrize(
    ("focus", "distance"),
    # Between rows: 2 x 4 x 6 / 10, the harmonic mean of Conrad, Depth of Field in Depth (2006).
    [("between rows", 4.8), ('row "back"', 6.0), ('"Ada"', 4.0), ("5.5 m", 5.5)],
)
def test_focus_distance(focus, distance):
    found = graph(rows=TWO_ROWS, people=TWO_PEOPLE, focus=focus)
    assert number(found, "focus-distance") == pytest.approx(distance)


def test_focus_between_rows_blurs_both_alike():
    near, far = numbers(graph(rows=TWO_ROWS, people=TWO_PEOPLE, focus="between rows"), "blur")
    assert near == pytest.approx(far) and near > 0


def test_the_print_is_filled_and_the_rest_is_cut():
    # 60 x 90 cm from 36 x 24 mm: 900 / 36 is 25 across and 600 / 24 is 25 down. 50 x 90 cm is still 25 and cuts the height.
    for size, shown in (("60 cm x 90 cm", 1.0), ("90 cm x 60 cm", 1.0), ("50 cm x 90 cm", 500 / 600)):
        found = graph(print=size)
        assert number(found, "enlargement") == pytest.approx(25)
        assert number(found, "printed-width") == pytest.approx(1)
        assert number(found, "printed-height") == pytest.approx(shown)
    portrait = graph(print="60 cm x 90 cm", frame="portrait")
    assert number(portrait, "print-width") == pytest.approx(0.6)
    assert number(portrait, "sensor-width") == pytest.approx(0.024)
    assert number(portrait, "pixels-across") == 4000


def test_print_resolution_and_viewing_distance():
    # 6000 px on 600 mm are 254 ppi; one arcminute at 1.1 m is 0.32 mm.
    found = graph(print="600 mm x 400 mm", viewed="1.1 m")
    assert found["print-resolution"].array.item() * 0.0254 == pytest.approx(254.0)
    assert number(found, "sharp-limit") * 1000 == pytest.approx(0.32, abs=0.0001)


def test_field_and_pixels_of_a_head():
    # Ray: 50 mm at 6 m on 36 x 24 mm takes in 4284 x 2856 mm.
    found = graph(focus="6 m", rows='  row "front", 6 m { "Ada" standing, at 0 cm }')
    assert number(found, "field-width") == pytest.approx(4.284)
    assert number(found, "field-height") == pytest.approx(2.856)
    # A head of so many metres over 4.284 m of 6000 px.
    head = number(found, "head-height")
    assert number(found, "head-pixels") == pytest.approx(head / 4.284 * 6000)
    assert number(found, "head-on-print") == pytest.approx(head / 4.284 * 0.036)


# --- exposure


def test_exposure_value_and_sync():
    # APEX: f/8 is 6, 1/128 s is 7; a stop of ISO is one more EV at ISO 100 less.
    assert number(graph(), "setting") == pytest.approx(13)
    assert number(graph(iso="400"), "setting") == pytest.approx(11)
    # A shutter that travels in 1/200 s: two thirds of a stop beyond it leave 2 to the power -2/3 of the frame open.
    assert number(graph(shutter="1/320 s"), "sync-share") == pytest.approx(2 ** (-2 / 3))
    assert number(graph(shutter="1/200 s"), "sync-share") == 1  # whole at the sync speed: common practice
    assert number(graph(shutter="1/60 s"), "sync-share") == 1


LAMP = 'place "Lamp" as key, right 0 deg, distance {} m, height {} m, power {}'


def at_head(found: Graph) -> float:
    return (number(found, "crown-height") + number(found, "chin-height")) / 2


def lamp(distance: float, power: str = "1/1", **settings: str) -> Graph:
    """A lamp beside the camera at the height of the head, so that its distance is what the plan says."""
    height = at_head(graph())
    return graph(place=LAMP.format(distance, f"{height:.6f}", power), **settings)


def test_guide_number_arithmetic():
    # GN 60 at ISO 400 and 1/8 power is 60 x sqrt(4 / 8) = 42.43: f/8 at 5.303 m. ISO 1230 and plain arithmetic.
    found = lamp(5.3033, "1/8", iso="400")
    assert number(found, "light-to-person") == pytest.approx(5.3033, abs=1e-5)
    assert number(found, "flash") == pytest.approx(0, abs=1e-4)
    # 60 / 5 is f/12: 1.17 stops over f/8.
    assert number(lamp(5), "flash") == pytest.approx(2 * math.log2(12 / 8))


def test_inverse_square():
    # From 2 to 3 m a small source loses 2 log2(3 / 2) = 1.170 stops, from 3 to 4.2 m 0.971.
    two, three, farther = (number(lamp(each), "flash") for each in (2, 3, 4.2))
    assert two - three == pytest.approx(1.170, abs=0.001)
    assert three - farther == pytest.approx(0.971, abs=0.001)


def test_a_large_disc_falls_off_more_slowly():
    # Uniform Lambertian disc, 1 / (1 + (a / d)²): a 1.2 m octabox loses 1.32 stops from 0.6 to 1.2 m, 1.77 to 2.4 m.
    near, middle, far = (number(lamp(each, modifier="octabox, 120 cm"), "flash") for each in (0.6, 1.2, 2.4))
    assert near - middle == pytest.approx(1.32, abs=0.005)
    assert middle - far == pytest.approx(1.77, abs=0.005)


def test_a_metered_light_gives_back_its_reading():
    # Metered f/8 at 2 m at full power: on the setting f/8 at 2 m, whatever the modifier; and a stop under at 1/2.
    for modifier in ("octabox, 120 cm", "softbox, 60 cm x 90 cm", "bare"):
        assert number(lamp(2, output="metered f/8 at 2 m", modifier=modifier), "flash") == pytest.approx(0, abs=1e-6)
        assert number(lamp(2, "1/2", output="metered f/8 at 2 m", modifier=modifier), "flash") == pytest.approx(-1, abs=1e-6)


def test_what_gel_and_filter_take():
    plain = number(lamp(3), "flash")
    assert number(lamp(3, filter='filter "Grey"'), "flash") == pytest.approx(plain - 3)
    gelled = graph(place=LAMP.format(3, f"{at_head(graph()):.6f}", "1/1") + ', gel "Warm"')
    assert number(gelled, "flash") == pytest.approx(plain - 1)
    # The filter takes as much from the daylight.
    assert numbers(graph(filter='filter "Grey"'), "ambient-over-setting") == pytest.approx(
        np.array(numbers(graph(), "ambient-over-setting")) - 3
    )


def test_power_needed_meets_the_setting():
    found = lamp(3)
    needed = number(found, "power-needed")
    assert number(found, "reach") == pytest.approx(-math.log2(needed))
    assert number(found, "flash") + math.log2(needed) == pytest.approx(0)


def test_two_key_lights_add_as_light():
    # Two equal lights are a stop more than one: log2(1 + 2^0).
    one = lamp(3)
    height = f"{at_head(graph()):.6f}"
    place = (
        LAMP.format(3, height, "1/1")
        + "\n  "
        + LAMP.format(3, height, "1/1").replace("Lamp", "Spare").replace("right 0", "left 0")
    )
    both = graph(place=place, output="guide 30 m", modifier="octabox, 60 cm")
    alone = lamp(3, output="guide 30 m", modifier="octabox, 60 cm")
    assert number(both, "key-over-setting") == pytest.approx(number(alone, "key-over-setting") + 1)
    assert number(one, "key-over-setting") == pytest.approx(number(one, "flash"))


# --- colour


@pytest.mark.parametrize(
    ("gels", "kelvin"),
    # 10^6 / (10^6 / 5600 + shift): Priest (1932).
    [("", 5600.0), (', gel "Warm"', 2962.3), (', gel "Half"', 3723.4), (', gel "Warm", gel "Half"', 2338.7)],
)
def test_mired(gels, kelvin):
    found = graph(place=LAMP.format(3, 2, "1/1") + gels)
    assert number(found, "light-colour") == pytest.approx(kelvin, abs=0.1)
    # 5500 K is 181.82 mired; what is warmer than the balance comes out positive.
    assert number(found, "off-balance") == pytest.approx(1e6 / kelvin - 181.818, abs=0.02)


# --- people and the frame


def test_a_row_without_places_stands_shoulder_to_shoulder_and_centred():
    names = ("Ada", "Ben", "Cor")
    people = "\n".join(f'  "{name}" stature {170 + 10 * place} cm' for place, name in enumerate(names))
    found = graph(people=people, rows='  row "front", 5 m { "Ada"; "Ben"; "Cor" }')
    left, middle, right = numbers(found, "sideways")
    assert left < middle < right
    # Widths go with stature: 170, 180 and 190 make shares of 17, 18 and 19 of 54.
    whole = (middle - left) / (17 / 2 + 18 / 2) * 54
    assert right - middle == pytest.approx(whole * (18 / 2 + 19 / 2) / 54)
    assert left - whole * 17 / 54 / 2 == pytest.approx(-(right + whole * 19 / 54 / 2))
    # ANSUR II (2012), means: shoulders are 510 / 1756 of a man's stature and 450 / 1628 of a woman's.
    assert 0.27 * 5.4 < whole < 0.30 * 5.4


def test_where_a_head_falls_in_the_frame():
    # A pinhole worked by hand: 50 mm focused at 5 m has its image at 50 x 5000 / 4950 = 50.505 mm. One metre to the right
    # at 5 m falls 10.101 mm from the middle of 36 mm, 0.2806 of it; the camera's axis runs at the camera's height.
    found = graph(rows='  row "front", 5 m { "Ada" standing, at 100 cm }')
    assert number(found, "head-x") == pytest.approx(0.5 + 0.28058, abs=1e-5)
    up = at_head(found) - 1.6
    assert number(found, "head-y") == pytest.approx(0.5 - up / 5 * 50.505 / 24, abs=1e-5)
    assert number(found, "crown-y") < number(found, "head-y") < number(found, "chin-y")
    # At 5 m the frame is 36 / 50.505 x 5 = 3.564 m wide and 24 / 50.505 x 5 = 2.376 m high around the axis.
    beside = 3.564 / 2 - 1 - number(found, "head-breadth") / 2
    assert number(found, "head-margin") == pytest.approx(beside, abs=1e-3)
    centred = graph(height="1 m")
    assert number(centred, "head-margin") == pytest.approx(1 + 2.376 / 2 - number(centred, "crown-height"), abs=1e-3)


@pytest.mark.parametrize("tilt", [-20, -5, 10])
def test_a_head_on_the_axis_stays_in_the_middle_when_the_camera_tilts(tilt):
    height = at_head(graph()) - 5 * math.tan(math.radians(tilt))
    found = graph(height=f"{height:.6f} m", tilt=f"{tilt} deg")
    assert number(found, "head-y") == pytest.approx(0.5, abs=1e-6)
    assert number(found, "head-x") == 0.5
    assert number(found, "edge-stretch") == pytest.approx(1)
    # Along the axis the head is 5 m / cos(tilt) away, and the eyes, a little above its middle, nearly so.
    assert number(found, "distance") == pytest.approx(5 / math.cos(math.radians(tilt)), abs=0.02)


def test_a_camera_that_looks_down_moves_heads_up_in_the_frame():
    assert number(graph(tilt="-5 deg"), "head-y") < number(graph(), "head-y") < number(graph(tilt="5 deg"), "head-y")


# --- mirror images

SIDES = '  row "front", 4 m { "Ada" standing, at %s cm }\n  row "back", 4.6 m { "Ben" standing, at %s cm }'


def test_a_mirrored_plan_measures_the_mirror_image():
    def picture(side: int, ada: int, ben: int) -> Graph:
        where = ("right", "left")[side]
        place = f'place "Lamp" as key, {where} 40 deg, distance 3 m, height 2.2 m, power 1/1'
        return graph(rows=SIDES % (ada, ben), people=TWO_PEOPLE, place=place, modifier="octabox, 90 cm", focus='row "front"')

    one, other = picture(0, -40, 30), picture(1, 40, -30)
    for same in (
        "blur",
        "flash",
        "key-evenness",
        "distance",
        "head-y",
        "head-margin",
        "edge-stretch",
        "softness",
        "column-offset",
    ):
        assert numbers(one, same) == pytest.approx(numbers(other, same)), same
    assert numbers(one, "head-x") == pytest.approx([1 - x for x in numbers(other, "head-x")])
    assert numbers(one, "head-x") != pytest.approx(numbers(other, "head-x"))
    # The light on the right is nearer to whoever stands on the right of the same row.
    pair = graph(
        rows='  row "front", 4 m { "Ada" standing, at -40 cm; "Ben" standing, at 40 cm }',
        people=TWO_PEOPLE.replace("180", "170"),
        place='place "Lamp" as key, right 60 deg, distance 3 m, height 2.2 m, power 1/1',
    )
    left, right = numbers(pair, "flash")
    assert right > left


# --- the sun


def test_the_sun_of_the_published_example():
    # Reda & Andreas, NREL/TP-560-34302: 2003-10-17, 12:30:30 at UTC-7, 39.742476 N, 105.1786 W: zenith 50.1116 refracted
    # (50.128 geometric), azimuth 194.3402. The plan tells whole minutes, so 12:30 and 12:31 are met half-way.
    found = graph(
        date="2003-10-17", position="39.742476 N, 105.1786 W", zone="Etc/GMT+7", time="12:30 to 12:31", facing="14.3402 deg"
    )
    assert sum(numbers(found, "sun-altitude")) / 2 == pytest.approx(90 - 50.12795, abs=0.02)
    assert sum(numbers(found, "sun-bearing")) / 2 == pytest.approx(194.34024, abs=0.02)
    assert sum(numbers(found, "sun-angle")) / 2 == pytest.approx(180, abs=0.2)
    assert numbers(found, "sunlit") == [1, 1] and numbers(found, "sun-on-faces") == [1, 1]


def test_the_same_instant_told_in_two_zones_measures_the_same():
    # 20:00 in Amsterdam in June is 18:00 UTC and 03:00 of the next day in Tokyo.
    here = graph(zone="Europe/Amsterdam", time="20:00 to 20:10", date="2026-06-10", meter="meter 12 EV at 20:05")
    there = graph(zone="Asia/Tokyo", time="03:00 to 03:10", date="2026-06-11", meter="meter 12 EV at 03:05")
    for name in ("instant", "sun-altitude", "sun-bearing", "ambient", "meter-correction", "ambient-over-setting"):
        assert numbers(here, name) == numbers(there, name), name
    assert len(numbers(here, "instant")) == 11


def test_a_slot_over_midnight_goes_on():
    found = graph(time="23:55 to 00:05")
    assert np.diff(numbers(found, "instant")).tolist() == [60.0] * 10


def test_shade_takes_the_sun_away_only_where_it_stands():
    # At 20:00 in Amsterdam on 10 June the sun stands near 292 deg and 15 deg high.
    bearing, altitude = numbers(graph(), "sun-bearing")[0], numbers(graph(), "sun-altitude")[0]
    assert 280 < bearing < 300 and 10 < altitude < 20
    for sector, top, lit in (
        ("270 deg to 310 deg", 30, 0),
        ("270 deg to 310 deg", 5, 1),
        ("200 deg to 250 deg", 30, 1),
        ("250 deg to 20 deg", 30, 0),
    ):
        found = graph(shade=f'shade "barn", bearing {sector}, up to {top} deg')
        assert numbers(found, "sunlit") == [lit] * 11, (sector, top)


def test_the_scouts_meter_has_the_last_word():
    found = graph(meter="meter 11.5 EV at 20:05")
    assert numbers(found, "ambient")[5] == pytest.approx(11.5)
    assert numbers(found, "ambient") != pytest.approx(numbers(graph(), "ambient"))


def test_a_shutter_that_follows_the_light_lengthens_in_thirds_of_a_stop():
    place = LAMP.format(3, 2, "1/1")
    found = graph(shutter="follows ambient at -1.5 stops, from 1/200 s to 1/15 s", time="21:00 to 22:20", place=place)
    times = numbers(found, "shutter")
    assert times[0] < times[-1] and times == sorted(times)
    assert times[0] >= 1 / 203.2 and times[-1] <= 1 / 15
    thirds = np.log2(times) * 3
    np.testing.assert_allclose(thirds, np.round(thirds), atol=1e-9)
    # In between it keeps the daylight where it was wanted, to half a third.
    kept = np.array(numbers(found, "ambient-over-setting"))[(np.array(times) > 1 / 190) & (np.array(times) < 1 / 16.5)]
    assert kept.size and np.abs(kept + 1.5).max() < 0.25


# --- common practice, no source


@pytest.mark.parametrize(("aperture", "least", "most"), [("f/2.8", 1.25, 2), ("f/4", 0.8, 1.25), ("f/5.6", 0, 0.8)])
def test_the_back_row_of_a_family_picture(aperture, least, most):
    # Common practice, no source: 50 mm at 5 m, a second row half a metre behind, a 60 x 90 cm print looked at from its
    # diagonal: f/2.8 on the front row loses the back row, f/4 is on the edge, f/5.6 holds.
    rows = '  row "front", 5 m { "Ada" standing, at 0 cm }\n  row "back", 5.5 m { "Ben" standing, at 50 cm }'
    found = graph(rows=rows, people=TWO_PEOPLE, focus='row "front"', aperture=aperture, print="60 cm x 90 cm", viewed="1.08 m")
    front, back = numbers(found, "blur")
    assert front == 0
    assert least <= back / number(found, "sharp-limit") <= most


# --- all readings at once, new ones too


def _behind(name: str) -> set[str]:
    """A reading and all that it is worked out from."""
    return {name}.union(*(_behind(needed) for needed, _ in catalogue()[name].needs))


TURNED = {"mark", "side-of-holder", "sideways", "light-angle", "light-across", "aim-across"}
"""Readings that change their sign in the mirror."""
FROM_THE_OTHER_SIDE = {"head-x", "light-x"}
"""Places in the frame, which are counted from its other side in the mirror; all else stays."""


def test_every_reading_of_a_mirrored_plan():
    def picture(side: int, ada: int, ben: int) -> Graph:
        where = ("right", "left")[side]
        place = f'place "Lamp" as key, {where} 40 deg, distance 3 m, height 2.2 m, power 1/1, stand "Stand"'
        return graph(
            rows=SIDES % (ada, ben), people=TWO_PEOPLE, place=place, modifier="softbox, 60 cm x 90 cm", focus='row "front"'
        )

    one, other = picture(0, -40, 30), picture(1, 40, -30)
    for name in catalogue():
        mirrored = other[name].array
        expected = -mirrored if name in TURNED else 1 - mirrored if name in FROM_THE_OTHER_SIDE else mirrored
        np.testing.assert_allclose(one[name].array, expected, rtol=1e-9, atol=1e-12, err_msg=name)


def test_every_reading_of_an_instant_told_in_two_zones():
    here = graph(zone="Europe/Amsterdam", time="20:00 to 20:10", date="2026-06-10", meter="meter 12 EV at 20:05")
    there = graph(zone="Asia/Tokyo", time="03:00 to 03:10", date="2026-06-11", meter="meter 12 EV at 03:05")
    # The day of the site is another one, with another sunrise.
    own_day = {name for name in catalogue() if {"day-start", "day-end"} & _behind(name)}
    assert len(own_day) < 30
    for name in set(catalogue()) - own_day:
        np.testing.assert_array_equal(here[name].array, there[name].array, err_msg=name)


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "focal": st.integers(24, 105).map("{} mm".format),
            "height": st.floats(0, 9).map("{:.2f} m".format),
            "tilt": st.floats(-90, 90).map("{:.1f} deg".format),
            "focus": st.floats(0.001, 1000).map("{:.3f} m".format),
            "viewed": st.floats(0.001, 100).map("{:.3f} m".format),
            "facing": st.floats(0, 360).map("{:.1f} deg".format),
            "position": st.tuples(st.integers(0, 90), st.sampled_from("NS"), st.integers(0, 180), st.sampled_from("EW")).map(
                "{0[0]} {0[1]}, {0[2]} {0[3]}".format
            ),
            "rows": st.tuples(st.floats(0.01, 100), st.floats(-50, 50)).map(
                '  row "front", {0[0]:.3f} m {{ "Ada" standing, at {0[1]:.3f} m }}'.format
            ),
            "people": st.floats(25, 275).map('  "Ada" stature {:.2f} cm'.format),
            "place": st.tuples(st.floats(0.01, 50), st.floats(0.01, 9), st.integers(0, 180)).map(
                'place "Lamp" as key, left {0[2]} deg, distance {0[0]:.3f} m, height {0[1]:.3f} m, power 1/8, stand "Stand"'.format
            ),
            "date": st.dates(min_value=datetime.date(1950, 1, 1), max_value=datetime.date(2090, 1, 1)).map(str),
            "modifier": st.sampled_from(["bare", "softbox, 60 cm x 90 cm", "octabox, 3 m", "umbrella, 1 cm"]),
            "sky": st.sampled_from(["clear", "hazy", "cloudy", "overcast"]),
        },
    )
)
def test_no_plan_makes_a_reading_raise_or_warn(changes):
    found = graph(**changes)
    for name, reading in catalogue().items():
        value = found[name]
        assert set(varies(value.array)) <= set(reading.axes), name
