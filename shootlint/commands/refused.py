"""What was asked for and is not done. Nothing heavy is imported here."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.language.complaint import Complaint


class Refused(Exception):
    """What was asked for is not done. Its text says why, for a person; mistakes that are the reason go with it."""

    def __init__(self, message: str, complaints: Iterable[Complaint] = ()) -> None:
        super().__init__(message)
        self.complaints = tuple(complaints)
