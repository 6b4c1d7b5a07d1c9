"""One setup: what the camera, the lights and the people do while one picture is made."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from shootlint.language.entry import Entry, part, refuse, setting
from shootlint.language.model import kinds as k
from shootlint.language.values import Name, Quantity

POSES = ("standing", "seated", "kneeling", "sitting", "lying")
ROLES = ("key", "fill", "rim", "hair", "background")
FRAMINGS = ("full-length", "three-quarter", "half-length", "head-and-shoulders")


class LensChoice(Entry):
    name: Annotated[Name, k.named("lens", "Long zoom")] = part("…", "Which lens.")
    focal: k.Length | None = part(", …", "The focal length it is set to; the lens's own where it has only one.", None, "mm")


class Shutter(Entry):
    time: k.Time | None = part("…", "The exposure time.", None, "s")
    follows: k.Stops | None = part(
        "follows ambient at …", "Lengthens as the light goes, so that the ambient stays so far from the key.", None
    )
    limits: k.TimeRange | None = part(
        ", from …", "The first and the last exposure time that may be set.", None, "s", "1/200 s to 1/60 s"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.time is None) == (self.follows is None):
            raise refuse("the shutter is a time such as 1/125 s, or `follows ambient at -1.5 stops, from 1/200 s to 1/60 s`")
        if self.follows is not None and self.limits is None:
            raise refuse("a shutter that follows the ambient light needs its limits; add `, from 1/200 s to 1/60 s`")
        if self.follows is None and self.limits is not None:
            raise refuse(
                "a shutter of one time has no limits; delete `from …`, or write `follows ambient at -1.5 stops`",
                self.limits.place,
            )
        return self


class Support(Entry):
    kind: Annotated[Name, k.one_of("tripod", "handheld")] = part("…", "What holds the camera.")
    height: k.Height | None = part(", height …", "How high the lens stands above the group's ground.", None, "m")
    tilt: k.Angle | None = part(", tilt …", "How far the camera looks up; negative where it looks down.", None, "deg")


class Frame(Entry):
    orientation: Annotated[Name, k.one_of("landscape", "portrait")] = part("…", "Which way the long side lies.")
    framing: Annotated[Name, k.one_of(*FRAMINGS)] | None = part(", …", "How much of the people is to be seen.", None)


class Focus(Entry):
    row: Annotated[Name, k.named("row", "front")] | None = part("row …", "On a row.", None)
    person: Annotated[Name, k.named("placed person", "Agnes")] | None = part("…", "On a person.", None)
    distance: k.Length | None = part("…", "At a distance from the camera.", None, "m")
    between_rows: bool = part("between rows", "Shared, so that the nearest and the farthest row are equally sharp.", False)

    @model_validator(mode="after")
    def _one_target(self) -> Self:
        if sum((self.row is not None, self.person is not None, self.distance is not None, self.between_rows)) != 1:
            raise refuse('focus is on one thing: row "front", a person, a distance, or `between rows`')
        return self


class Placement(Entry):
    light: Annotated[Name, k.placed("light", "Big box")] = part("…", "Which light.")
    role: Annotated[Name, k.one_of(*ROLES)] = part("as …", "What it is for.")
    angle: k.SideAngle = part(
        ", …", "Where it stands as seen from the group: 0 deg beside the camera, 180 deg behind.", unit="deg"
    )
    distance: k.Length = part(", distance …", "How far from the middle of the front row, along the ground.", unit="m")
    height: k.Length = part(", height …", "The middle of the modifier above the ground.", unit="m")
    power: k.LightPower = part(", power …", "What it is set to, of its full output.")
    gel: tuple[Annotated[Name, k.named("gel", "half CTO")], ...] = part(", gel …", "The gel on it.", ())
    stand: Annotated[Name, k.named("stand", "Steel")] | None = part(", stand …", "The stand that carries it.", None)
    bag: k.Mass | None = part(", bag …", "The ballast that the stand carries.", None, "kg")
    aim: Annotated[Name, k.named("placed person", "Agnes")] | None = part(
        ", aim …", "Who it points at; the middle of the heads where it is not said.", None
    )


class Posed(Entry):
    name: Annotated[Name, k.placed("person", "Agnes")] = part("…", "Who.")
    pose: Annotated[Name, k.one_of(*POSES)] | None = part("…", "How; standing where it is not said.", None)
    on: k.Height | None = part(
        "on …", "The height of the step, stool or bench under the person; who is held is borne on the arm without it.", None, "cm"
    )
    held_by: Annotated[Name, k.named("placed person", "Agnes")] | None = part(
        ", held by …", "Who holds the person, on the arm and beside the holder where `on` and `at` do not say otherwise.", None
    )
    at: k.Offset | None = part(", at …", "How far to the side of the camera's axis; positive to the camera's right.", None, "cm")

    @property
    def on_arm(self) -> bool:
        """Whether the person is as high as the holder's arm is."""
        return self.held_by is not None and self.on is None

    @property
    def at_holder(self) -> bool:
        """Whether the person is where the holder is."""
        return self.held_by is not None and self.at is None


