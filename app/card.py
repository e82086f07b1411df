"""A card that stands beside a place of the score: lines of words, headings, and words that do something."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import link_label

CARD_WIDTH = 380


class Card(QFrame):
    """An empty card."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setFixedWidth(CARD_WIDTH)
        self.setAutoFillBackground(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.lines = QVBoxLayout(self)
        self.lines.setContentsMargins(16, 12, 16, 12)
        self.lines.setSpacing(5)

    def empty(self) -> None:
        """Take everything off the card."""
        while (item := self.lines.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def say(self, words: str, font: QFont | None = None, *, rich: bool = False) -> QLabel:
        """A line of words."""
        label = QLabel(words, self)
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.RichText if rich else Qt.TextFormat.PlainText)
        label.setFont(font if font is not None else text_font())
        self.lines.addWidget(label)
        return label

    def heading(self, words: str) -> None:
        """A heading."""
        label = self.say(words, heading_font(0.82))
        label.setContentsMargins(0, 6, 0, 0)

    def link(self, words: str, call: Callable[[], None]) -> QLabel:
        """Words that do something when they are clicked, or chosen with Tab and Enter."""
        label = link_label(words, call, self)
        self.lines.addWidget(label)
        return label
