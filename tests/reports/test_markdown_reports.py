"""Markdown, as a CommonMark library reads it: what a person sees, and that a plan can do nothing in it."""

from __future__ import annotations

import re

import pytest
from formats import MENTION, NEVER, markdown, markdown_text
from hypothesis import given
from hypothesis import strategies as st

from shootlint.reports.literal import code, literal
from shootlint.reports.markdown import MOST, render
from shootlint.reports.records import FindingRecord, PlaceRecord, PlanRecord
from shootlint.reports.run import Run
from shootlint.reports.visible import visible


def seen(text):
    return text.replace("\u2060", "")


def test_a_plan_that_holds(judged, make_rule, plan):
    text = render(judged(make_rule("house.iso", "iso > 50"), plan=plan))
    assert markdown_text(text).splitlines()[0] == "shootlint: the plan holds"
    assert "Findings" not in text
    assert "| plan.shoot | 0 | 0 | 0 | 0 | 0 |" in text


def test_findings_come_worst_first_with_place_and_mend(judged, make_rule, plan):
    rules = (
        make_rule("house.a", "iso <= 300", level="note", say="a choice")
        + make_rule("house.b", "iso <= 200", say="{setup} is noisy", more="remedy iso")
        + make_rule("house.c", "iso <= 300", level="warning", say="it will show")
    )
    text = render(judged(rules, plan=plan))
    told = seen(markdown_text(text))
    assert re.findall("noisy|show|choice", told) == ["noisy", "show", "choice"]
    assert 'error plan.shoot:32:12: Both is noisy (house.b)\n20:00 to 20:10, setup "Both"\nmend: iso 200' in told
    kinds = [token.type for token in markdown(text)]
    assert kinds.count("table_open") == 1
    assert kinds.count("strong_open") == 3


def test_what_is_accepted_and_not_judged_is_folded(judged, make_rule, plan):
    rules = make_rule("house.iso", "iso <= 50") + make_rule("house.gust", "gust <= 4 m/s")
    plan += 'accept house.iso for "Both", because "it is a postcard", until 2090-12-31\n'
    text = render(judged(rules, plan=plan))
    told = seen(markdown_text(text))
    assert "accepted until 2090-12-31, because it is a postcard" in told
    assert "plan.shoot: house.gust in setup Both; it needs" in told
    blocks = [token.content for token in markdown(text) if token.type == "html_block"]
    assert [each.strip() for each in blocks] == [
        "<details>\n<summary>1 accepted</summary>", "</details>", "<details>\n<summary>1 not judged</summary>", "</details>"
    ]  # fmt: skip


def test_mistakes_come_before_findings(judged, make_rule, plan):
    text = render(judged(make_rule("house.iso", "iso <= 50"), binary=b"\0", first=plan, plan=plan.replace("f/5.6", "f5.6")))
    told = seen(markdown_text(text))
    assert told.index("binary.shoot: the file is binary") < told.index("plan.shoot:30:") < told.index("first.shoot:26:")
    assert "1 file could not be read." in told


NASTY = [
    "<script>alert(1)</script>", "</details>", "&lt;b&gt; &amp; &#64;", "| a | b |", "a | b \\| c", "`x` ``y``", "**b** __c__ *d*",
    "[x](https://x.example)", "![x](https://x.example/x.png)", "<https://x.example>", "https://x.example", "www.x.example",
    "a@x.example", "@somebody", "#1234", "org/repo#12", "GH-12", ":tada:", "~~gone~~", "$x^2$", "# head", "> quote", "- item",
    "1. item", "```", "~~~", "---", "===", "\\", "\\n", "a\nb", "a\r\n\r\nb", "\t", "\x1b[31m", "\x00", "\u202egnp", "\u2028",
    "[ ] task", "[^1]", "[x]: https://x.example", "<!-- a -->", "deadbeefdeadbeef", "mailto:a@x.example", "שלום", "\U0001f6a3",
    "\udcff", "x" * 200, "  ", "a\\|b", "`|`", "@`x`@",
]  # fmt: skip


