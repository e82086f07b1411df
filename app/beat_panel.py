"""At this beat: who plays where on what, since when, what comes next, and the compass in use."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.beat_keys import KeyboardPicture, keyboards_at, pipes_in_words
from app.lettering import text_font
from app.links import link_label
from app.palette import Colours
from app.sentences import HANDS, hand_sentence, next_sentence, since
from app.session import Session
from app.translation import told, tr
from core.organ.model import Organ
from core.resolve.model import Registration


class BeatPanel(QWidget):
    """The bottom place.

    Signals:
        wants_marking: a marking is to be written at the cursor.
    """

    wants_marking = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("At this beat"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, 8, 16, 8)
        layout.setSpacing(20)
        words = QVBoxLayout()
        words.setSpacing(2)
        self.now = self._label(1.05)
        self.since = self._label(0.98, italic=True)
        self.next = self._label(0.98)
        self.pipes = self._label(0.98)
        for label in (self.now, self.since, self.pipes, self.next):
            words.addWidget(label)
        self.write_link = link_label(self.tr("Write a marking here (or type it in the score)"), self._write, self)
        words.addWidget(self.write_link)
        words.addStretch(1)
        layout.addLayout(words, 1)
        self.compass = KeyboardPicture(colours, self)
        layout.addWidget(self.compass)
        session.changed.connect(lambda _: self.refresh())
        session.derived_ready.connect(self.refresh)
        session.cursor_moved.connect(self.refresh)
        self.refresh()

    def _label(self, scale: float, *, italic: bool = False) -> QLabel:
        label = QLabel(self)
        label.setFont(text_font(scale, italic=italic))
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        label.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        return label

    def _write(self) -> None:
        self.wants_marking.emit()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.compass.colours = colours
        self.compass.update()

    def refresh(self) -> None:
        """Say what holds at the cursor."""
        derived, score = self.session.derived, self.session.score
        self.compass.setVisible(score is not None)
        self.write_link.setVisible(score is not None and bool(score.organ_parts))
        if derived is None or score is None:
            self._say(self.tr("What is drawn, who plays where and what comes next would stand here."), "", "")
            return
        cursor = self.session.cursor
        place = score.position(cursor.onset, nth=cursor.nth)
        where = told("Bar {bar}, beat {beat}", bar=place.measure, beat=place.beat)
        if cursor.nth > 1:
            where += ", " + told("time {number}", number=cursor.nth)
        organ, step = derived.analysis.organ, self.session.step
        registration = step.registration if step is not None else None
        keyboards = keyboards_at(organ, registration, derived.index, cursor.onset)
        self.compass.set_keyboards(keyboards)
        if organ is None or step is None:
            what = self.tr("choose an organ to see what is drawn") if organ is None else self.tr("nothing drawn")
            self._say(f"{where}: {what}.", "", "")
            return
        self._say(
            self._hands(organ, step.registration),
            f"{where} · {since(step)}",
            next_sentence(derived.analysis, step),
            pipes_in_words(keyboards),
        )

    def _hands(self, organ: Organ, registration: Registration) -> str:
        sentences = {hand: hand_sentence(organ, registration, hand) for hand in ("right", "left", "feet")}
        if sentences["right"] == sentences["left"]:
            parts = [f"{self.tr('Both hands')} {sentences['right']}"]
        else:
            parts = [f"{tr(HANDS[hand])} {sentences[hand]}" for hand in ("right", "left")]
        return "  ·  ".join([*parts, f"{tr(HANDS['feet'])}: {sentences['feet']}"])

    def _say(self, now: str, when: str, following: str, pipes: str = "") -> None:
        self.now.setText(now)
        self.since.setText(when)
        self.next.setText(following)
        self.pipes.setText(pipes)
        for label in (self.since, self.pipes, self.next):
            label.setVisible(bool(label.text()))
