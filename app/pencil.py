"""The player's pencil: marks for the organ that is chosen, a layer apart from the print, kept in the notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.pencil_card import PencilCard
from app.pencil_layer import PencilLayer, PencilMouse
from app.pencil_list import PencilList
from app.writing_card import first_staff
from core.edits import Edit
from core.marking_up.pencil import pencil_into_score, pencil_lines, rubbed_out
from core.notes import PlayerNote, find_spot
from core.score.model import MarkingId, Ticks

if TYPE_CHECKING:
    from app.window import Window


class Pencil(QObject):
    """Shows the layer and changes it."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.desk = window.score
        self.layer = PencilLayer(self.desk, self.session)
        self.mouse = PencilMouse(self.layer)
        self.mouse.chosen.connect(self.open_mark)
        self.card = PencilCard(self.session, window.colours, self.desk.viewport())
        self.card.hide()
        self.card.done.connect(self._on_done)
        self.card.grown.connect(self._place)
        self.list: PencilList | None = None
        self.session.cursor_moved.connect(self._on_cursor)
        self.session.changed.connect(lambda is_other: self.leave() if is_other else None)

    # one mark

    def begin(self) -> None:
        """Pencil something in at the cursor, or change what stands there in pencil."""
        score = self.session.score
        if score is None:
            self.window.say(self.tr("Open a score first; a pencil mark stands at one of its beats."))
            return
        staff = self.desk.writing.staff or first_staff(score)
        here = [line for line, onset in self._lines() if onset == self.session.cursor.onset]
        part = score.parts[staff[0]].id
        same = [line for line in here if (line.at.part, line.at.staff) == (part, staff[1])]
        self._open(same[0] if same else None, staff)

    def open_mark(self, marking: MarkingId) -> None:
        """Change a mark that was clicked in the score."""
        mark = next((one for one in self.layer.marks if one.id == marking), None)
        if mark is None:
            return
        for line, onset in self._lines():
            if onset == mark.text.onset and line.text == mark.text.text:
                self.change(line)
                return

    def change(self, line: PlayerNote) -> None:
        """Go to a mark and open it."""
        score = self.session.score
        onset = find_spot(score, line.at) if score is not None else None
        if onset is not None and score is not None:
            self.session.move_to(onset)
            self._open(line, first_staff(score))

    def _open(self, line: PlayerNote | None, staff: tuple[int, int]) -> None:
        self.desk.writing.leave()
        self.session.choose_marking(None)
        self.desk.show_cursor()
        self.card.colours = self.window.colours
        self.card.begin(line, staff)
        self.card.show()
        self.card.raise_()
        self._place()
        self.card.field.setFocus()

    def _on_done(self, edit: Edit | None) -> None:
        self.leave()
        if edit is not None:
            self.session.perform(edit)

    def leave(self) -> None:
        """Close the card; nothing is changed."""
        if self.card.isVisible():
            self.card.hide()
            self.desk.setFocus()

    def rub_out(self, line: PlayerNote, onset: Ticks) -> None:
        """Take a mark out of the layer."""
        score = self.session.score
        if score is not None:
            self.session.perform(rubbed_out(line, onset, score))

    def _lines(self) -> list[tuple[PlayerNote, Ticks | None]]:
        score, organ = self.session.score, self.session.organ
        if score is None:
            return []
        return pencil_lines(self.session.document.notes, score, organ.name if organ is not None else "")

    @property
    def count(self) -> int:
        """How many marks there are for the organ that is chosen."""
        return len(self._lines())

    # all of them

    def show_list(self) -> None:
        """Every mark of this organ."""
        if self.list is None:
            self.list = PencilList(self, self.window)
        self.list.refresh()
        self.list.show()
        self.list.raise_()

    def write_into_score(self) -> None:
        """Make the marks of this organ markings of the file; asked for, and one step of undo."""
        derived = self.session.derived
        edit = pencil_into_score(derived.analysis, self.session.document.notes) if derived is not None else None
        if edit is None:
            self.window.say(self.tr("Nothing is pencilled in for this organ."))
            return
        self.session.perform(edit)

    # where the card stands

    def _on_cursor(self) -> None:
        if self.card.isVisible() and self.card.line is None:
            self.card.retry()
            self._place()

    def _place(self) -> None:
        if self.card.isVisible():
            self._put()
            QTimer.singleShot(0, self.card, self._put)

    def _put(self) -> None:
        rect = self.desk.cursor_rect()
        if rect is not None:
            self.desk.place_beside(self.card, rect)
        else:
            self.desk.place_card(self.card, rect)
