"""A line of the booklet page being written: a stop's name and pitch, completed from the stop knowledge."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.lettering import text_font
from app.palette import SIGNS, Colours
from app.spec_words import family_word, reading_words, set_fractions
from core.organ.completing import Setting
from core.organ.offering import StopOffer, offer_stops

_CHECK_MS = 120
_LEAST_OFFERS = 3


class StopLine(QFrame):
    """The field with what it means, what is wrong, and how it may go on.

    Signals:
        wanted: this text is to be written.
        left: nothing more is to be written.
        grown: it has become higher or lower.
    """

    wanted = Signal(str)
    left = Signal()
    grown = Signal()

    def __init__(self, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.colours = colours
        self.setting: Setting | None = None
        self.room = 300  # pixels it may be high
        self._check: Callable[[str], str] = lambda _: ""
        self.offers: tuple[StopOffer, ...] = ()
        self.setObjectName("card")
        self.setAutoFillBackground(True)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(8, 4, 8, 6)
        lines.setSpacing(2)
        self.field = QLineEdit(self)
        self.field.setFont(text_font(1.08))
        self.field.setAccessibleName(self.tr("Stop"))
        self.field.setAccessibleDescription(
            self.tr("Name and pitch. Down and Up choose a completion, Enter writes the stop, Escape ends.")
        )
        lines.addWidget(self.field)
        self.told = QLabel(self)
        self.told.setWordWrap(True)
        self.told.setFont(text_font(0.95))
        self.told.setTextFormat(Qt.TextFormat.PlainText)
        lines.addWidget(self.told)
        self.list = QListWidget(self)
        self.list.setFont(text_font())
        self.list.setFrameShape(QListWidget.Shape.NoFrame)
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # the pitch stays in sight
        self.list.setAccessibleName(self.tr("Completions"))
        lines.addWidget(self.list)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(_CHECK_MS)
        self._wait.timeout.connect(self.check)
        self.field.textEdited.connect(self._on_text)
        self.field.installEventFilter(self)
        self.list.itemClicked.connect(lambda _: self._take())
        self.hide()

    def begin(self, text: str, setting: Setting, check: Callable[[str], str], hint: str) -> None:
        """Write a line.

        Args:
            text: what stands there already.
            setting: where the stop stands.
            check: says what is wrong with a text; empty where nothing is.
            hint: what to type, shown while nothing is.
        """
        self.setting, self._check = setting, check
        self.field.setPlaceholderText(hint)
        self.field.setText(text)
        self.field.selectAll()
        self.say("")
        self._offer("")
        self.show()
        self.raise_()
        self.field.setFocus()

    def say(self, words: str, *, wrong: bool = False) -> None:
        """A line under the field: what it means, or what is wrong with it."""
        self.told.setText(f"{SIGNS['error']} {words}" if wrong else words)
        self.told.setStyleSheet(f"color: {self.colours.error if wrong else self.colours.faint}")
        self.told.setVisible(bool(words))
        self.grown.emit()

    @property
    def is_wrong(self) -> bool:
        """Whether something is wrong with what stands there."""
        return self.told.isVisibleTo(self) and self.told.text().startswith(SIGNS["error"])

    def check(self) -> None:
        """Tell what the text means, or what is wrong with it."""
        self._wait.stop()
        text = self.field.text().strip()
        wrong = self._check(text) if text and self.setting is not None else ""
        # while a name is still being typed, its missing pitch is no fault yet
        is_unfinished = bool(self.offers) and not any(sign.isdigit() for sign in text)
        if wrong and not is_unfinished:
            self.say(wrong, wrong=True)
        elif text and self.setting is not None and not is_unfinished:
            self.say(reading_words(text, self.setting))
        else:
            self.say("")

    def _on_text(self) -> None:
        self._offer(self.field.text())
        if self.is_wrong:
            self.say("")
        self._wait.start()

    def _offer(self, text: str) -> None:
        self.offers = offer_stops(text, self.setting) if self.setting is not None and text.strip() else ()
        self.list.clear()
        for offer in self.offers:
            text = set_fractions(offer.text)
            family = family_word(offer.family).partition(" (")[0]
            whole = f"{text}   {family}"
            has_room = self.list.fontMetrics().horizontalAdvance(whole) < self.width() - 30
            item = QListWidgetItem(whole if has_room else text, self.list)
            item.setToolTip(whole)
        self.list.setCurrentRow(-1)
        line = self.list.sizeHintForRow(0) if self.offers else 0
        most = max(_LEAST_OFFERS, (self.room - 70) // max(line, 1))
        self.list.setFixedHeight(line * min(len(self.offers), most) + (2 if self.offers else 0))
        self.list.setVisible(bool(self.offers))
        self.grown.emit()

    def _take(self) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self.offers):
            self._want(self.offers[row].text)

    def _want(self, text: str) -> None:
        wrong = self._check(text)
        if wrong:
            self.field.setText(text)
            self._offer("")
            self.say(wrong, wrong=True)
            self.field.setFocus()
        else:
            self.wanted.emit(text)

    def finish(self) -> None:
        """Write what stands there."""
        self._wait.stop()
        text = self.field.text().strip()
        if text:
            self._want(text)
        else:
            self.left.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and Down go among the completions, Tab takes one into the field, Enter writes, Escape ends."""
        if watched is not self.field or not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.KeyPress:
            return super().eventFilter(watched, event)
        key, row = event.key(), self.list.currentRow()
        if key == Qt.Key.Key_Down and self.offers:
            self.list.setCurrentRow(min(row + 1, len(self.offers) - 1))
        elif key == Qt.Key.Key_Up and self.offers:
            self.list.setCurrentRow(max(row - 1, -1))
        elif key == Qt.Key.Key_Tab and self.offers:
            self.field.setText(self.offers[max(row, 0)].text)
            self._on_text()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if row >= 0:
                self._take()
            else:
                self.finish()
        elif key == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            return super().eventFilter(watched, event)
        return True
