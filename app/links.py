"""Words that do something: a wrapped line that can be clicked, or chosen with Tab and Enter."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QWidget

from app.lettering import text_font


class LinkLabel(QLabel):
    """A line of words that calls a function; its colour follows the palette."""

    def __init__(self, words: str, call: Callable[[], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = words
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setWordWrap(True)
        self.setFont(text_font())
        self.setAccessibleName(words)
        self.call = call
        self.linkActivated.connect(lambda _: call())
        self._set_words()

    def set_words(self, words: str) -> None:
        """Say it in other words."""
        self.words = words
        self.setAccessibleName(words)
        self._set_words()

    def take_focus(self) -> None:
        """Be the line that Enter activates."""
        self.setFocus(Qt.FocusReason.TabFocusReason)

    def _set_words(self) -> None:
        colour = self.palette().link().color().name()
        style = f"text-decoration:none; color:{colour}"
        self.setText(f"<a href='#' style='{style}'>{escape(self.words)}</a>")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter or the space bar does it."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            event.accept()
            self.call()
        else:
            super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Other colours: the link's own is set anew."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._set_words()


def link_label(words: str, call: Callable[[], None], parent: QWidget | None = None) -> LinkLabel:
    """A line of words that calls `call`."""
    return LinkLabel(words, call, parent)
