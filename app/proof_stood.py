"""Remarks that were let stand, each with its reason; one click raises it again."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.links import link_label
from app.open_finding import MARGIN, place_words, raising, sentence
from app.palette import SIGNS
from app.proof_kinds import kind_words
from app.said import say_line
from app.session import Session
from core.checks.runner import Dismissed
from core.compare.carrying import told_of
from core.notes import Dismissal


class LetStand(QScrollArea):
    """The list of them; those whose fault or place is not found in this score stand last."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.count = 0
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(self.tr("Remarks let stand"))
        self.viewport().setAutoFillBackground(False)
        self._is_filled = False

    def refresh(self) -> None:
        """Those of the present document; they are written out when they are looked at."""
        found, lost = self._both()
        self.count = len(found) + len(lost)
        self._is_filled = False
        if self.isVisible():
            self._fill(QWidget(self))

    def showEvent(self, event: QShowEvent) -> None:
        """Write them out."""
        super().showEvent(event)
        if not self._is_filled:
            self._fill(QWidget(self))

    def _both(self) -> tuple[Sequence[Dismissed], Sequence[Dismissal]]:
        """Those that are found in this score, and the others."""
        derived = self.session.derived
        if derived is None:
            return (), ()
        found = derived.analysis.report.dismissed
        meant = {id(one.dismissal) for one in found}
        return found, [one for one in self.session.document.notes.dismissals if id(one) not in meant]

    def _fill(self, sheet: QWidget) -> None:
        self._is_filled = True
        sheet.setAutoFillBackground(False)
        lines = QVBoxLayout(sheet)
        lines.setContentsMargins(MARGIN, 4, MARGIN, 8)
        lines.setSpacing(3)
        found, lost = self._both()
        for one in found:
            self._add(sheet, lines, one)
        for dismissal in lost:
            self._add_lost(sheet, lines, dismissal)
        if not self.count:
            say_line(lines, self.tr("A remark that you let stand would be kept here, with your reason."))
        lines.addStretch(1)
        self.setWidget(sheet)

    def _add(self, sheet: QWidget, lines: QVBoxLayout, one: Dismissed) -> None:
        finding, score = one.finding, self.session.score
        say_line(lines, f"{SIGNS[finding.level.value]} {place_words(finding)}: {sentence(finding)}")
        if one.reason:
            say_line(lines, self.tr("Let stand: {0}").format(one.reason), italic=True)
        edit = raising(finding, score)
        lines.addWidget(link_label(self.tr("Raise it again"), partial(self.session.perform, edit), sheet))
        lines.addSpacing(8)

    def _add_lost(self, sheet: QWidget, lines: QVBoxLayout, dismissal: Dismissal) -> None:
        place = told_of(dismissal.marking, dismissal.at)
        where = self.tr("bar {0}").format(place) if place else self.tr("whole piece")
        say_line(lines, f"{where}: {kind_words(dismissal.rule)}")
        words = self.tr("Let stand: {0}. It is not found in this score now; the note is kept.").format(dismissal.reason)
        say_line(lines, words, italic=True)
        lines.addSpacing(8)
