"""Where and when: the site, the weather, the scout's meter, and the people who are waited for."""

from __future__ import annotations

from typing import Annotated

from shootlint.language.entry import Entry, part, setting
from shootlint.language.model import kinds as k
from shootlint.language.slots import Choice
from shootlint.language.values import Name

GROUNDS = ("grass", "gravel", "sand", "paved", "boards", "mud")
HAZARDS = ("overhead line", "water", "traffic", "slope", "crowd")
SKIES = ("clear", "hazy", "cloudy", "overcast")


class Background(Entry):
    distance: k.Length = part("… behind", "How far it lies behind the group.", unit="m")
    light: Annotated[Name, k.one_of("sunlit", "shaded")] | None = part(", …", "Whether the sun lies on it.", None)


class Shade(Entry):
    """Something that hides part of the sky as seen from the group."""

    name: k.Text = part("…", "What casts the shade.")
    bearing: k.Sector = part(", bearing …", "From where to where it stands, clockwise.", unit="deg", example="215 deg to 290 deg")
    up_to: k.Elevation = part(", up to …", "How high it reaches above the horizon.", unit="deg")


class Hazard(Entry):
    kind: Annotated[Name, Choice(HAZARDS, quoted=True)] = part("…", "What could hurt someone.")
    away: k.Height = part(", … away", "How far it is from the nearest stand or person.", unit="m")


class Site(Entry):
    name: k.Text | None = part("…", "What the place is called.", None)
    position: k.GlobePosition | None = setting("position …", "Where on earth it is, in degrees.", None)
    zone: k.Text | None = setting(
        "zone …",
        'The name of its time zone in the IANA database, such as "Europe/Copenhagen".',
        None,
        example='"Europe/Copenhagen"',
    )
    elevation: k.Offset | None = setting(
        "elevation …", "Its height above the sea. The horizon is taken as level with it.", None, "m"
    )
    ground: Annotated[Name, k.one_of(*GROUNDS)] | None = setting("ground …", "What the stands and the people stand on.", None)
    background: Background | None = setting("background …", "What lies behind the group.", None)
    shade: tuple[Shade, ...] = setting("shade …", "Something that hides the sun and a part of the sky.", (), most=100)
    hazard: tuple[Hazard, ...] = setting("hazard …", "Something that could hurt someone.", ())


class Wind(Entry):
    mean: k.Speed = part("…", "The mean wind at the height of the heads.", unit="m/s")
    gusts: k.Speed | None = part(", gusts …", "The strongest gust to be expected.", None, "m/s")


class Weather(Entry):
    sky: Annotated[Name, k.one_of(*SKIES)] | None = setting("sky …", "What covers the sky.", None)
    wind: Wind | None = setting("wind …", "How hard it blows.", None)
    air: k.AirTemperature | None = setting("air …", "How warm the air is.", None, "C")


class Meter(Entry):
    reading: k.Exposure = part("…", "An incident reading at the group, toward the camera.", unit="EV")
    at: k.ClockTime = part("at …", "When it was taken.")


class Person(Entry):
    name: Annotated[Name, k.new("person", "Agnes")] = part("…", "What the person is called in this plan.")
    stature: k.Stature = part("stature …", "How tall the person is, standing.", unit="cm", example="172 cm")
    age: k.Age | None = part(", age …", "Years of age; grown up where it is not said.", None, example="7")
    seated_only: bool = part(", seated-only", "Cannot stand for the picture.", False)
    glasses: bool = part(", glasses", "Wears glasses.", False)


class People(Entry):
    members: tuple[Person, ...] = setting("…", "A person who comes to the shoot.", (), most=500)


class Print(Entry):
    name: Annotated[Name, k.new("print", "Tower-room piece")] = part("…", "What the print is called.")
    size: k.LengthSize = setting(
        "size …", "Its size; its long side lies along the frame's long side.", unit="cm", example="60 cm x 90 cm"
    )
    viewed_from: k.Length | None = setting(
        "viewed from …", "How far away people stand to look at it; its diagonal where it is not said.", None, "m"
    )
    at_least: k.Resolution | None = setting("at least …", "The fewest pixels per inch that will do.", None)
