"""What reports read of judged plans: plain data, which passes between processes and into the store of verdicts as it is.

A field more is a line here and one in recording.py, where it is filled; nothing else has to know of it.
"""

from __future__ import annotations

from functools import cache
from types import NoneType, UnionType
from typing import Any, NamedTuple, get_args, get_origin, get_type_hints


class PlaceRecord(NamedTuple):
    """A stretch of a file, in lines and columns from 1; the end is one past the last character."""

    path: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}"


class Remark(NamedTuple):
    """A mistake in a file, or a note on it."""

    place: PlaceRecord
    message: str
    in_rules: bool = False
    """Whether the file is a rule file, rather than a plan or a kit."""


class MeasuredRecord(NamedTuple):
    """What decided a finding: a quantity and the limit that it broke, in the unit that people see."""

    reading: str
    value: float
    limit: float
    unit: str


class ChangeRecord(NamedTuple):
    """New text for a stretch of a file."""

    place: PlaceRecord
    text: str


class MendRecord(NamedTuple):
    title: str
    grade: str
    cost: str
    """What it costs or gives besides, in words."""
    changes: tuple[ChangeRecord, ...]


class AcceptanceRecord(NamedTuple):
    """A line of a plan by which somebody lives with a finding."""

    reason: str
    until: str | None
    place: PlaceRecord


class FindingRecord(NamedTuple):
    """A rule that does not hold for one thing in one setup, or over the plan as a whole."""

    rule: str
    title: str
    level: str
    message: str
    place: PlaceRecord
    setup: str | None
    """None where the rule is over the whole plan."""
    axes: tuple[str, ...]
    """What kinds of thing it is about, such as person; `about` has their names."""
    about: tuple[str, ...]
    measured: MeasuredRecord | None
    spans: tuple[tuple[str, str], ...]
    """The clock times from which to which it does not hold; empty where time does not matter."""
    mends: tuple[MendRecord, ...]
    remedy: tuple[str, ...]
    """The levers that the rule names."""
    because: str
    source: str | None
    share: float | None = None
    """The share of trials in which it does not hold; None without trials."""
    searched: bool = True
    """Whether mends were looked for."""
    slot: tuple[str, str] | None = None
    """The clock times at which its setup begins and ends; None where the plan does not say."""
    formerly: tuple[str, ...] = ()
    """Names that the rule had before."""
    lapsed: AcceptanceRecord | None = None
    """The acceptance that spared it until it ran out."""
    state: str | None = None
    """How it compares with an earlier report, in SARIF's words: new, updated or unchanged; None where none was named."""

    @property
    def counts(self) -> bool:
        """Whether it has a say in the exit status: what an earlier report knows already has none."""
        return self.state != "unchanged"


class AcceptedRecord(NamedTuple):
    finding: FindingRecord
    reason: str
    until: str | None
    place: PlaceRecord | None = None
    """The line that accepts it."""


class HeldRecord(NamedTuple):
    """A rule that holds on paper in a setup, and in what share of trials it does not."""

    rule: str
    setup: str
    share: float
    about: tuple[tuple[tuple[str, ...], float], ...]
    """For whom or what it fails, and in what share."""


class WatchedRecord(NamedTuple):
    """An uncertain input that decides much, and what to do about it."""

    uncertainty: str
    setup: str
    """The setup in which it is drawn for itself; empty where it is one for the evening."""
    owner: str
    words: str
    decides: float
    """The share of all that varies between trials that it explains by itself."""
    rule: str
    about: tuple[str, ...]
    alone: float | None
    """How much of it turns the rule's answer by itself; None where nothing within reason does."""
    unit: str


class SurenessRecord(NamedTuple):
    """What trials tell of a plan."""

    trials: int
    seed: int
    whole: float
    """The share of trials in which everything that holds on paper holds, notes left out."""
    held: tuple[HeldRecord, ...]
    watch: tuple[WatchedRecord, ...]


class MarginRecord(NamedTuple):
    """A rule that holds by little, in words, and how far things may drift before it fails."""

    rule: str
    setup: str
    about: tuple[str, ...]
    words: str
    drifts: tuple[str, ...]


class NotJudgedRecord(NamedTuple):
    """A rule that could not be judged in a setup, and what the plan would have to say."""

    rule: str
    setup: str
    needs: tuple[str, ...]
    state: str | None = None
    """How it compares with an earlier report, as in a finding."""


