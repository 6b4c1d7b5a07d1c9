"""Whole plans and rule files made from the models' own declarations, as strategies of hypothesis: sound ones, with the values
that were written."""

from __future__ import annotations

from hypothesis import strategies as st

from shootlint.language.entry import HOLE, shape
from shootlint.language.model import Plan
from shootlint.language.model.kit import Camera, Light, Modifier
from shootlint.language.model.place import Site
from shootlint.language.model.setup import Focus, Posed, Row, Setup, Shutter
from shootlint.language.slots import (
    Choice,
    Coordinates,
    Date,
    Dotted,
    FNumber,
    Measure,
    Power,
    Quoted,
    Sideways,
    Sized,
    Spanning,
    TimeOfDay,
    TimeSpan,
    Whole,
    WholeSpan,
)
from shootlint.language.units import BY_SPELLING, of_kind
from shootlint.readings.catalogue import catalogue
from shootlint.readings.uncertainty import UNCERTAINTIES
from shootlint.remedies.levers import levers
from shootlint.rulebook.book import shipped_book
from shootlint.rulebook.model import LEVELS

NAMES = {
    kind: [f"{kind} {at}" for at in range(3)]
    for kind in ("camera", "lens", "light", "stand", "gel", "filter", "print", "person", "row", "setup")
}
ZONES = ("Europe/Copenhagen", "Australia/Lord_Howe", "Pacific/Apia", "Pacific/Kiritimati", "America/St_Johns", "Etc/GMT+12")
DAYS = (
    "1900-01-01",
    "2011-12-30",
    "2016-12-31",
    "2024-02-29",
    "2026-04-05",
    "2026-10-04",
    "2026-03-29",
    "2026-10-25",
    "2100-12-31",
)
"""The first and the last day there are, one that Samoa left out, one with a leap second, a leap day, and changes of clocks."""
ONE_WAY = {
    Focus: [["between_rows"], ["row"], ["person"], ["distance"]],
    Shutter: [["time"], ["follows", "limits"]],
}
"""Entries of which some parts exclude each other: the parts that may stand together."""


