"""The piece: which parts are the organ's, who plays which staff, its language and custom, each with the reason."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFrame,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.piece_words import (
    CUSTOMS,
    HANDS,
    TONGUES,
    custom_found,
    custom_words,
    tongue_words,
    why_custom,
    why_language,
)
from app.said import say_heading, say_line
from app.session import Session
from app.translation import shown, told, tr
from core.edits import SetHand, SetLanguage, SetOrganParts, SetTradition
from core.score.model import Part

_FOUND = "found"


class PieceCard(QDialog):
    """Shows what was found out and lets the user put it right; each change is a step of undo."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.setWindowTitle(self.tr("The piece"))
        self.setSizeGripEnabled(True)
        layout = QVBoxLayout(self)
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setAccessibleName(self.tr("What was found out about the piece"))
        layout.addWidget(self.area, 1)
        close = QPushButton(self.tr("Close"), self)
        close.setFont(text_font())
        close.clicked.connect(self.close)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        room = parent.size()
        self.resize(min(480, room.width() - 40), min(560, room.height() - 60))
        self.parts: dict[str, QCheckBox] = {}
        self.hands: dict[tuple[int, int], ChoiceBox] = {}
        self.language: ChoiceBox
        self.custom: ChoiceBox
        session.derived_ready.connect(lambda: self.refresh() if self.isVisible() else None)
        self.refresh()

    def refresh(self) -> None:
        """Tell the piece as it is read now."""
        focus = self.focusWidget().accessibleName() if self.focusWidget() is not None else ""
        sheet = QWidget(self)
        lines = QVBoxLayout(sheet)
        lines.setSpacing(4)
        self.parts, self.hands = {}, {}
        derived = self.session.derived
        if derived is None:
            say_line(lines, tr("Open a score; what is found out about it would stand here."))
        else:
            score = derived.analysis.score
            say_line(lines, score.title or tr("Untitled piece"), bold=True)
            self._fill_parts(sheet, lines, score.parts)
            self._fill_language(sheet, lines)
            self._fill_custom(sheet, lines)
        lines.addStretch(1)
        self.area.setWidget(sheet)
        for widget in sheet.findChildren(QWidget):
            if focus and widget.accessibleName() == focus:
                widget.setFocus()

    def _fill_parts(self, sheet: QWidget, lines: QVBoxLayout, parts: tuple[Part, ...]) -> None:
        say_heading(lines, tr("Which parts are the organist’s"))
        for number, part in enumerate(parts):
            box = QCheckBox(part.name or part.id, sheet)
            box.setFont(text_font())
            box.setChecked(part.organ)
            box.setAccessibleName(told("{part} is the organist’s", part=part.name or part.id))
            box.clicked.connect(self._on_parts)
            lines.addWidget(box)
            self.parts[part.id] = box
            say_line(lines, shown(part.why), scale=0.95, italic=True)
            if part.organ:
                self._fill_hands(sheet, lines, number, part)

    def _fill_hands(self, sheet: QWidget, lines: QVBoxLayout, number: int, part: Part) -> None:
        rows = {(row.part, row.staff): row.hand for row in self.session.document.notes.hands}
        for staff, hand in enumerate(part.hands, 1):
            box = ChoiceBox(sheet)
            box.setFont(text_font())
            words = told("Staff {staff} of {part} is played by", staff=staff, part=part.name or part.id)
            box.setAccessibleName(words)
            found = told("staff {staff}: {hand} (as found)", staff=staff, hand=tr(HANDS[hand or ""]))
            is_told = (part.id, staff) in rows
            choices = [(_FOUND, tr("staff {0}: as found").format(staff) if is_told else found)]
            choices += [(key, f"{tr('staff {0}').format(staff)}: {tr(name)}") for key, name in HANDS.items()]
            box.offer(choices)
            box.setCurrentIndex(box.findData(hand or "") if is_told else 0)
            box.activated.connect(partial(self._on_hand, number, staff, box))
            lines.addWidget(box)
            self.hands[number, staff] = box
        say_line(lines, shown(part.hands_why), scale=0.95, italic=True)

    def _fill_language(self, sheet: QWidget, lines: QVBoxLayout) -> None:
        derived, notes = self.session.derived, self.session.document.notes
        assert derived is not None
        analysis = derived.analysis
        say_heading(lines, tr("Language of the markings"))
        self.language = self._choice(sheet, lines, tr("Language of the markings"))
        as_found = (
            tr("as found")
            if notes.language
            else told("{language} (as found)", language=tongue_words(analysis.markings.language))
        )
        self.language.offer([("", as_found), *((key, tr(name)) for key, name in TONGUES.items())])
        self.language.setCurrentIndex(max(self.language.findData(notes.language), 0))
        self.language.activated.connect(self._on_language)
        say_line(lines, why_language(analysis, notes), scale=0.95, italic=True)

    def _fill_custom(self, sheet: QWidget, lines: QVBoxLayout) -> None:
        derived, notes = self.session.derived, self.session.document.notes
        assert derived is not None
        analysis = derived.analysis
        say_heading(lines, tr("Whose custom answers them"))
        self.custom = self._choice(sheet, lines, tr("Whose custom answers the markings"))
        found = told("{custom} (as found)", custom=custom_words(custom_found(analysis)))
        self.custom.offer([("", found), *((key, tr(name)) for key, name in CUSTOMS.items())])
        self.custom.setCurrentIndex(max(self.custom.findData(notes.tradition), 0))
        self.custom.setEnabled(analysis.organ is not None)
        self.custom.activated.connect(self._on_custom)
        say_line(lines, why_custom(analysis, notes), scale=0.95, italic=True)

    # changes

    def _on_parts(self) -> None:
        chosen = tuple(part for part, box in self.parts.items() if box.isChecked())
        self.session.perform(SetOrganParts(parts=chosen))

    def _on_hand(self, part: int, staff: int, box: ChoiceBox, _row: int) -> None:
        value = str(box.currentData())
        hand = None if value in (_FOUND, "") else value
        self.session.perform(SetHand(part=part, staff=staff, hand=hand, clear=value == _FOUND))

    def _on_language(self) -> None:
        self.session.perform(SetLanguage(language=str(self.language.currentData())))

    def _on_custom(self) -> None:
        self.session.perform(SetTradition(tradition=str(self.custom.currentData())))

    # making

    def _choice(self, sheet: QWidget, lines: QVBoxLayout, name: str) -> ChoiceBox:
        box = ChoiceBox(sheet)
        box.setFont(text_font())
        box.setAccessibleName(name)
        lines.addWidget(box)
        return box
