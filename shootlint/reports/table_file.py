"""What tables for spreadsheets (CSV, RFC 4180) are made of."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from shootlint.language.table import guarded
from shootlint.reports.visible import visible


def table_of(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table with its first line. What a spreadsheet would take for a formula has an apostrophe before it, which our own
    lists take off again; numbers are written as they are."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([each if isinstance(each, int) else guarded(visible(str(each))) for each in row] for row in rows)
    return file.getvalue()
