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

    def __init__(self, session: Session, name: str, before: Document, after: Document) -> None:
        super().__init__(name)
        self._session = session
        self._before = before
        self._after = after

    def redo(self) -> None:
        """Show the document after the edit."""
        self._session.set_document(self._with_present_organs(self._after))

    def undo(self) -> None:
        """Show the document before it, to the byte."""
        self._session.set_document(self._with_present_organs(self._before))

    def _with_present_organs(self, document: Document) -> Document:
        is_about_organs = (self._before.organs, self._before.chosen) != (self._after.organs, self._after.chosen)
        now = self._session.document
        if is_about_organs or (now.organs == document.organs and now.chosen == document.chosen):
            return document
        return replace(document, organs=now.organs, chosen=now.chosen)
