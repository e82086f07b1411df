"""Brackets under the hand: drawn by dragging along a staff, chosen, taken away, their ends dragged elsewhere.

Dragging needs no tool: press on a note, draw along its staff, let go at the last note that the bracket is to take in.
By keys: Shift and the arrows from the cursor on, then Enter. Escape leaves all as it was.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF, QTimer
from PySide6.QtWidgets import QApplication

from app.bracket_places import (
    BracketSpot,
    StaffNotes,
    Stretch,
    bars_in_words,
    bracket_spots,
    note_near,
    preview_lines,
    staff_under,
)
from app.card import Card
from app.lettering import text_font
from app.overlay_painting import OverlayPainter
from app.page_places import PagePlaces
from app.score_index import ScoreIndex
from app.writing_card import first_staff
from core.edits import AddBracket, DeleteBracket, Edit, Together
from core.score.model import BracketLine, Note, Score, Ticks
from core.texts import say

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk

_EDGE, _SCROLL_STEP, _SCROLL_MS = 24, 22, 30


class BracketDrag(QObject):
    """The score desk's brackets."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.session = desk.session
        self.stretch: Stretch | None = None  # what is being drawn
        self.chosen: BracketLine | None = None
        self._pressed: tuple[QPointF, tuple[int, int], Ticks] | None = None
        self._moved: BracketLine | None = None  # whose end is dragged
        self._held: Ticks = 0  # the end that stays
        self._is_dragging = False
        self._point = QPointF()
        self._notes: tuple[tuple[Note, ...], StaffNotes] | None = None
        self._found: tuple[PagePlaces, list[BracketSpot]] | None = None
        self.card = Card(desk.viewport())
        self.card.hide()
        self._scroll = QTimer(self)
        self._scroll.setInterval(_SCROLL_MS)
        self._scroll.timeout.connect(self._scroll_on)
        self.session.changed.connect(lambda _: self.leave())
        self.session.marking_chosen.connect(lambda marking: self.choose(None) if marking is not None else None)

    # what is where

    @property
    def is_drawing(self) -> bool:
        """Whether a bracket is being drawn, by the mouse or by keys."""
        return self.stretch is not None

    def _staff_notes(self, index: ScoreIndex) -> StaffNotes:
        notes = index.score.notes
        if self._notes is None or self._notes[0] is not notes:
            self._notes = (notes, StaffNotes(notes))
        return self._notes[1]

    def _spots(self, places: PagePlaces) -> list[BracketSpot]:
        """The brackets of a page; found once, for the pointer asks at every move."""
        if self._found is None or self._found[0] is not places:
            self._found = (places, bracket_spots(places))
        return self._found[1]

    def spot_at(self, point: QPointF) -> tuple[BracketSpot, str] | None:
        """The bracket under a point of the viewport, and which part of it: ``start``, ``end`` or ``line``."""
        found = self.desk.point_on_page(point)
        places = self.desk.store.places(found[0]) if found is not None else None
        if found is None or places is None:
            return None
        for spot in self._spots(places):
            part = spot.part_at(found[1])
            if part is not None:
                return spot, part
        return None

    def _note_at(self, point: QPointF, staff: tuple[int, int] | None = None) -> tuple[tuple[int, int], Ticks] | None:
        """The staff under a point (or the one given) and the onset of its nearest note."""
        derived, found = self.session.derived, self.desk.point_on_page(point)
        places = self.desk.store.places(found[0]) if found is not None else None
        if derived is None or found is None or places is None:
            return None
        mine = staff if staff is not None else staff_under(places, found[1])
        if mine is None or mine[0] not in derived.index.score.organ_parts:
            return None
        onset = note_near(places, mine, self._staff_notes(derived.index), found[1])
        return (mine, onset) if onset is not None else None

    # the mouse

    def press(self, point: QPointF) -> bool:
        """The button goes down; True where it went down on a bracket."""
        self._pressed, self._moved, self._point = None, None, point
        found = self.spot_at(point)
        if found is None:
            self.choose(None)
            note = self._note_at(point)
            if note is not None:
                self._pressed = (point, *note)
            return False
        bracket, part = found[0].bracket, found[1]
        assert bracket.end is not None
        self.choose(bracket)
        if part != "line":
            self._moved = bracket
            self._held = bracket.end if part == "start" else bracket.onset
            moving = bracket.onset if part == "start" else bracket.end
            self._pressed = (point, (bracket.part, bracket.staff), moving)
        return True

    def move(self, point: QPointF) -> bool:
        """The pointer moves with the button down; True while a bracket is being drawn."""
        self._point = point
        if self._pressed is None:
            return False
        begun, staff, onset = self._pressed
        if not self._is_dragging:
            if (point - begun).manhattanLength() < QApplication.startDragDistance():
                return False
            self._is_dragging = True
            self._scroll.start()
            self.card.hide()
        fixed = self._held if self._moved is not None else onset
        note = self._note_at(point, staff)
        if note is not None:
            self.stretch = Stretch(*staff, min(fixed, note[1]), max(fixed, note[1]))
            self.desk.viewport().update()
        return True

    def release(self) -> bool:
        """The button goes up; True where that ended a drawing."""
        was_dragging, moved, stretch = self._is_dragging, self._moved, self.stretch
        self._end()
        if was_dragging and stretch is not None and stretch.is_something:
            self._write(stretch, moved)
        return was_dragging

    def _scroll_on(self) -> None:
        """At the view's edge the music goes on under the pointer."""
        room = self.desk.viewport().rect()
        across, down = self.desk.horizontalScrollBar(), self.desk.verticalScrollBar()
        before = across.value(), down.value()
        for bar, at, size in ((across, self._point.x(), room.width()), (down, self._point.y(), room.height())):
            if at < _EDGE:
                bar.setValue(bar.value() - _SCROLL_STEP)
            elif at > size - _EDGE:
                bar.setValue(bar.value() + _SCROLL_STEP)
        if (across.value(), down.value()) != before:
            self.move(self._point)

    # keys

    def extend(self, steps: int) -> None:
        """From the cursor on (or back), so many notes of the staff chosen last."""
        derived = self.session.derived
        if derived is None or not derived.index.score.organ_parts:
            return
        notes = self._staff_notes(derived.index)
        if self.stretch is None:
            staff = self.desk.writing.staff or first_staff(derived.index.score)
            here = self.session.cursor.onset
            self._held = here if notes.between(staff, here, here + 1) else notes.step(staff, here, 1)
            self.stretch = Stretch(*staff, self._held, self._held)
            self.session.choose_marking(None)
        now = self.stretch
        staff = (now.part, now.staff)
        moving = now.start if now.start != self._held else now.end
        moving = notes.step(staff, moving, steps)
        self.stretch = replace(now, start=min(self._held, moving), end=max(self._held, moving))
        self.session.move_to(moving)
        self.desk.viewport().update()

    def finish(self) -> None:
        """Write what was drawn by keys."""
        stretch = self.stretch
        self._end()
        if stretch is not None and stretch.is_something:
            self._write(stretch, None)

    def leave(self) -> None:
        """Draw nothing, choose nothing."""
        self._end()
        self.choose(None)

    def _end(self) -> None:
        self._scroll.stop()
        self._pressed, self._moved, self.stretch, self._is_dragging = None, None, None, False
        self.desk.viewport().update()

    # what is written

    def _write(self, stretch: Stretch, moved: BracketLine | None) -> None:
        score = self.session.score
        if score is None or (moved is not None and (stretch.start, stretch.end) == (moved.onset, moved.end)):
            return
        edit: Edit = adding(score, stretch, (moved.placement if moved is not None else None) or "above")
        first, last = bars_in_words(score, stretch.start, stretch.end)
        if moved is not None:
            is_end = stretch.start == moved.onset
            template = "move a bracket’s end to bar {bar}" if is_end else "move a bracket’s beginning to bar {bar}"
            name = say(template, bar=last if is_end else first)
            edit = Together(edits=(deleting(score, moved), edit), what=name)
        self.session.perform(edit)
        words = self.tr("A bracket from bar {0} to bar {1}; Ctrl+Z takes it back.")
        self.desk.say_when_done(words.format(first, last))

    def _delete(self) -> None:
        self.delete_chosen()

    def delete_chosen(self) -> bool:
        """Take the chosen bracket out of the score; False where none is chosen."""
        score, bracket = self.session.score, self.chosen
        if score is None or bracket is None:
            return False
        self.choose(None)
        self.session.perform(deleting(score, bracket))
        return True

    # choosing

    def choose(self, bracket: BracketLine | None) -> None:
        """Choose a bracket, and say what can be done with it; None: none."""
        if bracket is None and self.chosen is None:
            return
        self.chosen = bracket
        score = self.session.score
        if bracket is None or bracket.end is None or score is None:
            self.card.hide()
        else:
            self.session.choose_marking(None)
            self._fill_card(bracket, score)
            self.card.show()
            self.card.raise_()
            self.place()
        self.desk.viewport().update()

    def _fill_card(self, bracket: BracketLine, score: Score) -> None:
        assert bracket.end is not None
        first, last = bars_in_words(score, bracket.onset, bracket.end)
        self.card.empty()
        self.card.setAccessibleName(self.tr("Bracket"))
        self.card.say(self.tr("A bracket from bar {0} to bar {1}").format(first, last), text_font(1.1, italic=True))
        self.card.say(self.tr("It keeps a hand on its manual up to its last note. Drag an end to move it."))
        self.card.link(self.tr("Take it away (Delete)"), self._delete)
        self.card.link(self.tr("Close (Esc)"), lambda: self.choose(None))

    def place(self) -> None:
        """Put the card beside its bracket."""
        if self.card.isVisible():
            self._put()
            QTimer.singleShot(0, self.card, self._put)  # its lines know their height now

    def _put(self) -> None:
        if self.card.isVisible() and self.chosen is not None:
            rect = None
            for page in self.desk.visible_pages():
                places = self.desk.store.places(page)
                for spot in self._spots(places) if places is not None else ():
                    if spot.bracket == self.chosen:
                        rect = self.desk.rect_on_view(page, spot.lines[0])
            self.desk.place_card(self.card, rect)

    # painting

    def paint(self, over: OverlayPainter, page: int) -> None:
        """The bracket that is being drawn, or the chosen one, on a page."""
        places = self.desk.store.places(page)
        if places is None:
            return
        if self.stretch is not None:
            side = (self._moved.placement if self._moved is not None else None) or "above"
            for start, end, begins, ends in preview_lines(self.stretch, places, side):
                over.bracket(start, end, begins=begins, ends=ends, is_below=side == "below")
        elif self.chosen is not None:
            for spot in self._spots(places):
                if spot.bracket == self.chosen:
                    over.chosen_bracket(spot.lines, [p for p in (spot.start, spot.end) if p is not None])


def adding(score: Score, stretch: Stretch, placement: str = "above") -> AddBracket:
    """The edit that draws a bracket over a stretch."""
    start, end = score.bar_at(stretch.start), score.bar_at(stretch.end)
    return AddBracket(
        part=stretch.part,
        staff=stretch.staff,
        bar=start.index,
        in_bar=stretch.start - start.onset,
        end_bar=end.index,
        end_in_bar=stretch.end - end.onset,
        placement=placement,
        measure=start.number,
        end_measure=end.number,
    )


def deleting(score: Score, bracket: BracketLine) -> DeleteBracket:
    """The edit that takes a bracket away."""
    bar = score.bars[bracket.bar]
    return DeleteBracket(
        part=bracket.part,
        staff=bracket.staff,
        bar=bar.index,
        in_bar=bracket.onset - bar.onset,
        measure=bar.number,
    )
