"""Plans made from the model's own declarations read back without complaint, with the values that were written, and so they
do after they were tidied."""

from __future__ import annotations

from contextlib import suppress

from generated import plans
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootlint.language.entry import Entry, shape
from shootlint.language.loading import Loader
from shootlint.language.reading import PLANS, fields_of
from shootlint.language.source import Source
from shootlint.language.syntax import plan_parser
from shootlint.language.tidying import Language, Mistaken, tidied
from shootlint.language.values import Quantity


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


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(plans(), st.data())
def test_however_a_generated_plan_was_spaced_it_is_laid_out_the_same(generated, data):
    text, _ = generated
    ends = st.sampled_from(["\n", " \n", "\n\t  ", "\t\n      "])
    loose = loosely_spaced(data.draw, text, lambda token: token if ";" in token else data.draw(ends))
    assert tidy(loose) == tidy(text)


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
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


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
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
