"""Saving what was changed: the score, the notes beside it, specifications. Core's one writer writes them."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.builtin import is_builtin
from core.document import Document, save_notes, save_organ, save_score
from core.errors import StopwrightError
from core.organ.ids import slug

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
        source = self.session.document.source
        path = source.path if source is not None else None
        if source is not None and self._wants_name(path):
            path = self.ask_for_path(path)
            if not path:
                return False
        try:
            written = self.save_organs()
            if written is None:
                return False
            if source is not None and path:
                self._write(self.session.document, path)
                written.insert(0, Path(path).name)
        except (StopwrightError, OSError) as error:
            self.session.failed.emit(str(error))
            return False
        self.session.saved = replace(self.session.document, organs=self.session.saved.organs)
        self.session.undo.setClean()
        if source is not None and path and path != source.path:
            self.window.open(path)
        if written:
            self.window.say(self.tr("Saved {0}").format(", ".join(written)))
        return True

    def _wants_name(self, path: str | None) -> bool:
        """Whether the score has no file that it may be written to."""
        source, saved = self.session.document.source, self.session.saved.source
        if source is None:
            return False
        if path is None or is_builtin(path) or source.converted_from is not None:
            return True
        is_changed = saved is None or source.data != saved.data
        if is_changed and is_read_only(path):
            self.window.say(self.tr("{0} is read-only; save it under another name.").format(Path(path).name))
            return True
        return False

    def save_organs(self) -> list[str] | None:
        """Write the specifications that were changed; the names of their files, or None where the user withdrew.

        Raises:
            WriteError: one could not be written; its file is as it was.
        """
        written = []
        for number in self.session.unsaved_organs:
            file = self.session.document.organs[number]
            path = file.path
            is_new = path is None or is_builtin(path) or is_read_only(path)
            if is_new:
                path = self.ask_for_organ_path(file.organ.name)
                if not path:
                    return None
            assert path is not None
            save_organ(self.session.document, number, path, self.session.shelf, overwrite=is_new)
            self.session.note_saved_organ(number, path)
            written.append(Path(path).name)
        return written

    def save_organ_as(self) -> bool:
        """Save the chosen organ in another file, which is its own from then on."""
        number, organ = self.session.document.chosen, self.session.organ
        path = self.ask_for_organ_path(organ.name) if organ is not None else ""
        if number is None or not path:
            return False
        try:
            save_organ(self.session.document, number, path, self.session.shelf, overwrite=True)
        except (StopwrightError, OSError) as error:
            self.session.failed.emit(str(error))
            return False
        self.session.note_saved_organ(number, path)
        self.window.say(self.tr("Saved {0}").format(Path(path).name))
        return True

    def ask_for_organ_path(self, name: str) -> str:
        """Where an organ without a file of its own is to be saved; empty where the user withdraws."""
        chosen, _ = QFileDialog.getSaveFileName(
            self.window,
            self.tr("Save the organ {0}").format(name),
            f"{slug(name)}.yaml",
            self.tr("Specifications (*.yaml)"),
        )
        if chosen and not chosen.lower().endswith((".yaml", ".yml")):
            chosen += ".yaml"
        return chosen

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
        self._write_organs(document)

    def _write_organs(self, document: Document) -> None:
        saved = self.session.saved
        texts = {file.path: file.text for file in saved.organs}
        for number, file in enumerate(document.organs):
            if file.path and not is_builtin(file.path) and texts.get(file.path, file.text) != file.text:
                save_organ(document, number, file.path, self.session.shelf)

    def may_lose_changes(self) -> bool:
        """Ask where there are unsaved changes; False: the user wants to stay."""
        if self.session.undo.isClean() and not self.session.unsaved_organs:
            return True
        answer = self.ask()
        if answer == QMessageBox.StandardButton.Save:
            return self.save()
        if answer == QMessageBox.StandardButton.Discard:
            self.session.drop_unsaved_organs()
            return True
        return False

    def may_lose_changes_of_score(self) -> bool:
        """Ask where edits of the score are not saved; those of the notes go over to the file read again."""
        source, saved = self.session.document.source, self.session.saved.source
        if source is None or saved is None or source.data == saved.data:
            return True
        answer = QMessageBox.question(
            self.window,
            self.tr("Unsaved changes"),
            self.tr("Your markings in the score are not saved; read again, it has them no longer."),
            QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel,
        )
        return answer == QMessageBox.StandardButton.Discard

    def ask(self) -> QMessageBox.StandardButton:
        """Save, discard, or stay?"""
        buttons = (
            QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel
        )
        return QMessageBox.question(
            self.window,
            self.tr("Unsaved changes"),
            self.tr("There are changes that are not saved: {0}.").format(self._unsaved()),
            buttons,
        )

    def _unsaved(self) -> str:
        """What is not saved: the last edit, else the organs that were changed."""
        document = self.session.document
        names = [document.organs[number].organ.name for number in self.session.unsaved_organs]
        last = "" if self.session.undo.isClean() else self.session.undo.undoText()
        return last or ", ".join(names)


def is_read_only(path: str) -> bool:
    """Whether a file is there that its owner has marked as not to be written, or that we may not write."""
    try:
        return not Path(path).stat().st_mode & 0o222 or not os.access(path, os.W_OK)
    except OSError:
        return False
