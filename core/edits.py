"""Edits as values: add, change, move or delete a marking; change a specification. Applied to a document.

Placeholder types until the room is built: `Edit` is the base of all.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Edit:
    """Base of all edits; `name` says it in words for the undo list."""

    name: str
