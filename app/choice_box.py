"""A line of words that can be exchanged for others, with a sign that there is a choice."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QComboBox


class ChoiceBox(QComboBox):
    """A choice of words; each has a value behind it."""

    def offer(self, choices: list[tuple[str, str]]) -> None:
        """Offer these (value, words); what was chosen stays chosen where it is among them. Tells nobody."""
        kept = self.currentData()
        self.blockSignals(True)
        self.clear()
        for value, words in choices:
            self.addItem(words, value)
        self.setCurrentIndex(max(self.findData(kept), 0))
        self.blockSignals(False)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The chosen words, and the sign at the right."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(self.palette().link().color())
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, "▾ ")
        painter.end()
