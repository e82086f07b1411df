"""Fields of the cards that change an organ: a name, what stands there, and at once what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import SIGNS, Colours

_CHECK_MS = 150
_NAME_WIDTH = 112
Check = Callable[[str], str]


class Field(QWidget):
    """A field with its name at the left and what is wrong under it.

    Signals:
        given: this is to stand there from now on.
    """

    given = Signal(str)

    def __init__(self, name: str, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.colours = colours
        self.name = name
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        self.line = QHBoxLayout()
        self.line.setSpacing(8)
        outer.addLayout(self.line)
        self.label = QLabel(name, self)
        self.label.setFont(text_font(0.95))
        self.label.setFixedWidth(_NAME_WIDTH)
        self.label.setWordWrap(True)
        self.line.addWidget(self.label)
        self.wrong = QLabel(self)
        self.wrong.setFont(text_font(0.95))
        self.wrong.setWordWrap(True)
        self.wrong.setTextFormat(Qt.TextFormat.PlainText)
        self.wrong.setStyleSheet(f"color: {colours.error}")
        self.wrong.hide()
        under = QHBoxLayout()
        under.setSpacing(0)
        under.addSpacing(_NAME_WIDTH + 8)
        under.addWidget(self.wrong, 1)
        outer.addLayout(under)

    def say_wrong(self, words: str) -> None:
        """What is wrong with what stands there; empty: nothing."""
        self.wrong.setText(f"{SIGNS['error']} {words}" if words else "")
        self.wrong.setVisible(bool(words))
        self.updateGeometry()

    def value(self) -> str:
        """What stands there."""
        return ""


class TextField(Field):
    """Words or figures; given when Enter is pressed or the field is left, unless something is wrong."""

    def __init__(self, name: str, colours: Colours, parent: QWidget, check: Check | None = None) -> None:
        super().__init__(name, colours, parent)
        self._check = check  # None: the card looks at all its fields together
        self._before = ""
        self.edit = QLineEdit(self)
        self.edit.setFont(text_font())
        self.edit.setTextMargins(-2, 0, 0, 0)  # in line with the choices
        self.edit.setAccessibleName(name)
        self.label.setBuddy(self.edit)
        self.line.addWidget(self.edit, 1)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(_CHECK_MS)
        self._wait.timeout.connect(self.check)
        self.edit.textEdited.connect(lambda _: self._wait.start())
        self.edit.editingFinished.connect(self._finish)
        self.edit.installEventFilter(self)

    def show_value(self, text: str) -> None:
        """What stands there now; what is being typed stays."""
        if self.edit.hasFocus() and self.edit.text() != self._before and text == self._before:
            return
        self._before = text
        if self.edit.text() != text:
            self.edit.setText(text)
        self.say_wrong("")

    def value(self) -> str:
        """What is typed."""
        return self.edit.text().strip()

    def check(self) -> bool:
        """Tell what is wrong; whether nothing is."""
        self._wait.stop()
        if self._check is None:
            return True
        wrong = self._check(self.value()) if self.value() != self._before else ""
        self.say_wrong(wrong)
        return not wrong

    def _finish(self) -> None:
        if self.value() != self._before and self.check():
            self._before = self.value()
            self.given.emit(self.value())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape takes back what was typed; the next one closes the card."""
        is_escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        if is_escape and event.type() == QEvent.Type.KeyPress and self.edit.text() != self._before:
            self._wait.stop()
            self.edit.setText(self._before)
            self.say_wrong("")
            return True
        return super().eventFilter(watched, event)


class ChoiceField(Field):
    """One of several words."""

    def __init__(self, name: str, colours: Colours, parent: QWidget) -> None:
        super().__init__(name, colours, parent)
        self.box = ChoiceBox(self)
        self.box.setFont(text_font())
        self.box.setAccessibleName(name)
        self.box.setSizeAdjustPolicy(ChoiceBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.box.setMinimumContentsLength(12)
        self.box.installEventFilter(self)
        self.label.setBuddy(self.box)
        self.line.addWidget(self.box, 1)
        self.box.activated.connect(lambda _: self.given.emit(self.value()))

    def show_value(self, value: str, choices: list[tuple[str, str]]) -> None:
        """The choices, and which of them holds."""
        self.box.blockSignals(True)
        self.box.clear()
        for one, words in choices:
            self.box.addItem(words, one)
        self.box.setCurrentIndex(max(self.box.findData(value), 0))
        self.box.blockSignals(False)

    def value(self) -> str:
        """What is chosen."""
        return str(self.box.currentData() or "")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The wheel goes through the card, not through the choices."""
        if event.type() == QEvent.Type.Wheel:
            event.ignore()
            return True
        return super().eventFilter(watched, event)


class FlagField(Field):
    """Yes or no."""

    def __init__(self, name: str, words: str, colours: Colours, parent: QWidget) -> None:
        super().__init__(name, colours, parent)
        self.box = QCheckBox(words, self)
        self.box.setFont(text_font())
        self.box.setAccessibleName(words)
        self.line.addWidget(self.box, 1)
        self.box.clicked.connect(lambda _: self.given.emit(self.value()))

    def show_value(self, is_so: bool) -> None:
        """Whether it is so."""
        self.box.setChecked(is_so)

    def value(self) -> str:
        """``yes`` or ``no``, as the format writes them."""
        return "yes" if self.box.isChecked() else "no"
