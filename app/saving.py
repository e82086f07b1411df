"""Saving what was changed: the score, the notes beside it, specifications. Core's one writer writes them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.builtin import is_builtin
from core.document import Document, save_notes, save_organ, save_score
from core.errors import StopwrightError

if TYPE_CHECKING:
    from app.window import Window


class Saving(QObject):
    """Saves the session's document, and asks before changes are lost."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session

    def save(self) -> bool:
        """Save; False where nothing was saved because the user withdrew or it could not be written."""
        document = self.session.document
        source = document.source
        if source is None:
            return True
        path = source.path
        if path is None or is_builtin(path) or source.converted_from is not None:
            path = self.ask_for_path(path)
            if not path:
                return False
        try:
            self._write(document, path)
        except (StopwrightError, OSError) as error:
            self.session.failed.emit(str(error))
            return False
        self.session.saved = document
        self.session.undo.setClean()
        if path != source.path:
            self.window.open(path)
        self.window.say(self.tr("Saved {0}").format(Path(path).name))
        return True

    def ask_for_path(self, path: str | None) -> str:
        """Where a score without a file of its own is to be saved; empty where the user withdraws."""
        name = Path(path).with_suffix(".musicxml").name if path else "score.musicxml"
        chosen, _ = QFileDialog.getSaveFileName(
            self.window, self.tr("Save the score"), name, self.tr("Scores (*.musicxml *.mxl)")
        )
        return chosen

    def _write(self, document: Document, path: str) -> None:
        """Write what differs from what was opened or saved last."""
        source = document.source
        assert source is not None
        saved = self.session.saved
        before = saved.source.data if saved.source is not None else b""
        if source.data != before or path != source.path:
            save_score(document, path, self.session.shelf)
        if document.notes != saved.notes or path != source.path:
            save_notes(replace(document, source=replace(source, path=path)), self.session.shelf)
        texts = {file.path: file.text for file in saved.organs}
        for number, file in enumerate(document.organs):
            if file.path and not is_builtin(file.path) and texts.get(file.path, file.text) != file.text:
                save_organ(document, number, file.path, self.session.shelf)

    def may_lose_changes(self) -> bool:
        """Ask where there are unsaved changes; False: the user wants to stay."""
        if self.session.undo.isClean():
            return True
        answer = self.ask()
        if answer == QMessageBox.StandardButton.Save:
            return self.save()
        return answer == QMessageBox.StandardButton.Discard

    def ask(self) -> QMessageBox.StandardButton:
        """Save, discard, or stay?"""
        buttons = (
            QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel
        )
        return QMessageBox.question(
            self.window,
            self.tr("Unsaved changes"),
            self.tr("There are changes that are not saved: {0}.").format(self.session.undo.undoText()),
            buttons,
        )
