"""Unsaved work kept aside every few seconds, and offered at the next start if the program fell.

A window keeps one file in the user's state folder, locked while it lives; a file whose lock nobody holds is
what a fallen program left. What cannot be read is set aside, not tried again.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
from base64 import b64decode, b64encode
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from platformdirs import user_state_path
from PySide6.QtCore import QLockFile, QObject, QTimer
from PySide6.QtWidgets import QMessageBox

from app.commands import EditCommand
from core.document import Document, OrganFile, organ_from_text, score_of
from core.errors import StopwrightError
from core.files import make_folder, read_bytes, write_bytes
from core.notes_file import read_notes, write_notes
from core.score.source import source_from_bytes

if TYPE_CHECKING:
    from app.window import Window

EVERY_MS = 4000
_SUFFIX, _LOCK, _ASIDE = ".unsaved", ".lock", ".unreadable"
_FORM = 1
_MAX_BYTES = 512 * 2**20  # a score of 64 MB is kept as 86 MB of letters


def recovery_folder() -> Path:
    """Where unsaved work is kept on this platform."""
    return user_state_path("stopwright", appauthor=False) / "recovery"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Unsaved work as it was kept.

    Attributes:
        document: the work.
        base: digest of the score's file as it was opened or saved last; empty where there was none.
        when: local time, for people.
        edits: the names of the edits that were not saved.
    """

    document: Document
    base: str
    when: str
    edits: tuple[str, ...]


def pack(kept: Kept) -> bytes:
    """The content of a file of unsaved work."""
    document = kept.document
    source = document.source
    organs = [file for file in document.organs if file.text]
    chosen = document.organs[document.chosen] if document.chosen is not None else None
    values: dict[str, Any] = {
        "form": _FORM,
        "when": kept.when,
        "base": kept.base,
        "edits": list(kept.edits),
        "path": source.path if source is not None else None,
        "score": b64encode(source.data).decode() if source is not None else None,
        "notes": write_notes(document.notes).decode(),
        "organs": [{"path": file.path, "text": file.text} for file in organs],
        "chosen": organs.index(chosen) if chosen in organs else None,
    }
    return json.dumps(values).encode()


def unpack(data: bytes) -> Kept:
    """Unsaved work read again.

    Raises:
        StopwrightError, ValueError, KeyError, TypeError: it is not what `pack` wrote.
    """
    values = json.loads(data)
    if values["form"] != _FORM:
        raise ValueError("of another version")
    score, path, chosen = values["score"], values["path"], values["chosen"]
    texts = [path, *(one["path"] for one in values["organs"])]
    if not all(isinstance(one, str | None) for one in texts) or not isinstance(chosen, int | None):
        raise TypeError("of another form")
    organs = tuple(
        OrganFile(path=one["path"], text=one["text"], organ=organ_from_text(one["text"], one["path"]))
        for one in values["organs"]
    )
    document = Document(
        source=source_from_bytes(b64decode(score), path) if score is not None else None,
        organs=organs,
        chosen=chosen if chosen is not None and 0 <= chosen < len(organs) else None,
        notes=read_notes(values["notes"].encode(), path or "notes"),
    )
    if document.source is not None:
        score_of(document)  # what cannot be read must be found out now, not once it is taken up
    return Kept(
        document=document, base=str(values["base"]), when=str(values["when"]), edits=tuple(map(str, values["edits"]))
    )


