"""A card that stands beside a place of the score: lines of words, headings, and words that do something."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import link_label

CARD_WIDTH = 380


class Card(QFrame):
    """An empty card."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAutoFillBackground(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.sheet = QScrollArea(self)
        self.sheet.setFrameShape(QFrame.Shape.NoFrame)
        self.sheet.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.sheet.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sheet.setWidgetResizable(True)
        self.sheet.viewport().setAutoFillBackground(False)
        inner = QWidget(self)
        inner.setAutoFillBackground(False)
        self.sheet.setWidget(inner)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(1, 1, 1, 1)
        outer.addWidget(self.sheet)
        self.lines = QVBoxLayout(inner)
        self.lines.setContentsMargins(15, 11, 15, 11)
        self.lines.setSpacing(5)

    def fit(self, width: int, room: int) -> None:
        """Take the height that the words need at a width, but no more than there is room for: then it scrolls."""
        self.setFixedWidth(width)
        self.lines.activate()
        inside = width - 4  # the border and the margin of both sides
        high = self.lines.heightForWidth(inside) if self.lines.hasHeightForWidth() else self.lines.sizeHint().height()
        self.setFixedHeight(min(high + 4, room))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Page Up and Page Down go through a card that is higher than its room."""
        if event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            bar = self.sheet.verticalScrollBar()
            step = bar.pageStep() if event.key() == Qt.Key.Key_PageDown else -bar.pageStep()
            bar.setValue(bar.value() + step)
        else:
            super().keyPressEvent(event)

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
