"""Text that can do nothing to a terminal."""

from __future__ import annotations


def visible(text: str) -> str:
    """Control characters, and all others that do not print, are shown and not sent."""
    return text if text.isprintable() else "".join(each if each.isprintable() else f"\\u{ord(each):04x}" for each in text)