class Writer:
    """Writes a plan, and keeps every measure that it writes with the value that it should have."""

    def __init__(self, draw):
        self.draw = draw
        self.written = []

    def chance(self):
        return self.draw(st.booleans())

    def pick(self, options):
        return self.draw(st.sampled_from(list(options)))

    def measure(self, kinds, least=1, most=40):
        """A measure in any unit of a kind whose value is sound everywhere in the language."""
        unit = self.pick(
            each for each in of_kind(*kinds) if each.name not in ("force", "km", "min", "J") or each.kind == "energy"
        )
        number = self.draw(st.integers(least, most))
        if unit.kind == "colour temperature":
            number = 1000 + 100 * number
        text = f"{number} {self.pick(unit.spellings)}"
        self.written.append((text, unit.to_base(number)))
        return text

    def stature(self):
        number, unit = self.pick([(1, "m"), (170, "cm"), (1999, "mm"), (5, "ft"), (66, "in")])
        text = f"{number} {unit}"
        self.written.append((text, BY_SPELLING[unit].to_base(number)))
        return text

    def rising(self, write):
        """A range from small to large: the same measure twice is one."""
        text = write()
        self.written.append(self.written[-1])
        return f"{text} to {text}"

    def value(self, slot, name):
        match slot:
            case Measure(kinds=kinds):
                return self.measure(kinds)
            case Spanning(of=FNumber()):
                return self.rising(lambda: self.value(slot.of, name))
            case Spanning(of=Power()):
                return f"{self.value(slot.of, name)} to {self.value(slot.of, name)}"
            case Spanning(of=Measure(kinds=kinds)):
                return self.rising(lambda: self.measure(kinds))
            case Sized(of=Measure(kinds=kinds)):
                return f"{self.measure(kinds)} x {self.measure(kinds)}"
            case FNumber():
                number = self.draw(st.sampled_from([1.4, 2.8, 4, 5.6, 8, 11]))
                self.written.append((f"f/{number}", number))
                return f"f/{number}"
            case Power():
                stops = self.draw(st.integers(0, 8))
                text = self.pick([f"1/{2**stops}", f"-{stops} stops"])
                self.written.append((text, 2.0**-stops))
                return text
            case Choice(words=words, quoted=quoted):
                word = self.pick(words)
                return f'"{word}"' if quoted else word
            case Quoted(of=kind) if kind:
                return f'"{self.pick(NAMES[kind.removeprefix("placed ")])}"'
            case Quoted():
                return (
                    '"'
                    + self.draw(
                        st.text(
                            st.characters(codec="utf-8", exclude_characters='"\\\n\r\0', exclude_categories=["Cs", "Cc"]),
                            min_size=1,
                            max_size=8,
                        )
                    )
                    + 'x"'
                )
            case Dotted():
                return "light.uneven"
            case WholeSpan():
                low = self.draw(st.integers(1, 100))
                return f"{low} to {low + self.draw(st.integers(0, 100))}"
            case Whole():
                return str(self.draw(st.integers(1, 100)))
            case TimeOfDay():
                return f"{self.draw(st.integers(0, 23)):02}:{self.draw(st.integers(0, 59)):02}"
            case TimeSpan():
                return f"{self.draw(st.integers(0, 11)):02}:{self.draw(st.integers(0, 59)):02} to {self.draw(st.integers(12, 23))}:10"
            case Date():
                if self.draw(st.integers(0, 4)) == 0:
                    return self.pick(DAYS)
                return f"20{self.draw(st.integers(10, 99))}-0{self.draw(st.integers(1, 9))}-{self.draw(st.integers(10, 28))}"
            case Coordinates():
                return f"{self.draw(st.integers(0, 90))} {self.pick('NS')}, {self.draw(st.integers(0, 180))} {self.pick('EW')}"
            case Sideways():
                return f"{self.pick(['left', 'right'])} {self.draw(st.integers(0, 180))} deg"
        raise AssertionError(slot)

    def phrase(self, declared, forced=None):
        return " ".join(
            (forced or self.value(declared.slot, declared.name)) if word == HOLE else word for word in declared.phrase
        )

    def parts(self, entry, name=None, leave=()):
        """A line's parts: the required ones, some of the others, clauses in any order."""
        parts = shape(entry).parts
        if entry in ONE_WAY:
            kept = self.pick(ONE_WAY[entry])
            parts = [each for each in parts if each.name in kept]
        elif entry is Posed:
            parts = [each for each in parts if each.name in ("name", "at") or (each.name == "pose" and self.chance())]
        else:
            parts = [each for each in parts if each.required or entry is Modifier or (each.name not in leave and self.chance())]
        first = [
            self.phrase(each, name if at == 0 else None) for at, each in enumerate(each for each in parts if not each.clause)
        ]
        clauses = [self.phrase(each) for each in self.draw(st.permutations([each for each in parts if each.clause]))]
        return ", ".join([" ".join(first), *clauses]) if first or not clauses else "".join(f", {each}" for each in clauses)

    def line(self, declared, name=None, leave=()):
        if declared.entry is None:
            return [self.phrase(declared, name)]
        head = " ".join(word for word in declared.phrase if word != HOLE)
        parts = self.parts(declared.entry, name, leave)
        text = f"{head}{'' if parts.startswith(',') else ' '}{parts}" if parts else head
        settings = shape(declared.entry).settings
        if not settings:
            return [text]
        lines = [
            each for setting in settings.values() if setting.name not in leave for each in self.setting(declared.entry, setting)
        ]
        return (
            [f"{text} {{", *(f"  {each}" for each in self.draw(st.permutations(lines))), "}"]
            if declared.entry is not Setup
            else [text + " {", *lines, "}"]
        )

    def setting(self, entry, setting):
        if not setting.required and not self.chance():
            return []
        if (entry, setting.name) in ((Light, "guide"), (Light, "metered")):
            return [] if setting.name == "guide" else self.line(setting)
        if entry is Camera and setting.name in ("sensor", "pixels"):
            unit, size = ("mm", 0.001) if setting.name == "sensor" else ("px", 1.0)
            self.written += [(f"36 {unit}", 36 * size), (f"24 {unit}", 24 * size)]
            return [f"{setting.name} 36 {unit} x 24 {unit}"]
        if setting.entry is Row:
            return [
                line
                for at, name in enumerate(NAMES["row"])
                for line in (
                    f'row "{name}", {self.measure(("length",))} {{',
                    f'  "{NAMES["person"][at]}" {self.pick(["standing", "kneeling", "seated"])}, at {self.measure(("length",))}',
                    "}",
                )
            ]
        if (entry, setting.name) == (Site, "zone"):
            return [f'zone "{self.pick(ZONES)}"']
        if setting.name == "place":
            return self.line(setting, f'"{self.pick(NAMES["light"])}"', leave=())
        return self.line(setting)

    def plan(self):
        lines = ["shootplan 1"]
        for setting in shape(Plan).settings.values():
            if setting.name in ("shootplan", "kit"):
                continue
            if setting.name == "people":
                lines += ["people {", *(f'  "{name}" stature {self.stature()}' for name in NAMES["person"]), "}"]
            elif setting.name in NAMES:
                for name in NAMES[setting.name] if setting.name != "setup" else NAMES["setup"][:1]:
                    lines += self.line(setting, f'"{name}"')
            elif setting.name == "site" or self.chance():
                lines += self.line(setting)
        return "\n".join(lines) + "\n"


@st.composite
def plans(draw):
    writer = Writer(draw)
    return writer.plan(), writer.written


