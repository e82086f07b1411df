"""A sentence across the window's head: what went wrong and what to do. It stays until it is closed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app.lettering import text_font
from app.links import link_label
from app.palette import SIGNS, Colours


class Banner(QFrame):
    """Hidden while there is nothing to say."""

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Message"))
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, 6, 16, 6)
        self.words = QLabel(self)
        self.words.setFont(text_font())
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        layout.addWidget(self.words, 1)
        self.links = QHBoxLayout()
        self.links.setSpacing(16)
        layout.addLayout(self.links)
        close = link_label(self.tr("Close"), self.hide, self)
        close.setWordWrap(False)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignTop)
        self.set_colours(colours)
        self.hide()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.words.setStyleSheet(f"color: {colours.error}")

    def say(self, words: str, *offers: tuple[str, Callable[[], None]]) -> None:
        """Show a sentence and what can be done about it; with no sentence, hide."""
        while (item := self.links.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        for offered, call in offers:
            link = link_label(offered, call, self)
            link.setWordWrap(False)
            self.links.addWidget(link, 0, Qt.AlignmentFlag.AlignTop)
        self.words.setText(f"{SIGNS['error']}  {words}")
        self.setVisible(bool(words))
