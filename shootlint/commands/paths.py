"""What the paths of a call stand for: files, folders of plans, and standard input. Nothing heavy is imported here."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple, TypeVar

from shootlint.language.folders import root_of
from shootlint.language.source import Unreadable

STANDARD_INPUT = "-"
SAID_OF_INPUT = "standard input"
"""The name by which people know it."""
PLANS = (".shoot",)
RULES = (".rules",)
OURS = (*PLANS, *RULES)
"""What the files end with that people write and we lay out."""
LEADS_OUT = "it is a link that leads out of the repository; name the file itself if it is meant"
Found = TypeVar("Found")


class Asked(NamedTuple):
    """One path of a call and the files that it stands for, each real file but once in a call."""

    path: str
    is_folder: bool
    files: list[str]
    refused: list[OSError]
    """What could not be looked into."""
    passed_over: bool
    """Whether a file of it stands for an earlier path already."""


def asked(paths: Iterable[str], endings: tuple[str, ...] = PLANS) -> list[Asked]:
    """What paths stand for: a folder for every file below it with one of these endings, in the order of their names."""
    seen: set[str] = set()
    found = []
    for given in paths:
        refused: list[OSError] = []
        is_folder = given != STANDARD_INPUT and os.path.isdir(given)
        files = list(files_below(given, refused, endings)) if is_folder else [shown_as(given)]
        first = []
        for file in files:
            real = file if file == STANDARD_INPUT else os.path.realpath(file)
            if real not in seen:
                seen.add(real)
                first.append(file)
        found.append(Asked(given, is_folder, first, refused, len(first) < len(files)))
    return found


def results(
    paths: Iterable[Asked],
    of: Callable[[str], Found],
    is_plan: Callable[[Found], bool],
) -> Iterator[tuple[str, Found | Unreadable]]:
    """What came of each file, by the name that people know it by; what lies in a folder and is no plan is left out.

    A folder without a plan, and what is in it and cannot be read, does not pass in silence.
    """
    for each in paths:
        empty = each.is_folder and not each.passed_over
        for file in each.files:
            if each.is_folder and leads_out(file):
                empty = False
                yield file, Unreadable(LEADS_OUT)
                continue
            found = of(file)
            if not each.is_folder or is_plan(found):
                empty = False
                yield SAID_OF_INPUT if file == STANDARD_INPUT else file, found
        for error in each.refused:
            yield str(error.filename), Unreadable(f"the folder cannot be read: {error.strerror}")
        if empty and not each.refused:
            yield each.path, Unreadable("there is no plan below this folder")


def leads_out(file: str) -> bool:
    """Whether a file of a folder is a link to something outside of the repository in which the link lies. Whoever proposes a
    change could otherwise have any file of the machine read, for complaints quote what they are about."""
    if not os.path.islink(file):
        return False
    root = root_of(Path(os.path.realpath(os.path.dirname(file) or "."), os.path.basename(file)))
    return (root / ".git").exists() and not Path(os.path.realpath(file)).is_relative_to(root)


def files_below(folder: str, refused: list[OSError], endings: tuple[str, ...] = PLANS) -> Iterator[str]:
    """Every file below a folder with one of these endings, in the order of their names, those of a folder before those of its folders;
    hidden files and folders and links to folders are left out. Folders that cannot be read are added to `refused`."""
    for place, folders, files in os.walk(folder, onerror=refused.append):
        folders[:] = sorted(each for each in folders if not each.startswith("."))
        for file in sorted(files):
            if file.endswith(endings) and not file.startswith("."):
                yield shown_as(os.path.join(place, file))


def shown_as(path: str) -> str:
    """A path without what says nothing, such as a leading `./`."""
    return str(Path(path))
