"""The texts that runs begin with: the kept corpus, and the plans and rule files of the checkout."""

from __future__ import annotations

import re
from pathlib import Path

from shootlint.language.entry import HOLE, shape
from shootlint.language.units import BY_SPELLING
from shootlint.language.vocabulary import PLANS, Vocabulary, fields_of
from shootlint.readings.catalogue import catalogue
from shootlint.rulebook.model import RULE_FILES

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
CORPUS = HERE / "corpus"
ENDINGS = {"plan": ".shoot", "rules": ".rules"}
VOCABULARIES: dict[str, Vocabulary] = {"plan": PLANS, "rules": RULE_FILES}


def kept(kind: str) -> list[Path]:
    """The small files that are kept, one for each thing that a long run found worth keeping."""
    return sorted((CORPUS / kind).iterdir())


def seeds(kind: str) -> list[Path]:
    folders = [ROOT / "plans", ROOT / "rules"]
    return [*kept(kind), *(path for folder in folders for path in sorted(folder.rglob(f"*{ENDINGS[kind]}")))]


def pieces(kind: str) -> list[bytes]:
    """The same in pieces: whatever stands outside every block, with the block that it opens, each a text of its own."""
    head = {"plan": "shootplan 1\n", "rules": ""}[kind]
    found = [path.read_bytes() for path in kept(kind)]
    for path in seeds(kind)[len(found) :]:
        text = path.read_text("utf-8")
        for piece in re.findall(r"^[^\s#}].*\n(?:(?:[ \t}].*)?\n)*", text, re.MULTILINE):
            found.append((piece if piece.startswith("shootplan") else head + piece).encode())
    return list(dict.fromkeys(found))


def words(kind: str) -> list[str]:
    """Every word, unit and quoted choice of a language, and the names that its files may use."""
    vocabulary = VOCABULARIES[kind]
    declared = [each for entry in vocabulary.entries for each in fields_of(shape(entry))]
    found = {word for each in declared for word in each.phrase if word != HOLE}
    found |= {word for each in declared for word in getattr(each.slot, "words", ())}
    found |= {each.slot.example for each in declared if each.slot is not None}
    found |= {*BY_SPELLING, *BESIDE_WORDS}
    return sorted(found | (catalogue().keys() if kind == "rules" else set()))


BESIDE_WORDS = ('"kit.shoot"', '"studio.rules"', '"house.rules"', "1/200 s", "f/2.8", "18:40", "2026-06-21", "{", "}", ";", ", ")
