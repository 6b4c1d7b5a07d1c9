"""The files that plans and rule files rest on: as the editor has them where they are open, else as they are on the disk."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shootlint.language.source import Source, Unreadable, decode, read_source

Seen = dict[tuple[Path, str], "Source | str"]
"""Files that were looked for, by path and by the name given to them: what was read, or why nothing was."""


def source_of(text: str, name: str, path: Path | None) -> Source:
    """A text that a client sent, read as a file that holds it would be; raises Unreadable."""
    # Half a surrogate pair is no text; the file's reader says so better than the encoder does.
    return decode(text.encode("utf-8", "surrogatepass"), name, path)


class Files:
    """Reads files. Each is read anew whenever it is asked for, so what is known of it is never old; where it still holds
    the same, the same source is given again, so that whoever made something of it may keep that."""

    def __init__(self) -> None:
        self.open: dict[Path, str] = {}
        """The texts of the documents that are open, by the resolved path of the file."""
        self._known: dict[tuple[Path, str], Source] = {}
        self._watching: list[Seen] = []

    def read(self, path: Path, name: str) -> Source:
        """The text of a file; raises Unreadable."""
        key = path, name
        try:
            found = source_of(self.open[path], name, path) if path in self.open else read_source(path, name)
        except Unreadable as error:
            self._tell(key, str(error))
            raise
        known = self._known.get(key)
        if known is None or (known.text, known.marked, known.path) != (found.text, found.marked, found.path):
            known = self._known[key] = found
        self._tell(key, known)
        return known

    @contextmanager
    def watched(self) -> Iterator[Seen]:
        """What is read while it lasts."""
        seen: Seen = {}
        self._watching.append(seen)
        try:
            yield seen
        finally:
            self._watching.pop()

    def unchanged(self, seen: Seen) -> bool:
        """Whether all that was looked for would be found as it was."""
        return all(_same(self._now(*key), found) for key, found in list(seen.items()))

    def is_current(self, source: Source) -> bool:
        """Whether a source that was read here is what would be read now."""
        return source.path is not None and self._now(source.path, source.name) is source

    def _now(self, path: Path, name: str) -> Source | str:
        try:
            return self.read(path, name)
        except Unreadable as error:
            return str(error)

    def _tell(self, key: tuple[Path, str], found: Source | str) -> None:
        for seen in self._watching:
            seen[key] = found


def _same(one: Source | str, other: Source | str) -> bool:
    return one is other or (isinstance(one, str) and one == other)
