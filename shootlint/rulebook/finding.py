"""What judging a plan gives: findings, what was accepted, and what could not be judged."""

from __future__ import annotations

from dataclasses import dataclass, field

from shootlint.language.edits import Change
from shootlint.language.model import Acceptance
from shootlint.language.source import Place
from shootlint.language.units import Unit
from shootlint.readings.scene import Scene
from shootlint.rulebook.model import LEVELS
from shootlint.rulebook.ready import ReadyRule


@dataclass(frozen=True)
class Measured:
    """What decided a finding: a quantity and the limit that it broke, in base units."""

    reading: str
    value: float
    limit: float
    sign: str
    unit: Unit


@dataclass(frozen=True)
class Mend:
    """What would make a finding go away, in words and as changes of the text."""

    title: str
    grade: str
    changes: tuple[Change, ...] = ()
    cost: str = ""
    """What it costs or gives besides, in words."""


@dataclass(frozen=True)
class Finding:
    """A rule that does not hold for one thing in one setup."""

    rule: ReadyRule
    message: str
    place: Place
    scene: Scene
    about: tuple[str, ...]
    """Who or what it is about: people or lights by name."""
    index: tuple[tuple[str, int], ...]
    """Which element along the axes of the rule's scope."""
    measured: Measured | None
    spans: tuple[tuple[str, str], ...]
    """The clock times from which to which it does not hold; empty where time does not matter."""
    mends: tuple[Mend, ...] = ()
    share: float | None = None
    """The share of trials in which it does not hold; None without trials."""
    searched: bool = True
    """Whether mends were looked for; where a plan has very many findings, they are for the worst only."""
    lapsed: Acceptance | None = None
    """The acceptance that spared it until it ran out."""

    @property
    def level(self) -> str:
        return self.rule.level

    @property
    def setup(self) -> str:
        return str(self.scene.setup.name)


@dataclass(frozen=True)
class Accepted:
    finding: Finding
    by: Acceptance

    @property
    def reason(self) -> str:
        return str(self.by.because)

    @property
    def until(self) -> str | None:
        return str(self.by.until) if self.by.until else None


@dataclass(frozen=True)
class NotJudged:
    """A rule that could not be judged in a setup, and what the plan would have to say."""

    rule: str
    setup: str
    needs: tuple[str, ...]


@dataclass(frozen=True)
class Held:
    """A rule that holds on paper in a setup, and in what share of trials it does not."""

    rule: str
    setup: str
    share: float
    """The share of trials in which it fails for anybody for whom it holds on paper."""
    about: tuple[tuple[tuple[str, ...], float], ...]
    """For whom or what it fails, and in what share."""


@dataclass(frozen=True)
class Watched:
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
    """How much of it turns the rule's answer by itself, in the unit; None where nothing within reason does."""
    unit: Unit


@dataclass(frozen=True)
class Sureness:
    """What trials tell of a plan."""

    count: int
    seed: int
    whole: float
    """The share of trials in which everything that holds on paper holds, notes left out."""
    held: tuple[Held, ...]
    watch: tuple[Watched, ...]


@dataclass
class Verdict:
    """All that judging one plan gives."""

    findings: list[Finding] = field(default_factory=list)
    accepted: list[Accepted] = field(default_factory=list)
    not_judged: list[NotJudged] = field(default_factory=list)
    held: int = 0
    """How many times a rule was judged in a setup and held."""
    safety: list[str] = field(default_factory=list)
    sureness: Sureness | None = None
    """What trials gave; None where none were asked for."""

    def at_level(self, level: str) -> list[Finding]:
        return [finding for finding in self.findings if finding.level == level]

    def worst(self) -> str | None:
        """The worst level among the findings."""
        return next((level for level in LEVELS if self.at_level(level)), None)