NARROWING = {
    ("person", "each setup"): (" where glasses", " over people where age < 7 and known(age)"),
    ("light", "each setup"): (" where role is key", " over lights where is-fill or bag > 1 kg"),
}
"""Conditions that narrow what is taken together over an axis, by what the rule is for."""


class RuleWriter(Writer):
    """Writes a house's rule file of rules that are in force, readings that there are, and measures that suit them."""

    SCOPES = ("each setup", "each person", "each light")

    def text(self):
        return f'"{self.value(Quoted(), "text")[1:-1].translate({ord("{"): "(", ord("}"): ")"})}"'

    def like(self, quantity, least=50, most=200):
        """A measure as another one is written, from half of it to twice as much."""
        number = round(quantity.unit.from_base(quantity.value) * self.draw(st.integers(least, most)) / 100, 6)
        return f"f/{max(number, 1)}" if quantity.unit.kind == "aperture" else f"{number:f} {quantity.unit.name}".strip()

    def comparison(self, scope, asked):
        """One of a reading that no other of its condition has `asked`: of one alone, two may never hold together."""
        readings = sorted(catalogue().values(), key=lambda each: each.name)
        known = self.pick(reading for reading in readings if not reading.package and reading.name not in asked)
        asked.add(known.name)
        axes = [axis for axis in known.axes if axis == "setup" or axis not in ("minute", scope.removeprefix("each "))]
        unit = known.unit
        if known.words and not known.axes:
            return f"{known.name} is {self.pick(known.words)}"
        if axes not in ([], ["person"], ["light"]) or not unit.name or unit.name in ("yes", "name") or known.words:
            return f"known({known.name})" if not known.axes else "iso > 0"
        narrowed = self.pick(("", *NARROWING.get((*axes, scope), ())))
        taken = f"{self.pick(('min', 'max', 'mean'))}({known.name}{narrowed})" if axes else known.name
        number = self.draw(st.integers(1, 40))
        value = (
            f"f/{number}"
            if unit.kind == "aperture"
            else str(number)
            if unit.kind in ("number", "power")
            else self.value(TimeOfDay(), known.name)
            if unit.kind == "instant"
            else f"{number} {'%' if unit.kind == 'share' else unit.name}"
        )
        if self.chance():
            return f"{taken} between {value} and {value}"
        # A level, such as one of exposure, has no size and no double.
        other = self.pick((value, f"abs({taken}) * 2")) if unit.kind in ("length", "angle", "stops") else value
        return f"{taken} {self.pick(('<', '<=', '=', '!=', '>=', '>'))} {other}"

    def condition(self, scope):
        asked = set()
        parts = [self.comparison(scope, asked) for _ in range(self.draw(st.integers(1, 3)))]
        return f" {self.pick(('and', 'or'))} ".join(f"not ({each})" if self.chance() else f"({each})" for each in parts)

    def rule(self, at):
        scope = self.pick(self.SCOPES)
        narrowed = f" where {self.condition(scope)}" if self.chance() else ""
        lines = [
            f"title {self.text()}",
            f"level {self.pick(LEVELS)}",
            f"for {scope}{narrowed}",
            f"set wanted {self.draw(st.integers(1, 99))} %",
            f"require {self.condition(scope)}",
            'say "{setup} at ISO {iso}, {wanted}, {max(blur)}"' if scope == "each setup" else f"say {self.text()}",
            f"because {self.text()}",
        ]
        return [f"rule house.made-{at} {{", *(f"  {each}" for each in self.draw(st.permutations(lines))), "}"]

    def house(self, shipped):
        """The lines of a file; `shipped` is the book of what comes with the program."""
        names = self.draw(st.permutations(sorted(shipped.rules)))[:5]
        lines = [f"use shipped{self.pick(('', ' 2026-01'))}"]
        lines += [f"rulebook {self.text()}"] if self.chance() else []
        lines += [f"level {names[0]} {self.pick(LEVELS)}", f"retire {names[1]} because {self.text()}"]
        for name in names[2:]:
            sets = shipped.rules[name].rule.sets
            lines += [f"adjust {name} {{ {'; '.join(f'{each.name} {self.like(each.value)}' for each in sets)} }}"] if sets else []
        first, second, third = self.draw(st.permutations(sorted(levers())))[:3]
        lines += [f"forbid {first} because {self.text()}", f"prefer {second} before {third}"]
        uncertain = UNCERTAINTIES[self.pick(sorted(UNCERTAINTIES))]
        lines.append(f"uncertain {uncertain.name} {uncertain.unit.from_base(uncertain.size):f} {uncertain.unit.name}")
        made = [line for at in range(self.draw(st.integers(1, 3))) for line in self.rule(at)]
        made += ["caution house.care {", f"  when {self.condition('each setup')}", f"  say {self.text()}", "}"]
        return "\n".join([*lines, *made]) + "\n"


@st.composite
def house_rules(draw):
    return RuleWriter(draw).house(shipped_book())
