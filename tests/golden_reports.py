"""The reports of all plans in plans/, as they were last looked at by a person: `python tests/golden_reports.py` writes them anew.

What changes in them then shows in the change that is proposed, and is to be looked at. SARIF stands there without the rules
that no result names, one result on a line: all rules' texts would be in it for each plan, and are in rules/CATALOGUE.md once.
"""

from __future__ import annotations

import json
import os
import sys
from argparse import Namespace
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[1]
GOLDEN = Path(__file__).parent / "reports" / "golden"
KINDS = {"junit": "xml", "markdown": "md", "sarif": "sarif"}
TODAY = "2026-11-24"
LONG = "hurried-draft"
"""Drafts that show every rule there is: as SARIF each is longer than anybody looks at, and the first draft shows the same."""


def reports() -> dict[str, str]:
    """The text of each report of each plan by the name of its file."""
    from shootlint.commands.many import run_over
    from shootlint.reports.run import Run

    before, today = os.getcwd(), os.environ.get("SHOOTLINT_TODAY")
    os.chdir(ROOT)
    os.environ["SHOOTLINT_TODAY"] = TODAY
    try:
        call = Namespace(margins=False, trials=None, seed=None, paths=["plans"], rules=[], jobs=1, cache=False)
        run = run_over(call)
        found = {}
        for plan in run.plans:
            name = plan.path.removeprefix("plans/").removesuffix(".shoot").replace("/", "-")
            alone = Run([plan], rulebook=run.rulebook)
            for kind, ending in KINDS.items():
                if kind == "sarif" and name.startswith(LONG):
                    continue
                text = import_module(f"shootlint.reports.{kind}").render(alone)
                found[f"{name}.{ending}"] = short(text) if kind == "sarif" else text
        return found
    finally:
        os.chdir(before)
        if today is None:
            del os.environ["SHOOTLINT_TODAY"]
        else:
            os.environ["SHOOTLINT_TODAY"] = today


def short(text: str) -> str:
    """A log without what is the same for all plans or another one with each version, and with a line for each result."""
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


def write() -> None:
    """Writes all of them anew, and takes away those of plans that are no more."""
    GOLDEN.mkdir(exist_ok=True)
    written = reports()
    for path in GOLDEN.iterdir():
        if path.name not in written:
            path.unlink()
    for name, text in written.items():
        (GOLDEN / name).write_text(text, "utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(write())
