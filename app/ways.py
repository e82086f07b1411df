"""The three ways in, and going between the score and what the piece asks for."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QWidget

from app.links import link_label
from app.needs_view import NeedsView
from app.piece_card import PieceCard
from app.piece_words import custom_found, custom_words, tongue_words
from app.translation import told
from app.welcome import Welcome

if TYPE_CHECKING:
    from app.window import Window

_NARROW, _LOW = 900, 560  # below which the opening page stands alone


class Ways(QObject):
    """Begins each way where it begins."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.needs = NeedsView(self.session, window.colours, window)
        window.centre.addWidget(self.needs)
        self.needs.place_chosen.connect(self._go)
        self.needs.left.connect(self.show_score)
        self.needs.wants_paper.connect(lambda: window.doing.do_needs())
        self.needs.wants_organ.connect(self._choose_organ)
        self.card: PieceCard | None = None
        self.link = link_label(self.tr("The piece"), self.show_piece, window)
        self.link.setWordWrap(False)
        self.link.setContentsMargins(0, 0, 18, 2)
        self.link.setToolTip(self.tr("Whose parts, who plays which staff, language and custom: see why, change it."))
        window.statusBar().insertPermanentWidget(0, self.link)
        self.link.hide()
        self._at_findings = False
        self._folded: list[QWidget] = []
        window.centre.currentChanged.connect(lambda _: self.fit())
        self.session.derived_ready.connect(self._on_derived)
        self.session.changed.connect(self._on_changed)

    # the ways

    def begin(self, way: str) -> None:
        """One of them, with a score that has just been opened."""
        if way == "mark":
            self._show_organ()
            if self.session.organ is None:
                self.window.say(self.tr("Now the organ: its specification, its stop list, or a built-in one."))
                self._choose_organ()
        elif way == "needs":
            self.show_needs()
        elif way == "proof":
            self.window.proof.setVisible(True)
            self.window.actions_by_id["fold_proof"].setChecked(True)
            self.window.proof.view.setFocus()
            self._at_findings = True

    def _show_organ(self) -> None:
        self._folded = [place for place in self._folded if place is not self.window.organ]
        self.window.organ.setVisible(True)
        self.window.actions_by_id["fold_organ"].setChecked(True)

    def _choose_organ(self) -> None:
        """Offer the organs; the rest of the window goes on meanwhile."""
        self._show_organ()
        menu = self.window.organ.organ_menu()
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        panel = self.window.organ
        menu.popup(panel.mapToGlobal(panel.rect().topLeft()))

    def _on_derived(self) -> None:
        derived = self.session.derived
        self.link.setVisible(derived is not None)
        if derived is None:
            return
        analysis = derived.analysis
        self.link.set_words(
            told("Piece: {language} markings, {custom} custom", language=tongue_words(analysis.markings.language),
                 custom=custom_words(self.session.document.notes.tradition or custom_found(analysis)))
            if analysis.organ is not None
            else told("Piece: {language} markings", language=tongue_words(analysis.markings.language))
        )  # fmt: skip
        if self._at_findings and derived.index.findings:
            first = self.window.proof.step(None, 1)
            self.session.choose_finding(first)
        self._at_findings = False

    def _on_changed(self, is_other_score: bool) -> None:
        if is_other_score and self.session.document.source is None:
            self.link.hide()

    # a small window

    def fit(self) -> None:
        """In a small window the opening page has all the room; what is folded away comes back with a score."""
        window = self.window
        is_small = window.width() < _NARROW or window.height() < _LOW
        is_opening = isinstance(window.centre.currentWidget(), Welcome)
        if is_small and is_opening and not self._folded:
            places = (window.organ, window.proof, window.beat)
            self._folded = [place for place in places if place.isVisibleTo(window)]
            for place in self._folded:
                place.hide()
        elif self._folded and not (is_small and is_opening):
            for place in self._folded:
                place.show()
            self._folded = []

    # what the piece asks for

    def show_needs(self) -> None:
        """What the piece asks for, in the score's place."""
        if self.session.document.source is None:
            self.window.say(self.tr("Open a score first; what it asks of an organ stands here then."))
            return
        self.window.centre.setCurrentWidget(self.needs)
        self.needs.setFocus()

    def show_score(self) -> None:
        """The score again."""
        if self.window.centre.currentWidget() is self.needs:
            self.window.centre.setCurrentWidget(self.window.score)
            self.window.score.setFocus()

    def turn(self) -> None:
        """From the one to the other."""
        if self.window.centre.currentWidget() is self.needs:
            self.show_score()
        else:
            self.show_needs()

    def _go(self, bar: int) -> None:
        score = self.session.score
        if score is not None and bar < len(score.bars):
            self.show_score()
            self.session.choose_marking(None)
            self.session.move_to(score.bars[bar].onset)
            self.window.score.show_cursor()

    # the piece

    def show_piece(self) -> None:
        """What was found out about it, to be put right."""
        if self.card is None:
            self.card = PieceCard(self.session, self.window)
        self.card.refresh()
        self.card.show()
        self.card.raise_()

    def choose(self, way: str) -> None:
        """Ask for a score, then begin; a score that is open already is taken."""
        self.window.doing.ask_for_score(partial(self.begin, way))
