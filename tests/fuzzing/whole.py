"""A plan put through the whole program: every command that answers about one plan, in every kind of report."""

from __future__ import annotations

import contextlib
import io
import json
import re
import shutil
from pathlib import Path
from typing import Any

from shootlint.commands.arguments import kinds
from shootlint.commands.main import main

from .promises import odd_numbers

KINDS_OF_HOURS = kinds("shootlint.reports.hours")


def calls(plan: Path, folder: Path) -> list[list[str]]:
    """Every call that is made, each answer into a file of its own."""

    def reports(command: str, of: list[str]) -> list[str]:
        return [word for kind in of for word in ("--report", f"{kind}={folder / f'{command}.{kind}'}")]

    measured = [["measure", str(plan), *reports("measure", [kind])] for kind in ("text", "json")]
    return [
        ["check", str(plan), "--no-cache", "--margins", "--trials", "20", *reports("check", kinds())],
        ["hours", str(plan), "--fail-on", "note", *reports("hours", KINDS_OF_HOURS)],
        *measured,
        ["sheet", str(plan), "--to", str(folder / "sheet.html")],
    ]


def answers(text: str, folder: Path) -> dict[str, str]:
    """What the program says of a plan, by command and kind as in "check.text", its complaints under "errors".

    Raises whatever a command raises, and AssertionError where an answer shows somebody what is no number, or is no JSON.
    """
    plan, into = folder / "plan.shoot", folder / "answers"
    plan.write_text(text, "utf-8")
    shutil.rmtree(into, ignore_errors=True)
    into.mkdir()
    complaints = io.StringIO()
    with contextlib.redirect_stderr(complaints):
        for call in calls(plan, into):
            assert main(call) in (0, 1, 2), call
    found = {path.name: path.read_text("utf-8") for path in sorted(into.rglob("*.*")) if path.is_file()}
    found["errors"] = complaints.getvalue()
    for name, said in found.items():
        if name.endswith((".json", ".sarif")):
            # JSON has no word for what is no number.
            json.loads(said, parse_constant=_refused)
            continue
        # Styles and paths are for browsers, which may be told of 1e-05.
        shown = re.sub(r"<style>.*?</style>", "", said, flags=re.DOTALL).replace(str(folder), "")
        # What the plan itself has written may be told of.
        assert odd_numbers(shown, text) == [], name
    return found


def _refused(constant: str) -> Any:
    raise AssertionError(f"{constant} is no JSON")
