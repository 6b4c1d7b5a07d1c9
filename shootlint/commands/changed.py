"""The plans of a call that have changed since a revision, or rest on something that has."""

from __future__ import annotations

import datetime
import os
from dataclasses import replace
from pathlib import Path

from shootlint.commands.paths import STANDARD_INPUT, Asked
from shootlint.commands.repository import NoAnswer, Repository
from shootlint.commands.today import today
from shootlint.language.folders import root_of
from shootlint.language.loading import Document
from shootlint.language.source import Unreadable
from shootlint.reports.run import Since
from shootlint.rulebook.house import HOUSE_FILE, house_file


class Changed:
    """Tells which files are to be judged, and counts the plans that are not.

    A plan is left out only where it is certain that nothing which its verdict rests on has changed. One with a kit that is not
    there, or by a rulebook with a mistake, is judged whatever has changed; and so is standard input.
    """

    def __init__(self, revision: str, rule_files: list[str], day: datetime.date | None = None) -> None:
        from shootlint.checking.judge import Judge

        self.since = Since(revision, 0)
        self.named_rules = bool(rule_files)
        self.today = day or today()
        self.judge = Judge(rule_files, self.today)
        self._repositories: dict[Path, Repository] = {}

    def only(self, plans: list[Asked]) -> list[Asked]:
        """The files to judge of each path of a call; raises NoAnswer, and Unreadable for a rule file that the call names."""
        return [self._only(each) for each in plans]

    def _only(self, asked: Asked) -> Asked:
        files = [file for file in asked.files if not self._is_left_out(file, asked.is_folder)]
        return asked._replace(files=files, passed_over=asked.passed_over or len(files) < len(asked.files))

    def _is_left_out(self, file: str, in_folder: bool) -> bool:
        if file == STANDARD_INPUT:
            return False
        real = Path(os.path.realpath(file))
        repository = self._repository(real)
        if repository.has_changed(file):
            return False
        from shootlint.commands.pipeline import load

        document = load(file, self.judge.loader)
        if isinstance(document, Unreadable) or self._has_moved(document, real, repository):
            return False
        if not document.may_be_plan:
            # In a folder a kit is passed over anyway, and whether there is a plan besides is still to be told.
            return not in_folder
        self.since = replace(self.since, unchanged=self.since.unchanged + 1)
        return True

    def _has_moved(self, document: Document, real: Path, repository: Repository) -> bool:
        """Whether anything that a plan rests on besides its own text has changed."""
        if document.kits_missing or any(repository.has_changed(path) for path, _ in document.named):
            return True
        accepted = document.plan.accept if document.plan is not None else ()
        if any(each.until is not None and repository.day <= each.until.date < self.today for each in accepted):
            # Then it was good, and now it has run out.
            return True
        if not self.named_rules and self._another_house(real, repository):
            return True
        try:
            book = self.judge.book_of(real)
        except Unreadable:
            return True
        if book.complaints or any(repository.has_changed(path) for path, _ in book.named):
            return True
        from shootlint.rulebook.packages import places

        return any(repository.has_changed_below(place) for name in book.packages for place in places(name))

    def _another_house(self, plan: Path, repository: Repository) -> bool:
        """Whether a house file that is no more stood nearer to a plan than the one that it has now."""
        nearest = house_file(plan)
        root = root_of(plan)
        for folder in plan.parents:
            if folder / HOUSE_FILE == nearest:
                return False
            if repository.is_gone(folder / HOUSE_FILE):
                return True
            if folder == root:
                return False
        return False

    def _repository(self, real: Path) -> Repository:
        root = root_of(real)
        if root not in self._repositories:
            if not (root / ".git").exists():
                raise NoAnswer(f"{real} lies in no git repository, and nothing else can tell what has changed")
            self._repositories[root] = Repository(root, self.since.revision)
        return self._repositories[root]
