"""Writes what every kind of report of `check`, the field sheet, `mend` and `levers` say, for tests to compare with.

    python -m tests.golden

writes tests/golden/PLAN.KIND afresh; the diff then shows what a change makes the reports say. What is the same in all of
them, or another with each version, is left out: style sheets, and of SARIF the rules that no result names.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from shootlint.commands.arguments import kinds, renderer
from shootlint.commands.main import main as main_command
from shootlint.commands.many import run_over
from shootlint.commands.sheets import made
from shootlint.reports.run import Run

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
TODAY = "2026-05-01"
"""The day on which acceptances are asked whether they are still good."""
FOR_PROGRAMS_ALONE = {"json"}
"""The kinds that are held to their schema and not looked at: they are long, and any number more changes them."""
TOGETHER = {"html"}
"""The kinds that are about many plans at once."""
LONG = "hurried-draft"
TOO_LONG = {"sarif", "sheet", "mend"}
"""Kinds in which the drafts that show every rule are longer than anybody looks at, or take as long; the first draft shows the same."""


def plans() -> list[str]:
    """The plans, as a call from the checkout's top folder names them; kits are none."""
    found = (path.relative_to(ROOT) for path in sorted((ROOT / "plans").rglob("*.shoot")))
    return [str(path) for path in found if path.parent.name != "kit"]


def golden_name(plan: str) -> str:
    return "-".join(Path(plan).with_suffix("").parts[1:])


def goldens(plan: str) -> Iterator[tuple[Path, str]]:
    """What each kind of report says of a plan, and the file in which that is kept."""
    name = golden_name(plan)
    left_out = FOR_PROGRAMS_ALONE | TOGETHER | (TOO_LONG if name.startswith(LONG) else set())
    with contextlib.chdir(ROOT), patch.dict(os.environ, SHOOTLINT_TODAY=TODAY):
        run = judged(plan, margins=True)
        for kind in sorted({*kinds()} - left_out):
            render = renderer(kind)
            assert render is not None
            yield HERE / f"{name}.{kind}", shortened(kind, render(run))
        if "sheet" not in left_out:
            (sheet,) = made(run, [])
            yield HERE / f"{name}.sheet", shortened("html", sheet.text)
        if "mend" not in left_out and any(each.level != "note" for each in run.plans[0].findings):
            yield HERE / f"{name}.mend", said("mend", plan)


def of_all() -> Iterator[tuple[Path, str]]:
    """What the kinds say that are about many plans at once, and what is said of no plan: what each lever costs."""
    with contextlib.chdir(ROOT), patch.dict(os.environ, SHOOTLINT_TODAY=TODAY):
        run = judged("plans", margins=False)
        for kind in sorted(TOGETHER):
            render = renderer(kind)
            assert render is not None
            yield HERE / f"all.{kind}", shortened(kind, render(run))
    yield HERE / "levers.page", said("levers")


def said(*words: str) -> str:
    """What a command prints."""
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        main_command(list(words))
    return printed.getvalue()


def judged(path: str, margins: bool) -> Run:
    return run_over(Namespace(paths=[path], rules=[], margins=margins, trials=None, seed=None, jobs=1, cache=False))


def shortened(kind: str, text: str) -> str:
    """A report without what is the same in all of them."""
    if kind == "html":
        return re.sub(r"(<style>).*?(</style>)", r"\1\2", text, flags=re.S)
    return _log(text) if kind == "sarif" else text


def _log(text: str) -> str:
    """A SARIF log without what is another with each version, and with a line for each result."""
    log = json.loads(text)
    (run,) = log["runs"]
    driver = run["tool"]["driver"]
    named = {each["ruleId"] for each in run["results"]}
    driver["rules"] = [each for each in driver["rules"] if each["id"] in named]
    for version in ("version", "semanticVersion", "fullName"):
        driver.pop(version, None)
    # Both hang on what is left out here.
    del run["automationDetails"]["guid"]
    for result in run["results"]:
        del result["ruleIndex"]
    lines = {name: run.pop(name) for name in ("results", "artifacts")} | {"rules": driver.pop("rules")}
    rest = json.dumps(log, ensure_ascii=False, indent=1)
    told = [f"{name}\n" + "".join(f"{json.dumps(each, ensure_ascii=False)}\n" for each in every) for name, every in lines.items()]
    return "\n".join([f"{rest}\n", *told])


def main() -> None:
    written = dict(of_all())
    for plan in plans():
        written |= dict(goldens(plan))
    for old in {path for path in HERE.iterdir() if path.suffix != ".py" and path.is_file()} - written.keys():
        old.unlink()
    for path, text in written.items():
        path.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
