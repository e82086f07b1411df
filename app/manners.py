"""What is kept from one time to the next besides the looks: size of score and text, who is at the console."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QActionGroup
from PySide6.QtWidgets import QApplication, QMenu

from app.lettering import set_text_size, text_font, text_size
from core.practice.player import MOST_ASSISTANTS, Player

if TYPE_CHECKING:
    from app.window import Window

SIZES = (80, 90, 100, 115, 130, 150, 175, 200)
"""Sizes of the words, in per cent of the system's."""


class Manners(QObject):
    """Applies the settings when the window is made, and takes note of them when it is closed."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.session.use(replace(self.session.aids, player=Player(assistants=window.settings.assistants)))
        if window.settings.zoom:
            window.score.set_zoom(window.settings.zoom)
        self.console = QMenu(self.tr("At the &console"), window)
        self._fill_console()

    def _fill_console(self) -> None:
        group = QActionGroup(self)
        words = (self.tr("The player &alone"), self.tr("&One assistant"), self.tr("&Two assistants"))
        for number in range(MOST_ASSISTANTS + 1):
            action = self.console.addAction(words[number])
            action.setCheckable(True)
            action.setChecked(number == self.window.settings.assistants)
            action.setStatusTip(self.tr("Who draws stops and turns pages; changes too quick for one may do for two."))
            action.triggered.connect(partial(self.set_assistants, number))
            group.addAction(action)

    def set_assistants(self, number: int, _checked: bool = True) -> None:
        """Reckon with so many people beside the player."""
        self.window.settings = replace(self.window.settings, assistants=number)
        self.session.use(replace(self.session.aids, player=Player(assistants=number)))

    def resize_text(self, step: int) -> None:
        """All words a step larger or smaller; 0: as the system has them."""
        at = min(range(len(SIZES)), key=lambda n: abs(SIZES[n] - text_size()))
        size = 100 if step == 0 else SIZES[min(max(at + step, 0), len(SIZES) - 1)]
        self.apply_text(size)

    def apply_text(self, size: int) -> None:
        """All words at so many per cent."""
        before = text_size()
        set_text_size(size)
        self.window.settings = replace(self.window.settings, text_size=text_size())
        ratio = text_size() / before
        if ratio == 1:
            return
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.setFont(text_font())
        for widget in [self.window, *self.window.findChildren(QObject)]:
            if widget.isWidgetType() and widget.testAttribute(Qt.WidgetAttribute.WA_SetFont):  # type: ignore[attr-defined]
                font = widget.font()  # type: ignore[attr-defined]
                font.setPointSizeF(font.pointSizeF() * ratio)
                widget.setFont(font)  # type: ignore[attr-defined]
        self.window.organ.refresh()
        self.window.proof.refresh()
        self.window.beat.update()

    def note(self) -> None:
        """Take note of what the user left as it is now."""
        window = self.window
        window.settings = replace(
            window.settings,
            width=window.width(),
            height=window.height(),
            maximized=window.isMaximized(),
            zoom=round(window.score.zoom),
        )
