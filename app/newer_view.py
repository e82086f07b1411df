"""What came over to a newer file of the piece, what waits for its place, and what has changed in it."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import link_label
from app.palette import Colours
from app.paper_view import PaperView
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
        self._say(told("{later} compared with {former}", later=self.names[1], former=self.names[0]), italic=True)
        kept, waiting = self.carried.kept, self.carried.waiting
        self._head(told("Carried over: {count}", count=len(kept)))
        for one in kept:
            self._decided(one)
        if not self.carried.decided:
            self._say(tr("Nothing had been decided on the former file."))
        if waiting:
            self._head(told("Waiting for a place: {count}", count=len(waiting)))
            self._say(tr("Their marking or bar is not in the newer file. They are kept in the notes."), italic=True)
            for one in waiting:
                self._decided(one)
        self._changes()
        self.lines.addStretch(1)

    def _decided(self, one: Decided) -> None:
        place = told("bar {bar}", bar=one.measure) if one.measure else tr("whole piece")
        self._say(f"{place}: {shown(one.what)}")

    def _changes(self) -> None:
        editions = self.carried.editions
        bars = [*editions.bars_new, *editions.bars_gone]
        self._head(told("Changed in the newer file: {count}", count=len(editions.differences) + len(bars)))
        for difference in editions.differences:
            self._difference(difference)
        for at in editions.bars_new:
            self._link(told("bar {bar}: a new bar", bar=at.measure), at.bar)
        for at in editions.bars_gone:
            self._say(told("bar {bar} of the former file is gone", bar=at.measure))
        if editions.is_empty:
            self._say(tr("Nothing differs in the registration."))

    def _difference(self, one: Differing) -> None:
        words = told(KINDS[one.kind], former=_flat(one.former), later=_flat(one.later))
        at = one.later_at or one.former_at
        place = told("bar {bar}", bar=at.measure) + ": " if at is not None else ""
        if one.later_at is not None:
            self._link(place + words, one.later_at.bar)
        else:
            self._say(place + words)

    def _link(self, words: str, bar: int) -> None:
        self.lines.addWidget(link_label(words, partial(self.place_chosen.emit, bar), self))

    def _head(self, words: str) -> None:
        label = QLabel(words, self)
        label.setFont(heading_font())
        label.setContentsMargins(0, 10, 0, 0)
        label.setWordWrap(True)
        self.lines.addWidget(label)

    def _say(self, words: str, *, italic: bool = False) -> None:
        label = QLabel(words, self)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setWordWrap(True)
        label.setFont(text_font(italic=italic))
        self.lines.addWidget(label)

    def show_paper(self) -> None:
        """The same differences as a page to print or save."""

        def make(large: bool) -> Paper:
            return editions_paper(self.title, self.names, self.carried.editions, self.effects, large=large)

        view = PaperView(make, "what-has-changed", self.colours, self)
        view.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        view.open()


def _flat(text: str | None) -> str:
    return " ".join(text.split()) if text else ""
