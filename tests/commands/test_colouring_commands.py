"""Syntax colouring: each token of every plan and rule file has the colour of what it is, by the shipped grammars themselves."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import pytest

from shootlint.commands.colouring import prepare, vim
from shootlint.commands.colouring.kinds import LANGUAGES, words
from shootlint.language.complaint import Complaints
from shootlint.language.source import read_source
from shootlint.language.tree import Tree
from shootlint.language.units import BY_SPELLING
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.book import shipped_book

ROOT = Path(__file__).parent.parent.parent
TEXTS = sorted([*(ROOT / "plans").rglob("*.shoot"), *(ROOT / "plans").rglob("*.rules"), *(ROOT / "rules").rglob("*.rules")])
SHIPPED = files("shootlint.commands.colouring").joinpath("files")
BY_ENDING = {f".{each.ending}": each for each in LANGUAGES}


def grammar(language):
    return json.loads(SHIPPED.joinpath(f"textmate/{language.name}.tmLanguage.json").read_text("utf-8"))


def scopes(patterns, text):
    """The innermost scope of each character, as an editor finds them: line by line, the pattern that fits first, and
    among those that fit at the same place the first of the list. The TextMate manual, section 12, "Language Grammars"."""
    found = []
    for line in re.split(r"(?<=\n)", text):
        here = [""] * len(line)
        at = 0
        while at < len(line):
            matches = [
                (match.start(), order, match)
                for order, each in enumerate(patterns)
                if (match := re.compile(each["match"]).search(line, at))
            ]
            if not matches:
                break
            start, order, match = min(matches)
            each = patterns[order]
            if "name" in each:
                here[start : match.end()] = [each["name"]] * (match.end() - start)
            for group, capture in each.get("captures", {}).items():
                first, last = match.span(int(group))
                here[max(first, 0) : max(last, 0)] = [capture["name"]] * (last - first)
            at = max(match.end(), at + 1)
        found += here
    return found


def tokens_and_heads(path):
    language = BY_ENDING[path.suffix]
    source = read_source(path, path.name)
    complaints = Complaints()
    lines = list(Tree(source, language.parser.parse(source, complaints)).lines)
    assert not complaints
    heads = set()
    while lines:
        line = lines.pop()
        heads.add(line.start)
        lines += line.block.lines if line.block is not None else ()
    return language, source.text, [each for each in language.parser.tokens(source.text) if each.type != "SPACE"], heads


FIXED = {
    "COMMENT": "comment.line.", "STRING": "string.quoted.", "DATE": "constant.numeric.date.", "CLOCK": "constant.numeric.clock.",
    "APERTURE": "constant.numeric.aperture.", "NUMBER": "constant.numeric.shoot", "_COMMA": "punctuation.separator.", "OPEN": "punctuation.section.block.",
    "CLOSE": "punctuation.section.block.", "LEFT": "punctuation.section.parens.", "RIGHT": "punctuation.section.parens.",
    "COMPARISON": "keyword.operator.", "PLUS": "keyword.operator.", "MINUS": "keyword.operator.", "TIMES": "keyword.operator.",
    "DIVIDE": "keyword.operator.",
}  # fmt: skip


def expected(token, before, heads, language):
    """The beginnings that a token's scope may have, by what it is to the language's own reader."""
    text = str(token)
    if token.type in FIXED:
        return (FIXED[token.type],)
    if token.start_pos in heads and language.ending == "shoot":
        return ("storage.type.block.",) if text in language.vocabulary.opening else ("keyword.other.setting.",)
    if token.start_pos in heads:
        # A line of a block of values that a rule file adjusts begins with a name that the rule has made up.
        return ("storage.type.block.", "keyword.other.setting.") if text in language.vocabulary.words else ("variable.other.",)
    if token.type != "WORD":
        return ("keyword.operator.word.",)
    if before is not None and before.type == "NUMBER" and text in BY_SPELLING:
        return ("keyword.other.unit.",)
    if "." in text:
        return ("entity.name.function.rule.",)
    if language.ending == "shoot":
        return ("constant.language.", "keyword.other.phrase.")
    if text in catalogue() and not re.search(rf"\b{text}\b", " ".join(language.vocabulary.words)):
        return ("support.variable.reading.", "constant.language.", "keyword.other.phrase.")
    return ("support.", "constant.language.", "keyword.other.", "variable.other.")


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_token_has_the_scope_of_what_it_is(path):
    language, text, tokens, heads = tokens_and_heads(path)
    found = scopes(grammar(language)["patterns"], text)
    before, wrong = None, []
    for token in tokens:
        if token.type == "_SEPARATOR":
            before = None
            continue
        whole = set(found[token.start_pos : token.end_pos])
        wanted = expected(token, before, heads, language)
        if len(whole) != 1 or not whole.pop().startswith(wanted):
            wrong.append((str(token), found[token.start_pos], wanted))
        before = token
    assert wrong == []


def test_every_word_of_both_languages_and_every_unit_is_coloured_somewhere():
    seen = set()
    for path in TEXTS:
        language, text, tokens, _ = tokens_and_heads(path)
        found = scopes(grammar(language)["patterns"], text)
        seen |= {found[each.start_pos].rsplit(".", 1)[0] for each in tokens if each.type != "_SEPARATOR"}
    assert {
        "storage.type.block",
        "keyword.other.setting",
        "keyword.other.phrase",
        "constant.language",
        "support.variable.reading",
    } <= seen
    assert {"support.function", "keyword.other.unit", "entity.name.function.rule", "keyword.operator.word"} <= seen


def test_the_shipped_files_are_those_of_the_languages():
    made = prepare.made()
    assert set(made) == {f"textmate/{each.name}.tmLanguage.json" for each in LANGUAGES} | {
        "textmate/package.json", "textmate/language-configuration.json", "vim/ftdetect/shootlint.vim",
        *(f"vim/syntax/{each.name}.vim" for each in LANGUAGES),
    }  # fmt: skip
    for path, text in made.items():
        assert SHIPPED.joinpath(path).read_bytes() == text.encode()


def test_a_word_is_coloured_only_where_it_is_the_whole_word():
    pattern = re.compile(words({"iso", "at", "white-balance"}))
    assert pattern.match("iso 100") and pattern.match("white-balance") and pattern.match("at,")
    assert not pattern.match("iso-like") and not pattern.match("isometric") and not pattern.match("at.once")


def unlike_vim(pattern):
    """A pattern of a Vim syntax file, in its very magic form, as Python writes it: Vim's manual, pattern.txt."""
    pattern = pattern.removeprefix(r"\v")
    for theirs, ours in (
        (r"%([0-9_]@!\k)", r"[^\W\d_]"), (r"^\s*\zs", r"^[ \t]*"), (r"\%", "\0"), ("%(", "(?:"), ("\0", "%"), (r"\k", r"\w"),
        (r"\<", "<"), (r"\>", ">"), (r"\=", "="),
    ):  # fmt: skip
        pattern = pattern.replace(theirs, ours)
    while (end := pattern.find(")@!")) >= 0:
        depth, start = 0, end
        while True:
            depth += {")": 1, "(": -1}.get(pattern[start], 0)
            if depth == 0:
                break
            start -= 1
        pattern = f"{pattern[:start]}(?!{pattern[start + 3 : end]}){pattern[end + 3 :]}"
    return pattern


