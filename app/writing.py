"""Marking up: writing, changing, moving and deleting markings at the cursor, each one step of undo."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QRectF, QTimer

from app.card import Card
from app.lettering import text_font
from app.writing_card import WritingCard, first_staff
from core.edits import DeleteMarking, Edit, MoveMarking
from core.markings.gathering import MarkingRead
from core.score.model import MarkingId

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk


class Writing(QObject):
    """The score desk's pen."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.session = desk.session
        self.staff: tuple[int, int] | None = None  # (part, staff) that was clicked last
        self.moving: MarkingId | None = None
        self._path: str | None = None  # the piece's file
        self.card = WritingCard(self.session, desk.colours, desk.viewport())
        self.card.hide()
        self.move_card = Card(desk.viewport())
        self.move_card.hide()
        self.card.done.connect(self._on_done)
        self.card.grown.connect(self.place)
        desk.card.change_wanted.connect(self.change)
        desk.card.move_wanted.connect(self.begin_move)
        desk.card.delete_wanted.connect(self.delete)
        self.session.cursor_moved.connect(self._on_cursor)
        self.session.changed.connect(self._on_changed)
        self.session.derived_ready.connect(self._on_derived)

    @property
    def is_open(self) -> bool:
        """Whether something is being written or moved."""
        return self.card.isVisible() or self.moving is not None

    # writing

    def write(self, text: str = "") -> None:
        """Begin a marking at the cursor."""
        score = self.session.score
        if score is None or not score.organ_parts:
            return
        self.leave()
        self.session.choose_marking(None)
        part, staff = self.staff or first_staff(score)
        if part not in score.organ_parts:
            part, staff = first_staff(score)
        self.desk.show_cursor()
        self.card.write_new(text, part, staff)
        self._show()
        self.card.field.end(False)

    def change(self, marking: MarkingId) -> None:
        """Give a marking another wording."""
        self.leave()
        self.session.choose_marking(None)
        self.card.change(marking)
        if self.card.marking == marking:
            self._show()
            self.card.field.selectAll()

    def _show(self) -> None:
        self.card.show()
        self.card.raise_()
        self.place()
        self.card.field.setFocus()

    def _on_done(self, edit: Edit | None) -> None:
        self.leave()
        if edit is not None:
            self.session.perform(edit)

    def leave(self) -> None:
        """Close what is open; nothing is changed."""
        had_focus = any(
            card.isVisible() and card.focusWidget() is not None and card.focusWidget().hasFocus()
            for card in (self.card, self.move_card)
        )
        was_open = self.is_open
        self.moving = None
        self.card.hide()
        self.move_card.hide()
        if was_open or had_focus:
            self.desk.setFocus()
            self.desk.viewport().update()

    # moving and deleting

    def begin_move(self, marking: MarkingId) -> None:
        """Ask where a marking is to go: to the cursor, wherever it is put now."""
        if self._mark(marking) is None:
            return
        self.leave()
        self.session.choose_marking(None)
        self.moving = marking
        self._fill_move_card()
        self.move_card.show()
        self.move_card.raise_()
        self.place()
        self.desk.setFocus()

    def _fill_move_card(self) -> None:
        mark = self._mark(self.moving)
        score = self.session.score
        if mark is None or score is None:
            return
        place = score.position(self.session.cursor.onset)
        self.move_card.empty()
        words = self.tr("Choose the beat where ‘{0}’ is to stand: click it, or go there with the arrows.")
        self.move_card.say(words.format(mark.text.text.strip()), text_font(italic=True))
        here = self.tr("Put it at bar {0}, beat {1} (Enter)").format(place.measure, place.beat)
        self.move_card.link(here, self.finish_move)
        self.move_card.link(self.tr("Leave all as it was (Esc)"), self.leave)

    def finish_move(self) -> None:
        """Put the marking at the cursor's beat; on its own staff unless another was clicked."""
        mark, score = self._mark(self.moving), self.session.score
        cursor = self.session.cursor.onset
        self.leave()
        if mark is None or score is None or cursor == mark.text.onset:
            return
        bar = score.bar_at(cursor)
        edit = MoveMarking(
            marking=mark.id, bar=bar.index, staff=mark.id.staff, in_bar=cursor - bar.onset, measure=bar.number
        )
        self.session.perform(edit)

    def delete(self, marking: MarkingId) -> None:
        """Take a marking out of the score."""
        mark, score = self._mark(marking), self.session.score
        if mark is None or score is None:
            return
        self.session.choose_marking(None)
        measure = score.bars[marking.bar].number if marking.bar < len(score.bars) else ""
        self.session.perform(DeleteMarking(marking=marking, text=mark.text.text.strip(), measure=measure))

    def _mark(self, marking: MarkingId | None) -> MarkingRead | None:
        derived = self.session.derived
        return derived.index.marks.get(marking) if derived is not None and marking is not None else None

    # what comes from the session

    def _on_cursor(self) -> None:
        if self.moving is not None:
            self._fill_move_card()
        if self.card.isVisible() and self.card.marking is None:
            self.card.retry()
        self.place()

    def _on_changed(self, is_other_score: bool) -> None:
        """A new marking that is being written stays while an edit before it is worked out; all else is left."""
        is_elsewhere = self._is_elsewhere()
        if is_other_score and (is_elsewhere or self.moving is not None or self.card.marking is not None):
            self.leave()

    def _is_elsewhere(self) -> bool:
        source = self.session.document.source
        path = source.path if source is not None else None
        was, self._path = self._path, path
        return path != was or source is None

    def _on_derived(self) -> None:
        if self.card.isVisible():
            self.card.retry()

    def place(self) -> None:
        """Put what is open beside the cursor, or its marking."""
        card: Card | None = self.card if self.card.isVisible() else None
        if self.moving is not None:
            card = self.move_card
        if card is None:
            return
        rect = None
        if self.card.isVisible() and self.card.marking is not None:
            rect = self.desk.marking_rect(self.card.marking)
        is_beside = rect is None
        if rect is None:
            rect = self.desk.cursor_rect()
        self._put(card, rect, is_beside)
        QTimer.singleShot(0, card, lambda: self._put(card, rect, is_beside) if card.isVisible() else None)

    def _put(self, card: Card, rect: QRectF | None, is_beside: bool) -> None:
        if is_beside and rect is not None:
            self.desk.place_beside(card, rect)
        else:
            self.desk.place_card(card, rect)
