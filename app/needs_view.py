"""What the piece asks of any organ, line by line with its places, set against each open organ; as it is printed."""

from __future__ import annotations

import re
from html import escape

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QTextBrowser, QVBoxLayout, QWidget

from app.lettering import text_font
from app.links import link_label
from app.palette import Colours
from app.session import Derived, Session
from app.translation import catalogue, tr
from core.compare.organs import play_on
from core.export.needs_page import Against, needs_paper
from core.export.paper import Column, Group, Paper, Row, Runs
from core.export.wording import speaking

_BARS = re.compile(r"(?<=bar )(\S+?)(?=[),]|$)")
_LIST = re.compile(r"[^\s,]+(?=,|$| and \d)")


class NeedsView(QWidget):
    """Stands in the score's place.

    Signals:
        place_chosen: a bar (argument: its index).
        left: the score is wanted.
        wants_paper: the page is to be printed or saved.
        wants_organ: another organ is to be set beside the piece.
    """

    place_chosen = Signal(int)
    left = Signal()
    wants_paper = Signal()
    wants_organ = Signal()

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.paper: Paper | None = None
        self._of: tuple[Derived, int] | None = None
        self.setAccessibleName(self.tr("What the piece asks for"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 8)
        head = QHBoxLayout()
        head.setSpacing(12)
        self.links = [
            link_label(self.tr("← To the score (Esc)"), self.left.emit, self),
            link_label(self.tr("Set it against another organ …"), self.wants_organ.emit, self),
            link_label(self.tr("Print or save this page …"), self.wants_paper.emit, self),
        ]
        for link in self.links:
            link.setMinimumWidth(56)
            head.addWidget(link, 1)
        layout.addLayout(head)
        self.page = QTextBrowser(self)
        self.page.setOpenLinks(False)
        self.page.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.page.setAccessibleName(self.tr("What the piece asks for"))
        self.page.anchorClicked.connect(self._on_anchor)
        layout.addWidget(self.page, 1)
        self.setFocusProxy(self.page)
        session.derived_ready.connect(self.refresh)
        session.changed.connect(lambda _: self.refresh())

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self._show()

    def showEvent(self, event: object) -> None:
        """It is worked out when it is looked at."""
        self.refresh()

    def refresh(self) -> None:
        """Set the piece against the organs that are open now; beside the window."""
        derived, document = self.session.derived, self.session.document
        if not self.isVisible():
            return
        if derived is None:
            self.paper, self._of = None, None
            self._show()
            return
        key = (derived, len(document.organs))
        if self._of == key:
            return
        self._of = key
        lexicon = self.session.aids.lexicon

        def job() -> Paper:
            played = play_on(document, document.organs, words=lexicon)
            with speaking(catalogue()):
                return needs_paper(derived.analysis, [Against(analysis=one, fit=fit) for one, fit in played])

        def done(paper: Paper) -> None:
            if self._of == key:
                self.paper = paper
                self._show()

        self.session.workers.submit(job, done, self.session.tell_failure)

    def _show(self) -> None:
        self.page.setFont(text_font())
        if self.paper is None:
            words = (
                tr("The piece is being read …")
                if self.session.document.source is not None
                else tr("What a piece asks of any organ would stand here. Open or drop a score.")
            )
            self.page.setHtml(f"<p><i>{escape(words)}</i></p>")
            return
        at = self.page.verticalScrollBar().value()
        self.page.setHtml(self._html(self.paper))
        self.page.verticalScrollBar().setValue(at)

    # the page

    def _html(self, paper: Paper) -> str:
        ink, faint = self.colours.ink, self.colours.faint
        parts = [f"<body style='color:{ink}'><h2 style='font-weight:normal'>{escape(paper.title)}</h2>"]
        parts += [f"<p style='color:{faint}'><i>{escape(line)}</i></p>" for line in paper.under]
        if not self.session.document.organs:
            words = tr("No organ is open yet; with one, its answer would stand beside each line.")
            parts.append(f"<p><i>{escape(words)}</i></p>")
        for flow in paper.flows:
            parts += [self._group(group) for group in flow.groups]
        return "".join([*parts, "</body>"])

    def _group(self, group: Group) -> str:
        heading = escape(group.heading) if group.heading else ""
        note = f" <i style='color:{self.colours.faint}'>{escape(group.note)}</i>" if group.note else ""
        heads = [_plain(cell) for cell in group.head.cells] if group.head is not None else []
        rows = []
        if heads:
            cells = "".join(f"<td><i style='color:{self.colours.faint}'>{escape(h)}</i></td>" for h in heads)
            rows.append(f"<tr>{cells}</tr>")
        rows += [self._row(row, heads, group.columns) for row in group.rows]
        table = f"<table cellpadding='3' cellspacing='0' width='100%'>{''.join(rows)}</table>"
        return f"<h3 style='font-weight:normal; margin-top:14px'>{heading}{note}</h3>{table}"

    def _row(self, row: Row, heads: list[str], columns: tuple[Column, ...]) -> str:
        cells = []
        for number, cell in enumerate(row.cells):
            head = heads[number] if number < len(heads) else ""
            right = number < len(columns) and columns[number].right
            side = " align='right'" if right else ""
            cells.append(f"<td valign='top'{side}>{self._cell(cell, is_list=head in ('Bars', 'Bar'))}</td>")
        return f"<tr>{''.join(cells)}</tr>"

    def _cell(self, cell: Runs, *, is_list: bool) -> str:
        said = []
        for run in cell:
            text = escape(run.text).replace("\n", "<br>")
            text = (_LIST if is_list else _BARS).sub(self._linked, text)
            text = f"<b>{text}</b>" if run.bold else text
            said.append(f"<i>{text}</i>" if run.italic else text)
        return "".join(said)

    def _linked(self, match: re.Match[str]) -> str:
        measure = match.group(0)
        bar = self._bar(measure)
        if bar is None:
            return measure
        return f"<a href='bar:{bar}' style='color:{self.colours.accent}; text-decoration:none'>{measure}</a>"

    def _bar(self, measure: str) -> int | None:
        score = self.session.score
        return next((bar.index for bar in score.bars if bar.number == measure), None) if score is not None else None

    def _on_anchor(self, url: QUrl) -> None:
        if url.scheme() == "bar":
            self.place_chosen.emit(int(url.path()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape goes back to the score."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


def _plain(cell: Runs) -> str:
    return "".join(run.text for run in cell)
