"""What has changed in a repository since a revision, as git tells it.

git is asked without a shell, gets nothing from a plan but the folder to look in, and is told to run no program of the
repository's own and to fetch nothing; the revision is looked up first, so that it can be nothing but one.
"""

from __future__ import annotations

import datetime
import os
import re
import subprocess
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path

MOST_LINKS = 1000
"""More steps than these on the way to a file are links in a circle."""
OF_ANOTHER = ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_NAMESPACE")
"""What git takes from its surroundings in the place of the folder that it is asked of, such as in a hook."""
ALONE = {
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    # A clone that leaves things out would fetch them now, by a program that the repository names. Older versions of git know
    # only the second of these, by which no way to fetch is allowed.
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "none",
    "LC_ALL": "C",
}
"""What makes git answer from what is there, without asking or changing anything."""
OF_THE_REPOSITORY = (b"local", b"worktree")
"""Where settings come from a repository's own files rather than from whoever runs git."""
OLDEST_GIT = (2, 31)
"""Older ones do not take settings from their surroundings, so that a repository's own programs could not be turned off."""
PARTS_OF_FILTER = (("clean", ""), ("smudge", ""), ("process", ""), ("required", "false"))


class NoAnswer(Exception):
    """What has changed cannot be told. Its text says why, for a person."""


