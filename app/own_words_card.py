"""The card that lists the user's own words; each that was taught can be forgotten."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.card import Card
from app.lettering import text_font
from app.session import Session
from core.errors import StopwrightError
from core.markings.meanings import in_plain_words
from core.markings.own_words import OwnWord


class OwnWordsCard(Card):
    """Lists the own words.

    Signals:
        done: it is to be closed.
        grown: it has become higher or lower.
    """

    done = Signal()
    grown = Signal()

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("Words of your own"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        session.own_words.changed.connect(self._on_changed)

    def fill(self) -> None:
        """List them."""
        self.empty()
        own = self.session.own_words
        self.say(self.tr("Words of your own"), text_font(1.2, italic=True))
        try:
            words = own.words
        except StopwrightError as error:
            self.say(str(error))
            words = ()
        if not words:
            self.say(self.tr("There are none yet. Teach one at a marking that was not understood."))
        for word in words:
            said = f"‘{word.word}’ ({word.language}): {in_plain_words(word.kind, word.value)}"
            if word.alone:
                self.say(said)
                self.link(self.tr("Forget ‘{0}’").format(word.word), partial(self._forget, word))
            else:
                self.say(self.tr("{0}; written by hand").format(said))
        self.say(self.tr("They stand in {0}.").format(own.place), text_font(0.92))
        self.link(self.tr("Close (Esc)"), self.done.emit)
        self.grown.emit()

    def _forget(self, word: OwnWord) -> None:
        try:
            self.session.own_words.forget(word)
        except (StopwrightError, OSError) as error:
            self.session.failed.emit(str(error))

    def _on_changed(self) -> None:
        if self.isVisible():
            self.fill()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape closes it."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit()
        else:
            super().keyPressEvent(event)
