"""All pencil marks of the organ that is chosen, with what each does; from here they can go into the score."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.lettering import text_font
from app.links import link_label
from app.pencil_layer import SIGN
from app.said import say_line
from app.translation import told, tr
from core.compare.carrying import told_of
from core.marking_up.pencil import pencil_lines
from core.markings.gathering import MarkingRead
from core.markings.model import Action
from core.notes import PlayerNote
from core.score.model import Ticks

if TYPE_CHECKING:
    from app.pencil import Pencil


def _draws(mark: MarkingRead) -> bool:
    """Whether a mark says what is played; what a piston draws, only its player knows."""
    return any(one.action is not Action.PISTON for one in mark.instructions)


class PencilList(QDialog):
    """Stays beside the score; a line goes to its place."""

    def __init__(self, pencil: Pencil, parent: QWidget) -> None:
        super().__init__(parent)
        self.pencil = pencil
        self.session = pencil.session
        self.setWindowTitle(self.tr("Pencil marks"))
        self.setSizeGripEnabled(True)
        layout = QVBoxLayout(self)
        self.sheet = QScrollArea(self)
        self.sheet.setFrameShape(QFrame.Shape.NoFrame)
        self.sheet.setWidgetResizable(True)
        self.sheet.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sheet.setAccessibleName(self.tr("Pencil marks"))
        layout.addWidget(self.sheet, 1)
        foot = QHBoxLayout()
        self.into_score = QPushButton(self.tr("&Write them into the score"), self)
        self.into_score.setToolTip(self.tr("They become markings of the file; undo takes them back into pencil."))
        close = QPushButton(self.tr("Close"), self)
        for button, call in ((self.into_score, pencil.write_into_score), (close, self.close)):
            button.setFont(text_font())
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, call=call: call())
            foot.addWidget(button)
        layout.addLayout(foot)
        room = parent.size()
        self.resize(min(430, room.width() - 40), min(420, room.height() - 60))
        self.session.derived_ready.connect(lambda: self.refresh() if self.isVisible() else None)
        self.refresh()

    def refresh(self) -> None:
        """Show those of the organ that is chosen now."""
        sheet = QWidget(self)
        lines = QVBoxLayout(sheet)
        lines.setSpacing(2)
        organ, score, notes = self.session.organ, self.session.score, self.session.document.notes
        head = told("In pencil for {organ}", organ=organ.name) if organ is not None else tr("In pencil for any organ")
        say_line(lines, head, bold=True)
        rows = pencil_lines(notes, score, organ.name if organ is not None else "") if score is not None else []
        for line, onset in rows:
            self._row(sheet, lines, line, onset)
        if not rows:
            words = tr("Nothing yet. Go to a beat and press Ctrl+J to pencil in other stops, a change, a piston.")
            say_line(lines, words)
        lines.addStretch(1)
        self.sheet.setWidget(sheet)
        self.into_score.setEnabled(organ is not None and any(onset is not None for _, onset in rows))

    def _row(self, sheet: QWidget, lines: QVBoxLayout, line: PlayerNote, onset: Ticks | None) -> None:
        bar = told("bar {bar}", bar=told_of(None, line.at))
        if onset is None:
            words = told("{bar}: {text} (its bar is not in this file; the mark is kept)", bar=bar, text=line.text)
            say_line(lines, f"{SIGN} {words}")
            return
        for_any = "" if line.organ else f" ({tr('for any organ')})"
        go = link_label(f"{SIGN} {bar}: {line.text}{for_any}", partial(self.pencil.change, line), sheet)
        lines.addWidget(go)
        derived = self.session.derived
        marks = derived.analysis.pencil if derived is not None else ()
        asks = any(m.text.onset == onset and m.text.text == line.text and _draws(m) for m in marks)
        row = QHBoxLayout()
        says = QLabel(tr("played so") if asks else tr("a remark"), sheet)
        says.setFont(text_font(0.92, italic=True))
        row.addWidget(says)
        row.addSpacing(14)
        rub = link_label(tr("Rub it out"), partial(self.pencil.rub_out, line, onset), sheet)
        rub.setWordWrap(False)
        rub.setAccessibleName(told("Rub out the mark at {bar}", bar=bar))
        row.addWidget(rub)
        row.addStretch(1)
        lines.addLayout(row)
        lines.addSpacing(6)
