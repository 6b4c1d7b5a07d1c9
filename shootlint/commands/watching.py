"""Judges plans again whenever one of them, or what they rest on, is saved, and keeps their sheets open in a browser fresh."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from shootlint.commands import output
from shootlint.commands.paths import OURS, STANDARD_INPUT
from shootlint.commands.refused import Refused
from shootlint.language.folders import root_of
from shootlint.language.source import Unreadable
from shootlint.reports.run import Run

TOGETHER = 200
"""Milliseconds within which several files that are saved count as one change."""


def watch(call: argparse.Namespace, judge: Callable[[], Run]) -> int:
    """Judges, and again after each change, until the user interrupts. `judge` does it and reports.

    Raises Refused where nothing can be watched, and what `judge` raises at first; later on that is only told, for the next
    save may mend it.
    """
    try:
        from watchfiles import watch as changes
    except ImportError:
        raise Refused('--watch needs what the extra "watch" brings: pip install "shootlint[watch]"') from None
    if STANDARD_INPUT in call.paths:
        raise Refused("--watch looks at files, and standard input is none")
    folders = folders_of([*call.paths, *call.rules])
    from shootlint.commands.serving import Pages

    pages = Pages()
    pages.put(sheets_of(judge(), call.rules))
    output.complain(f"sheets: {pages.serve()} (on this machine alone, until this process ends)")
    try:
        for saved in changes(*folders, watch_filter=matters, debounce=TOGETHER):
            names = sorted({os.path.basename(path) for _, path in saved})
            output.complain(f"judged again: {', '.join(names[:3])}{' and others' * (len(names) > 3)} changed")
            try:
                pages.put(sheets_of(judge(), call.rules))
            except (Refused, Unreadable) as error:
                output.complain(f"shootlint: {error}")
            except Exception as error:
                # A fault of ours in one state of a plan that is being typed must not end the watch over all that follow.
                output.complain(f"shootlint: judging broke off: {type(error).__name__}: {error}")
    except KeyboardInterrupt:
        pass
    return 0


def folders_of(paths: Iterable[str]) -> list[Path]:
    """What to watch: the repository of each path, or its folder where it is in none, for nothing that a plan names may lie
    outside. Raises Refused for what is not there."""
    found: set[Path] = set()
    for path in paths:
        real = Path(os.path.realpath(path))
        if not real.exists():
            raise Refused(f"--watch: {path} is not there")
        found.add(root_of(real / "of-this-folder" if real.is_dir() else real))
    # A folder within another one is watched with it.
    return [each for each in sorted(found) if not any(each != other and each.is_relative_to(other) for other in found)]


def matters(_: object, path: str) -> bool:
    """Whether a changed file may have a say; hidden ones are what is being written and not yet put in its place."""
    return path.endswith(OURS) and not os.path.basename(path).startswith(".")


def sheets_of(run: Run, rule_files: Iterable[str]) -> Mapping[str, str]:
    """The sheet of the only plan, or a page over several with their sheets beside it, by name."""
    from shootlint.commands.sheets import link, made
    from shootlint.reports.html import Beside, render

    sheets = list(made(run, rule_files))
    if len(sheets) == 1 and len(run.plans) == 1:
        return {"": sheets[0].text}
    beside = {each.path: Beside(link(each.name), each.loses) for each in sheets}
    return {"": render(run, beside=beside), **{each.name: each.text for each in sheets}}
