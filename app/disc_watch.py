"""Sees when another program changes the open score's or an organ's file, and tells once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer

from app.builtin import is_builtin
from app.translation import told

if TYPE_CHECKING:
    from app.window import Window

_SETTLE_MS = 400  # a file is often written in several goes


class DiscWatch(QObject):
    """Watches the files of the present document."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._on_file)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._settle.timeout.connect(self.look)
        self._told: set[str] = set()
        self.session.changed.connect(lambda _: self._follow())

    def _paths(self) -> list[str]:
        document = self.session.document
        paths = [document.source.path] if document.source is not None and document.source.path else []
        paths += [file.path for file in document.organs if file.path]
        return [path for path in dict.fromkeys(paths) if path and not is_builtin(path)]

    def _follow(self) -> None:
        wanted = set(self._paths())
        known = set(self._watcher.files())
        if known - wanted:
            self._watcher.removePaths(sorted(known - wanted))
        if wanted - known:
            self._watcher.addPaths(sorted(wanted - known))

    def _on_file(self, _path: str) -> None:
        self._settle.start()

    def look(self) -> None:
        """Look whether a file holds something else than we read or wrote last."""
        self._follow()  # a file that was replaced as a whole is no longer watched
        document = self.session.document
        for path in self._paths():
            if not self.session.shelf.is_changed(path):
                self._told.discard(path)
                continue
            if path in self._told:
                continue
            self._told.add(path)
            if document.source is not None and path == document.source.path:
                self.window.newer.changed_on_disc(path)
            else:
                name = next(f.organ.name for f in document.organs if f.path == path)
                words = told("The file of {organ} was changed by another program since it was opened.", organ=name)
                again = (self.tr("Read it again"), lambda path=path: self._organ_again(path))
                self.window.banner.say(words, again)

    def _organ_again(self, path: str) -> None:
        self.window.banner.say("")
        self._told.discard(path)
        self.session.add_organs([path])
