"""Lines, headings and buttons in the program's lettering, as cards and pages have them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QLabel, QLayout, QPushButton, QWidget

from app.lettering import heading_font, text_font

_ABOVE_A_HEADING = 10


def say_line(layout: QLayout, words: str, *, scale: float = 1.0, italic: bool = False, bold: bool = False) -> QLabel:
    """A wrapped line of plain words at the end of `layout`; what it says is never taken for mark-up."""
    return _label(layout, words, text_font(scale, italic=italic, bold=bold))


def say_heading(layout: QLayout, words: str) -> QLabel:
    """A heading at the end of `layout`, with room above it."""
    label = _label(layout, words, heading_font())
    label.setContentsMargins(0, _ABOVE_A_HEADING, 0, 0)
    return label


def _label(layout: QLayout, words: str, font: QFont) -> QLabel:
    label = QLabel(words)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setFont(font)
    layout.addWidget(label)
    return label


def button(words: str, call: Callable[[], object], parent: QWidget) -> QPushButton:
    """A button that does `call`, and that Enter in a field does not press."""
    made = QPushButton(words, parent)
    made.setFont(text_font())
    made.setAutoDefault(False)
    made.clicked.connect(lambda _=False: call())
    return made
