"""A second, patient reading of a text that has mistakes in it: every mistake is told once and the sound lines are kept.

The text is read token by token. Each mistake is told, the rest of its line is skipped and marked as damaged, and the
reading goes on. Where braces do not balance, the indentation tells which block was left open or closed too early: a
person who forgets a brace still indents what belongs inside it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Any

import lark
from lark.parsers.lalr_analysis import Shift
from lark.utils import TextSlice

from shootlint.language.complaint import Complaints, listed
from shootlint.language.source import Source

DAMAGED = "\0"
"""The text of the word that stands in for what was skipped; no file can hold it, since a NUL byte is refused."""
DEEPEST = 16
"""How deep blocks may nest; no word of the language needs more than three."""

_ENDS_OF_A_LINE = ("_SEPARATOR", "OPEN", "CLOSE")
_IN_WORDS = {
    "_SEPARATOR": "the end of the line",
    "OPEN": "{",
    "CLOSE": "}",
    "_COMMA": "a comma",
    "STRING": "quoted text",
    "NUMBER": "a number",
    "DATE": "a date",
    "CLOCK": "a clock time",
    "APERTURE": "an aperture",
    "WORD": "a word",
}
_INSTEAD = {
    "=": "a word and its value stand side by side, with nothing between them",
    ":": "a word and its value stand side by side, and a time of day is written as 18:40",
    "-": "a range is written with `to`, and a minus sign stands right before its number",
    "–": "a range is written with `to`, and a minus sign is -",
    "—": "a range is written with `to`, and a minus sign is -",
    "−": "a minus sign is -",
    "°": "write deg for an angle, C or F for a temperature",
    "×": "write x between the sides of a size",
    ".": "decimals stand between two digits, and a date is written as 2026-09-05",
    "′": "feet and inches are written as 5 ft 8 in",
    "″": "feet and inches are written as 5 ft 8 in",
    "½": "write 0.5 or 1/2",
    "ƒ": "an aperture is written as f/5.6",
}
"""What to write instead of a character that has no meaning."""

# A quoted text that is not closed ends with its line, as the damage to it does.
_QUOTED = r'"(?:[^"\\\n\r]|\\[^\n\r])*+"?'
_BRACES = re.compile(rf"{_QUOTED}|#[^\n\r]*+|([{{}}])")
_REST_OF_LINE = re.compile(rf'(?:[^"#;{{}}\n]|{_QUOTED})*+')
_NEXT_LINE = re.compile(r"(?:[ \t]*+(?:#[^\n]*+)?\r?\n)*+([ \t]*+)(?=[^\s#])")


@dataclass(slots=True)
class _Opened:
    """A block that has been opened: its brace, how far its line is indented, and whether what is in it is indented more."""

    brace: lark.Token
    indent: int
    indents: bool


SlipAt = Callable[[str, int], tuple[int, int, str] | None]
"""Tells of the place in a text at which reading broke off from where to where a known slip goes, and what to write instead."""


class Recovery:
    def __init__(
        self,
        parser: lark.Lark,
        outermost: Collection[str],
        opening: Collection[str] | None,
        source: Source,
        complaints: Complaints,
        slip_at: SlipAt | None = None,
    ) -> None:
        self.source = source
        self.slip_at = slip_at
        self.text = source.text
        self.complaints = complaints
        self.parser = parser
        self.outermost = outermost
        self.opening = opening
        self.state = parser.parse_interactive("").parser_state
        self.open: list[_Opened] = []
        braces = [match[1] for match in _BRACES.finditer(source.text)]
        self.missing = braces.count("{") - braces.count("}")
        """How many closing braces the text lacks; below 0, how many it has too many."""
        self.head: lark.Token | None = None
        """The first word of the line."""
        self.again: lark.Token | None = None
        """A token to be read once more, now that the way is free for it."""

    def run(self) -> Any:
        previous: lark.Token | None = None
        tokens = self.tokens()
        while (token := self.again or next(tokens, None)) is not None and not self.complaints.full:
            self.again = None
            if previous is None or previous.type in _ENDS_OF_A_LINE:
                self.head = token
                self.close_forgotten_blocks(token)
            elif token.type == "_SEPARATOR":
                self.open_forgotten_block(token, previous)
            if token.type == "OPEN" and len(self.open) == DEEPEST:
                self.complain_at(token, f"blocks nest more than {DEEPEST} deep here; the rest of the file is not read")
                self.open.clear()
                break
            if token.type == "CLOSE" and self.closes_too_early(token):
                self.complain_at(token, "this } closes the block too early, or is one too many")
                self.missing += 1
            elif token.type == "OPEN" and self.missing > 0 and previous is not None and previous.type == "OPEN":
                self.complain_at(token, "this { is one too many")
                self.missing -= 1
            elif self.feed(token):
                previous = token
            else:
                self.complain(token, previous)
                previous = self.skip_line(token, previous, tokens)
        if not self.accepts("_SEPARATOR"):
            self.complain(_made("_SEPARATOR", "\n", len(self.text)), previous)
        for opened in reversed(self.open):
            self.complain_at(opened.brace, "this block is not closed; a } is missing")
        return self.finish()

    def finish(self) -> Any:
        """Completes what is still open and takes the tree."""
        size = len(self.text)
        while not self.accepts("$END"):
            if not self.accepts("_SEPARATOR"):
                self.mend_line(size)
            if self.accepts("CLOSE"):
                self.state.feed_token(_made("CLOSE", "}", size))
        return self.state.feed_token(_made("$END", "", size), is_end=True)

    def tokens(self) -> Iterator[lark.Token]:
        """The text's tokens. Where the lexer cannot read on, the rest of the line comes out as DAMAGE."""
        text = self.text
        at = 0
        while at < len(text):
            try:
                yield from self.parser.lex(TextSlice(text, at, len(text)))
                return
            except lark.exceptions.UnexpectedCharacters as error:
                start = error.pos_in_stream or 0
                rest = _REST_OF_LINE.match(text, start if text[start] == '"' else start + 1)
                at = max(rest.end() if rest is not None else 0, start + 1)
                yield lark.Token("DAMAGE", text[start:at], start_pos=start, end_pos=at)

    def accepts(self, *kinds: str) -> bool:
        """Whether tokens of these kinds could come next. Nothing is changed: a token that is fed and then refused may
        already have completed what stood before it."""
        stack = list(self.state.state_stack)
        states: Any = self.state.parse_conf.states
        end = self.state.parse_conf.end_state
        for kind in kinds:
            while True:
                action, what = states[stack[-1]].get(kind, (None, None))
                if action is None:
                    return False
                if action is Shift:
                    stack.append(what)
                    break
                if what.expansion:
                    del stack[-len(what.expansion) :]
                stack.append(states[stack[-1]][what.origin.name][1])
                if kind == "$END" and stack[-1] == end:
                    break
        return True

    def feed(self, token: lark.Token) -> bool:
        if token.type == "DAMAGE" or not self.accepts(token.type):
            return False
        self.state.feed_token(token)
        if token.type == "OPEN":
            indent, inside = self.indent_of(token), _NEXT_LINE.match(self.text, token.end_pos or 0)
            starts_a_line = inside is not None and "\n" in inside[0]
            self.open.append(_Opened(token, indent, starts_a_line and inside is not None and len(inside[1]) > indent))
        elif token.type == "CLOSE":
            self.open.pop()
        return True

    def indent_of(self, token: lark.Token) -> int:
        """How far the line of a token is indented."""
        at = self.source.line_starts[self.source.line_and_column(token.start_pos or 0)[0] - 1]
        return len(self.text[at : token.start_pos]) - len(self.text[at : token.start_pos].lstrip(" \t"))

    def mend_line(self, at: int) -> None:
        """Marks the line as damaged, where its end may follow. What cannot be completed so is taken back."""
        self.end_block(at)
        while not self.accepts("WORD", "OPEN") and len(self.state.state_stack) > 1:
            self.state.state_stack.pop()
            self.state.value_stack.pop()
        self.state.feed_token(_made("WORD", DAMAGED, at))

    def end_block(self, at: int) -> None:
        """Ends the line of a block that has just been closed, so that nothing takes the block back."""
        last = self.state.value_stack[-1] if self.state.value_stack else None
        if isinstance(last, lark.Token) and last.type == "CLOSE":
            self.state.feed_token(_made("_SEPARATOR", "\n", at))

    def skip_line(self, token: lark.Token, previous: lark.Token | None, tokens: Iterator[lark.Token]) -> lark.Token | None:
        """Goes on at what ends the line of a token that cannot be read; returns the last token read before it."""
        at = token.start_pos or 0
        if token.type == "CLOSE" and not self.open:
            self.missing += 1
            return previous
        if previous is not None and previous.type == "CLOSE" and token.type not in ("OPEN", "_COMMA", "DAMAGE"):
            separator = _made("_SEPARATOR", "\n", at)
            self.state.feed_token(separator)
            self.again = token
            return separator
        self.mend_line(at)
        self.again = (
            token if token.type in _ENDS_OF_A_LINE else next((each for each in tokens if each.type in _ENDS_OF_A_LINE), None)
        )
        return token if token.type not in _ENDS_OF_A_LINE else previous

    def close_forgotten_blocks(self, token: lark.Token) -> None:
        """Closes blocks that a line cannot stand in: one that is indented no more than the block's own first line, or
        that begins with a word that stands outside every block only."""
        at = token.start_pos or 0
        if (
            self.missing <= 0
            or not self.open
            or token.type in ("_SEPARATOR", "DAMAGE")
            or self.text[:at].rstrip(" \t")[-1:] not in ("", "\n")
        ):
            return
        indent = self.indent_of(token)
        while self.missing > 0 and self.open:
            last = self.open[-1]
            less = indent < last.indent if token.type == "CLOSE" else indent <= last.indent
            if not (last.indents and less) and not (indent == 0 and token in self.outermost):
                return
            line = self.source.line_and_column(at)[0]
            self.complain_at(last.brace, f"this block is not closed before line {line}; a }} is missing")
            self.state.feed_token(_made("CLOSE", "}", at))
            if token.type != "CLOSE":
                self.state.feed_token(_made("_SEPARATOR", "\n", at))
            self.open.pop()
            self.missing -= 1

    def open_forgotten_block(self, token: lark.Token, previous: lark.Token) -> None:
        """Opens a block after a line without one, where lines that are indented more follow it and braces are missing."""
        if self.missing >= 0 or "\n" not in token or not self.accepts("OPEN") or len(self.open) == DEEPEST:
            return
        if self.opening is not None and self.head not in self.opening:
            return
        following = _NEXT_LINE.match(self.text, token.start_pos or 0)
        if following is None or len(following[1]) <= self.indent_of(previous):
            return
        if previous.type != "DAMAGE":
            self.complain_at(previous, "a { is missing after this, at the end of the line")
        self.feed(_made("OPEN", "{", previous.end_pos or 0))
        self.missing += 1

    def closes_too_early(self, token: lark.Token) -> bool:
        """Whether lines that stand inside a block follow this brace, which would close the last one."""
        if self.missing >= 0 or len(self.open) != 1:
            return False
        stands_alone = not self.text[: token.start_pos].rpartition("\n")[2].strip()
        if stands_alone and self.indent_of(token) <= self.open[0].indent:
            return False
        following = _NEXT_LINE.match(self.text, token.end_pos or 0)
        return following is not None and "\n" in following[0] and len(following[1]) > self.open[0].indent

    def complain_at(self, token: lark.Token, message: str) -> None:
        self.complaints.add(self.source.place(token.start_pos or 0, token.end_pos or 0), message)

    def complain(self, token: lark.Token, previous: lark.Token | None) -> None:
        slip = self.slip(token)
        if slip is not None:
            start, end, message = slip
            self.complaints.add(self.source.place(start, end), message)
        elif token.type == "DAMAGE":
            self.complain_of_damage(token)
        elif token.type == "CLOSE" and not self.open:
            self.complain_at(token, "this } closes nothing")
        elif token.type == "OPEN":
            self.complain_at(token, "a block needs a head word before its {")
        elif token.type == "_COMMA":
            doubled = previous is not None and previous.type == "_COMMA"
            self.complain_at(token, "this comma is one too many" if doubled else "a comma needs something before it")
        elif token.type in _ENDS_OF_A_LINE and previous is not None and previous.type == "_COMMA":
            self.complain_at(previous, "something belongs after this comma")
        elif token.type in _ENDS_OF_A_LINE:
            self.complain_at(
                previous or token, f"the line breaks off after {previous}" if previous is not None else "the line breaks off here"
            )
        elif previous is not None and previous.type == "CLOSE":
            self.complain_at(token, "a new line begins after a }")
        else:
            self.complain_at(token, f"{token} cannot stand here{self.expected()}")

    def slip(self, token: lark.Token) -> tuple[int, int, str] | None:
        """The known slip that a token is part of, in a line that the grammar itself reads."""
        if self.slip_at is None or self.head is None or self.head.type in ("WORD", "STRING", "NUMBER", "DAMAGE"):
            return None
        return self.slip_at(self.text, token.start_pos or 0)

    def complain_of_damage(self, token: lark.Token) -> None:
        """Tells of the character at which the lexer stopped."""
        at, character = token.start_pos or 0, token[0]
        if character == '"':
            self.complain_at(token, "this quoted text is not closed; a second quotation mark belongs on this line")
            return
        if character == "\r":
            message = "a carriage return stands alone; lines end with a line feed, with or without a carriage return before it"
        elif not character.isprintable():
            message = f"a character that cannot be read stands here (U+{ord(character):04X}); delete it"
        elif character in "'’″′" and self.text[at - 1 : at].isdigit():
            message = "feet and inches are written as 5 ft 8 in"
        elif character in "“”„«»‘’'`":
            message = f"{character} does not quote; names stand in straight double quotation marks"
        else:
            message = f"{character} has no meaning here" + (f"; {_INSTEAD[character]}" if character in _INSTEAD else "")
        self.complaints.add(self.source.place(at, at + 1), message)

    def expected(self) -> str:
        """What could have stood there instead, in words."""
        kinds = [kind for kind in self.state.parse_conf.states[self.state.position] if kind.isupper() and self.accepts(kind)]
        words = sorted(
            {_IN_WORDS.get(kind) or f"`{self.parser.get_terminal(kind).pattern.value}`" for kind in kinds if kind != "$END"}
        )
        return f"; expected {listed(words)}" if words and len(words) <= 8 else ""


def _made(kind: str, text: str, at: int) -> lark.Token:
    """A token that the text lacks."""
    return lark.Token(kind, text, at, None, None, None, None, at)
