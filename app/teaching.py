"""Teaching words at the score: the card beside the marking, and the list of one's own words."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QRectF, QTimer

from app.card import Card
from app.own_words_card import OwnWordsCard
from app.teach_card import TeachCard
from core.score.model import MarkingId

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk


class Teaching(QObject):
    """The score desk's teacher."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self.session = desk.session
        self.card = TeachCard(self.session, desk.colours, desk.viewport())
        self.list = OwnWordsCard(self.session, desk.viewport())
        self.card.hide()
        self.list.hide()
        self.card.done.connect(self.leave)
        self.card.grown.connect(self.place)
        self.list.done.connect(self.leave)
        self.list.grown.connect(self.place)
        self.session.own_words.teach_wanted.connect(self.begin)
        self.session.changed.connect(lambda _: self.leave())

    @property
    def shown(self) -> Card | None:
        """The card that is open, or None."""
        return next((card for card in (self.card, self.list) if card.isVisible()), None)

    def begin(self, marking: MarkingId | None, word: str) -> None:
        """Ask what a word means, beside the marking it stands in."""
        self.leave()
        self.session.choose_marking(None)
        if marking is not None:
            self.desk.writing.leave()
        self.card.begin(marking, word)
        self._open(self.card)
        self.card.group.setFocus()

    def show_list(self) -> None:
        """The user's own words, one by one."""
        self.leave()
        self.session.choose_marking(None)
        self.list.fill()
        self._open(self.list)
        self.list.setFocus()

    def _open(self, card: Card) -> None:
        card.show()
        card.raise_()
        self.place()

    def leave(self) -> None:
        """Close what is open; nothing is changed."""
        if self.shown is None:
            return
        self.card.hide()
        self.list.hide()
        self.desk.setFocus()
        self.desk.viewport().update()

    def place(self) -> None:
        """Put the open card beside its marking."""
        card = self.shown
        if card is None:
            return
        marking = self.card.marking if card is self.card else None
        rect = self.desk.marking_rect(marking) if marking is not None else None
        self.desk.place_card(card, rect)
        QTimer.singleShot(0, card, partial(self._settle, card, rect))

    def _settle(self, card: Card, rect: QRectF | None) -> None:
        if card.isVisible():
            self.desk.place_card(card, rect)
