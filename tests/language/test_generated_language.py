"""Plans made from the model's own declarations read back without complaint, with the values that were written, and so they
do after they were tidied."""

from __future__ import annotations

from contextlib import suppress

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.language.entry import HOLE, Entry, shape
from shootlint.language.loading import Loader
from shootlint.language.model import Plan
from shootlint.language.model.kit import Camera, Light, Modifier
from shootlint.language.model.setup import Focus, Posed, Row, Setup, Shutter
from shootlint.language.reading import PLANS, fields_of
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
from shootlint.language.source import Source
from shootlint.language.syntax import plan_parser
from shootlint.language.tidying import Language, Mistaken, tidied
from shootlint.language.units import of_kind
from shootlint.language.values import Quantity

NAMES = {
    kind: [f"{kind} {at}" for at in range(3)]
    for kind in ("camera", "lens", "light", "stand", "gel", "filter", "print", "person", "row", "setup")
}
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
        if setting.name == "place":
            return self.line(setting, f'"{self.pick(NAMES["light"])}"', leave=())
        return self.line(setting)

    def plan(self):
        lines = ["shootplan 1"]
        for setting in shape(Plan).settings.values():
            if setting.name in ("shootplan", "kit"):
                continue
            if setting.name == "people":
                lines += ["people {", *(f'  "{name}" stature {self.measure(("length",))}' for name in NAMES["person"]), "}"]
            elif setting.name in NAMES:
                for name in NAMES[setting.name] if setting.name != "setup" else NAMES["setup"][:1]:
                    lines += self.line(setting, f'"{name}"')
            elif setting.name == "site":
                lines += self.line(setting, leave=("zone",))
            elif self.chance():
                lines += self.line(setting)
        return "\n".join(lines) + "\n"


def quantities(entry):
    for declared in fields_of(shape(type(entry))):
        value = getattr(entry, declared.name)
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, Entry):
                yield from quantities(each)
            elif isinstance(each, Quantity):
                yield each
            else:
                yield from (
                    getattr(each, side)
                    for side in ("low", "high", "width", "height")
                    if isinstance(getattr(each, side, None), Quantity)
                )


@st.composite
def plans(draw):
    writer = Writer(draw)
    return writer.plan(), writer.written


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_a_generated_plan_reads_back_as_it_was_written(generated):
    text, written = generated
    document = Loader().load_source(Source("generated", text))
    assert [f"{each.place}: {each.message} in {each.place.text}" for each in document.complaints] == []
    assert [setup.name for setup in document.plan.setup] == ["setup 0"]
    found = sorted((each.written, round(each.value, 9)) for each in quantities(document.plan))
    assert found == sorted((each, round(value, 9)) for each, value in written)
    for each in quantities(document.plan):
        assert text[each.place.start : each.place.end] == each.written


PARSER = plan_parser(PLANS.outermost, PLANS.opening)
LANGUAGE = Language(PLANS, PARSER)
SPACES = st.sampled_from([" ", "  ", "\t", "   \t "])


def tidy(text):
    once = tidied(Source("generated", text), LANGUAGE)
    assert tidied(Source("generated", once), LANGUAGE) == once, "a second time changes nothing"
    return once


def loosely_spaced(draw, text, line_end):
    """A plan with other spaces: more of them, or none where none is needed; what is put between lines is `line_end`'s."""
    loose = ""
    tokens = PARSER.tokens(text)
    for at, token in enumerate(tokens):
        before = tokens[at - 1].type if at else "_SEPARATOR"
        if token.type == "SPACE":
            around = {before, tokens[at + 1].type if at + 1 < len(tokens) else "_SEPARATOR"}
            # A number right after the comma after a number would be a decimal comma.
            free = around & {"OPEN", "CLOSE", "STRING"} or ("_COMMA" in around and "NUMBER" not in around)
            loose += draw(SPACES) if not free or draw(st.booleans()) else ""
        elif token.type == "_SEPARATOR":
            loose += line_end(token)
        else:
            loose += (draw(SPACES) if token.type == "_COMMA" and draw(st.booleans()) else "") + token
    return loose


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(), st.data())
def test_however_a_generated_plan_was_spaced_it_is_laid_out_the_same(generated, data):
    text, _ = generated
    ends = st.sampled_from(["\n", " \n", "\n\t  ", "\t\n      "])
    loose = loosely_spaced(data.draw, text, lambda token: token if ";" in token else data.draw(ends))
    assert tidy(loose) == tidy(text)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(), st.data())
def test_a_tidied_plan_says_what_it_said_with_every_comment_in_its_order(generated, data):
    text, written = generated
    end = data.draw(st.sampled_from(["\n", "\r\n"]))
    words = st.text(st.characters(codec="utf-8", exclude_characters="\n\r\0"), max_size=6)
    comments = []

    def line_end(token):
        told = ""
        for at in range(data.draw(st.integers(0, 2))):
            comments.append(f"#{len(comments)} {data.draw(words)}")
            told += ("" if at == 0 and data.draw(st.booleans()) else end + "  ") + comments[-1] + end
        return told or data.draw(st.sampled_from([";", f" ;{end}", end, end * 4, f"{end} \t{end};"]))

    loose = loosely_spaced(data.draw, text, line_end)
    tidy_one = tidy(loose)
    assert [str(token).rstrip(" \t") for token in PARSER.tokens(tidy_one) if token.type == "COMMENT"] == [
        each.rstrip(" \t") for each in comments
    ]
    assert "\n\n\n" not in tidy_one.replace("\r", "") and (not tidy_one or tidy_one.endswith("\n"))
    assert ("\r" in tidy_one) == (end == "\r\n" and end in loose)
    document = Loader().load_source(Source("generated", tidy_one))
    assert not document.complaints, [str(each) for each in document.complaints]
    found = sorted((each.written, round(each.value, 9)) for each in quantities(document.plan))
    assert found == sorted((each, round(value, 9)) for each, value in written)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(), st.data())
def test_damage_to_a_plan_is_told_or_its_words_are_kept(generated, data):
    """Whatever is cut out or put in: the text has a layout that says the same, or a complaint and no layout."""
    text, _ = generated
    at = data.draw(st.integers(0, len(text)))
    cut = data.draw(st.integers(0, 5))
    put = data.draw(st.text(st.sampled_from('{};,"# \n\r\t()-12ab'), max_size=4))
    damaged = text[:at] + put + text[at + cut :]
    with suppress(Mistaken):
        tidy_one = tidy(damaged)
        assert "".join(tidy_one.replace(";", "").split()) == "".join(damaged.replace(";", "").split())
