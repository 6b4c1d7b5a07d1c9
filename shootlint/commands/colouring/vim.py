"""The same colours in the plain form of Vim's syntax files, for editors that read those."""

from __future__ import annotations

from collections.abc import Iterator

from shootlint.commands.colouring.kinds import LANGUAGES, Coloured
from shootlint.commands.colouring.textmate import MADE_BY
from shootlint.language.entry import shape

GROUPS = {
    "comment": "Comment",
    "string": "String",
    "date": "Constant",
    "clock": "Constant",
    "aperture": "Number",
    "number": "Number",
    "block": "Structure",
    "head": "Keyword",
    "joining": "Operator",
    "rule": "Function",
    "choice": "Boolean",
    "phrase": "Statement",
    "function": "Function",
    "reading": "Identifier",
    "word": "Normal",
    "operator": "Operator",
    "bracket": "Delimiter",
    "brace": "Delimiter",
    "comma": "Delimiter",
    "end": "Delimiter",
}
UNIT = "Type"
BEFORE_A_LINE = ("brace", "end")
"""What a line may begin after, besides the end of the line before."""
_DIALECT = (
    ("%", r"\%"),
    (r"[^\W\d_]", r"%([0-9_]@!\k)"),
    (r"[\w.-]", r"%([.-]|\k)"),
    (r"[\w:]", r"%(:|\k)"),
    (r"[\w-]", r"%(-|\k)"),
    (r'[^"\\\n\r]', r'[^"\\]'),
    (r"\\[^\n\r]", r"\\."),
    (r"[^\n\r]", "."),
    ("(?:", "%("),
    (r"\w", r"\k"),
)
"""How what our patterns say is said in Vim's `very magic` form, where letters beyond ASCII count as word characters (`\\k`)."""


def files() -> dict[str, str]:
    """A syntax file for each language, and how to tell the languages by the ending of a file."""
    found = {f"vim/syntax/{each.name}.vim": "\n".join(lines(each)) + "\n" for each in LANGUAGES}
    detected = [line for each in LANGUAGES for line in detection(each)]
    found["vim/ftdetect/shootlint.vim"] = "\n".join([f'" {MADE_BY}', *detected]) + "\n"
    return found


def detection(language: Coloured) -> Iterator[str]:
    """How a file of a language is known: by its ending, where one of its first lines begins with a word of the language.
    Other programs have rules in files of that ending, too."""
    begins = "|".join(sorted(shape(language.vocabulary.root).settings))
    yield f"autocmd BufRead,BufNewFile *.{language.ending}"
    yield rf"      \ if match(getline(1, {FIRST_LINES}), '\v^\s*%({begins})>') >= 0 |"
    yield rf"      \   set filetype={language.name} |"
    yield r"      \ endif"


FIRST_LINES = 50


def lines(language: Coloured) -> Iterator[str]:
    yield f'" {MADE_BY}'
    yield 'if exists("b:current_syntax")'
    yield "  finish"
    yield "endif"
    yield "syntax iskeyword @,48-57,_,192-255"
    beginning = ",".join(f"{language.name}{kind.name.capitalize()}" for kind in language.kinds() if kind.begins_line)
    # Of two patterns that fit at one place Vim takes the last.
    for kind in reversed(language.kinds()):
        group = f"{language.name}{kind.name.capitalize()}"
        follows = f"{language.name}Unit" if kind.unit is not None else beginning if kind.name in BEFORE_A_LINE else ""
        after = f" nextgroup={follows} skipwhite" if follows else ""
        before = r"^\s*\zs" if kind.begins_line else ""
        yield f"syntax match {group} /{dialect(before, kind.pattern)}/{after}"
        if kind.begins_line:
            yield f"syntax match {group} /{dialect('', kind.pattern)}/ contained"
        if kind.unit is not None:
            yield f"syntax match {language.name}Unit /{dialect('', kind.unit)}/ contained"
        yield f"highlight default link {group} {GROUPS[kind.name]}"
    yield f"highlight default link {language.name}Unit {UNIT}"
    yield f'let b:current_syntax = "{language.name}"'


def dialect(before: str, pattern: str) -> str:
    r"""A pattern of ours as Vim writes it, after what is Vim's already. What is not allowed to follow comes behind its
    own brackets there: (?!x) is (x)@!."""
    for ours, theirs in _DIALECT:
        pattern = pattern.replace(ours, theirs)
    while (at := pattern.find("(?!")) >= 0:
        depth, end = 0, at
        while True:
            depth += {"(": 1, ")": -1}.get(pattern[end], 0) if pattern[end - 1] != "\\" else 0
            if depth == 0:
                break
            end += 1
        pattern = f"{pattern[:at]}%({pattern[at + 3 : end]})@!{pattern[end + 1 :]}"
    # In this form < > = @ and the solidus, which ends the pattern, mean something of their own.
    for special in "<>=":
        pattern = pattern.replace(special, f"\\{special}")
    pattern = pattern.replace("\\/", "/").replace("/", "\\/")
    return rf"\v{before}{pattern}"
