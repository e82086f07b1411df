"""Tables that are opened in a spreadsheet."""

from __future__ import annotations


def safe_cell(text: str) -> str:
    """A text from a score or a specification that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
