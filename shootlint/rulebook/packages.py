"""What installed packages offer: readings in Python and rule files, by entry points of the PyPA specification.

A package names the module that declares its readings under `shootlint.readings`, and the module whose folder holds its
`.rules` files under `shootlint.rules`. Nothing of it is loaded before a rule file says `use package "NAME"`, where NAME
is the entry point's name.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import EntryPoint, entry_points
from importlib.resources import files
from importlib.util import find_spec

from shootlint.language.complaint import did_you_mean
from shootlint.language.source import Source, Unreadable, decode
from shootlint.readings.catalogue import kept_off_output, offered
from shootlint.rulebook.rule_files import rule_files_in

READINGS, RULES = "shootlint.readings", "shootlint.rules"


class Fault(Exception):
    """A package that cannot be used. Its text names the package, for a person."""


def offered_by(name: str) -> Iterator[Source]:
    """Loads a package's readings and gives its rule files; raises Fault with a reason."""
    found = {group: [each for each in entry_points(group=group) if each.name == name] for group in (READINGS, RULES)}
    if not any(found.values()):
        known = {each.name for group in (READINGS, RULES) for each in entry_points(group=group)}
        raise Fault(f'no installed package offers "{name}"{did_you_mean(name, known, quoted=True)}')
    for entry in found[READINGS]:
        with offered(name):
            _loaded(entry, name)
    for entry in found[RULES]:
        _loaded(entry, name)
        try:
            found_files = sorted(rule_files_in(files(entry.module)))
        except (OSError, TypeError, ValueError) as error:
            raise Fault(f'package "{name}" has no folder of rule files: {error}') from None
        for path, file in found_files:
            try:
                yield decode(file.read_bytes(), f"{name}/{path}")
            except (OSError, Unreadable) as error:
                raise Fault(f'package "{name}": {path}: {error}') from None


def places(name: str) -> list[str]:
    """Where the files of a package lie: all that what it offers may hang on."""
    tops = {
        each.module.partition(".")[0] for group in (READINGS, RULES) for each in entry_points(group=group) if each.name == name
    }
    specs = [find_spec(top) for top in sorted(tops)]
    return [
        path
        for spec in specs
        if spec is not None
        for path in (spec.submodule_search_locations or ([spec.origin] if spec.origin is not None else []))
    ]


def _loaded(entry: EntryPoint, name: str) -> None:
    try:
        with kept_off_output():
            entry.load()
    except KeyboardInterrupt:
        # Whoever runs the program has had enough of waiting.
        raise
    # Whatever a package does on import, ending the program included, is its own fault and must not end the run.
    except BaseException as error:
        raise Fault(f'package "{name}" cannot be loaded: {type(error).__name__}: {error}') from None
