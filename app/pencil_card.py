"""The card on which a player pencils something in at the cursor's beat, for this organ alone."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.card import Card
from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import Colours
from app.pencil_layer import SIGN
from app.session import Session
from app.trial_words import trial_words
from core.compare.trying import Spot, try_text
from core.edits import Edit, PencilIn
from core.notes import PlayerNote, find_spot
from core.score.model import Ticks

_STAVES = {"right": "right hand", "left": "left hand", "feet": "pedal"}


class PencilCard(Card):
    """One pencil mark.

    Signals:
        done: an edit, or None where all stays as it was.
        grown: it needs another size.
    """

    done = Signal(object)
    grown = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.line: PlayerNote | None = None
        self.setAccessibleName(self.tr("Pencil mark"))
        self.title = self.say("", text_font(italic=True))
        self.field = QLineEdit(self)
        self.field.setFont(text_font(1.1, italic=True))
        self.field.setAccessibleName(self.tr("What you pencil in"))
        self.field.setPlaceholderText(self.tr("Sw. Oboe instead · add Mixture · Gen. 3 · turn early"))
        self.field.textChanged.connect(lambda _: self.retry())
        self.field.installEventFilter(self)
        self.lines.addWidget(self.field)
        self.place = ChoiceBox(self)
        self.place.setFont(text_font())
        self.place.setAccessibleName(self.tr("For which staff"))
        self.place.currentIndexChanged.connect(lambda _: self.retry())
        self.lines.addWidget(self.place)
        self.organ = ChoiceBox(self)
        self.organ.setFont(text_font())
        self.organ.setAccessibleName(self.tr("For which organ"))
        self.lines.addWidget(self.organ)
        self.told = self.say("", rich=True)
        self.rub = self.link(self.tr("Rub it out"), self.rub_out)
        self.link(self.tr("Leave all as it was (Esc)"), lambda: self.done.emit(None))

    def begin(self, line: PlayerNote | None, staff: tuple[int, int]) -> None:
        """Begin a mark at the cursor, or change one that stands there.

        Args:
            line: the mark that is to be changed.
            staff: part and staff for which a new one is meant.
        """
        self.line = line
        organ = self.session.organ
        name = organ.name if organ is not None else ""
        self.organ.offer([(name, self.tr("for {0}").format(name))] * bool(name) + [("", self.tr("for any organ"))])
        self.organ.setCurrentIndex(max(self.organ.findData(line.organ if line is not None else name), 0))
        self._offer_places(staff)
        self.place.setVisible(line is None and self.place.count() > 1)
        self.organ.setVisible(line is None and self.organ.count() > 1)
        self.rub.setVisible(line is not None)
        self.field.setText(line.text if line is not None else "")
        self.field.selectAll()
        self.retry()

    def _offer_places(self, staff: tuple[int, int]) -> None:
        score = self.session.score
        self.place.blockSignals(True)
        self.place.clear()
        for number in score.organ_parts if score is not None else ():
            for index, hand in enumerate(score.parts[number].hands if score is not None else (), 1):
                words = self.tr(_STAVES.get(hand or "", "staff {0}")).format(index)
                self.place.addItem(self.tr("at the staff of: {0}").format(words), (number, index))
                if (number, index) == staff:
                    self.place.setCurrentIndex(self.place.count() - 1)
        self.place.blockSignals(False)

    # what would stand

    def _where(self) -> tuple[Ticks, int | None, int | None] | None:
        """Onset, part, staff."""
        score = self.session.score
        if score is None or not score.bars:
            return None
        if self.line is not None:
            onset = find_spot(score, self.line.at)
            part = next((n for n, part in enumerate(score.parts) if part.id == self.line.at.part), None)
            return None if onset is None else (onset, part, self.line.at.staff)
        chosen = self.place.currentData()
        part, staff = chosen if chosen is not None else (None, None)
        return self.session.cursor.onset, part, staff

    def edit(self, text: str) -> Edit | None:
        """The edit that pencils a text in (an empty one rubs out); None where nothing would change."""
        where, score = self._where(), self.session.score
        if where is None or score is None:
            return None
        if text == (self.line.text if self.line is not None else ""):
            return None
        onset, part, staff = where
        organ = self.line.organ if self.line is not None else str(self.organ.currentData() or "")
        return PencilIn(onset=onset, text=text, organ=organ, bar=score.bar_at(onset).index, part=part, staff=staff)

    def finish(self) -> None:
        """Pencil it in."""
        self.done.emit(self.edit(" ".join(self.field.text().split())))

    def rub_out(self) -> None:
        """Take it away."""
        self.done.emit(self.edit(""))

    def retry(self) -> None:
        """Tell anew what it would do where it stands."""
        derived, where = self.session.derived, self._where()
        if derived is None or where is None:
            return
        onset, part, staff = where
        score = derived.analysis.score
        place = score.position(onset)
        self.title.setText(self.tr("{0} In pencil at bar {1}, beat {2}").format(SIGN, place.measure, place.beat))
        text = self.field.text().strip()
        if not text:
            self.told.setText(self.tr("It is yours and this organ’s; the print stays as it is."))
        else:
            bar = score.bar_at(onset)
            spot = Spot(part=part or 0, staff=staff or 1, bar=bar.index, in_bar=onset - bar.onset)
            tried = try_text(derived.analysis, text, spot, nth=self.session.cursor.nth)
            asks = tried is not None and bool(tried.mark.instructions)
            if tried is not None and asks and self.line is None:
                self.told.setText(trial_words(self.session.organ, tried, self.colours))
            else:
                drawn, remark = self.tr("It is played so."), self.tr("A remark to yourself; it draws nothing.")
                self.told.setText(drawn if asks else remark)
        self.grown.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter pencils it in, Escape leaves all as it was."""
        if watched is self.field and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.finish()
                return True
            if event.key() == Qt.Key.Key_Escape:
                self.done.emit(None)
                return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves all as it was."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit(None)
        else:
            super().keyPressEvent(event)
