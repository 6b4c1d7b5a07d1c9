"""What has changed in a repository since a revision, as git tells it.

git is asked without a shell, gets nothing from a plan but the folder to look in, and is told to run no program of the
repository's own; the revision is looked up first, so that it can be nothing but one.
"""

from __future__ import annotations

import datetime
import os
import subprocess
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

MOST_LINKS = 1000
"""More steps than these on the way to a file are links in a circle."""
OF_ANOTHER = ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_NAMESPACE")
"""What git takes from its surroundings in the place of the folder that it is asked of, such as in a hook."""


class NoAnswer(Exception):
    """What has changed cannot be told. Its text says why, for a person."""


class Repository:
    """One repository and what differs there from a revision: committed since, only staged, or only in the files."""

    def __init__(self, root: Path, revision: str) -> None:
        """`root` is the folder that holds `.git`. Raises NoAnswer where there is no git, no repository or no such revision."""
        self.root = str(root)
        if not revision or revision.startswith("-"):
            raise NoAnswer(f"{revision or 'nothing'} is no revision; name a commit, a branch or a tag")
        top = self._git("rev-parse", "--show-toplevel")
        if top is None or os.path.realpath(os.fsdecode(top.rstrip(b"\n"))) != os.path.realpath(root):
            raise NoAnswer(f"{root} is no git repository")
        found = self._named(revision)
        # Some ways to name a commit take all that follows for a part of the name, so what it leads to is asked by its own.
        commit = self._named(f"{found}^{{commit}}") if found is not None else None
        if commit is None:
            raise NoAnswer(f"there is no revision {revision} in {root}; a clone that is not whole may lack it")
        self.commit = commit

    def _named(self, name: str) -> str | None:
        """What a name stands for, as the name that it alone has."""
        found = self._git("rev-parse", "--verify", "--quiet", "--end-of-options", name)
        return found.decode("ascii").strip() if found is not None else None

    @cached_property
    def changed(self) -> frozenset[str]:
        """What is known to git then or now and differs, by its path from the root."""
        options = ("--name-only", "-z", "--no-renames", "--no-ext-diff", "--no-textconv", "--no-color")
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
        around |= {"GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
        command = ["git", "--no-pager", "-c", "core.fsmonitor=false", *arguments]
        try:
            done = subprocess.run(
                command, cwd=self.root, env=around, stdin=subprocess.DEVNULL, capture_output=True, check=False
            )  # fmt: skip
        except FileNotFoundError:
            raise NoAnswer("git is not installed here, and nothing else can tell what has changed") from None
        except (OSError, ValueError) as error:
            raise NoAnswer(f"git cannot be asked: {error}") from None
        return done.stdout if done.returncode == 0 else None


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