class Row(Entry):
    name: Annotated[Name, k.new("row", "front")] = part("…", "What the row is called.")
    distance: k.Length = part(", …", "How far from the camera, along its axis.", unit="m")
    members: tuple[Posed, ...] = setting("…", "A person in the row.", (), most_in_all=5000)

    @model_validator(mode="after")
    def _somebody(self) -> Self:
        if not self.members:
            raise refuse(f'row "{self.name}" is empty; name somebody in it')
        by_themselves = [member for member in self.members if member.held_by is None]
        without = [member.name for member in by_themselves if member.at is None]
        if 0 < len(without) < len(by_themselves):
            raise refuse(
                f'row "{self.name}" says where some of its people stand and not where {without[0]} does; say it for all or for none'
            )
        return self


class Setup(Entry):
    name: Annotated[Name, k.new("setup", "Everyone")] = part("…", "What the setup is called.")
    time: k.ClockTimes | None = setting("time …", "When it is shot; the plan's window where it is not said.", None)
    camera: Annotated[Name, k.named("camera", "Body A")] = setting("camera …", "Which camera.")
    lens: LensChoice = setting("lens …", "Which lens, and how long it is set.")
    aperture: k.Aperture = setting("aperture …", "The f-number.")
    shutter: Shutter = setting("shutter …", "The exposure time.")
    iso: k.PositiveNumber = setting("iso …", "The sensitivity.")
    filter: tuple[Annotated[Name, k.named("filter", "ND 3")], ...] = setting("filter …", "A grey filter on the lens.", ())
    white_balance: k.ColourTemperature | None = setting("white-balance …", "The colour that is to come out neutral.", None, "K")
    support: Support | None = setting("support …", "What holds the camera, and how high.", None)
    facing: k.Bearing | None = setting("facing …", "Where the lens points.", None, "deg")
    frame: Frame = setting("frame …", "Which way up, and how much of the people.")
    focus: Focus = setting("focus …", "What the lens is focused on.")
    print: Annotated[Name, k.named("print", "Tower-room piece")] | None = setting(
        "print …", "Which print the picture is for.", None
    )
    frames: k.PositiveNumber | None = setting("frames …", "How many pictures are taken.", None)
    place: tuple[Placement, ...] = setting("place …", "A light and where it stands.", (), most=20)
    row: tuple[Row, ...] = setting("row …", "A row of people, the front one first.")

    @model_validator(mode="after")
    def _somebody_stands(self) -> Self:
        holders = {str(member.name): member.held_by for _, member in self.people if member.held_by is not None}
        borne: set[str] = set()
        for name in holders:
            way: dict[str, Name] = {}
            while name in holders and name not in borne:
                way[name] = holders[name]
                name = str(holders[name])
                if name in way:
                    ring = list(way.items())[list(way).index(name) :]
                    told = " and ".join(f'"{held}" by "{holder}"' for held, holder in ring)
                    say = f"nobody bears these people: {told}; leave out `held by` for whoever holds the others"
                    raise refuse(say, ring[0][1].place)
            borne.update(way)
        return self

    @property
    def people(self) -> list[tuple[Row, Posed]]:
        """Everyone in the setup, row by row as written."""
        return [(row, member) for row in self.row for member in row.members]

    @property
    def front_distance(self) -> Quantity:
        return min((row.distance for row in self.row), key=float)
