"""What came over to a newer file of the piece, what waits for its place, and what has changed in it."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.lettering import text_font
from app.links import link_label
from app.palette import Colours
from app.paper_view import PaperView
from app.said import say_heading, say_line
from app.translation import shown, told, tr
from core.compare.carrying import Carried, Decided
from core.compare.editions import Difference, Differing
from core.compare.effects import Effect
from core.export.editions import editions_paper
from core.export.paper import Paper

KINDS = {
    Difference.ADDED: "new: ‘{later}’",
    Difference.REMOVED: "gone: ‘{former}’",
    Difference.MOVED: "moved: ‘{later}’",
    Difference.CHANGED: "‘{former}’ is now ‘{later}’",
    Difference.REWORDED: "‘{former}’ in other words: ‘{later}’",
}


class NewerView(QDialog):
    """Stays beside the score while it is gone through.

    Signals:
        place_chosen: a bar of the newer file (argument: its index).
    """

    place_chosen = Signal(int)

    def __init__(
        self,
        names: tuple[str, str],
        carried: Carried,
        effects: tuple[Effect, ...],
        colours: Colours,
        parent: QWidget,
        *,
        title: str,
    ) -> None:
        super().__init__(parent)
        self.names, self.carried, self.effects = names, carried, effects
        self.colours, self.title = colours, title
        self.setWindowTitle(self.tr("A newer file of the piece"))
        self.setSizeGripEnabled(True)
        layout = QVBoxLayout(self)
        sheet = QWidget(self)
        self.lines = QVBoxLayout(sheet)
        self.lines.setSpacing(3)
        scroll = QScrollArea(self)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setAccessibleName(self.tr("What came over and what has changed"))
        self._fill()
        scroll.setWidget(sheet)
        layout.addWidget(scroll, 1)
        layout.addLayout(self._foot())
        room = parent.size()
        self.resize(min(520, room.width() - 40), min(560, room.height() - 60))

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.addStretch(1)
        for words, call in ((self.tr("&Print or save …"), self.show_paper), (self.tr("Close"), self.close)):
            button = QPushButton(words, self)
            button.setFont(text_font())
            button.clicked.connect(lambda _=False, call=call: call())
            foot.addWidget(button)
        return foot

    def _fill(self) -> None:
        say_line(
            self.lines, told("{later} compared with {former}", later=self.names[1], former=self.names[0]), italic=True
        )
        kept, waiting = self.carried.kept, self.carried.waiting
        say_heading(self.lines, told("Carried over: {count}", count=len(kept)))
        for one in kept:
            self._decided(one)
        if not self.carried.decided:
            say_line(self.lines, tr("Nothing had been decided on the former file."))
        if waiting:
            say_heading(self.lines, told("Waiting for a place: {count}", count=len(waiting)))
            say_line(
                self.lines,
                tr("Their marking or bar is not in the newer file. They are kept in the notes."),
                italic=True,
            )
            for one in waiting:
                self._decided(one)
        self._changes()
        self.lines.addStretch(1)

    def _decided(self, one: Decided) -> None:
        place = told("bar {bar}", bar=one.measure) if one.measure else tr("whole piece")
        say_line(self.lines, f"{place}: {shown(one.what)}")

    def _changes(self) -> None:
        editions = self.carried.editions
        bars = [*editions.bars_new, *editions.bars_gone]
        say_heading(self.lines, told("Changed in the newer file: {count}", count=len(editions.differences) + len(bars)))
        for difference in editions.differences:
            self._difference(difference)
        for at in editions.bars_new:
            self._link(told("bar {bar}: a new bar", bar=at.measure), at.bar)
        for at in editions.bars_gone:
            say_line(self.lines, told("bar {bar} of the former file is gone", bar=at.measure))
        if editions.is_empty:
            say_line(self.lines, tr("Nothing differs in the registration."))

    def _difference(self, one: Differing) -> None:
        words = told(KINDS[one.kind], former=_flat(one.former), later=_flat(one.later))
        at = one.later_at or one.former_at
        place = told("bar {bar}", bar=at.measure) + ": " if at is not None else ""
        if one.later_at is not None:
            self._link(place + words, one.later_at.bar)
        else:
            say_line(self.lines, place + words)

    def _link(self, words: str, bar: int) -> None:
        self.lines.addWidget(link_label(words, partial(self.place_chosen.emit, bar), self))

    def show_paper(self) -> None:
        """The same differences as a page to print or save."""

        def make(large: bool) -> Paper:
            return editions_paper(self.title, self.names, self.carried.editions, self.effects, large=large)

        view = PaperView(make, "what-has-changed", self.colours, self)
        view.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        view.open()


def _flat(text: str | None) -> str:
    return " ".join(text.split()) if text else ""
