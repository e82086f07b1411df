"""The piece on another of the open organs: what changes, in a line at the organ's head and, asked for, in full."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QDialog, QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.lettering import text_font
from app.links import link_label
from app.open_finding import place_words, sentence
from app.palette import SIGNS
from app.said import say_heading, say_line
from app.translation import shown, told, tr
from core.analysis import Analysis
from core.compare.switching import Otherwise, Switched, what_changes
from core.findings import Finding

if TYPE_CHECKING:
    from app.session import Session


class OrganSwitch(QObject):
    """Notes when another organ is chosen, and works out beside the window what that changes.

    Signals:
        changed: there is another comparison, or none.
    """

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.session = session
        self.switched: Switched | None = None
        self._former: Analysis | None = None
        self._chosen: int | None = None
        self._of: object = None  # the score that the comparison is about
        session.changed.connect(self._on_changed)
        session.derived_ready.connect(self._on_derived)

    def _on_changed(self, is_other_score: bool) -> None:
        document, derived = self.session.document, self.session.derived
        is_other_organ = document.chosen != self._chosen
        self._chosen = document.chosen
        if is_other_score or is_other_organ or document.source is not self._of:
            self._of = document.source
            self._former = None
            self._set(None)
        if is_other_organ and not is_other_score and derived is not None:
            former, organ = derived.analysis.organ, document.organ
            if former is not None and organ is not None and former is not organ:
                self._former = derived.analysis

    def _on_derived(self) -> None:
        former, derived = self._former, self.session.derived
        if former is None or derived is None or derived.analysis.organ is not self.session.organ:
            return
        self._former = None
        later = derived.analysis

        def done(switched: Switched | None) -> None:
            if self.session.derived is not None and self.session.derived.analysis is later:
                self._set(switched)

        self.session.workers.submit(lambda: what_changes(former, later), done, lambda _: None)

    def _set(self, switched: Switched | None) -> None:
        if switched is not self.switched:
            self.switched = switched
            self.changed.emit()

    def choose_next(self, step: int) -> bool:
        """Set the piece against the next of the open organs; False where there is no other."""
        document = self.session.document
        count = len(document.organs)
        if (count < 2 and document.chosen is not None) or not count:
            return False
        chosen = document.chosen
        self.session.choose_organ((chosen + step) % count if chosen is not None else 0)
        return True


class SwitchView(QDialog):
    """What changes, in full; it stays beside the score, and each line goes to its place."""

    def __init__(self, session: Session, switched: Switched, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.setWindowTitle(told("{later} instead of {former}", later=switched.later, former=switched.former))
        self.setSizeGripEnabled(True)
        layout = QVBoxLayout(self)
        sheet = QWidget(self)
        self.lines = QVBoxLayout(sheet)
        self.lines.setSpacing(3)
        self._fill(switched)
        scroll = QScrollArea(self)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setAccessibleName(self.tr("What changes"))
        scroll.setWidget(sheet)
        layout.addWidget(scroll, 1)
        close = QPushButton(self.tr("Close"), self)
        close.setFont(text_font())
        close.clicked.connect(self.close)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        room = parent.size()
        self.resize(min(520, room.width() - 40), min(560, room.height() - 60))

    def _fill(self, switched: Switched) -> None:
        say_line(
            self.lines, told("{later} instead of {former}", later=switched.later, former=switched.former), italic=True
        )
        say_line(self.lines, shown(switched.verdict))
        say_heading(self.lines, tr("Keyboards"))
        for row in switched.keyboards:
            here, there = row.now or tr("nothing"), row.before or tr("nothing")
            say_line(
                self.lines, told("{asked}: {now} instead of {before}", asked=tr(row.asked), now=here, before=there)
            )
        if not switched.keyboards:
            say_line(self.lines, tr("The same ones answer the piece."))
        others = [one for one in switched.stops if not one.in_name]
        say_heading(self.lines, told("Stops answered otherwise: {count}", count=len(others)))
        for one in others:
            self._stop(one)
        named = [one for one in switched.stops if one.in_name]
        if named:
            say_heading(self.lines, told("The same by other names: {count}", count=len(named)))
            for one in named:
                self._stop(one)
        say_line(self.lines, told("{count} answered by stops of the same names.", count=switched.alike), italic=True)
        self._findings(tr("Remarks that are new: {0}").format(len(switched.new)), switched.new)
        self._findings(tr("Remarks that are gone: {0}").format(len(switched.gone)), switched.gone)
        self.lines.addStretch(1)

    def _stop(self, one: Otherwise) -> None:
        now = ", ".join(one.now) or tr("nothing")
        before = ", ".join(one.before) or tr("nothing")
        place = told("bar {bar}", bar=one.at.measure)
        sign = f"{SIGNS['error']} " if not one.now else f"{SIGNS['warning']} " if one.stands_in else ""
        template = "{place}, ‘{request}’: {now} instead of {before}"
        words = sign + told(template, place=place, request=one.request, now=now, before=before)
        self._link(words, one.at.bar, one.at.nth)

    def _findings(self, head: str, findings: tuple[Finding, ...]) -> None:
        say_heading(self.lines, head)
        for finding in findings:
            words = f"{SIGNS[finding.level.value]} {place_words(finding)}: {sentence(finding)}"
            if finding.at is None:
                say_line(self.lines, words)
            else:
                self._link(words, finding.at.bar, finding.at.nth)

    def _go(self, bar: int, nth: int) -> None:
        score = self.session.score
        if score is not None and bar < len(score.bars):
            self.session.choose_marking(None)
            self.session.move_to(score.bars[bar].onset, nth)

    def _link(self, words: str, bar: int, nth: int) -> None:
        self.lines.addWidget(link_label(words, partial(self._go, bar, nth), self))
