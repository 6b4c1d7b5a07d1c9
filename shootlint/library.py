"""shootlint for programs: plans are read, judged, measured and mended as the commands do it, and what comes of it is plain data.

>>> import shootlint
>>> plan = '''shootplan 1
... people { "Ada" stature 170 cm }
... camera "Body" { sensor 36 mm x 24 mm; pixels 6000 px x 4000 px; sync 1/200 s; shutter 1/4000 s to 30 s; iso 100 to 6400 }
... lens "Fifty" { focal 50 mm; aperture f/2 to f/16 }
... setup "Alone" {
...   camera "Body"; lens "Fifty"; aperture f/8; shutter 1/125 s; iso 100; frame portrait; focus 3 m
...   row "only", 4 m { "Ada" standing, at 0 cm }
... }
... '''
>>> judged = shootlint.check_text(plan)
>>> judged.holds
False
>>> for each in judged.findings:
...     print(f"{each.place}: {each.level}: {each.message} [{each.rule}]")
...     print("mend:", each.mends[0].title)
plan:6:88: error: the lens is focused at 3 m, more than 10 cm before or behind everybody [focus.missed]
mend: focus row "only" (leaves 0.1 m to spare)

A plan with mistakes is no exception: the mistakes are what comes of it. Exceptions are for calls that make no sense, such as
a file that is not there.

>>> [f"{each.place}: {each.message}" for each in shootlint.check_text("shootplan 1\\ndate 2027-02-30\\n").complaints]
['plan:2:6: there is no day 2027-02-30; dates are year-month-day']
>>> shootlint.check_path("none.shoot")
Traceback (most recent call last):
shootlint.language.source.Unreadable: none.shoot: there is no such file

Nothing is kept between calls, nothing is written, and nothing hangs on the current folder: a text stands in the folder that
the call names, or in none; then it has no kits and the shipped rules judge it. What a call asks for is worked out anew.
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from shootlint.language.source import Unreadable, Unwritable
from shootlint.reports.records import ChangeRecord, FindingRecord, MendRecord, PlaceRecord, PlanRecord, Remark

if TYPE_CHECKING:
    from shootlint.checking.judge import Judge
    from shootlint.language.complaint import Complaint
    from shootlint.language.loading import Document
    from shootlint.language.model import Plan

__all__ = [
    "ChangeRecord", "FindingRecord", "Measured", "Measurement", "MendRecord", "MendStep", "Mended", "PlaceRecord", "PlanRecord",
    "ReadPlan", "Remark", "Unreadable", "Unwritable", "check_path", "check_text", "measure", "mend", "plan_text", "read_plan",
]  # fmt: skip
"""What `shootlint` offers to programs."""

Given: TypeAlias = "str | os.PathLike[str]"
"""A plan: its text, or the path of its file as a `pathlib.Path`."""
Folder: TypeAlias = "str | os.PathLike[str] | None"
Value: TypeAlias = "float | bool | str | dict[str, Value] | None"
"""A measured value: nested by the names along its axes, a plain one without axes, None where it is not known."""

TEXT = "plan"
"""What a text is called where no other name is given."""


class ReadPlan(NamedTuple):
    """A plan as read."""

    plan: Plan | None
    """What of it is sound, with the things of its kits; None where it does not begin as a plan."""
    complaints: tuple[Remark, ...]


class Measurement(NamedTuple):
    """What a reading is in one setup."""

    unit: str
    axes: tuple[str, ...]
    value: Value
    needs: tuple[str, ...]
    """What the plan would have to say, where something is not known."""


class Measured(NamedTuple):
    """What a plan measures: its readings by setup and name."""

    setups: Mapping[str, Mapping[str, Measurement]]
    complaints: tuple[Remark, ...]


class MendStep(NamedTuple):
    """One change of a mended plan, in words."""

    setup: str
    lever: str
    grade: str
    """mechanical, which keeps the picture, or editorial."""
    title: str
    cost: str
    mends: tuple[str, ...]
    """The rules that would fail again without it."""


class Mended(NamedTuple):
    """The least set of changes that was found, proven on the changed text."""

    text: str
    """The plan with the changes made; the plan itself where there are none."""
    steps: tuple[MendStep, ...]
    changes: tuple[ChangeRecord, ...]
    """The changes of the text, by their places in the plan as it was."""
    before: Mapping[str, int]
    """How many findings there were, by level."""
    after: Mapping[str, int]
    holds: bool
    """Whether the plan with the changes has no error; False where it has mistakes, and is left as it is."""
    complaints: tuple[Remark, ...]


def read_plan(plan: Given, *, name: str = TEXT, folder: Folder = None) -> ReadPlan:
    """A plan as its model, read with its kits.

    Raises Unreadable where a path leads to no text.

    >>> found = read_plan('shootplan 1\\npeople { "Ada" stature 170 cm }\\n')
    >>> [(str(each.name), each.stature.value) for each in found.plan.people.members]
    [('Ada', 1.7)]
    """
    document = _document(plan, name, folder, _judge((), None))
    return ReadPlan(document.plan, _remarks(document.complaints, document))


def plan_text(plan: Plan) -> str:
    """A plan, such as one that was made in Python, as the text of a file, laid out; read again it is the same plan.

    Things that came from the plan's kits stay there. Raises Unwritable where no text can say it.

    >>> from shootlint.language.model import Person, Plan
    >>> from shootlint.language.model.place import People
    >>> from shootlint.language.values import Count, Name, quantity
    >>> ada = Person(name=Name("Ada"), stature=quantity(170, "cm"), glasses=True)
    >>> print(plan_text(Plan(shootplan=Count(1), title=Name("Alone"), people=People(members=(ada,)))), end="")
    shootplan 1
    title "Alone"
    <BLANKLINE>
    people {
      "Ada" stature 170 cm, glasses
    }
    """
    from shootlint.language.written import plan_text as written

    return written(plan)


def check_text(
    text: str,
    *,
    name: str = TEXT,
    folder: Folder = None,
    rules: Iterable[str | os.PathLike[str]] = (),
    today: datetime.date | None = None,
    margins: bool = False,
) -> PlanRecord:
    """Judges the text of a plan, and looks for mends of what it finds.

    Parameters
    ----------
    name : what the text is called in what is told of it.
    folder : where its kits and its house.rules are looked for; without one it has none.
    rules : rule files in place of the nearest house.rules.
    today : the day on which acceptances are asked whether they are still good; the real one.
    margins : whether to tell what holds by little, too.

    Raises Unreadable where a rule file is no text.

    >>> check_text("shootplan 1\\ntitel 1").complaints[0].message
    'titel is not a word of a plan; did you mean title?'
    """
    judge = _judge(rules, today, margins)
    return judge.judge(_document(_as_text(text), name, folder, judge)).record()


def check_path(
    path: str | os.PathLike[str],
    *,
    rules: Iterable[str | os.PathLike[str]] = (),
    today: datetime.date | None = None,
    margins: bool = False,
) -> PlanRecord:
    """Judges the plan in a file by the rules that apply to it; its records are those of the command's reports.

    Parameters as for `check_text`. Raises Unreadable where the path leads to no text; a folder is none.

    >>> judged = check_path("plans/first-draft.shoot", today=datetime.date(2026, 9, 1))
    >>> judged.holds, len(judged.at_level("error"))
    (False, 6)
    >>> first = judged.at_level("error")[0]
    >>> first.rule, str(first.place), first.mends[0].title
    ('exposure.shutter-above-sync', 'plans/first-draft.shoot:46:3', 'shutter 1/160 s, though then light.rim-too-strong fails')
    """
    judge = _judge(rules, today, margins)
    return judge.judge(_document(Path(path), "", None, judge)).record()


def measure(
    plan: Given,
    *,
    name: str = TEXT,
    folder: Folder = None,
    setups: Iterable[str] = (),
    readings: Iterable[str] = (),
) -> Measured:
    """What a plan measures, over the slot of each setup; with names, of these setups or readings only.

    Raises Unreadable where a path leads to no text, and ValueError where no sound setup, or no reading, has such a name.

    >>> found = measure(Path("plans/evening.shoot"), readings=["blur", "sunset"])
    >>> blur = found.setups["Everyone, full length"]["blur"]
    >>> blur.unit, blur.axes, round(blur.value["Birk"], 2)
    ('mm', ('person',), 0.18)
    """
    from shootlint.language.complaint import none_called
    from shootlint.readings.catalogue import catalogue
    from shootlint.readings.graph import Graph
    from shootlint.readings.scene import places_of, scenes
    from shootlint.reports.measured import as_json

    document = _document(plan, name, folder, _judge((), None))
    sound = scenes(document.plan) if document.plan is not None else []
    chosen = [sound[place] for place in places_of(setups, sound)] or sound
    wanted = list(readings) or list(catalogue())
    for each in wanted:
        if each not in catalogue():
            raise ValueError(none_called("reading", each, catalogue()))
    found: dict[str, dict[str, Measurement]] = {}
    for scene in chosen:
        graph = Graph(scene)
        found[str(scene.setup.name)] = {each: _measurement(as_json(catalogue()[each], graph)) for each in wanted}
    return Measured(found, _remarks(document.complaints, document))


def _measurement(told: Mapping[str, object]) -> Measurement:
    axes, needs, value = told["axes"], told.get("needs", ()), told["value"]
    assert isinstance(axes, list) and isinstance(needs, list | tuple)
    return Measurement(str(told["unit"]), tuple(axes), _number(value), tuple(needs))


def _number(value: object) -> Value:
    """A value as the reports have it; what has no end is a number here."""
    if isinstance(value, dict):
        return {str(key): _number(each) for key, each in value.items()}
    if value in ("infinity", "-infinity"):
        return float(str(value))
    assert value is None or isinstance(value, bool | float | str)
    return value


def mend(
    plan: Given,
    *,
    name: str = TEXT,
    folder: Folder = None,
    rules: Iterable[str | os.PathLike[str]] = (),
    today: datetime.date | None = None,
    only_mechanical: bool = False,
) -> Mended:
    """The least set of changes that makes a plan hold; with `only_mechanical`, of those that keep the picture.

    Nothing is written. The other parameters are those of `check_text`. Raises Unreadable where a path, or a rule file,
    leads to no text.

    >>> mended = mend(Path("plans/first-draft.shoot"))
    >>> mended.before, mended.after, mended.holds
    ({'error': 6, 'warning': 7, 'note': 2}, {'error': 0, 'warning': 0, 'note': 2}, True)
    >>> check_text(mended.text, folder="plans").holds
    True
    """
    from shootlint.remedies.house import house_levers
    from shootlint.remedies.plan_mend import mend_plan
    from shootlint.remedies.reading import Rereader
    from shootlint.reports.recording import place_record

    judge = _judge(rules, today)
    found = judge.opened(_document(plan, name, folder, judge))
    source = found.document.source
    if found.complaints or found.document.plan is None or not found.document.plan.setup:
        return Mended(source.text, (), (), {}, {}, False, _remarks(found.complaints, found.document))
    mended = mend_plan(
        Rereader(found.document, judge.loader, found.book, judge.today),
        house_levers(found.book)[0],
        only_mechanical=only_mechanical,
    )
    return Mended(
        mended.after,
        tuple(
            MendStep(each.step.setup, each.step.lever, each.step.grade, each.step.title, each.step.cost, each.mends)
            for each in mended.changes
        ),
        tuple(ChangeRecord(place_record(source.place(each.start, each.end)), each.text) for each in mended.edits.edits),
        mended.failing_before,
        mended.failing_after,
        mended.holds,
        (),
    )


def _judge(rules: Iterable[str | os.PathLike[str]], today: datetime.date | None, margins: bool = False) -> Judge:
    from shootlint.checking.judge import Judge

    if isinstance(rules, str | os.PathLike):
        raise TypeError("rules takes a list of files, not one")
    return Judge([os.fspath(each) for each in rules], today or datetime.date.today(), margins, here=False)


def _document(plan: Given, name: str, folder: Folder, judge: Judge) -> Document:
    from shootlint.language.source import Source

    if not isinstance(plan, str):
        try:
            return judge.loader.load(Path(plan), os.fspath(plan))
        except Unreadable as error:
            raise Unreadable(f"{os.fspath(plan)}: {error}") from None
    home = Path(folder).resolve() / "-" if folder is not None else None
    return judge.loader.load_source(Source(name, _as_text(plan), home))


def _as_text(text: str) -> str:
    """A text as it is, unless it is surely the name of a file; raises TypeError, or ValueError."""
    if not isinstance(text, str):
        raise TypeError(f"a plan's text is a str, not {type(text).__name__}")
    if text.endswith(".shoot") and "\n" not in text:
        raise ValueError(f"{text} is the name of a file and not a plan's text; give pathlib.Path({text!r})")
    return text


def _remarks(complaints: Iterable[Complaint], document: Document) -> tuple[Remark, ...]:
    from shootlint.reports.recording import remarks

    return remarks(complaints, document)
