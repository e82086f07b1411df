"""What is typed into the score before the piece is read waits, and is on the card when it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QKeyEvent

from app.card import Card
from app.lettering import text_font

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk


class WritingAhead(QObject):
    """Keeps keys until a marking can be written."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.session = desk.session
        self.text = ""
        self._is_finished = False  # Enter was pressed too
        self.card = Card(desk.viewport())
        self.card.hide()
        self.session.derived_ready.connect(self._on_derived)
        self.session.failed.connect(lambda _: self.forget())

    def take(self, event: QKeyEvent, *, is_typed: bool) -> bool:
        """A key while the piece is not read: True where it is kept."""
        key = event.key()
        if self.session.derived is not None or self.session.document.source is None or self._is_finished:
            return self._is_finished and is_typed
        if is_typed or (self.text and event.text() == " "):
            self.text += event.text()
        elif self.text and key == Qt.Key.Key_Backspace:
            self.text = self.text[:-1]
        elif self.text and key == Qt.Key.Key_Escape:
            self.text = ""
        elif self.text and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._is_finished = True
        else:
            return False
        self._show()
        return True

    def forget(self) -> None:
        """Nothing waits."""
        self.text, self._is_finished = "", False
        self.card.hide()

    def _show(self) -> None:
        self.card.setVisible(bool(self.text))
        if self.text:
            self.card.empty()
            self.card.setAccessibleName(self.tr("Waiting to be written"))
            self.card.say(f"“{self.text}”", text_font(1.2))
            self.card.say(self.tr("This is written as soon as the piece is read."), text_font(italic=True))
            self.card.raise_()
            self.desk.place_card(self.card, self.desk.cursor_rect())

    def _on_derived(self) -> None:
        text, is_finished = self.text, self._is_finished
        self.forget()
        if text and self.session.derived is not None:
            writing = self.desk.writing
            writing.write(text)
            if is_finished and writing.card.isVisible():
                writing.card.finish()
