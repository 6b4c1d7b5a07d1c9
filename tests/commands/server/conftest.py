"""An editor's session without a protocol, on a copy of the plans."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from shootlint.commands.server.findings import Said, said_of
from shootlint.commands.server.session import Checked, Session

ROOT = Path(__file__).parents[3]


@dataclass
class Desk:
    """A session whose documents are the files of a folder, by their names in it."""

    folder: Path
    session: Session
    told: list[str]

    def uri(self, name: str) -> str:
        return (self.folder / name).as_uri()

    def open(self, name: str, text: str | None = None) -> Checked:
        path = self.folder / name
        content = path.read_bytes().decode() if text is None else text
        self.session.open(self.uri(name), path, 1, content)
        return self.checked(name)

    def change(self, name: str, text: str) -> Checked:
        version = self.session.documents[self.uri(name)].version or 0
        self.session.change(self.uri(name), version + 1, text)
        return self.checked(name)

    def checked(self, name: str) -> Checked:
        return self.session.checked(self.uri(name))

    def said(self, name: str) -> list[Said]:
        return said_of(self.checked(name))


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    folder = tmp_path / "repository"
    shutil.copytree(ROOT / "plans", folder / "plans")
    (folder / ".git").mkdir()
    monkeypatch.chdir(folder)
    told: list[str] = []
    return Desk(folder, Session(told.append), told)
