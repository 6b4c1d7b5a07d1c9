"""Programs that some tests need and that are no Python packages: where they are, and what happens where they are not."""

from __future__ import annotations

import os
import shutil

import pytest

MUST_RUN = "SHOOTLINT_TESTS_MUST_RUN"
"""Set to 1 where no test may be left out for want of a program, as in CI."""


def program(name: str, package: str | None = None) -> str:
    """The path of a program. Where it is not installed the test is left out, with the package to install; it fails where
    nothing may be left out."""
    found = shutil.which(name)
    if found is not None:
        return found
    reason = f"{name} is not installed; Debian has it in the package {package or name}"
    if os.environ.get(MUST_RUN) == "1":
        pytest.fail(reason)
    pytest.skip(reason)