@pytest.mark.parametrize("language", LANGUAGES, ids=lambda each: each.name)
def test_the_plain_form_says_the_same_patterns(language):
    """Vim takes the last of the patterns that fit at one place, so they stand the other way round there."""
    lines = [each for each in vim.lines(language) if each.startswith("syntax match")]
    found = [re.fullmatch(r"syntax match (\w+) /(.*)/( nextgroup=[\w,]+ skipwhite| contained)?", each) for each in lines]
    assert all(found)
    mine = [match for match in found if match[3] != " contained"]
    kinds = list(reversed(language.kinds()))
    assert [match[1] for match in mine] == [f"{language.name}{kind.name.capitalize()}" for kind in kinds]
    texts = [path.read_text("utf-8") for path in TEXTS if path.suffix == f".{language.ending}"]
    for match, kind in zip(mine, kinds, strict=True):
        theirs, ours = re.compile(unlike_vim(match[2]), re.M), re.compile(kind.pattern, re.M)
        ours = re.compile(rf"^[ \t]*{kind.pattern}", re.M) if kind.begins_line else ours
        for text in texts:
            assert [each.span() for each in theirs.finditer(text)] == [each.span() for each in ours.finditer(text)], kind
    # Behind a brace or a semicolon a line begins as well: what may stand there is named by these.
    inside = {match[1]: match[2] for match in found if match[3] == " contained"}
    begin = [f"{language.name}{kind.name.capitalize()}" for kind in language.kinds() if kind.begins_line]
    assert set(inside) == {*begin, f"{language.name}Unit"}
    leading = {match[1]: match[3] for match in mine if match[1].endswith(("Brace", "End"))}
    assert set(leading.values()) == {f" nextgroup={','.join(begin)} skipwhite"}


def test_the_grammars_are_written_where_one_asks(studio):
    ran = studio.run("editor", "--colours", "colours")
    assert ran.status == 0
    for path, text in prepare.made().items():
        assert (studio.folder / "colours" / path).read_bytes() == text.encode()
    assert len(ran.lines) == len(prepare.made())
    studio.write("a-file", "")
    ran = studio.run("editor", "--colours", "a-file/below")
    assert ran.status == 2 and "cannot be written to a-file/below" in ran.err


def test_the_readings_that_are_coloured_are_those_that_ship():
    pattern = next(
        each["match"] for each in grammar(LANGUAGES[1])["patterns"] if each.get("name", "").startswith("support.variable")
    )
    for name in catalogue():
        assert catalogue()[name].package or re.fullmatch(pattern, name)
    assert {each for rule in shipped_book().rules.values() for each in rule.require.readings} <= set(catalogue())
