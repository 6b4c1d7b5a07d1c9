"""Writes a plan, a kit and a house.rules to begin with, or takes an existing group over into a new folder."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from shootlint.commands.refused import Refused

PLAN = "plan.shoot"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", nargs="?", default=".", metavar="FOLDER", help="where the files go; the current folder")
    parser.add_argument(
        "--from",
        dest="plan",
        metavar="PLAN",
        help="take over the people, kits, site, prints and setups of this plan; what was of its day alone becomes comments",
    )
    parser.add_argument("--date", metavar="DATE", help="with --from: the day of the new shoot, such as 2027-06-12")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.writing import create

    folder = Path(call.folder)
    if not call.folder:
        raise Refused("the name of the folder is empty; leave it out for the current folder")
    if call.date is not None and call.plan is None:
        raise Refused("--date goes with --from; the starter has a day of its own, in which it is sound")
    try:
        if call.plan is not None:
            from shootlint.commands.takeover import taken_over

            made, remarks = taken_over(call.plan, folder, call.date)
        else:
            made, remarks = starter(folder)
        files = {str(folder.absolute() / name): content for name, content in made.items()}
        refuse_to_leave(folder, made)
        create(files)
    except FileExistsError as error:
        there = Path(error.filename)
        shown = folder / there.relative_to(folder.absolute()) if there.is_relative_to(folder.absolute()) else there
        raise Refused(f"{shown} is there already, and nothing is ever written over it; nothing was written") from None
    except OSError as error:
        raise Refused(f"{error.filename or folder} cannot be written: {error.strerror}; nothing was written") from None
    output.say([*(f"{folder / name}: written" for name in made), *remarks, f"now: shootlint check {folder / next(iter(made))}"])
    return 0


def starter(folder: Path) -> tuple[dict[str, bytes], list[str]]:
    """The files of the starter as they come with the program, by their names, and what is to be said of them."""
    from importlib.resources import files

    from shootlint.rulebook.house import HOUSE_FILE, house_file

    home = files("shootlint.starter")
    made = {name: home.joinpath(*name.split("/")).read_bytes() for name in (PLAN, "kit/studio.shoot", HOUSE_FILE)}
    # Not by the path as it is written: a house file is looked for in the folders above, and `..` is none of them.
    real = folder.resolve()
    house = house_file(real / PLAN)
    if house is not None and house.parent != real:
        from shootlint.language.folders import seen_from_here

        # One in the new folder would take its place.
        del made[HOUSE_FILE]
        return made, [f"{seen_from_here(house)} holds there, so no other {HOUSE_FILE} was written"]
    return made, []


def refuse_to_leave(folder: Path, names: dict[str, bytes]) -> None:
    """Raises Refused where a file would be written through a link that leads out of the folder."""
    root = os.path.realpath(folder)
    for name in names:
        home = os.path.realpath(os.path.dirname(folder / name) or ".")
        if home != root and not home.startswith(root.rstrip(os.sep) + os.sep):
            raise Refused(f"{folder / os.path.dirname(name)} leads out of {folder}; nothing was written")
