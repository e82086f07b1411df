"""The same marking elsewhere: copied and pasted at the cursor, or put at several beats in one step of undo."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject, QTimer
from PySide6.QtGui import QGuiApplication

from app.card import Card
from app.lettering import text_font
from app.overlay_painting import OverlayPainter
from app.writing_card import first_staff
from core.edits import AddMarking, Edit, Together
from core.score.model import MarkingId, Score, Ticks
from core.texts import say

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk

_FORM = "application/x-stopwright-marking"
_LONGEST = 400


@dataclass(frozen=True, slots=True)
class Copied:
    """A marking's wording and side."""

    text: str
    placement: str = "above"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A beat on a staff."""

    onset: Ticks
    part: int
    staff: int


class Copying(QObject):
    """The score desk's copies."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.session = desk.session
        self.source: Copied | None = None  # what is being put at several places
        self.places: list[Place] = []
        self.card = Card(desk.viewport())
        self.card.hide()
        self.session.changed.connect(lambda _: self.leave())

    @property
    def is_open(self) -> bool:
        """Whether places are being chosen."""
        return self.source is not None

    # copy and paste

    def copy(self) -> bool:
        """Copy the chosen marking; False where none is chosen."""
        marking = self.session.marking
        copied = self._of(marking)
        if copied is None or marking is None:
            return False
        data = QMimeData()
        data.setText(copied.text)
        data.setData(_FORM, json.dumps({"text": copied.text, "placement": copied.placement}).encode())
        QGuiApplication.clipboard().setMimeData(data)
        self.desk.writing.staff = (marking.part, marking.staff)
        self.desk.said.emit(self.tr("‘{0}’ is copied; Ctrl+V puts it at the cursor.").format(_one_line(copied.text)))
        return True

    def paste(self) -> bool:
        """Put what was copied at the cursor; False where there is nothing to paste, or no score."""
        score, copied = self.session.score, from_clipboard()
        if score is None or not score.organ_parts or copied is None:
            return False
        part, staff = self._staff(score)
        self.session.choose_marking(None)
        self.session.perform(putting(score, copied, Place(self.session.cursor.onset, part, staff)))
        return True

    def _of(self, marking: MarkingId | None) -> Copied | None:
        derived = self.session.derived
        mark = derived.index.marks.get(marking) if derived is not None and marking is not None else None
        return Copied(mark.text.text.strip(), mark.text.placement or "above") if mark is not None else None

    def _staff(self, score: Score) -> tuple[int, int]:
        """The staff that was clicked last, or the copied marking's own."""
        chosen = self.desk.writing.staff
        return chosen if chosen is not None and chosen[0] in score.organ_parts else first_staff(score)

    # several places

    def begin(self, marking: MarkingId) -> None:
        """Ask at which beats the marking is to stand too."""
        copied = self._of(marking)
        if copied is None:
            return
        self.desk.writing.leave()
        self.session.choose_marking(None)
        self.desk.writing.staff = (marking.part, marking.staff)
        self.source, self.places = copied, []
        self._fill()
        self.card.show()
        self.card.raise_()
        self.place()
        self.desk.setFocus()

    def toggle(self) -> None:
        """Take the cursor's beat as a place, or no longer."""
        score = self.session.score
        if score is None:
            return
        place = Place(self.session.cursor.onset, *self._staff(score))
        if place in self.places:
            self.places.remove(place)
        else:
            self.places = sorted([*self.places, place])
        self._fill()
        self.place()
        self.desk.viewport().update()

    def finish(self) -> None:
        """Write it at all the places, as one step of undo."""
        score, source, places = self.session.score, self.source, self.places
        self.leave()
        if score is None or source is None or not places:
            return
        edits: tuple[Edit, ...] = tuple(putting(score, source, place) for place in places)
        name = say("put ‘{text}’ at {count} places", text=_one_line(source.text), count=len(places))
        self.session.perform(edits[0] if len(edits) == 1 else Together(edits=edits, what=name))

    def leave(self) -> None:
        """Leave all as it was."""
        if self.source is None:
            return
        self.source, self.places = None, []
        self.card.hide()
        self.desk.setFocus()
        self.desk.viewport().update()

    def _fill(self) -> None:
        score, source = self.session.score, self.source
        if score is None or source is None:
            return
        self.card.empty()
        self.card.setAccessibleName(self.tr("Put a marking at other places"))
        self.card.say(f"“{source.text}”", text_font(1.1, italic=True))
        words = self.tr(
            "Click each beat where it is to stand too; once more to leave it out. Or go there and press Space."
        )
        self.card.say(words)
        if self.places:
            bars = ", ".join(dict.fromkeys(score.bar_at(place.onset).number for place in self.places))
            self.card.say(self.tr("At bar {0}").format(bars), text_font(bold=True))
            self.card.link(self.tr("Put it there (Enter)"), self.finish)
        self.card.link(self.tr("Leave all as it was (Esc)"), self.leave)

    def place(self) -> None:
        """Put the card beside the cursor."""
        if self.card.isVisible():
            self._put()
            QTimer.singleShot(0, self.card, self._put)  # its lines know their height now

    def _put(self) -> None:
        rect = self.desk.cursor_rect()
        if self.card.isVisible() and rect is not None:
            self.desk.place_beside(self.card, rect)

    def paint(self, over: OverlayPainter, page: int) -> None:
        """The marking at each of its new places, until it is written."""
        places, derived = self.desk.store.places(page), self.session.derived
        if self.source is None or places is None or derived is None:
            return
        for place in self.places:
            bar = derived.index.score.bar_at(place.onset).index
            x, where = places.x_of(bar, place.onset), places.bars.get(bar)
            row = derived.index.rows.index((place.part, place.staff)) if where is not None else 0
            if x is not None and where is not None and row < len(where.staves):
                top, bottom = where.staves[row]
                is_below = self.source.placement == "below"
                over.ghost(_one_line(self.source.text), x, bottom + 520 if is_below else top - 260)


def from_clipboard() -> Copied | None:
    """The marking on the clipboard; any short text will do."""
    data: QMimeData | None = QGuiApplication.clipboard().mimeData()
    if data is None:
        return None
    if data.hasFormat(_FORM):
        try:
            values = json.loads(bytes(data.data(_FORM).data()))
            side = "below" if values["placement"] == "below" else "above"
            return Copied(str(values["text"]), side)
        except (ValueError, KeyError, TypeError):
            return None
    text = data.text().strip() if data.hasText() else ""
    return Copied(text) if text and len(text) <= _LONGEST else None


def putting(score: Score, copied: Copied, place: Place) -> AddMarking:
    """The edit that puts a copy at a place."""
    bar = score.bar_at(place.onset)
    return AddMarking(
        part=place.part,
        bar=bar.index,
        staff=place.staff,
        in_bar=place.onset - bar.onset,
        text=copied.text,
        placement=copied.placement,
        measure=bar.number,
    )


def _one_line(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else flat[:38] + "…"
