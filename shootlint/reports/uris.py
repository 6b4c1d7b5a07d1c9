"""File names as URI references (RFC 3986), and back."""

from __future__ import annotations

import os
from pathlib import Path, PurePath
from urllib.parse import quote, unquote_to_bytes, urlsplit


def uri_of(path: str) -> str:
    """The reference for a path: from the current folder for what lies below it, a file URI for all else.

    What cannot stand in a URI is percent-encoded byte by byte, so that a name which is no text comes back as it was. A
    reference of ours has no `..`, which means another file once a link leads elsewhere.
    """
    if os.path.isabs(path):
        return _below_here(path) or Path(path).as_uri()
    if ".." in PurePath(path).parts:
        whole = os.path.abspath(path)
        return _below_here(whole) or Path(whole).as_uri()
    return _quoted(path)


def path_of(uri: str) -> str:
    """The path of a reference as `uri_of` writes it: from the current folder, or absolute."""
    parts = urlsplit(uri)
    path = os.fsdecode(unquote_to_bytes(parts.path if parts.scheme == "file" else uri))
    return path.replace("/", os.sep)


def _below_here(path: str) -> str | None:
    here, whole = Path.cwd(), Path(path)
    return _quoted(str(whole.relative_to(here))) if whole.is_relative_to(here) else None


def _quoted(path: str) -> str:
    return quote(os.fsencode(path.replace(os.sep, "/")), safe="/")
