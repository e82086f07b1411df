"""The opening page: three plain ways in, recent files, the built-in piece and organs."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import link_label

WAYS = ("mark", "needs", "proof")


class Welcome(QWidget):
    """Stands in the score's place until a score is opened."""

    way_chosen = Signal(str)
    file_chosen = Signal(str)
    demo_chosen = Signal()
    organ_chosen = Signal(str)
    list_chosen = Signal()
    organ_wanted = Signal()

    def __init__(
        self, recent: Sequence[str], organs: Sequence[tuple[str, str]], *, has_demo: bool, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setObjectName("welcome")
        self.setAccessibleName(self.tr("Opening page"))
        outer = QHBoxLayout(self._sheet())
        outer.addStretch(1)
        column = QVBoxLayout()
        column.setSpacing(5)
        outer.addLayout(column, 4)
        outer.addStretch(1)
        column.addStretch(2)
        self._say(column, "Stopwright", 2.4)
        self._say(column, self.tr("Registration on paper, and on the organ that is there."), 1.15, italic=True)
        column.addSpacing(22)
        self._ways(column)
        column.addSpacing(18)
        lower = QHBoxLayout()
        lower.setSpacing(30)
        column.addLayout(lower)
        lower.addLayout(self._recent(recent, has_demo), 1)
        lower.addLayout(self._organs(organs), 1)
        column.addSpacing(18)
        self._say(column, self.tr("Or drop a score or a specification anywhere on this window."), 1.0, italic=True)
        column.addStretch(3)

    def _sheet(self) -> QWidget:
        """What the page is written on: in a small window it scrolls, and nothing is cut."""
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setAccessibleName(self.tr("Opening page"))
        self.area.viewport().setAutoFillBackground(False)
        sheet = QWidget(self)
        sheet.setAutoFillBackground(False)
        self.area.setWidget(sheet)
        whole.addWidget(self.area)
        return sheet

    def _say(self, layout: QVBoxLayout, words: str, scale: float, *, italic: bool = False) -> None:
        label = QLabel(words, self)
        label.setFont(text_font(scale, italic=italic))
        label.setWordWrap(True)
        layout.addWidget(label)

    def _ways(self, column: QVBoxLayout) -> None:
        ways = (
            (
                "mark",
                self.tr("Mark up a piece for an organ"),
                self.tr("Open a score and a specification; see what each marking draws there."),
            ),
            (
                "needs",
                self.tr("See what a piece asks for"),
                self.tr("Open a score alone; read what it asks of any organ."),
            ),
            (
                "proof",
                self.tr("Proofread the registration"),
                self.tr("Open a score; go through the remarks bar by bar."),
            ),
        )
        for way, title, words in ways:
            link = link_label(title, partial(self.way_chosen.emit, way), self)
            link.setFont(text_font(1.35))
            link.setObjectName(f"way-{way}")
            column.addWidget(link)
            self._say(column, words, 1.0)
            column.addSpacing(8)

    def _heading(self, words: str) -> QLabel:
        label = QLabel(words, self)
        label.setFont(heading_font())
        return label

    def _recent(self, recent: Sequence[str], has_demo: bool) -> QVBoxLayout:
        layout = QVBoxLayout()
        layout.setSpacing(3)
        layout.addWidget(self._heading(self.tr("Recent")))
        for path in recent[:6]:
            link = link_label(Path(path).name, partial(self.file_chosen.emit, path), self)
            link.setToolTip(path)
            layout.addWidget(link)
        if not recent:
            self._say(layout, self.tr("The scores you open will stand here."), 1.0, italic=True)
        if has_demo:
            layout.addSpacing(6)
            link = link_label(self.tr("The built-in piece, on a built-in organ"), self.demo_chosen.emit, self)
            link.setObjectName("demo")
            layout.addWidget(link)
        layout.addStretch(1)
        return layout

    def _organs(self, organs: Sequence[tuple[str, str]]) -> QVBoxLayout:
        layout = QVBoxLayout()
        layout.setSpacing(3)
        layout.addWidget(self._heading(self.tr("Built-in organs (invented)")))
        for name, path in organs:
            layout.addWidget(link_label(name, partial(self.organ_chosen.emit, path), self))
        layout.addSpacing(6)
        link = link_label(self.tr("Paste your organ’s stop list …"), self.list_chosen.emit, self)
        link.setObjectName("paste-list")
        layout.addWidget(link)
        link = link_label(self.tr("… or begin it from nothing …"), self.organ_wanted.emit, self)
        link.setObjectName("new-organ")
        layout.addWidget(link)
        layout.addStretch(1)
        layout.setAlignment(Qt.AlignmentFlag.AlignTop)
        return layout
