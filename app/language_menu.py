"""The menu that chooses the window's language; it is in force from the next start, so that nothing open is touched."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from app.translation import SYSTEM, resolved
from core.knowledge.translating import LANGUAGES, words_of
from core.texts import say

if TYPE_CHECKING:
    from app.window import Window


class LanguageMenu(QMenu):
    """Each language by its own name, and the system's."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window_ = window
        self.setTitle(self.tr("Lan&guage"))
        self.choices: dict[str, QAction] = {}
        group = QActionGroup(self)
        for code, name in {SYSTEM: self.tr("The system’s"), **LANGUAGES}.items():
            action = QAction(name, self)
            action.setCheckable(True)
            action.setChecked(code == window.settings.language)
            action.triggered.connect(partial(self._choose, code))
            group.addAction(action)
            self.addAction(action)
            self.choices[code] = action

    def _choose(self, code: str, _checked: bool = True) -> None:
        """Remember it, and say in that language when it comes."""
        self.window_.set_language(code)
        catalogue = words_of(resolved(code))
        self.window_.say(say("From its next start on the window speaks English.").translated(catalogue))
