"""Grammars in the form of TextMate's language grammars, which many editors read, with the manifest that they ask for."""

from __future__ import annotations

import json
from typing import Any

from shootlint.commands.colouring.kinds import LANGUAGES, Coloured, Kind

SCOPES = {
    "comment": "comment.line.number-sign",
    "string": "string.quoted.double",
    "date": "constant.numeric.date",
    "clock": "constant.numeric.clock",
    "aperture": "constant.numeric.aperture",
    "number": "constant.numeric",
    "block": "storage.type.block",
    "head": "keyword.other.setting",
    "joining": "keyword.operator.word",
    "rule": "entity.name.function.rule",
    "choice": "constant.language",
    "phrase": "keyword.other.phrase",
    "function": "support.function",
    "reading": "support.variable.reading",
    "word": "variable.other",
    "operator": "keyword.operator",
    "bracket": "punctuation.section.parens",
    "brace": "punctuation.section.block",
    "comma": "punctuation.separator.comma",
    "end": "punctuation.terminator",
}
UNIT = "keyword.other.unit"
ESCAPE = "constant.character.escape"
MADE_BY = "Made by python -m shootlint.commands.colouring.prepare from the grammars and the model: change those, not this file."


def files() -> dict[str, str]:
    """The grammars and the manifest, by their paths."""
    found = {f"textmate/{each.name}.tmLanguage.json": grammar(each) for each in LANGUAGES}
    found["textmate/language-configuration.json"] = {
        "comments": {"lineComment": "#"},
        "brackets": [["{", "}"], ["(", ")"]],
        "autoClosingPairs": [["{", "}"], ["(", ")"], ['"', '"']],
        "wordPattern": '[^\\s"#{}(),;]+',
    }
    found["textmate/package.json"] = {
        "name": "shootlint-colours",
        "displayName": "Shoot plans and their rules",
        "description": MADE_BY,
        "version": "1.0.0",
        "publisher": "shootlint",
        "engines": {"vscode": "*"},
        "contributes": {
            "languages": [
                {
                    "id": each.name,
                    "aliases": [each.title],
                    "extensions": [f".{each.ending}"],
                    "configuration": "./language-configuration.json",
                }
                for each in LANGUAGES
            ],
            "grammars": [
                {"language": each.name, "scopeName": f"source.{each.name}", "path": f"./{each.name}.tmLanguage.json"}
                for each in LANGUAGES
            ],
        },
    }
    return {path: json.dumps(each, indent=1, ensure_ascii=False) + "\n" for path, each in found.items()}


def grammar(language: Coloured) -> dict[str, Any]:
    return {
        "comment": MADE_BY,
        "name": language.title,
        "scopeName": f"source.{language.name}",
        "fileTypes": [language.ending],
        "patterns": [pattern(each, language) for each in language.kinds()],
    }


def pattern(kind: Kind, language: Coloured) -> dict[str, Any]:
    scope = f"{SCOPES[kind.name]}.{language.name}"
    if kind.begins_line:
        # What stands before the word on its line has no colour, so the word is caught by itself.
        return {"match": rf"(?:^|(?<=[;{{]))[ \t]*({kind.pattern})", "captures": {"1": {"name": scope}}}
    if kind.unit is not None:
        captures = {"1": {"name": scope}, "2": {"name": f"{UNIT}.{language.name}"}}
        return {"match": rf"({kind.pattern})(?:[ \t]*({kind.unit}))?", "captures": captures}
    found: dict[str, Any] = {"match": kind.pattern, "name": scope}
    if kind.name == "string":
        escape = {"match": r"\\.", "name": f"{ESCAPE}.{language.name}"}
        return {"match": kind.pattern, "captures": {"0": {"name": scope, "patterns": [escape]}}}
    return found
