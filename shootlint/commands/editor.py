"""Serves an editor: a language server on standard input and output for plans and rule files."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import BinaryIO

WANTED = ("pygls", "lsprotocol")
"""What the extra `editor` brings."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--colours",
        metavar="FOLDER",
        help="write the grammars that colour plans and rule files into a folder instead, for an editor to take them from",
    )


def run(call: argparse.Namespace) -> int:
    from shootlint.commands.main import trouble

    if call.colours is not None:
        from shootlint.commands.colouring.writing import write_into

        return write_into(call.colours)
    try:
        from shootlint.commands.server.serving import serve
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in WANTED:
            raise
        return trouble('the editor\'s server needs what the extra "editor" brings: pip install "shootlint[editor]"')
    from shootlint.commands.today import today

    today()
    return serve(*_streams())


def _streams() -> tuple[BinaryIO, BinaryIO]:
    """Standard input and output for the protocol alone: whatever else in this process writes there, or reads, as code of
    an installed package may, finds standard error and nothing to read."""
    wanted, given = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.close(nothing)
    os.dup2(2, 1)
    sys.stdout = sys.stderr
    return wanted, given
