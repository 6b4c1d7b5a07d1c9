"""The parts that a SARIF log is put together from: files, places and texts."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from shootlint.reports.records import ChangeRecord, FindingRecord, MendRecord, PlaceRecord
from shootlint.reports.uris import uri_of
from shootlint.reports.visible import visible

BASE = "WORKING-FOLDER"
"""What the references to files are relative to. Where that is, is left to the reader: a path of this machine would make the
same report another one elsewhere."""
_SEMANTIC = re.compile(r"(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)(-[0-9A-Za-z.-]+)?(\+[0-9A-Za-z.-]+)?")


class Files:
    """The files that a log speaks of, each once and in the order in which they are met."""

    def __init__(self) -> None:
        self._at: dict[str, int] = {}
        self.artifacts: list[dict[str, Any]] = []

    def location(self, path: str) -> dict[str, Any]:
        """The reference to a file, by its URI and by its place among the artifacts."""
        where = _reference(path)
        uri = where["uri"]
        if uri not in self._at:
            self._at[uri] = len(self.artifacts)
            self.artifacts.append({"location": where})
        return {**where, "index": self._at[uri]}

    def describe(self, path: str, **told: Any) -> None:
        """Says more of a file."""
        self.artifacts[self.location(path)["index"]] |= told

    def describe_at(self, location: dict[str, Any], **told: Any) -> None:
        """Says more of the file in a location that was given before."""
        self.artifacts[location["physicalLocation"]["artifactLocation"]["index"]] |= told

    def physical(self, place: PlaceRecord) -> dict[str, Any]:
        return {"artifactLocation": self.location(place.path), "region": region(place)}

    def fix(self, mend: MendRecord) -> dict[str, Any]:
        """A mend as replacements, which are all in terms of the file as it is."""
        by_file: dict[str, list[ChangeRecord]] = {}
        for change in sorted(mend.changes, key=lambda each: (each.place.line, each.place.column)):
            by_file.setdefault(change.place.path, []).append(change)
        return {
            "description": message(mend.title),
            "artifactChanges": [
                {"artifactLocation": self.location(path), "replacements": [_replacement(each) for each in changes]}
                for path, changes in by_file.items()
            ],
            "properties": {"grade": mend.grade, "cost": mend.cost},
        }


def _reference(path: str) -> dict[str, Any]:
    uri = uri_of(path)
    return {"uri": uri} if uri.startswith("file:") else {"uri": uri, "uriBaseId": BASE}


def _replacement(change: ChangeRecord) -> dict[str, Any]:
    inserted = {"insertedContent": {"text": change.text}} if change.text else {}
    return {"deletedRegion": region(change.place), **inserted}


def region(place: PlaceRecord) -> dict[str, int]:
    """A stretch of a file; one without length is a place between two characters."""
    return {
        "startLine": place.line,
        "startColumn": place.column,
        "endLine": place.end_line,
        "endColumn": place.end_column,
    }


def logical(finding: FindingRecord) -> list[dict[str, str]]:
    """Whom or what of which setup a finding is about; the setup itself where it is about all of it."""
    if finding.setup is None:
        return []
    if not finding.about:
        return [setup(finding.setup)]
    return [
        {"name": name, "fullyQualifiedName": f"{finding.setup}/{name}", "kind": _KINDS.get(axis, axis)}
        for axis, name in zip(finding.axes, finding.about, strict=True)
    ]


_KINDS = {"other": "person"}
"""The second of a pair lies along an axis of its own, and is a person all the same."""


def setup(name: str) -> dict[str, str]:
    return {"name": name, "fullyQualifiedName": name, "kind": "setup"}


def message(text: str) -> dict[str, str]:
    return {"text": plain_text(text)}


def plain_text(text: str) -> str:
    """A text as SARIF has plain text: braces are doubled, and nothing in it is a link (3.11.6)."""
    return doubled(visible(text)).replace("](", "]\u2060(")


def as_written(text: str) -> str:
    """What a text of a log was made from, by `plain_text` and `sentence`."""
    return text.replace("]\u2060(", "](").replace("{{", "{").replace("}}", "}").removesuffix(".")


def doubled(text: str) -> str:
    """Braces as SARIF has them in plain and in formatted texts (3.11.5)."""
    return text.replace("{", "{{").replace("}", "}}")


def sentence(*texts: str) -> str:
    """Texts one after another, each with a full stop, unless it ends in a mark of its own."""
    return " ".join(text if text.endswith((".", "!", "?", "…")) else f"{text}." for text in texts if text)


def is_semantic(version: str) -> bool:
    """Whether a version is one by Semantic Versioning 2.0.0."""
    return _SEMANTIC.fullmatch(version) is not None


def pascal(names: str) -> str:
    """A rule's name as one word, as in FocusPersonSoft."""
    return "".join(word[:1].upper() + word[1:] for word in re.split(r"[^0-9A-Za-z]+", names))


def suppressions(of: Iterable[dict[str, Any]] = ()) -> dict[str, Any]:
    """Every result of a log has them or none has (3.27.23); an empty list says that it was looked for and there is none."""
    return {"suppressions": list(of)}
