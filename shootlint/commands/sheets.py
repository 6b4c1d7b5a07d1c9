"""Field sheets of judged plans."""

from __future__ import annotations

import datetime

from shootlint.commands.pipeline import JudgedPlan


def sheet_of(judged: JudgedPlan, day: datetime.date) -> str | None:
    """The sheet of a plan as a page; None where it has no sound setup."""
    from shootlint.reports.sheet.gathered import gather
    from shootlint.reports.sheet.page import sheet_page

    if judged.document.plan is None or judged.verdict is None or judged.book is None or not judged.document.plan.setup:
        return None
    return sheet_page(gather(judged.document.plan, judged.book, day, judged.record()))
