"""The kinds of value that the plan's model is made of: each a Python type with the slot that reads it."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator

from shootlint.language.entry import Bounds, not_negative, positive, rising
from shootlint.language.slots import (
    Choice,
    Coordinates,
    Date,
    Dotted,
    FNumber,
    Measure,
    Power,
    Quoted,
    Sideways,
    Sized,
    Spanning,
    TimeOfDay,
    TimeSpan,
    Whole,
    WholeSpan,
)
from shootlint.language.values import Clock, ClockSpan, Count, CountSpan, Day, Name, Position, Quantity, Side, Size, Span

LENGTH = Measure("LENGTH", ("length",), "4.6 m")
ANGLE = Measure("ANGLE", ("angle",), "40 deg")
TIME = Measure("TIME", ("time",), "1/200 s")

Positive = AfterValidator(positive)
NotNegative = AfterValidator(not_negative)
Rising = AfterValidator(rising)

Length = Annotated[Quantity, LENGTH, Positive]
Stature = Annotated[
    Quantity, LENGTH, AfterValidator(Bounds(0.25, 2.75, words="people are 25 cm to 275 cm tall, newborns and giants among them"))
]
"""No newborn that comes to a shoot and no giant of whom a measure is known lies beyond; from memory."""
Height = Annotated[Quantity, LENGTH, NotNegative]
Offset = Annotated[Quantity, LENGTH]
LengthSpan = Annotated[Span, Spanning(LENGTH, single=True), Positive, Rising]
Angle = Annotated[Quantity, ANGLE, AfterValidator(Bounds(-90, 90, words="write -90 deg to 90 deg"))]
Elevation = Annotated[Quantity, ANGLE, AfterValidator(Bounds(0, 90, words="write 0 deg to 90 deg above the horizon"))]
Bearing = Annotated[Quantity, ANGLE, AfterValidator(Bounds(0, 360, words="a bearing lies from 0 deg to 360 deg"))]
Sector = Annotated[Span, Spanning(ANGLE), AfterValidator(Bounds(0, 360, words="a bearing lies from 0 deg to 360 deg"))]
SideAngle = Annotated[Side, Sideways(ANGLE)]
Time = Annotated[Quantity, TIME, Positive]
TimeRange = Annotated[Span, Spanning(TIME), Positive]
Aperture = Annotated[Quantity, FNumber()]
ApertureSpan = Annotated[Span, Spanning(FNumber(), single=True), Rising]
Exposure = Annotated[Quantity, Measure("EXPOSURE", ("exposure",), "11 EV")]
Stops = Annotated[Quantity, Measure("STOPS", ("stops",), "1.5 stops")]
Loss = Annotated[Quantity, Measure("STOPS", ("stops",), "0.5 stops"), NotNegative]
ColourTemperature = Annotated[
    Quantity,
    Measure("COLOUR", ("colour temperature",), "5600 K"),
    AfterValidator(Bounds(1000, 40000, words="colour temperatures lie from 1000 K to 40000 K")),
]
MiredShift = Annotated[Quantity, Measure("MIRED", ("mired shift",), "+90 mired")]
LightPower = Annotated[Quantity, Power()]
LightPowerSpan = Annotated[Span, Spanning(Power())]
Energy = Annotated[Quantity, Measure("ENERGY", ("energy",), "400 J"), Positive]
Mass = Annotated[Quantity, Measure("MASS", ("mass",), "7 kg"), NotNegative]
Speed = Annotated[Quantity, Measure("SPEED", ("speed", "wind force"), "8 m/s"), NotNegative]
AirTemperature = Annotated[Quantity, Measure("TEMPERATURE", ("air temperature",), "9 C")]
Resolution = Annotated[Quantity, Measure("RESOLUTION", ("resolution",), "180 ppi"), Positive]
PixelSize = Annotated[Size, Sized(Measure("PIXELS", ("pixels",), "8256 px")), Positive]
LengthSize = Annotated[Size, Sized(LENGTH), Positive]
SurfaceSize = Annotated[Size, Sized(LENGTH, single=True), Positive]
PositiveNumber = Annotated[Count, Whole(), Positive]
NumberSpan = Annotated[CountSpan, WholeSpan()]
Age = Annotated[Count, Whole(), AfterValidator(Bounds(0, 125, words="an age lies from 0 to 125 years"))]
ClockTime = Annotated[Clock, TimeOfDay()]
ClockTimes = Annotated[ClockSpan, TimeSpan()]
Calendar = Annotated[Day, Date()]
LastDay = Annotated[Day, Date(any_year=True)]
GlobePosition = Annotated[Position, Coordinates()]
Text = Annotated[Name, Quoted("TEXT", example='"…"')]
FileName = Annotated[Name, Quoted("FILE", example='"kit/studio.shoot"')]
RuleName = Annotated[Name, Dotted()]


def new(kind: str, example: str) -> Quoted:
    """The slot of a name that declares a thing of a kind."""
    return Quoted("NAME", declares=kind, example=f'"{example}"')


def named(kind: str, example: str) -> Quoted:
    """The slot of a name that must have been declared for a thing of a kind."""
    return Quoted("NAME", of=kind, example=f'"{example}"')


def one_of(*words: str) -> Choice:
    return Choice(words)


def placed(kind: str, example: str) -> Quoted:
    """The slot of a name that puts a declared thing somewhere in a setup, where it can be named again."""
    return Quoted("NAME", of=kind, declares=f"placed {kind}", example=f'"{example}"')
