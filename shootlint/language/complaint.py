"""What is wrong with a text, as a value with a place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice

from shootlint.language.source import Place

MOST_COMPARED = 1000
LONGEST_COMPARED = 100
"""Past these, a word is not compared letter by letter with all that are known: that takes seconds and helps nobody."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One mistake in a file: where, what is wrong and what to write instead.

    The message starts in lower case and ends without a full stop, as the GNU Coding Standards ask.
    """

    place: Place
    message: str

    def __str__(self) -> str:
        return f"{self.place}: error: {self.message}"


def nearest(word: str, known: Iterable[str], likeness: float = 0.6) -> str | None:
    """The known word that someone who wrote this one probably meant. A likeness of 1 takes the same letters only."""
    wanted = word.lower()
    by_lower = {candidate.lower(): candidate for candidate in sorted(set(known))}
    if wanted in by_lower:
        return by_lower[wanted]
    if len(by_lower) > MOST_COMPARED:
        alike = (each for each in by_lower if each[:1] == wanted[:1] and abs(len(each) - len(wanted)) < 3)
        by_lower = {each: by_lower[each] for each in islice(alike, MOST_COMPARED)}
    close = get_close_matches(wanted, by_lower, n=1, cutoff=likeness) if len(wanted) <= LONGEST_COMPARED else []
    return by_lower[close[0]] if close else None


def did_you_mean(word: str, known: Iterable[str], quoted: bool = False) -> str:
    """A clause that names the nearest known word, or lists what there is when that is short, or nothing."""
    known = sorted(set(known))
    mark = '"' if quoted else ""
    meant = nearest(word, known)
    if meant is not None:
        return f"; did you mean {mark}{meant}{mark}?"
    if known and len(known) <= 8:
        there = listed([f"{mark}{each}{mark}" for each in known], "and")
        return f"; there is only {there}" if len(known) == 1 else f"; there are {there}"
    return ""


def none_called(kind: str, name: str, known: Iterable[str], quoted: bool = False) -> str:
    """What to say where nothing of a kind has the name that was asked for."""
    mark = '"' if quoted else ""
    return f"no {kind} is called {mark}{name}{mark}{did_you_mean(name, known, quoted)}"


def listed(words: Iterable[str], last: str = "or") -> str:
    """Words as a list in a sentence: "a, b or c"."""
    words = list(words)
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


class Complaints(list[Complaint]):
    """The complaints of one run, in the order found."""

    MOST = 200
    """Past this many in one run, more of them help nobody."""
    LONGEST = 500
    """A longer message repeats what the author wrote for pages; its middle is left out."""

    @property
    def full(self) -> bool:
        """Whether there are so many that reading on is a waste of time."""
        return len(self) >= self.MOST

    def add(self, place: Place, message: str) -> None:
        if len(message) > self.LONGEST:
            message = f"{message[: self.LONGEST // 2]}…{message[-self.LONGEST // 2 :]}"
        complaint = Complaint(place, message)
        if self.full or complaint in self:
            return
        if len(self) == self.MOST - 1:
            complaint = Complaint(place, "there are more mistakes than these; mend them first")
        self.append(complaint)
