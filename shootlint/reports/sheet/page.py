"""The field sheet as a page that needs nothing but itself."""

from __future__ import annotations

from shootlint.reports.pages import page
from shootlint.reports.sheet.gathered import Sheet


def sheet_page(sheet: Sheet) -> str:
    return page("sheet.html.jinja", sheet=sheet)
