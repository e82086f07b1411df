"""Cards that change one thing of an organ: a stop, a division, the organ as a whole. Each field is a step of undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.card import Card
from app.lettering import text_font
from app.palette import Colours
from app.spec_fields import ChoiceField, Field, FlagField, TextField
from core.organ.changes import SpecChange
from core.organ.model import Organ
from core.texts import Said

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk

Choices = list[tuple[str, str]]
MakeChange = Callable[[str], SpecChange]
Change = tuple[Said, tuple[SpecChange, ...]]


class SpecCard(Card):
    """A card with fields.

    Signals:
        left: it is to be closed.
        grown: it may have become higher or lower.
    """

    stands_alone = False  # it is about no organ that is there yet
    left = Signal()
    grown = Signal()

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.desk = desk
        self.colours = colours
        self._shown: list[Callable[[], None]] = []
        self.fields: dict[str, Field] = {}
        self.title = self.say("", text_font(1.15))
        self.facts = self.say("", text_font(0.95, italic=True))

    @property
    def organ(self) -> Organ:
        """The organ that is being changed."""
        organ = self.desk.organ
        assert organ is not None
        return organ

    def is_there(self) -> bool:
        """Whether what the card is about is still on the organ."""
        return True

    def refresh(self) -> None:
        """Show what stands there now."""
        for show in self._shown:
            show()

    # fields

    def _put(self, key: str, field: Field, show: Callable[[], None], change: Callable[[str], Change]) -> None:
        self.fields[key] = field
        self._shown.append(show)
        self.lines.addWidget(field)
        field.given.connect(lambda value: self._give(field, change, value))

    def _give(self, field: Field, change: Callable[[str], Change], value: str) -> None:
        if not self.is_there():
            return
        said, changes = change(value)
        # going through the choices with the arrow keys is one step
        group = id(field) % 2**30 if isinstance(field, ChoiceField) else -1
        field.say_wrong(self.desk.perform(said, *changes, group=group))
        self.grown.emit()

    def text(self, key: str, name: str, present: Callable[[], str], change: Callable[[str], Change]) -> TextField:
        """A field of words."""

        def check(value: str) -> str:
            if not self.is_there():
                return ""
            wrong = self.desk.fault(*change(value)[1])
            self.grown.emit()
            return wrong

        field = TextField(name, self.colours, self, check)
        self._put(key, field, lambda: field.show_value(present()), change)
        return field

    def choice(
        self,
        key: str,
        name: str,
        choices: Callable[[], Choices],
        present: Callable[[], str],
        change: Callable[[str], Change],
    ) -> ChoiceField:
        """A field of one among several."""
        field = ChoiceField(name, self.colours, self)
        self._put(key, field, lambda: field.show_value(present(), choices()), change)
        return field

    def flag(
        self, key: str, name: str, words: str, present: Callable[[], bool], change: Callable[[str], Change]
    ) -> FlagField:
        """A field of yes or no."""
        field = FlagField(name, words, self.colours, self)
        self._put(key, field, lambda: field.show_value(present()), change)
        return field

    def ways(self, *links: tuple[str, Callable[[], None]]) -> None:
        """What can be done with the whole thing, and the way out."""
        for words, call in links:
            self.link(words, call)
        self.link(self.tr("Close (Esc)"), self.left.emit)

    def focus_first(self, key: str = "") -> None:
        """Begin at a field, or the first."""
        field = self.fields.get(key) or next(iter(self.fields.values()), None)
        if isinstance(field, TextField):
            field.edit.setFocus()
            field.edit.selectAll()
        elif isinstance(field, ChoiceField | FlagField):
            field.box.setFocus()
        else:
            self.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape closes the card."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()  # a field has taken it
        else:
            super().keyPressEvent(event)
