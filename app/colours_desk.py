"""Brings the colour book in the organ's place, and puts a colour's wording on a card at the cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.colours_panel import ColoursPanel

if TYPE_CHECKING:
    from app.window import Window

_WIDTH = 340


class ColoursDesk(QObject):
    """The window's way to the colour book."""

    def __init__(self, window: Window, panel: ColoursPanel) -> None:
        super().__init__(window)
        self.window = window
        self.panel = panel
        panel.hide()
        panel.left.connect(self.leave)
        panel.wants_marking.connect(self.write)

    def show(self) -> None:
        """The book in the organ's place; the search has the keys."""
        window = self.window
        width = max(window.organ.width(), _WIDTH)
        window.organ.hide()
        self.panel.show()
        sizes = window.across.sizes()
        at = window.across.indexOf(self.panel)
        centre = window.across.indexOf(window.centre)
        sizes[centre] = max(200, sizes[centre] + sizes[at] - width)
        sizes[at] = width
        window.across.setSizes(sizes)
        self.panel.field.setFocus()
        self.panel.field.selectAll()

    def leave(self) -> None:
        """The organ in its place again."""
        self.panel.hide()
        action = self.window.actions_by_id["fold_organ"]
        action.setChecked(True)
        self.window.organ.show()
        self.window.organ.setFocus()

    def write(self, text: str, hand: str) -> None:
        """Put a wording on the card at the cursor; over the staff of that hand where the score has one."""
        score = self.window.session.score
        if score is None or not score.organ_parts:
            self.window.say(self.tr("Open a score first; the colour is written into it."))
            return
        writing = self.window.score.writing
        kept = writing.staff
        if hand:
            for part in score.organ_parts:
                if hand in score.parts[part].hands:
                    writing.staff = (part, score.parts[part].hands.index(hand) + 1)
                    break
        writing.write(text)
        writing.staff = kept
