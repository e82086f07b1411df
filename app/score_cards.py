"""The cards on the score: the chosen marking's, and where any card is put so that its place stays in view."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRectF, QSize
from PySide6.QtWidgets import QWidget

from app.card import CARD_WIDTH, Card
from app.marking_card import MarkingCard
from app.palette import Colours
from app.score_view import ScoreView
from app.session import Session
from core.score.model import MarkingId


class ScoreCards(ScoreView):
    """A score view with cards."""

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(session, colours, parent)
        self.card = MarkingCard(session, self.viewport())
        self.card.hide()
        session.marking_chosen.connect(self._on_marking)
        session.derived_ready.connect(self._refresh_card)

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