class Repository:
    """One repository and what differs there from a revision: committed since, only staged, or only in the files."""

    def __init__(self, root: Path, revision: str) -> None:
        """`root` is the folder that holds `.git`. Raises NoAnswer where there is no git, no repository or no such revision."""
        self.root = str(root)
        self._filters: tuple[str, ...] = ()
        if not revision or revision.startswith("-"):
            raise NoAnswer(f"{revision or 'nothing'} is no revision; name a commit, a branch or a tag")
        self._check_version()
        self._filters = self._own_filters()
        top = self._git("rev-parse", "--show-toplevel")
        if top is None or os.path.realpath(os.fsdecode(top.rstrip(b"\n"))) != os.path.realpath(root):
            raise NoAnswer(f"{root} is no git repository")
        found = self._named(revision)
        # Some ways to name a commit take all that follows for a part of the name, so what it leads to is asked by its own.
        commit = self._named(f"{found}^{{commit}}") if found is not None else None
        if commit is None:
            raise NoAnswer(f"there is no revision {revision} in {root}; a clone that is not whole may lack it")
        self.commit = commit

    def _check_version(self) -> None:
        told = (self._git("version") or b"").decode("ascii", "replace").strip()
        found = re.match(r"git version (\d{1,9})\.(\d{1,9})", told)
        if found is None or (int(found[1]), int(found[2])) < OLDEST_GIT:
            oldest = ".".join(map(str, OLDEST_GIT))
            raise NoAnswer(f"git {oldest} or newer is needed to tell what has changed; this one says: {told or 'nothing'}")

    def _own_filters(self) -> tuple[str, ...]:
        """The filters that the repository's own settings declare: programs through which git would send its files to compare them.
        Those of whoever runs git are no concern."""
        told = self._git("config", "--show-scope", "--includes", "--name-only", "-z", "--get-regexp", r"^filter\.") or b""
        fields = told.split(b"\0")
        names = [key for scope, key in zip(fields[::2], fields[1::2], strict=False) if scope in OF_THE_REPOSITORY]
        return tuple(sorted({os.fsdecode(name).partition(".")[2].rpartition(".")[0] for name in names}))

    def _named(self, name: str) -> str | None:
        """What a name stands for, as the name that it alone has."""
        found = self._git("rev-parse", "--verify", "--quiet", "--end-of-options", name)
        return found.decode("ascii").strip() if found is not None else None

    @cached_property
    def changed(self) -> frozenset[str]:
        """What is known to git then or now and differs, by its path from the root."""
        # Of a repository inside, git would ask what has changed there, by that one's settings; its files count as not known here.
        options = (
            "--name-only",
            "-z",
            "--no-renames",
            "--no-ext-diff",
            "--no-textconv",
            "--no-color",
            "--ignore-submodules=dirty",
        )
        return self._paths("diff", *options, self.commit, "--")

    @cached_property
    def tracked(self) -> frozenset[str]:
        """What is known to git now. All other files are new, ignored ones among them: nobody can tell what they were."""
        return self._paths("ls-files", "-z", "--cached")

    @cached_property
    def day(self) -> datetime.date:
        """The day on which the revision was committed."""
        told = self._asked("show", "--no-patch", "--no-show-signature", "--format=%cI", self.commit, "--")
        return datetime.datetime.fromisoformat(told.decode("ascii").strip()).date()

    def has_changed(self, path: str | Path) -> bool:
        """Whether a file, or a link on the way to it, is not what it was; so is whatever lies outside the repository."""
        *links, file = (self._inside(each) for each in on_the_way(str(path)))
        return file is None or file in self.changed or file not in self.tracked or any(link in self.changed for link in links)

    def is_gone(self, path: str | Path) -> bool:
        """Whether there was something at a path, of which there is nothing now or something else."""
        return self._inside(str(path)) in self.changed

    def has_changed_below(self, folder: str) -> bool:
        """Whether anything in a folder that lies in the repository is not what it was; what lies outside is not asked of."""
        inside = self._inside(os.path.realpath(folder))
        if inside is None:
            return False
        if not os.path.isdir(folder):
            return self.has_changed(folder)
        if any(each.startswith(f"{inside}/") for each in self.changed):
            return True
        for place, folders, files in os.walk(folder):
            folders[:] = [each for each in folders if each != "__pycache__"]
            if any(self._inside(os.path.realpath(os.path.join(place, file))) not in self.tracked for file in files):
                return True
        return False

    def _inside(self, path: str) -> str | None:
        """A path from the root, as git writes it; None for one outside."""
        root = os.path.realpath(self.root)
        return os.path.relpath(path, root).replace(os.sep, "/") if Path(path).is_relative_to(root) else None

    def _paths(self, *arguments: str) -> frozenset[str]:
        return frozenset(os.fsdecode(each) for each in self._asked(*arguments).split(b"\0") if each)

    def _asked(self, *arguments: str) -> bytes:
        told = self._git(*arguments)
        if told is None:
            raise NoAnswer(f"git {arguments[0]} fails in {self.root}")
        return told

    def _git(self, *arguments: str) -> bytes | None:
        """What git answers; None where it fails."""
        around = {name: value for name, value in os.environ.items() if name not in OF_ANOTHER}
        around |= ALONE | self._without_filters(around)
        command = ["git", "--no-pager", "-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}", *arguments]
        try:
            done = subprocess.run(
                command, cwd=self.root, env=around, stdin=subprocess.DEVNULL, capture_output=True, check=False
            )  # fmt: skip
        except FileNotFoundError:
            raise NoAnswer("git is not installed here, and nothing else can tell what has changed") from None
        except (OSError, ValueError) as error:
            raise NoAnswer(f"git cannot be asked: {error}") from None
        return done.stdout if done.returncode == 0 else None

    def _without_filters(self, around: Mapping[str, str]) -> dict[str, str]:
        """What turns the repository's own filters off, beside the settings that the surroundings give already."""
        given = around.get("GIT_CONFIG_COUNT", "")
        first = int(given) if given.isascii() and given.isdigit() else 0
        settings = [(f"filter.{name}.{part}", value) for name in self._filters for part, value in PARTS_OF_FILTER]
        told = {"GIT_CONFIG_COUNT": str(first + len(settings))} if settings else {}
        for number, (key, value) in enumerate(settings, first):
            told |= {f"GIT_CONFIG_KEY_{number}": key, f"GIT_CONFIG_VALUE_{number}": value}
        return told


def on_the_way(path: str) -> Iterator[str]:
    """What decides which file a path stands for: each link that is met, and at last the file itself."""
    whole = Path(path).absolute()
    here, left = whole.anchor, list(reversed(whole.parts[1:]))
    for _ in range(MOST_LINKS):
        if not left:
            break
        part = left.pop()
        if part == "..":
            here = os.path.dirname(here)
            continue
        there = os.path.join(here, part)
        if not os.path.islink(there):
            here = there
            continue
        yield there
        target = Path(os.readlink(there))
        here = target.anchor or here
        left += reversed(target.parts[1:] if target.anchor else target.parts)
    yield here
