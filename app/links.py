"""Words that do something: a wrapped line that can be clicked, or chosen with Tab and Enter."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import QEvent, Qt
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
        self.linkActivated.connect(lambda _: call())
        self._set_words()

    def _set_words(self) -> None:
        colour = self.palette().link().color().name()
        style = f"text-decoration:none; color:{colour}"
        self.setText(f"<a href='#' style='{style}'>{escape(self.words)}</a>")

    def changeEvent(self, event: QEvent) -> None:
        """Other colours: the link's own is set anew."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._set_words()


def link_label(words: str, call: Callable[[], None], parent: QWidget | None = None) -> LinkLabel:
    """A line of words that calls `call`."""
    return LinkLabel(words, call, parent)
