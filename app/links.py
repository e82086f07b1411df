"""Words that do something: a wrapped line that can be clicked, or chosen with Tab and Enter."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from app.lettering import text_font


def link_label(words: str, call: Callable[[], None], parent: QWidget | None = None) -> QLabel:
    """A line of words that calls `call`."""
    label = QLabel(f"<a href='#' style='text-decoration:none'>{escape(words)}</a>", parent)
    label.setTextFormat(Qt.TextFormat.RichText)
    label.setTextInteractionFlags(
        Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
    )
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    label.setWordWrap(True)
    label.setFont(text_font())
    label.setAccessibleName(words)
    label.linkActivated.connect(lambda _: call())
    return label
