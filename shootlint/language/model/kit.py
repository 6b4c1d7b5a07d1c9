"""What a kit holds: cameras, lenses, lights, stands, gels, filters and steps, as their makers state them."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from shootlint.language.entry import Entry, part, refuse, setting
from shootlint.language.model import kinds as k
from shootlint.language.values import Name, Quantity


class IsoRange(Entry):
    range: k.NumberSpan = part("…", "The lowest and the highest sensitivity.")
    base: k.PositiveNumber | None = part(", base …", "The sensitivity at which noise is least.", None)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not 0 < self.range.low.value <= self.range.high.value:
            raise refuse(f"{self.range} is no range of sensitivities; write the lower one first, above 0")
        return self


class Camera(Entry):
    name: Annotated[Name, k.new("camera", "Body A")] = part("…", "What the camera is called.")
    sensor: k.LengthSize = setting("sensor …", "The light-sensitive area.", unit="mm", example="36 mm x 24 mm")
    pixels: k.PixelSize = setting("pixels …", "The pixels of a whole frame.", example="8256 px x 5504 px")
    sync: k.Time = setting("sync …", "The shortest exposure for which the whole frame is open at once.", unit="s")
    shutter: k.TimeRange = setting("shutter …", "The shortest and the longest exposure.", unit="s", example="1/8000 s to 30 s")
    iso: IsoRange = setting("iso …", "The range of sensitivities.")

    @model_validator(mode="after")
    def _same_way_up(self) -> Self:
        sensor = self.sensor.width.value - self.sensor.height.value
        pixels = self.pixels.width.value - self.pixels.height.value
        if sensor * pixels < 0:
            raise refuse("the sensor and its pixels are written in different orders; write width x height for both")
        return self


class Lens(Entry):
    name: Annotated[Name, k.new("lens", "Long zoom")] = part("…", "What the lens is called.")
    focal: k.LengthSpan = setting(
        "focal …", "The focal length, or the shortest and the longest.", unit="mm", example="24 mm to 105 mm"
    )
    aperture: k.ApertureSpan = setting("aperture …", "The widest and the smallest aperture.", example="f/4 to f/22")
    closest: k.Length | None = setting("closest …", "The closest focusing distance, from the sensor.", None, "cm", "45 cm")


class Metered(Entry):
    aperture: k.Aperture = part("…", "What the meter read.")
    distance: k.Length = part("at …", "How far the meter stood from the light.", unit="m", example="2 m")


MODIFIERS = ("bare", "reflector", "beauty-dish", "softbox", "octabox", "strip", "umbrella", "dome", "lantern", "panel")


class Modifier(Entry):
    kind: Annotated[Name, k.one_of(*MODIFIERS)] = part("…", "What shapes the light.")
    size: k.SurfaceSize | None = part(", …", "Its width and height, or its diameter.", None, "cm")

    @model_validator(mode="after")
    def _has_a_size(self) -> Self:
        if self.size is None and self.kind != "bare":
            raise refuse(f"the {self.kind} has no size; add its diameter or its width and height")
        return self


class HighSpeedSync(Entry):
    loses: k.Loss = part(", loses …", "What it costs at the sync speed; past it a stop is lost for each stop of shutter.")


class Light(Entry):
    name: Annotated[Name, k.new("light", "Big box")] = part("…", "What the light is called.")
    energy: k.Energy | None = setting("energy …", "What one full flash takes from the battery's store.", None, "J", "500 J")
    metered: Metered | None = setting(
        "metered …", "A flash meter's reading at full power and ISO 100, modifier on, no gel.", None
    )
    guide: k.Length | None = setting("guide …", "The guide number at full power and ISO 100, as used.", None, "m", "55 m")
    power: k.LightPowerSpan = setting("power …", "The most and the least that it can be set to.", example="1/1 to 1/256")
    colour: k.ColourTemperature | None = setting("colour …", "Its colour without a gel.", None, "K")
    duration: k.Time | None = setting(
        "duration …", "How long it shines at full power, above a tenth of its peak (t0.1).", None, "s", "1/900 s"
    )
    recycle: k.Time | None = setting("recycle …", "How long it takes to be ready again after a full flash.", None, "s", "0.9 s")
    flashes: k.PositiveNumber | None = setting("flashes …", "Full flashes in one battery.", None, example="390")
    high_speed_sync: HighSpeedSync | None = setting("high-speed-sync", "It may fire above the sync speed.", None)
    modifier: Modifier | None = setting(
        "modifier …", "What stands before the tube, and how large it is.", None, example="softbox, 90 cm x 120 cm"
    )
    mass: k.Mass | None = setting(
        "mass …", "The light with its modifier and battery, as it sits on the stand.", None, "kg", "3.4 kg"
    )

    @model_validator(mode="after")
    def _one_output(self) -> Self:
        if self.metered is not None and self.guide is not None:
            raise refuse(f'light "{self.name}" has both a metered reading and a guide number; keep the one you trust')
        return self

    @property
    def most_power(self) -> Quantity:
        return max(self.power, key=float)

    @property
    def least_power(self) -> Quantity:
        return min(self.power, key=float)


class Stand(Entry):
    name: Annotated[Name, k.new("stand", "Steel")] = part("…", "What the stand is called.")
    mass: k.Mass = setting("mass …", "The stand alone.", unit="kg", example="4.6 kg")
    spread: k.Length = setting("spread …", "The diameter of the circle on which its feet stand.", unit="cm", example="95 cm")
    highest: k.Length | None = setting("highest …", "How high it goes.", None, "m", "2.9 m")
    carries: k.Mass | None = setting("carries …", "The load that its maker allows.", None, "kg")


class Gel(Entry):
    name: Annotated[Name, k.new("gel", "half CTO")] = part("…", "What the gel is called.")
    shift: k.MiredShift = setting("shift …", "How far it moves the colour; positive is warmer.")
    loses: k.Loss = setting("loses …", "The light that it takes.", unit="stops")


class Step(Entry):
    name: Annotated[Name, k.new("step", "Low box")] = part("…", "What it is called.")
    height: k.Length = setting("height …", "How high somebody on it stands or sits.", unit="cm", example="20 cm")


class Filter(Entry):
    name: Annotated[Name, k.new("filter", "ND 3")] = part("…", "What the filter is called.")
    loses: k.Loss = setting("loses …", "The light that it takes from all of the picture.", unit="stops")
