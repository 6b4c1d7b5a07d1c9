"""Putting the files that colour texts where an editor looks for them."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from shootlint.commands import output
from shootlint.commands.main import trouble


def write_into(folder: str) -> int:
    """Writes all files below a folder and says which; returns the exit status. What is there under other names stays."""
    written = []
    try:
        for path, text in _files(files("shootlint.commands.colouring").joinpath("files")):
            target = Path(folder) / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(text)
            written.append(str(target))
    except OSError as error:
        return trouble(f"the grammars cannot be written to {folder}: {error.strerror}")
    output.say(written)
    return 0


def _files(folder: Traversable, before: str = "") -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for each in sorted(folder.iterdir(), key=lambda each: each.name):
        if each.is_dir():
            found += _files(each, f"{before}{each.name}/")
        else:
            found.append((before + each.name, each.read_bytes()))
    return found
