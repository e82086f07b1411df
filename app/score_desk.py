"""The score under the hand: clicks, wheel and keys on the engraved pages, and the card beside a marking."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from app.card import CARD_WIDTH, Card
from app.marking_card import MarkingCard
from app.palette import LEVEL_WORDS, SIGNS, Colours
from app.score_hits import Hit, hit_test
from app.score_view import ScoreView
from app.sentences import sounding_sentence
from app.session import Session
from app.teaching import Teaching
from app.translation import shown, tr
from app.writing import Writing
from core.score.model import MarkingId

_ZOOM_STEP = 1.15


class ScoreDesk(ScoreView):
    """A score view that can be worked with."""

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(session, colours, parent)
        self.card = MarkingCard(session, self.viewport())
        self.card.hide()
        self.writing = Writing(self)
        self.teaching = Teaching(self)
        session.marking_chosen.connect(self._on_marking)
        session.derived_ready.connect(self._refresh_card)

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
        """Choose what lies under the pointer."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        found = self.hit(event.position())
        if found is None:
            return
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
            self.session.move_to(hit.flag.onset)
        elif hit.lane is not None:
            self.session.choose_marking(None)
            self.session.move_to(hit.lane.onset, hit.lane.nth)
        elif hit.beat is not None:
            self.session.choose_marking(None)
            self._choose_staff(event.position())
            self.session.move_to(hit.beat[1])
            if self.writing.card.isVisible():
                self.writing.card.field.setFocus()

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
        if event.button() != Qt.MouseButton.LeftButton:
            return
        found = self.hit(event.position())
        if found is not None and found[1].beat is not None and not self.writing.is_open:
            self.writing.write()
        elif found is not None and found[1].marking is not None:
            self.writing.change(found[1].marking)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Say what lies under the pointer."""
        found = self.hit(event.position())
        hit = found[1] if found else Hit()
        shape = Qt.CursorShape.PointingHandCursor if hit.is_choosable else Qt.CursorShape.ArrowCursor
        self.viewport().setCursor(shape)
        words = self._tip(hit)
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
            return self.tr("Proposed end {0}: {1}").format(hit.flag.number, hit.flag.why)
        return hit.lane.text if hit.lane is not None else ""

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
        is_enter = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if key == Qt.Key.Key_Escape and self.writing.is_open:
            self.writing.leave()
        elif is_enter and self.writing.moving is not None:
            self.writing.finish_move()
        elif self._key_for_marking(event):
            return
        elif derived is not None and key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            step = 1 if key == Qt.Key.Key_Right else -1
            self.session.choose_marking(None)
            self.session.move_to(derived.index.next_onset(self.session.cursor.onset, step))
        elif derived is not None and is_enter:
            onset = self.session.cursor.onset
            here = [mark.id for mark in derived.index.marks.values() if mark.text.onset == onset]
            if here:
                self.session.choose_marking(here[0])
        elif derived is not None and _is_typed(event):
            self.writing.write(event.text())
        else:
            super().keyPressEvent(event)

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

    def event(self, event: QEvent) -> bool:
        """Pinching a touchpad changes the size."""
        if event.type() == QEvent.Type.NativeGesture:
            gesture = event
            if getattr(gesture, "gestureType", lambda: None)() == Qt.NativeGestureType.ZoomNativeGesture:
                self.set_zoom(self.zoom_per_cent * (1 + gesture.value()))  # type: ignore[attr-defined]
                return True
        return super().event(event)

    # the card

    def marking_rect(self, marking: MarkingId) -> QRectF | None:
        """Where a marking stands in the viewport, if its page is in view."""
        for page in self.visible_pages():
            overlay = self.store.overlay(page)
            boxes = [rule.box for rule in overlay.rules if rule.marking == marking] if overlay else []
            if boxes:
                box = boxes[0]
                for other in boxes[1:]:
                    box = box.united(other)
                return self.rect_on_view(page, box)
        return None

    def _on_marking(self, marking: MarkingId | None) -> None:
        if marking is None:
            had_focus = self.card.isAncestorOf(self.focusWidget()) if self.focusWidget() else False
            self.card.hide()
            if had_focus:
                self.setFocus()
            return
        self.card.show_marking(marking)
        self._place_card()
        self.card.show()
        self.card.raise_()

    def _refresh_card(self) -> None:
        if self.session.marking is not None and self.card.isVisible():
            self._on_marking(self.session.marking)

    def _place_card(self) -> None:
        if self.session.marking is not None:
            self.place_card(self.card, self.marking_rect(self.session.marking))

    def place_card(self, card: Card, rect: QRectF | None) -> None:
        """Put a card beside a place of the viewport, wholly in view, not over it."""
        room, size = self.viewport().rect(), self._fitted(card)
        if rect is None:
            rect = QRectF(room.width() / 2, 60, 1, 1)
        x = max(8, min(round(rect.left()), room.width() - size.width() - 8))
        y = round(rect.bottom()) + 10
        if y + size.height() > room.height() - 8:
            above = round(rect.top()) - size.height() - 10
            y = above if above > 8 else max(8, room.height() - size.height() - 8)
        card.move(QPoint(x, y))

    def place_beside(self, card: Card, line: QRectF) -> None:
        """Put a card to the right of a line of the viewport, else to its left, so that both can be seen."""
        room, size = self.viewport().rect(), self._fitted(card)
        right, left = round(line.right()) + 14, round(line.left()) - 14 - size.width()
        if right + size.width() <= room.width() - 8:
            x = right
        elif left >= 8:
            x = left
        else:
            self.place_card(card, line)
            return
        card.move(QPoint(x, max(8, min(round(line.top()), room.height() - size.height() - 8))))

    def _fitted(self, card: Card) -> QSize:
        """The card's size, no larger than the viewport."""
        room = self.viewport().rect()
        card.fit(min(CARD_WIDTH, room.width() - 16), max(200, room.height() - 24))
        return card.size()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """The card goes with its marking."""
        super().scrollContentsBy(dx, dy)
        self.viewport().update()
        if self.card.isVisible():
            self._place_card()
        self.writing.place()
        self.teaching.place()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The card stays in view."""
        super().resizeEvent(event)
        if self.card.isVisible():
            self._place_card()
        self.writing.place()
        self.teaching.place()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours; what is written keeps its words."""
        super().set_colours(colours)
        self.writing.card.colours = self.teaching.card.colours = colours
        if self.writing.card.isVisible():
            self.writing.card.retry()


def _is_typed(event: QKeyEvent) -> bool:
    """Whether a key types a letter, a figure or a sign."""
    modifiers = event.modifiers()
    held = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
    text = event.text()
    return not modifiers & held and len(text) == 1 and text.isprintable() and not text.isspace()
