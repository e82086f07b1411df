"""The proof: findings as in a corrector's margin; the chosen one opens; those let stand are listed apart."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QListView, QStackedWidget, QVBoxLayout, QWidget

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.links import link_label
from app.open_finding import MARGIN, OpenFinding, printed_words
from app.palette import LEVEL_WORDS, SIGNS, Colours
from app.proof_list import FindingsDelegate, FindingsModel
from app.proof_sieve import Sieve
from app.proof_stood import LetStand
from app.queries import query_of, query_words
from app.session import Session
from app.style_choice import StyleChoice
from app.translation import tr
from core.findings import Finding


class ProofPanel(QWidget):
    """The right place."""

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.by_bracket = True
        self._opened: QModelIndex | None = None
        self._following = False
        self.setAccessibleName(self.tr("Proof"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 10, 0, 8)
        layout.setSpacing(6)
        self.heading = QLabel(self)
        self.heading.setFont(text_font(italic=True))
        self.heading.setWordWrap(True)
        self.heading.setContentsMargins(MARGIN, 0, MARGIN, 0)
        layout.addWidget(self.heading)
        self.sieve = Sieve(session, self)
        self.by_style = StyleChoice(session, self)
        for widget in (self.sieve, self.by_style):
            row = QHBoxLayout()
            row.setContentsMargins(MARGIN, 0, MARGIN, 0)
            row.addWidget(widget)
            layout.addLayout(row)
        self._make_list()
        self.stood = LetStand(session, self)
        self.stack = QStackedWidget(self)
        self.stack.addWidget(self.view)
        self.stack.addWidget(self.stood)
        layout.addWidget(self.stack, 1)
        self.foot = link_label("", self.turn, self)
        self.foot.setContentsMargins(MARGIN, 0, MARGIN, 0)
        layout.addWidget(self.foot)
        self.setFocusProxy(self.view)
        self.sieve.changed.connect(self._sift)
        self.sieve.regrouped.connect(self.refresh)
        self.sieve.down.connect(self._go_to_list)
        self.sieve.offer(())
        session.changed.connect(lambda _: self._say())
        session.derived_ready.connect(self.refresh)
        session.finding_chosen.connect(self._on_chosen)
        self._say()

    def _make_list(self) -> None:
        self.model = FindingsModel()
        self.model.paper = self._paper_words
        self.view = QListView(self)
        self.view.setModel(self.model)
        self.delegate = FindingsDelegate(self.colours, self.view)
        self.view.setItemDelegate(self.delegate)
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.view.setLayoutMode(QListView.LayoutMode.Batched)  # a long list must not hold the window up
        self.view.setBatchSize(40)
        self.view.setAccessibleName(self.tr("Findings"))
        self.view.setAccessibleDescription(
            self.tr(
                "Up and Down go through the remarks and the score follows. "
                "Enter goes to what can be done, Delete lets one stand."
            )
        )
        self.view.selectionModel().currentChanged.connect(self._on_current)
        self.view.installEventFilter(self)

    @property
    def by_level(self) -> ChoiceBox:
        """The choice of levels."""
        return self.sieve.by_level

    @property
    def by_division(self) -> ChoiceBox:
        """The choice of divisions."""
        return self.sieve.by_division

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self.delegate.colours = colours
        self.refresh()

    # showing

    def _paper_words(self, finding: Finding) -> str:
        """Where it stands in the print, and its number among the queries to the author."""
        words = (printed_words(self.sieve.places, finding), query_words(query_of(self.session, finding)))
        return " · ".join(filter(None, words))

    def refresh(self) -> None:
        """Show the findings of the present analysis."""
        derived = self.session.derived
        chosen = self.session.finding
        findings = derived.index.findings if derived else ()
        self._opened = None
        self._following = True
        self.sieve.offer(findings)
        is_graded = self.sieve.order.currentData() in ("kind", "level")
        self.model.set_findings(findings, self.sieve.group(), gravest_first=is_graded)
        self._following = False
        self.stood.refresh()
        self._sift()
        if chosen is not None:
            self._on_chosen(chosen)

    def is_hidden(self, number: int) -> bool:
        """Whether a finding is left out by what was chosen above the list."""
        return self.sieve.leaves_out(number)

    def step(self, number: int | None, step: int) -> int | None:
        """The finding after (or before) one as the list has them, past those left out and round its end."""
        rows = [row for row in range(self.model.rowCount()) if not self.view.isRowHidden(row)]
        shown = [n for row in rows if (n := self.model.number_at(row)) is not None]
        if not shown:
            return None
        if number not in shown:
            return shown[0] if step > 0 else shown[-1]
        return shown[(shown.index(number) + step) % len(shown)]

    @property
    def is_grouped(self) -> bool:
        """Whether the list is in another than score order."""
        return self.sieve.group() is not None

    def _sift(self) -> None:
        """Show those findings only that were asked for, and the headings that have any."""
        heading, is_empty = -1, True
        for row in range(self.model.rowCount()):
            number = self.model.number_at(row)
            if number is None:
                if heading >= 0:
                    self.view.setRowHidden(heading, is_empty)
                heading, is_empty = row, True
                continue
            hidden = self.is_hidden(number)
            is_empty = is_empty and hidden
            self.view.setRowHidden(row, hidden)
        if heading >= 0:
            self.view.setRowHidden(heading, is_empty)
        chosen = self.session.finding
        if chosen is not None and chosen < len(self.model.findings) and self.is_hidden(chosen):
            self.session.choose_finding(None)
        self._say()

    def _say(self) -> None:
        derived = self.session.derived
        self.by_style.setVisible(self.session.document.source is not None)
        if self.session.document.source is None:
            words = self.tr("The corrector’s remarks on a score would stand here. Open or drop a score.")
        elif derived is None:
            words = self.tr("The markings are being read …")
        elif not derived.index.findings:
            words = self.tr("Nothing to remark.")
        else:
            words = count_words([f.level.value for f in derived.index.findings])
            shown = sum(not self.is_hidden(number) for number in range(len(self.model.findings)))
            if shown < len(self.model.findings):
                words += ". " + self.tr("{0} of {1} shown").format(shown, len(self.model.findings))
            if self.session.organ is None:
                words += ". " + self.tr("With an organ chosen, what it cannot do is said too.")
        self.heading.setText(words)
        is_apart = self.stack.currentWidget() is self.stood
        count = self.stood.count
        self.foot.setVisible(bool(count) or is_apart)
        self.foot.set_words(
            self.tr("Back to the remarks") if is_apart else self.tr("{0} let stand: show them").format(count)
        )

    # those let stand

    def turn(self) -> None:
        """From the remarks to those that were let stand, and back."""
        is_apart = self.stack.currentWidget() is self.stood
        self.stack.setCurrentWidget(self.view if is_apart else self.stood)
        self.sieve.setVisible(is_apart and bool(self.model.findings))
        self._say()

    def show_list(self) -> None:
        """Show the remarks themselves."""
        if self.stack.currentWidget() is self.stood:
            self.turn()

    # choosing

    def _on_current(self, current: QModelIndex, _previous: QModelIndex) -> None:
        number = self.model.number_at(current.row()) if current.isValid() else None
        if not self._following and number is not None and number != self.session.finding:
            self.session.choose_finding(number)

    def _on_chosen(self, number: int | None) -> None:
        """Close the one that was open, open the chosen one."""
        if self._opened is not None and self._opened.isValid():
            self.view.setIndexWidget(self._opened, None)  # type: ignore[arg-type]
            self._opened = None
        finding = self.session.finding_at(number)
        row = self.model.row_of(number) if number is not None else -1
        if finding is not None and row >= 0:
            self.show_list()
            index = self.model.index(row)
            opened = OpenFinding(self.session, finding, self.colours, self.view.viewport(), by_bracket=self.by_bracket)
            opened.left.connect(self.view.setFocus)
            self.view.setIndexWidget(index, opened)
            self._opened = index
            self._following = True
            self.view.setCurrentIndex(index)
            self._following = False
        self.view.doItemsLayout()
        if self._opened is not None:
            QTimer.singleShot(0, self, self._show_opened)

    @property
    def opened(self) -> OpenFinding | None:
        """The finding that is opened, or None."""
        if self._opened is None or not self._opened.isValid():
            return None
        widget = self.view.indexWidget(self._opened)
        return widget if isinstance(widget, OpenFinding) else None

    def _show_opened(self) -> None:
        if self._opened is not None and self._opened.isValid():
            self.view.scrollTo(self._opened)

    # keys

    def search(self) -> None:
        """Put the cursor in the search field."""
        self.show_list()
        self.sieve.search.setFocus()
        self.sieve.search.selectAll()

    def _go_to_list(self) -> None:
        self.view.setFocus()
        if self.session.finding is None:
            first = self.step(None, 1)
            if first is not None:
                self.session.choose_finding(first)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """In the list, Enter goes to what can be done, Delete to the reason for letting a remark stand."""
        opened = self.opened
        if watched is self.view and opened is not None and event.type() == QEvent.Type.KeyPress:
            assert isinstance(event, QKeyEvent)
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                opened.focus_first()
                return True
            if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
                opened.reason.setFocus()
                return True
        return super().eventFilter(watched, event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Sentences wrap anew."""
        super().resizeEvent(event)
        self.sieve.unfold()
        self.view.doItemsLayout()


def count_words(levels: list[str]) -> str:
    """``▲ 2 cannot be had · ◆ 3 to decide · ● 1 advice``."""
    parts = []
    for level in ("error", "warning", "advice"):
        count = levels.count(level)
        if count:
            words = f"{SIGNS[level]} {count} {tr(LEVEL_WORDS[level])}"
            parts.append(words.replace(" ", "\u00a0"))  # a line breaks between the counts only
    return " · ".join(parts)
