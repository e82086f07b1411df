"""The one undo command: an edit, the document before it and after it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from core.document import Document

if TYPE_CHECKING:
    from app.session import Session


class EditCommand(QUndoCommand):
    """Does and undoes one edit; which organs are open and chosen by now stays, unless the edit was about them."""

    def __init__(self, session: Session, name: str, before: Document, after: Document, group: int = -1) -> None:
        super().__init__(name)
        self._group = group  # edits of one group, one right after the other, are one step; -1: of none
        self._session = session
        self._before = before
        self._after = after

    def id(self) -> int:
        """The group."""
        return self._group

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take the next edit of the same group into this step."""
        if not isinstance(other, EditCommand):
            return False
        self._after = other._after
        return True

    def redo(self) -> None:
        """Show the document after the edit."""
        self._session.set_document(self._with_present_organs(self._after))

    def undo(self) -> None:
        """Show the document before it, to the byte."""
        self._session.set_document(self._with_present_organs(self._before))

    def _with_present_organs(self, document: Document) -> Document:
        """The document with the organs that are open and chosen by now; those that the edit changed as it has them."""
        now, before, after = self._session.document, self._before, self._after
        if len(before.organs) != len(after.organs) or len(now.organs) < len(document.organs):
            return document
        organs = list(now.organs)
        for number, (old, new) in enumerate(zip(before.organs, after.organs, strict=True)):
            if old is new:
                continue
            mine, present = document.organs[number], organs[number]
            if present.path is not None and present.path not in (old.path, new.path, mine.path) and old.path:
                return document
            # a file that it was given since is its file still, unless this very edit took the organ from its file
            path = present.path if old.path == new.path else mine.path
            organs[number] = replace(mine, path=path)
        are_same = all(one is other for one, other in zip(organs, document.organs, strict=False))
        if len(organs) == len(document.organs) and are_same and now.chosen == document.chosen:
            return document
        chosen = document.chosen if before.chosen != after.chosen else now.chosen
        return replace(document, organs=tuple(organs), chosen=chosen)
