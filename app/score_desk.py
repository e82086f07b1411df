"""The score under the hand: clicks, wheel and keys on the engraved pages, and the card beside a marking."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from app.bracket_drag import BracketDrag
from app.copying import Copying
from app.open_finding import edit_of
from app.overlay import Flag
from app.overlay_painting import OverlayPainter
from app.palette import LEVEL_WORDS, SIGNS, Colours
from app.score_cards import ScoreCards
from app.score_hits import Hit, hit_test
from app.score_pinch import Pinching
from app.sentences import sounding_sentence
from app.session import Session
from app.teaching import Teaching
from app.translation import shown, tr
from app.writing import Writing
from app.writing_ahead import WritingAhead
from core.edits import Edit

_ZOOM_STEP = 1.15


class ScoreDesk(ScoreCards):
    """A score view that can be worked with.

    Signals:
        said: a sentence for the user.
    """

    said = Signal(str)
    pinching: Pinching | None = None  # the toolkit sends events while the base is being made

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(session, colours, parent)
        self.writing = Writing(self)
        self.teaching = Teaching(self)
        self.ahead = WritingAhead(self)
        self.brackets = BracketDrag(self)
        self.copying = Copying(self)
        self.card.copies_wanted.connect(self.copying.begin)
        self.by_bracket = True
        self._to_say = ""
        session.derived_ready.connect(self._say_done)
        self.pinching = Pinching(self)

    def hit(self, point: QPointF) -> tuple[int, Hit] | None:
        """The page and what lies under a point of the viewport."""
        found = self.point_on_page(point)
        if found is None:
            return None
        page, where = found
        title = self._title_hit(page, where)
        if title is not None:
            return page, title
        return page, hit_test(where, self.store.overlay(page), self.store.places(page))

    def _title_hit(self, page: int, where: QPointF) -> Hit | None:
        """A marking in the title block."""
        derived = self.session.derived
        if page != 0 or derived is None:
            return None
        where = where + QPointF(0, self.title_height)
        for line in self.title:
            if line.credit is not None and line.rect.contains(where):
                for mark in derived.index.by_credit.get(line.credit, ()):
                    return Hit(marking=mark.id, box=line.rect.translated(0, -self.title_height))
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose what lies under the pointer; on a staff a bracket may begin here."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        found = self.hit(event.position())
        if found is None:
            self.brackets.leave()
            return
        is_free = not self.writing.is_open and not self.copying.is_open
        if is_free and self._may_be_bracket(found[1], event.position()) and self.brackets.press(event.position()):
            return
        self._choose(found, event.position())

    def _may_be_bracket(self, hit: Hit, point: QPointF) -> bool:
        """Whether a bracket comes before what else lies at a point: before beats, and markings' outermost edges."""
        found = self.point_on_page(point)
        if hit.marking is not None and hit.box is not None and found is not None:
            return not hit.box.contains(found[1]) and self.brackets.spot_at(point) is not None
        return hit.is_beat

    def _choose(self, found: tuple[int, Hit], point: QPointF) -> None:
        hit = found[1]
        if self.writing.is_open and hit.beat is None:
            self.writing.leave()
        self.teaching.leave()
        if hit.finding is not None:
            self.session.choose_marking(None)
            self.session.choose_finding(hit.finding)
        elif hit.marking is not None:
            self.session.choose_marking(hit.marking)
        elif hit.flag is not None:
            self.accept_flag(hit.flag)
        elif hit.lane is not None:
            self.session.choose_marking(None)
            self.session.move_to(hit.lane.onset, hit.lane.nth)
        elif hit.beat is not None:
            self.session.choose_marking(None)
            self._choose_staff(point)
            self.session.move_to(hit.beat[1])
            if self.copying.is_open:
                self.copying.toggle()
            if self.writing.card.isVisible():
                self.writing.card.field.setFocus()

    def accept_flag(self, flag: Flag) -> None:
        """Write what a flag proposes, in the form that the user prefers."""
        edit = self._edit_of(flag)
        if edit is None:
            self.session.choose_finding(flag.finding)
            return
        self.session.perform(edit)
        self.say_when_done(self.tr("Done: {0}; Ctrl+Z takes it back.").format(shown(edit.said)))

    def say_when_done(self, words: str) -> None:
        """Say a sentence when the edit that was asked for is there."""
        self._to_say = words

    def _say_done(self) -> None:
        words, self._to_say = self._to_say, ""
        if words:
            QTimer.singleShot(0, self, lambda: self.said.emit(words))

    def _edit_of(self, flag: Flag) -> Edit | None:
        finding = self.session.finding_at(flag.finding)
        if finding is None or flag.proposal >= len(finding.proposals):
            return None
        return edit_of(finding.proposals[flag.proposal], by_bracket=self.by_bracket)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A bracket that was drawn is written."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.brackets.release()

    def _choose_staff(self, point: QPointF) -> None:
        """Remember which staff was clicked: a marking that is written next stands there."""
        found = self.point_on_page(point)
        if found is None:
            return
        page, where = found
        places, derived = self.store.places(page), self.session.derived
        row = places.row_at(where.x(), where.y()) if places is not None else None
        if derived is not None and row is not None and row < len(derived.index.rows):
            self.writing.staff = derived.index.rows[row]

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Two clicks on a beat begin a marking there; on a marking, they change its wording."""
        if event.button() != Qt.MouseButton.LeftButton or self.copying.is_open:
            return
        found = self.hit(event.position())
        if found is not None and found[1].beat is not None and not self.writing.is_open:
            self.writing.write()
        elif found is not None and found[1].marking is not None:
            self.writing.change(found[1].marking)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Draw a bracket, or say what lies under the pointer."""
        if event.buttons() & Qt.MouseButton.LeftButton and self.brackets.move(event.position()):
            QToolTip.hideText()
            return
        found = self.hit(event.position())
        hit = found[1] if found else Hit()
        may_be = self._may_be_bracket(hit, event.position())
        bracket = self.brackets.spot_at(event.position()) if may_be else None
        self.viewport().setCursor(_shape(hit, bracket[1] if bracket is not None else ""))
        words = self._tip(hit)
        if bracket is not None:
            words = self.tr("A bracket: click to choose it, drag an end to move that")
        if not words and found is not None and hit.beat is not None:
            words = self.sounding_at(event.position())
        if words:
            QToolTip.showText(event.globalPosition().toPoint(), words, self.viewport())
        else:
            QToolTip.hideText()

    def _tip(self, hit: Hit) -> str:
        finding = self.session.finding_at(hit.finding)
        if finding is not None:
            level = finding.level.value
            return f"{SIGNS[level]} {tr(LEVEL_WORDS[level])}: {shown(finding.message)}"
        if hit.flag is not None:
            return self._flag_words(hit.flag)
        return hit.lane.text if hit.lane is not None else ""

    def _flag_words(self, flag: Flag) -> str:
        which = self.tr("Proposed beginning {0}: {1}") if flag.is_start else self.tr("Proposed end {0}: {1}")
        words, edit = which.format(flag.number, flag.why), self._edit_of(flag)
        return words if edit is None else words + "\n" + self.tr("A click does it: {0}").format(shown(edit.said))

    def sounding_at(self, point: QPointF) -> str:
        """Which pipes the note under a point makes sound; empty where there is none."""
        found = self.point_on_page(point)
        if found is None:
            return ""
        page, where = found
        derived, places, organ = self.session.derived, self.store.places(page), self.session.organ
        ordinal = places.note_at(where.x(), where.y()) if places is not None else None
        note = derived.index.note.get(ordinal) if derived is not None and ordinal is not None else None
        if derived is None or organ is None or note is None or note.hand is None or note.key < 0:
            return ""
        step = derived.analysis.at(note.onset, self.session.cursor.nth)
        return sounding_sentence(organ, step.registration, note) if step is not None else ""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """With Ctrl the wheel changes the size, else it scrolls."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            turns = event.angleDelta().y() / 120
            self.set_zoom(self.zoom_per_cent * _ZOOM_STEP**turns, event.position())
            event.accept()
            return
        if self.is_strip:
            self._wheel_along(event)
            return
        super().wheelEvent(event)

    def _wheel_along(self, event: QWheelEvent) -> None:
        """On the strip the wheel goes on in the music; with Shift, up and down."""
        exact, turns = event.pixelDelta(), event.angleDelta()
        moved = exact if not exact.isNull() else turns
        along = moved.x() if abs(moved.x()) > abs(moved.y()) else moved.y()
        is_up_and_down = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        bar = self.verticalScrollBar() if is_up_and_down else self.horizontalScrollBar()
        bar.setValue(bar.value() - along)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows move from beat to beat; Enter opens the marking at the cursor; what is typed begins a new one."""
        derived = self.session.derived
        key = event.key()
        if self.ahead.take(event, is_typed=_is_typed(event)) or self._key_for_modes(event):
            return
        if self._key_for_marking(event):
            return
        if derived is not None and key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            step = 1 if key == Qt.Key.Key_Right else -1
            if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
                self.brackets.extend(step)
                return
            self.brackets.leave()
            self.session.choose_marking(None)
            self.session.move_to(derived.index.next_onset(self.session.cursor.onset, step))
        elif derived is not None and key in _ENTER:
            onset = self.session.cursor.onset
            here = [mark.id for mark in derived.index.marks.values() if mark.text.onset == onset]
            if here:
                self.session.choose_marking(here[0])
        elif derived is not None and _is_typed(event):
            self.writing.write(event.text())
        elif not self._scroll_key(key):
            super().keyPressEvent(event)

    def _key_for_modes(self, event: QKeyEvent) -> bool:
        """Keys that end what is under way: writing, moving, copying to several places, a bracket."""
        key = event.key()
        if key == Qt.Key.Key_Escape:
            for mode, is_on in (
                (self.writing, self.writing.is_open),
                (self.copying, self.copying.is_open),
                (self.brackets, self.brackets.is_drawing or self.brackets.chosen is not None),
            ):
                if is_on:
                    mode.leave()
                    return True
        elif key in _ENTER:
            for is_on, finish in (
                (self.writing.moving is not None, self.writing.finish_move),
                (self.copying.is_open, self.copying.finish),
                (self.brackets.is_drawing, self.brackets.finish),
            ):
                if is_on:
                    finish()
                    return True
        elif key == Qt.Key.Key_Space and self.copying.is_open:
            self.copying.toggle()
            return True
        elif key == Qt.Key.Key_Delete and self.brackets.chosen is not None:
            return self.brackets.delete_chosen()
        return False

    def _scroll_key(self, key: int) -> bool:
        """On the strip, the keys that go up and down a page go along it."""
        if not self.is_strip:
            return False
        bar = self.horizontalScrollBar()
        to = {
            Qt.Key.Key_PageDown: bar.value() + bar.pageStep(),
            Qt.Key.Key_PageUp: bar.value() - bar.pageStep(),
            Qt.Key.Key_Home: bar.minimum(),
            Qt.Key.Key_End: bar.maximum(),
        }
        if key not in to:
            return False
        bar.setValue(to[Qt.Key(key)])
        return True

    def _key_for_marking(self, event: QKeyEvent) -> bool:
        """Keys that do something with the chosen marking."""
        marking, key = self.session.marking, event.key()
        if marking is None:
            return False
        if key == Qt.Key.Key_Escape:
            self.session.choose_marking(None)
        elif key == Qt.Key.Key_F2:
            self.writing.change(marking)
        elif key == Qt.Key.Key_Delete:
            self.writing.delete(marking)
        else:
            return False
        return True

    def zoom_in(self) -> None:
        """A step larger."""
        self.set_zoom(self.zoom_per_cent * _ZOOM_STEP)

    def zoom_out(self) -> None:
        """A step smaller."""
        self.set_zoom(self.zoom_per_cent / _ZOOM_STEP)

    def fit_width(self) -> None:
        """As wide as the view."""
        self.set_zoom(0)

    def viewportEvent(self, event: QEvent) -> bool:
        """Pinching a touchpad or a touch screen changes the size."""
        is_taken = self.pinching is not None and self.pinching.take(event)
        return is_taken or super().viewportEvent(event)

    def paint_over(self, over: OverlayPainter, page: int) -> None:
        """What is being drawn or chosen, over a page."""
        self.brackets.paint(over, page)
        self.copying.paint(over, page)

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """The card goes with its marking."""
        super().scrollContentsBy(dx, dy)
        self.viewport().update()
        if self.card.isVisible():
            self._place_card()
        for what in (self.writing, self.teaching, self.brackets, self.copying):
            what.place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The card stays in view."""
        super().resizeEvent(event)
        if self.card.isVisible():
            self._place_card()
        for what in (self.writing, self.teaching, self.brackets, self.copying):
            what.place()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours; what is written keeps its words."""
        super().set_colours(colours)
        self.writing.card.colours = self.teaching.card.colours = colours
        if self.writing.card.isVisible():
            self.writing.card.retry()


_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


def _shape(hit: Hit, bracket: str) -> Qt.CursorShape:
    """The pointer's shape over what it could choose or drag."""
    if bracket in ("start", "end"):
        return Qt.CursorShape.SizeHorCursor
    return Qt.CursorShape.PointingHandCursor if hit.is_choosable or bracket else Qt.CursorShape.ArrowCursor


def _is_typed(event: QKeyEvent) -> bool:
    """Whether a key types a letter, a figure or a sign."""
    modifiers = event.modifiers()
    held = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
    text = event.text()
    return not modifiers & held and len(text) == 1 and text.isprintable() and not text.isspace()
