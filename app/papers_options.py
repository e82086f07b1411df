"""The few options of a paper as data, and the column of fields that is made of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QLabel, QLineEdit, QSpinBox, QVBoxLayout, QWidget

from app.choice_box import ChoiceBox
from app.lettering import text_font

Values = Mapping[str, Any]


def _always(_: Values) -> bool:
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One option.

    Attributes:
        name: under which its value is found.
        words: its label; also its name for a screen reader.
        value: at the beginning.
        choices: of a choice, as (value, words).
        hint: shown in an empty line.
        tip: said when the mouse rests on it.
        span: of a number: least and most.
        least_words: what the least number is called.
        only_if: whether it is shown, by the values of all.
    """

    name: str
    words: str
    kind: Literal["check", "choice", "line", "number"]
    value: Any = ""
    choices: tuple[tuple[Any, str], ...] = ()
    hint: str = ""
    tip: str = ""
    span: tuple[int, int] = (0, 99)
    least_words: str = ""
    only_if: Callable[[Values], bool] = _always


class Options(QWidget):
    """The fields below each other.

    Signals:
        changed: an option is another.
    """

    changed = Signal()

    def __init__(self, fields: tuple[Field, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields = fields
        self._read: dict[str, Callable[[], Any]] = {}
        self._rows: list[tuple[Field, list[QWidget]]] = []
        self.editors: dict[str, QWidget] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(5)
        makers = {"check": self._check, "choice": self._choice, "line": self._line, "number": self._number}
        for field in fields:
            self._rows.append((field, makers[field.kind](field)))
        self._last = self.values()
        self._show_fitting()

    def values(self) -> dict[str, Any]:
        """The value of each option."""
        return {name: read() for name, read in self._read.items()}

    def set_value(self, name: str, value: Any) -> None:
        """Choose a value as the user would."""
        editor = self.editors[name]
        if isinstance(editor, QCheckBox):
            editor.setChecked(bool(value))
        elif isinstance(editor, ChoiceBox):
            editor.setCurrentIndex(max(0, editor.findData(value)))
        elif isinstance(editor, QSpinBox):
            editor.setValue(int(value))
        elif isinstance(editor, QLineEdit):
            editor.setText(str(value))
            editor.editingFinished.emit()

    def _on_change(self) -> None:
        values = self.values()
        if values != self._last:
            self._last = values
            self._show_fitting()
            self.changed.emit()

    def _show_fitting(self) -> None:
        values = self.values()
        for field, widgets in self._rows:
            for widget in widgets:
                widget.setVisible(field.only_if(values))

    def _put(self, field: Field, editor: QWidget, *, labelled: bool) -> list[QWidget]:
        widgets: list[QWidget] = []
        if labelled:
            label = QLabel(field.words, self)
            label.setFont(text_font(0.92, italic=True))
            label.setWordWrap(True)
            label.setBuddy(editor)
            self.column.addWidget(label)
            widgets.append(label)
        editor.setFont(text_font())
        editor.setAccessibleName(field.words.replace("&", ""))
        editor.setToolTip(field.tip)
        self.column.addWidget(editor)
        self.editors[field.name] = editor
        return [*widgets, editor]

    def _check(self, field: Field) -> list[QWidget]:
        box = QCheckBox(field.words, self)
        box.setChecked(bool(field.value))
        box.toggled.connect(self._on_change)
        self._read[field.name] = box.isChecked
        return self._put(field, box, labelled=False)

    def _choice(self, field: Field) -> list[QWidget]:
        box = ChoiceBox(self)
        for value, words in field.choices:
            box.addItem(words, value)
        box.setCurrentIndex(max(0, box.findData(field.value)))
        box.currentIndexChanged.connect(self._on_change)
        self._read[field.name] = box.currentData
        return self._put(field, box, labelled=True)

    def _line(self, field: Field) -> list[QWidget]:
        line = QLineEdit(str(field.value), self)
        line.setPlaceholderText(field.hint)
        line.editingFinished.connect(self._on_change)
        self._read[field.name] = lambda: line.text().strip()
        return self._put(field, line, labelled=True)

    def _number(self, field: Field) -> list[QWidget]:
        box = QSpinBox(self)
        box.setRange(*field.span)
        box.setSpecialValueText(field.least_words)
        box.setKeyboardTracking(False)
        box.setMinimumHeight(26)
        box.setValue(int(field.value))
        box.valueChanged.connect(self._on_change)
        self._read[field.name] = box.value
        return self._put(field, box, labelled=True)
