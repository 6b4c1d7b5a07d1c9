"""Lists what rules may use, or prints one reading's page: unit, axes, meaning, formula, source."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.readings.catalogue import Reading


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", metavar="READING", help="only this reading, with its formula and source")


def run(call: argparse.Namespace) -> int:
    from shootlint.commands import output
    from shootlint.commands.refused import Refused
    from shootlint.language.complaint import none_called
    from shootlint.readings.catalogue import catalogue

    readings = catalogue()
    if call.name is None:
        output.say(listing(readings))
        return 0
    if call.name not in readings:
        raise Refused(none_called("reading", call.name, readings))
    output.say(page_of(readings[call.name]))
    return 0


def listing(readings: Mapping[str, Reading]) -> Iterator[str]:
    from shootlint.reports.layout import columns

    known = (readings[name] for name in sorted(readings))
    yield from columns((each.name, each.unit.name, ", ".join(each.axes) or "setup", each.meaning) for each in known)


def page_of(reading: Reading) -> Iterator[str]:
    """A reading's page."""
    from shootlint.reports.layout import page

    facts = {
        "unit": reading.unit.name if not reading.words else f"one of {', '.join(reading.words)}",
        "for each": ", ".join(reading.axes) or "setup",
        "formula": reading.formula,
        "from": ", ".join(f"{name} (may be unknown)" if optional else name for name, optional in reading.needs),
        "asks for": reading.asks,
        "source": reading.source,
        "holds for": reading.holds_for,
        "uncertainty": reading.uncertainty,
    }
    yield from page(reading.name, reading.meaning, facts)
