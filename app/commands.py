"""The one undo command: an edit, the document before it and after it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from core.edits import Edit, apply

if TYPE_CHECKING:
    from app.session import Session


class EditCommand(QUndoCommand):
    """Does and undoes one edit.

    Raises:
        EditError: the edit does not fit; nothing was changed.
    """

    def __init__(self, session: Session, edit: Edit) -> None:
        super().__init__(edit.name)
        self._session = session
        self._before = session.document
        self._after = apply(session.document, edit).document

    def redo(self) -> None:
        """Show the document after the edit."""
        self._session.set_document(self._after)

    def undo(self) -> None:
        """Show the document before it, to the byte."""
        self._session.set_document(self._before)
