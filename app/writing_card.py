"""The card on which a marking is written: it tells the reading as one types, and completes the words."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QListWidget, QWidget

from app.card import Card
from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import Colours
from app.session import Session
from app.trial_words import trial_words
from core.compare.trying import Spot, Tried, try_text
from core.edits import AddMarking, ChangeMarking, Edit
from core.markings.completing import Completion, complete
from core.score.model import MarkingId, Score

_BREAK = " / "
_STAVES = {"right": "the right hand’s staff", "left": "the left hand’s staff", "feet": "the pedal staff"}


class WritingCard(Card):
    """Writes a new marking, or gives one another wording.

    Signals:
        done: it is to be closed (argument: the edit that was asked for, or None).
        grown: it has become higher or lower.
    """

    done = Signal(object)
    grown = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.marking: MarkingId | None = None  # whose wording is changed
        self.tried: Tried | None = None
        self.options: tuple[Completion, ...] = ()
        self._has_breaks = False
        self.setAccessibleName(self.tr("Write a marking"))
        self.title = self.say("", text_font(italic=True))
        self.field = QLineEdit(self)
        self.field.setFont(text_font(1.2))
        self.field.setAccessibleName(self.tr("Wording"))
        self.field.setAccessibleDescription(
            self.tr("Down and up choose a completion, Enter takes it. Enter writes the marking, Escape leaves it.")
        )
        self.lines.addWidget(self.field)
        self.list = QListWidget(self)
        self.list.setFont(text_font())
        self.list.setFrameShape(QListWidget.Shape.NoFrame)
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setAccessibleName(self.tr("Completions"))
        self.lines.addWidget(self.list)
        self.place = ChoiceBox(self)
        self.place.setFont(text_font())
        self.place.setAccessibleName(self.tr("Where it stands"))
        self.lines.addWidget(self.place)
        self.told = self.say("", rich=True)
        self.add_link = self.link(self.tr("Write it (Enter)"), self.finish)
        self.link(self.tr("Leave all as it was (Esc)"), lambda: self.done.emit(None))
        self.field.textChanged.connect(self._on_text)
        self.field.installEventFilter(self)
        self.list.itemClicked.connect(lambda _: self._take())
        self.place.currentIndexChanged.connect(lambda _: self.retry())

    # beginning

    def write_new(self, text: str, part: int, staff: int) -> None:
        """Begin a marking at the cursor, with the first letters typed already."""
        self.marking, self._has_breaks = None, "\n" in text
        self._offer_places(part, staff)
        self.place.show()
        self._begin(text.replace("\n", _BREAK))

    def change(self, marking: MarkingId) -> None:
        """Give a marking another wording."""
        derived = self.session.derived
        mark = derived.index.marks.get(marking) if derived is not None else None
        if mark is None:
            return
        self.marking = marking
        text = mark.text.text.strip()
        self._has_breaks = "\n" in text
        self.place.hide()
        self._begin(text.replace("\n", _BREAK))
        self.field.selectAll()

    def _begin(self, text: str) -> None:
        self.field.blockSignals(True)
        self.field.setText(text)
        self.field.blockSignals(False)
        self._on_text()

    def _offer_places(self, part: int, staff: int) -> None:
        score = self.session.score
        self.place.blockSignals(True)
        self.place.clear()
        for number in score.organ_parts if score is not None else ():
            for index, hand in enumerate(score.parts[number].hands if score is not None else (), 1):
                name = self.tr(_STAVES.get(hand or "", "staff {0}")).format(index)
                for side, words in (("above", self.tr("above {0}")), ("below", self.tr("below {0}"))):
                    self.place.addItem(words.format(name), (number, index, side))
                    if (number, index, side) == (part, staff, "above"):
                        self.place.setCurrentIndex(self.place.count() - 1)
        self.place.blockSignals(False)

    # what would be written

    @property
    def text(self) -> str:
        """The wording as it would stand in the score."""
        text = self.field.text()
        return text.replace(_BREAK, "\n") if self._has_breaks else text

    def spot(self) -> Spot | None:
        """Where it would stand."""
        score = self.session.score
        if score is None or not score.bars:
            return None
        if self.marking is not None:
            mark = next((text for text in score.texts if text.id == self.marking), None)
            one = self.marking
            side = (mark.placement if mark is not None else None) or "above"
            return Spot(part=one.part, staff=one.staff, bar=one.bar, in_bar=one.in_bar, placement=side)
        chosen = self.place.currentData()
        if chosen is None:
            return None
        bar = score.bar_at(self.session.cursor.onset)
        part, staff, side = chosen
        in_bar = self.session.cursor.onset - bar.onset
        return Spot(part=part, staff=staff, bar=bar.index, in_bar=in_bar, placement=side)

    def edit(self) -> Edit | None:
        """The edit that writes it; None where there is nothing to write."""
        score, spot, text = self.session.score, self.spot(), self.text.strip()
        if score is None or spot is None or not text:
            return None
        measure = score.bars[spot.bar].number
        if self.marking is not None:
            return ChangeMarking(marking=self.marking, text=text, measure=measure)
        return AddMarking(
            part=spot.part,
            bar=spot.bar,
            staff=spot.staff,
            in_bar=spot.in_bar,
            text=text,
            placement=spot.placement,
            measure=measure,
        )

    def finish(self) -> None:
        """Write it; nothing is written where there is no text, or the wording is as it was."""
        edit, score = self.edit(), self.session.score
        if isinstance(edit, ChangeMarking) and score is not None:
            same = any(t.id == edit.marking and t.text.strip() == edit.text for t in score.texts)
            edit = None if same else edit
        self.done.emit(edit)

    # telling

    def retry(self) -> None:
        """Tell anew what the wording would do where it stands."""
        derived, spot = self.session.derived, self.spot()
        self.tried = None
        self.title.setText(self._title())
        if derived is not None and spot is not None:
            nth = self.session.cursor.nth
            self.tried = try_text(derived.analysis, self.text, spot, nth=nth, instead_of=self.marking)
        if self.tried is None:
            self.told.setText(self.tr("Type a marking, such as Sw. Oboe."))
        else:
            self.told.setText(trial_words(self.session.organ, self.tried, self.colours))
        self.grown.emit()

    def _title(self) -> str:
        score, spot = self.session.score, self.spot()
        if score is None or spot is None:
            return ""
        place = score.position(score.bars[spot.bar].onset + spot.in_bar, spot.bar)
        words = self.tr("Another wording") if self.marking is not None else self.tr("A marking")
        return self.tr("{0} at bar {1}, beat {2}").format(words, place.measure, place.beat)

    def _on_text(self) -> None:
        self.blockSignals(True)  # it grows once, when all is on it
        self.retry()
        self.blockSignals(False)
        self._offer()

    def _offer(self) -> None:
        derived = self.session.derived
        language = derived.analysis.markings.language if derived is not None else None
        at_end = self.field.cursorPosition() == len(self.field.text())
        text = self.field.text() if at_end else ""
        self.options = complete(text, self.session.organ, language, division=self._division())
        self.list.clear()
        self.list.addItems([option.words for option in self.options])
        self.list.setCurrentRow(-1)
        high = self.list.sizeHintForRow(0) * len(self.options) + 2 if self.options else 0
        self.list.setFixedHeight(high)
        self.list.setVisible(bool(self.options))
        self.grown.emit()

    def _division(self) -> str | None:
        """The organ's division that the wording has named last."""
        if self.tried is None:
            return None
        named = [i.division for i in self.tried.mark.instructions if i.division]
        return self.tried.keyboards.answers.get(named[-1]) if named else None

    def _take(self) -> None:
        """Put the chosen completion into the field."""
        row = self.list.currentRow()
        if 0 <= row < len(self.options):
            self.field.setText(self.options[row].of(self.field.text()))
            self.field.setFocus()

    # keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """In the field, Up and Down go among the completions; Enter takes one, or writes the marking."""
        if watched is not self.field or event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        key, row = event.key(), self.list.currentRow()
        if key == Qt.Key.Key_Down and self.options:
            self.list.setCurrentRow(min(row + 1, len(self.options) - 1))
        elif key == Qt.Key.Key_Up and self.options:
            self.list.setCurrentRow(max(row - 1, -1))
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if row >= 0:
                self._take()
            else:
                self.finish()
        elif key == Qt.Key.Key_Escape:
            self.done.emit(None)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.keyPressEvent(event)
        else:
            return super().eventFilter(watched, event)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves all as it was."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit(None)
        else:
            super().keyPressEvent(event)


def first_staff(score: Score) -> tuple[int, int]:
    """(part, staff) where a marking stands unless another was chosen: the organist's first."""
    return (score.organ_parts[0] if score.organ_parts else 0, 1)
