"""At the head of the organ's place: the next of the open organs, what changing to it changed, the pencil marks."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.compare_organs import OrganSwitch
from app.links import link_label
from app.organ_page import INDENT
from app.pencil_layer import SIGN
from app.session import Session
from app.translation import shown, told
from core.marking_up.pencil import pencil_lines


class OrganHead(QWidget):
    """Lines that are there only where they say something.

    Signals:
        wants_changes: what the other organ changes is to be shown in full.
        wants_pencil: the pencil marks are to be listed.
    """

    wants_changes = Signal()
    wants_pencil = Signal()

    def __init__(self, session: Session, switch: OrganSwitch, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.switch = switch
        layout = QVBoxLayout(self)
        layout.setContentsMargins(INDENT, 0, INDENT, 0)
        layout.setSpacing(2)
        self.next = link_label(self.tr("The next organ"), self._go_on, self)
        self.changes = link_label(self.tr("What changes"), self.wants_changes.emit, self)
        self.pencil = link_label(self.tr("Pencil marks"), self.wants_pencil.emit, self)
        for link in (self.next, self.changes, self.pencil):
            layout.addWidget(link)
        session.changed.connect(lambda _: self.refresh())
        session.derived_ready.connect(self.refresh)
        switch.changed.connect(self.refresh)
        self.refresh()

    def _go_on(self) -> None:
        self.switch.choose_next(1)

    def refresh(self) -> None:
        """Say what there is to say."""
        document, switched = self.session.document, self.switch.switched
        count, chosen = len(document.organs), document.chosen
        others = count > 1 or (count == 1 and chosen is None)
        if others:
            following = document.organs[(chosen + 1) % count if chosen is not None else 0]
            self.next.set_words(self.tr("Next: {0} (F4)").format(following.organ.name))
        if switched is not None:
            words = told("Instead of {former}: {changes}", former=switched.former, changes=shown(switched.summary))
            self.changes.set_words(words)
        score, organ = self.session.score, self.session.organ
        lines = pencil_lines(document.notes, score, organ.name if organ is not None else "") if score else []
        if lines:
            self.pencil.set_words(told("{sign} In pencil here: {count}", sign=SIGN, count=len(lines)))
        self.next.setVisible(others)
        self.changes.setVisible(switched is not None)
        self.pencil.setVisible(bool(lines))
        self._hold()
        self.setVisible(others or switched is not None or bool(lines))

    def _hold(self) -> None:
        """Where the place is low, the page below gives way, not these lines."""
        width = self.width() - 2 * INDENT
        for link in (self.next, self.changes, self.pencil):
            link.setMinimumHeight(link.heightForWidth(width))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The lines wrap anew."""
        super().resizeEvent(event)
        self._hold()