class SetupRecord(NamedTuple):
    """A setup, and where it begins."""

    name: str
    place: PlaceRecord


class PlanRecord(NamedTuple):
    """One file, what is wrong with its text, and what judging it gave."""

    path: str
    title: str | None
    is_plan: bool
    """Whether it has a setup, sound or not; without one it is a kit."""
    may_be_plan: bool
    """Whether it is a plan, or begins as one and has mistakes that hide the rest."""
    complaints: tuple[Remark, ...]
    """The mistakes in the plan, its kits and its rule files."""
    notes: tuple[Remark, ...]
    """What its rule files might say better; nothing hangs on it."""
    unsound_setups: tuple[str, ...]
    """Setups that are not judged because of a mistake in them or in what they name."""
    findings: tuple[FindingRecord, ...] = ()
    accepted: tuple[AcceptedRecord, ...] = ()
    not_judged: tuple[NotJudgedRecord, ...] = ()
    held: int = 0
    """How many times a rule was judged in a setup and held."""
    safety: tuple[str, ...] = ()
    sureness: SurenessRecord | None = None
    """What trials gave; None where none were asked for."""
    margins: tuple[MarginRecord, ...] = ()
    """What holds by little, the tightest first, where that was asked for."""
    date: str | None = None
    """The day of the shoot, as in 2026-11-24; None where the plan does not say."""
    setups: tuple[SetupRecord, ...] = ()
    """Every setup that has a name, be it judged or unsound."""
    digest: str = ""
    """SHA-256 of the file's bytes, in hexadecimal."""

    @property
    def holds(self) -> bool:
        """Whether it reads without a mistake and has no error."""
        return not self.complaints and not self.unsound_setups and not self.at_level("error")

    @property
    def is_judged(self) -> bool:
        """Whether any setup was judged."""
        return any(setup.name not in self.unsound_setups for setup in self.setups)

    @property
    def has_no_setup(self) -> bool:
        """Whether it is sound and yet nothing in it can be judged: a kit."""
        return not self.complaints and not self.is_plan

    def at_level(self, level: str) -> list[FindingRecord]:
        return [finding for finding in self.findings if finding.level == level]

    @property
    def known(self) -> list[FindingRecord]:
        """The findings that an earlier report has too."""
        return [finding for finding in self.findings if not finding.counts]


class GoneRecord(NamedTuple):
    """A finding of an earlier report that is no more."""

    rule: str
    level: str
    message: str
    place: PlaceRecord
    fingerprint: str


def rebuilt(data: Any, of: Any) -> Any:
    """A record from its JSON, which has its fields in order; raises ValueError where it is not one.

    `of` is a class of records or what one of its fields is declared to be.
    """
    return _builder(of)(data)


@cache
def _builder(of: Any) -> Any:
    """The function that rebuilds a value of a declared type."""
    if isinstance(of, type) and issubclass(of, tuple) and hasattr(of, "_fields"):
        return _record_builder(of)
    parts = get_args(of)
    if get_origin(of) is UnionType:
        (inner,) = (_builder(part) for part in parts if part is not NoneType)
        return lambda data: None if data is None else inner(data)
    if get_origin(of) is tuple:
        return _tuple_builder(parts)
    return _plain_builder(of)


def _record_builder(of: Any) -> Any:
    hints = get_type_hints(of)
    fields = [_builder(hints[name]) for name in of._fields]

    def build(data: Any) -> Any:
        if type(data) is not list or len(data) != len(fields):
            raise ValueError(f"this is no {of.__name__}")
        return of._make([field(each) for field, each in zip(fields, data, strict=True)])

    return build


def _tuple_builder(parts: tuple[Any, ...]) -> Any:
    inner = [_builder(part) for part in parts if part is not Ellipsis]

    def build(data: Any) -> Any:
        if type(data) is not list or (parts[-1] is not Ellipsis and len(data) != len(inner)):
            raise ValueError("this is no list")
        builders = inner * len(data) if parts[-1] is Ellipsis else inner
        return tuple([builder(each) for builder, each in zip(builders, data, strict=True)])

    return build


def _plain_builder(of: type) -> Any:
    def build(data: Any) -> Any:
        if type(data) is not of:
            raise ValueError(f"this is no {of.__name__}")
        return data

    return build