class Recovery(QObject):
    """Keeps one window's unsaved work."""

    def __init__(self, window: Window, folder: Path | None = None, every_ms: int = EVERY_MS) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.folder = folder or recovery_folder()
        self.file = self.folder / f"{os.getpid()}-{secrets.token_hex(4)}{_SUFFIX}"
        self._kept: Document | None = None
        self._is_writing = False
        self._taken_up: list[Path] = []  # what is on the disc until the same work is kept anew
        try:
            make_folder(self.folder, private=True)
        except StopwrightError as error:
            self.session.failed.emit(self.tr("Unsaved work cannot be kept aside: {0}").format(error))
            return
        self._lock = _locked(self.file)
        self._timer = QTimer(self)
        self._timer.setInterval(every_ms)
        self._timer.timeout.connect(self.keep)
        self._timer.start()

    def keep(self) -> None:
        """Keep what is not saved; where all is saved, keep nothing."""
        document = self.session.document
        if self.session.undo.isClean() and not self.session.unsaved_organs:
            self.forget()
            return
        if document is self._kept or self._is_writing:
            return
        kept = self._present()
        self._is_writing = True

        def done(_: object) -> None:
            self._is_writing = False
            self._kept = document
            self._drop_taken_up()

        def failed(_: Exception) -> None:
            self._is_writing = False

        self.session.workers.submit(lambda: write_bytes(self.file, pack(kept), private=True), done, failed)

    def _present(self) -> Kept:
        undo, source = self.session.undo, self.session.saved.source
        edits = tuple(undo.text(number) for number in range(max(undo.cleanIndex(), 0), undo.index()))
        return Kept(
            document=self.session.document,
            base=sha256(source.data).hexdigest() if source is not None else "",
            when=datetime.now().strftime("%d.%m.%Y, %H:%M"),
            edits=edits or (undo.undoText() or ", ".join(self._unsaved_organs()),),
        )

    def _unsaved_organs(self) -> list[str]:
        return [self.session.document.organs[number].organ.name for number in self.session.unsaved_organs]

    def forget(self) -> None:
        """Nothing is unsaved."""
        self._drop_taken_up()
        if self._kept is not None:
            self._kept = None
            self.file.unlink(missing_ok=True)

    def close(self) -> None:
        """The window was closed as the user wished: nothing is to be offered again."""
        if hasattr(self, "_timer"):
            self._timer.stop()
            self._drop_taken_up()
            self.file.unlink(missing_ok=True)
            self._lock.unlock()

    def _drop_taken_up(self) -> None:
        while self._taken_up:
            self._taken_up.pop().unlink(missing_ok=True)

    # at the next start

    def left_behind(self) -> list[Path]:
        """Files of unsaved work that no living window holds."""
        return [path for path in sorted(self.folder.glob(f"*{_SUFFIX}")) if self._is_left(path)]

    def _is_left(self, path: Path) -> bool:
        return path != self.file and path not in self._taken_up and _is_free(path)

    def offer(self) -> bool:
        """Ask about the latest unsaved work that was left behind; True where it is taken up."""
        for path in reversed(self.left_behind()):
            try:
                kept = unpack(read_bytes(path, limit=_MAX_BYTES)[0])
            except Exception:  # whatever it is: it must neither end the start nor be tried at every start
                with contextlib.suppress(OSError):
                    path.replace(path.with_suffix(_ASIDE))
                continue
            answer = self.ask(kept)
            if answer == QMessageBox.StandardButton.Yes:
                self.take_up(kept, path)
            elif answer == QMessageBox.StandardButton.Discard:
                path.unlink(missing_ok=True)
            return answer == QMessageBox.StandardButton.Yes
        return False

    def ask(self, kept: Kept) -> QMessageBox.StandardButton:
        """Take it up, throw it away, or leave it for another time?"""
        source = kept.document.source
        name = Path(source.path).name if source is not None and source.path else self.tr("a piece without a file")
        if source is None and kept.document.organ is not None:
            name = kept.document.organ.name
        box = QMessageBox(self.window)
        box.setWindowTitle(self.tr("Unsaved work"))
        box.setText(self.tr("The program ended before {0} was saved.").format(name))
        count = len(kept.edits)
        more = "" if count <= 3 else self.tr(" and {0} more").format(count - 3)
        shown = "; ".join(kept.edits[:3]) + more
        box.setInformativeText(self.tr("Kept on {0}, not saved: {1}.").format(kept.when, shown))
        box.setStandardButtons(
            QMessageBox.StandardButton.Yes | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel
        )
        box.button(QMessageBox.StandardButton.Yes).setText(self.tr("Go on with it"))
        box.button(QMessageBox.StandardButton.Discard).setText(self.tr("Throw it away"))
        box.button(QMessageBox.StandardButton.Cancel).setText(self.tr("Ask again next time"))
        return QMessageBox.StandardButton(box.exec())

    def take_up(self, kept: Kept, path: Path) -> None:
        """Go on with unsaved work, as one step of undo over the file as it stands on the disc."""
        source = kept.document.source
        place = source.path if source is not None else None
        if place is not None and Path(place).is_file():
            organs = [file.path for file in kept.document.organs if file.path and Path(file.path).is_file()]
            self.window.open(place, organs, lambda: self._go_on(kept, path))
        else:
            self._go_on(kept, path)

    def _go_on(self, kept: Kept, path: Path) -> None:
        document, before = kept.document, self.session.document
        source = document.source
        now = sha256(before.source.data).hexdigest() if before.source is not None else ""
        if source is not None and source.path is not None and now != kept.base:
            # the file became another one meanwhile: this work must not be written over it unasked
            document = replace(document, source=replace(source, path=None))
            self.window.banner.say(
                self.tr(
                    "{0} has changed or is gone; the work taken up is a piece without a file until it is saved."
                ).format(Path(source.path).name)
            )
        if not document.organs:
            document = replace(document, organs=before.organs, chosen=before.chosen)
        self.session.undo.push(EditCommand(self.session, self.tr("go on with unsaved work"), before, document))
        self._taken_up.append(path)
        QTimer.singleShot(0, self, self.keep)


def _locked(file: Path) -> QLockFile:
    lock = QLockFile(str(file.with_suffix(_LOCK)))
    lock.setStaleLockTime(0)  # a lock is stale only where its process is gone
    lock.tryLock(0)
    return lock


def _is_free(file: Path) -> bool:
    """Whether no living window holds a file."""
    lock = QLockFile(str(file.with_suffix(_LOCK)))
    lock.setStaleLockTime(0)
    if not lock.tryLock(0):
        return False
    lock.unlock()
    return True