@pytest.mark.parametrize("text", NASTY)
@pytest.mark.parametrize("around", ["- words: {}", "- words: {}, words", "| {} | b |\n| --- | --- |\n| {} | {} |", "words {}"])
def test_text_of_a_plan_is_seen_as_it_is_and_does_nothing(text, around):
    written = around.replace("{}", literal(text))
    assert seen(markdown_text(written)).count(visible(text).strip()) >= around.count("{}")
    assert not MENTION.search(markdown_text(written))
    assert [token.type for token in markdown(written)].count("td_open") in (0, 2)


@given(
    st.text(alphabet=st.sampled_from("\\`*_{}[]()<>#+-.!|~$&@:;/=^\"' \n\tab1é\u202e\U0001f6a3") | st.characters(), max_size=40)
)
def test_any_text_is_seen_as_it_is(text):
    for around in ("- words: {} words", "| {} words |\n| --- |\n| b |"):
        told = seen(markdown_text(around.replace("{}", literal(text))))
        # A reader takes several spaces for one, as HTML has it anyway.
        assert f"{visible(text)} words" in told or " ".join(f"{visible(text)} words".split()) in " ".join(told.split())


@given(st.text(alphabet=st.sampled_from("`ab <|@\\ \n") | st.characters(), min_size=1, max_size=30))
def test_any_text_in_a_code_span_is_seen_as_it_is(text):
    tokens = markdown(f"- words {code(text)} words")
    (told,) = (token.content for token in tokens if token.type == "code_inline")
    assert told.strip(" ") == visible(text).strip(" ")
    assert not {token.type for token in tokens} & NEVER


@pytest.mark.parametrize("text", [text for text in NASTY if text.isprintable() and text.strip()])
def test_names_in_a_plan_do_nothing_in_the_whole_report(judged, make_rule, plan, text):
    rules = make_rule("house.tall", "stature <= 1 m", "each person", say="{person} is tall")
    written = text.replace("\\", "\\\\")
    for old in ("Asta", "Both", "Rowing club, jetty"):
        plan = plan.replace(f'"{old}"', f'"{old} {written}"')
    told = render(judged(rules, plan=plan + f'accept house.tall for "Bent", because "{written}"\n'))
    assert f"Asta {text} is tall" in seen(markdown_text(told))
    tokens = markdown(told)
    assert [token.content for token in tokens if token.type == "html_block" and "summary" not in token.content] == [
        "</details>\n"
    ]
    prose = " ".join(token.content for token in tokens if token.type in ("text", "text_special"))
    assert not MENTION.search(prose)


def many(count, level="error", message="it is wrong", path="plan.shoot"):
    """A run with so many findings."""
    place = PlaceRecord(path, 1, 1, 1, 2)
    found = tuple(
        FindingRecord(
            "house.rule", "A rule", level, f"{message} {number}", place, "Both", (), (), None, (), (), (), "It matters.", None
        )
        for number in range(count)
    )
    return PlanRecord(path, None, True, True, (), (), (), found)


@pytest.mark.parametrize("count", [0, 1, 200, 1000, 5000])
def test_what_does_not_fit_a_comment_is_counted(count):
    run = Run([many(count), many(count, "warning", path="other.shoot"), many(7, "note")])
    text = render(run)
    told = markdown_text(text)
    shown = len(re.findall("it is wrong", told))
    left = sum(int(number) for number in re.findall(r"(\d+) (?:error|warning|note)s?\b(?=.*more)", told))
    assert shown + left == 2 * count + 7
    if left:
        assert len(text.encode()) > MOST - 3000
        assert "more, for which a comment has no room" in told


def test_very_many_of_everything_stays_within_the_limit():
    long = "wörds | <b> @x " * 20
    plans = [
        many(3, message=long, path=f"{long}{number}.shoot")._replace(
            safety=(f"{long}{number}",),
            unsound_setups=tuple(f"{long}{each}" for each in range(20)),
        )
        for number in range(300)
    ]
    told = markdown_text(render(Run(plans, [(long, long)] * 300)))
    assert told.count("for which a comment has no room") >= 4
    assert "Take care" in told


def test_one_huge_finding_is_counted_and_not_shown():
    told = markdown_text(render(Run([many(1, message="x" * 100_000)])))
    assert "… and 1 error more, for which a comment has no room." in told
