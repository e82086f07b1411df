"""The proof: findings in score order, as in a corrector's margin; the chosen one opens."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, QTimer
from PySide6.QtGui import QFontMetrics, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.open_finding import MARGIN, OpenFinding, place_words, sentence
from app.palette import LEVEL_COLOURS, LEVEL_WORDS, SIGNS, Colours
from app.session import Session
from app.style_choice import StyleChoice
from app.translation import shown, tr
from core.findings import Finding

Index = QModelIndex | QPersistentModelIndex
FINDING = Qt.ItemDataRole.UserRole
_SIGN = 22


class FindingsModel(QAbstractListModel):
    """The findings, in score order."""

    def __init__(self) -> None:
        super().__init__()
        self.findings: tuple[Finding, ...] = ()

    def set_findings(self, findings: tuple[Finding, ...]) -> None:
        """Show other findings."""
        self.beginResetModel()
        self.findings = findings
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """Number of findings."""
        return 0 if parent is not None and parent.isValid() else len(self.findings)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A finding, or its words."""
        if not index.isValid():
            return None
        finding = self.findings[index.row()]
        if role == FINDING:
            return finding
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return f"{place_words(finding)}: {shown(finding.message)} ({tr(LEVEL_WORDS[finding.level.value])})"
        return None


class FindingsDelegate(QStyledItemDelegate):
    """Sets a finding: its sign in the margin, its bar, one sentence."""

    def __init__(self, colours: Colours, view: QListView) -> None:
        super().__init__(view)
        self.colours = colours
        self.view = view

    def _text_rect(self) -> QRect:
        """Room for the sentence; the same whether or not the scroll bar is shown."""
        width = self.view.width() - self.view.verticalScrollBar().sizeHint().width()
        return QRect(MARGIN + _SIGN, 0, width - 2 * MARGIN - _SIGN, 4000)

    def _opened(self, index: Index) -> QWidget | None:
        """What stands in a row's place where it is opened."""
        return self.view.indexWidget(self.view.model().index(index.row(), 0))

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """High enough for the whole sentence, or for the opened finding."""
        width = self.view.viewport().width()
        opened = self._opened(index)
        if opened is not None:
            return QSize(width, opened.heightForWidth(width) if opened.hasHeightForWidth() else 100)
        finding: Finding = index.data(FINDING)
        metrics = QFontMetrics(text_font())
        flags = Qt.TextFlag.TextWordWrap
        box = metrics.boundingRect(self._text_rect(), flags, sentence(finding))
        return QSize(width, metrics.height() + box.height() + 12)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a finding that is not opened."""
        if self._opened(index) is not None:
            return
        finding: Finding = index.data(FINDING)
        level = finding.level.value
        painter.save()
        painter.translate(option.rect.topLeft())
        text = self._text_rect()
        metrics = QFontMetrics(text_font(0.92))
        painter.setFont(text_font())
        painter.setPen(self.colours.colour(LEVEL_COLOURS[level]))
        painter.drawText(QRect(MARGIN, 5, _SIGN, metrics.height()), 0, SIGNS[level])
        painter.setFont(text_font(0.92, italic=True))
        painter.setPen(self.colours.colour("faint"))
        words = f"{place_words(finding)} · {tr(LEVEL_WORDS[level])}"
        painter.drawText(text.adjusted(0, 5, 0, 0), 0, words)
        painter.setFont(text_font())
        painter.setPen(self.colours.colour("ink"))
        below = text.adjusted(0, 5 + metrics.height(), 0, 0)
        painter.drawText(below, int(Qt.TextFlag.TextWordWrap), sentence(finding))
        painter.restore()


class ProofPanel(QWidget):
    """The right place."""

    def __init__(self, session: Session, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.colours = colours
        self.by_bracket = True
        self.setAccessibleName(self.tr("Proof"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 10, 0, 8)
        layout.setSpacing(6)
        self.heading = QLabel(self)
        self.heading.setFont(text_font(italic=True))
        self.heading.setWordWrap(True)
        self.heading.setContentsMargins(MARGIN, 0, MARGIN, 0)
        layout.addWidget(self.heading)
        self.by_level, self.by_division = ChoiceBox(self), ChoiceBox(self)
        self.by_level.setAccessibleName(self.tr("Which remarks"))
        self.by_division.setAccessibleName(self.tr("Of which division"))
        choices = QHBoxLayout()
        choices.setContentsMargins(MARGIN, 0, MARGIN, 0)
        choices.setSpacing(10)
        for box in (self.by_level, self.by_division):
            box.setFont(text_font())
            box.currentIndexChanged.connect(lambda _: self._sift())
            choices.addWidget(box, 1)
        layout.addLayout(choices)
        self.by_style = StyleChoice(session, self)
        styles = QHBoxLayout()
        styles.setContentsMargins(MARGIN, 0, MARGIN, 0)
        styles.addWidget(self.by_style)
        layout.addLayout(styles)
        self.model = FindingsModel()
        self.view = QListView(self)
        self.view.setModel(self.model)
        self.delegate = FindingsDelegate(colours, self.view)
        self.view.setItemDelegate(self.delegate)
        self.view.setFrameShape(QListView.Shape.NoFrame)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.view.setLayoutMode(QListView.LayoutMode.Batched)  # a long list must not hold the window up
        self.view.setBatchSize(40)
        self.view.setAccessibleName(self.tr("Findings"))
        self.view.selectionModel().currentChanged.connect(self._on_current)
        layout.addWidget(self.view, 1)
        self.setFocusProxy(self.view)
        self._opened: QModelIndex | None = None
        self._following = False
        session.changed.connect(lambda _: self._say())
        session.derived_ready.connect(self.refresh)
        session.finding_chosen.connect(self._on_chosen)
        self._say()

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self.delegate.colours = colours
        self.refresh()

    def refresh(self) -> None:
        """Show the findings of the present analysis."""
        derived = self.session.derived
        chosen = self.session.finding
        self._opened = None
        self._following = True
        self.model.set_findings(derived.index.findings if derived else ())
        self._following = False
        self._offer_choices()
        self._sift()
        self._say()
        if chosen is not None:
            self._on_chosen(chosen)

    def _offer_choices(self) -> None:
        """The levels and divisions that the findings speak of; what was chosen stays, where it is still there."""
        findings = self.model.findings
        present = {finding.level.value for finding in findings}
        levels = [(level, f"{SIGNS[level]} {tr(LEVEL_WORDS[level])}") for level in LEVEL_WORDS if level in present]
        divisions = dict.fromkeys(finding.division for finding in findings if finding.division)
        named = [(division, self._division_name(division)) for division in divisions]
        self.by_level.offer([("", self.tr("All remarks")), *levels])
        self.by_division.offer([("", self.tr("All divisions")), *named])
        self.by_level.setVisible(len(levels) > 1)
        self.by_division.setVisible(len(named) > 1)

    def _division_name(self, division: str) -> str:
        organ = self.session.organ
        for one in organ.divisions if organ is not None else ():
            if one.id == division:
                return one.name
        return division.replace("-", " ").capitalize()

    def is_hidden(self, number: int) -> bool:
        """Whether a finding is left out by what was chosen above the list."""
        finding = self.model.findings[number]
        level, division = self.by_level.currentData(), self.by_division.currentData()
        return bool((level and finding.level.value != level) or (division and finding.division != division))

    def _sift(self) -> None:
        """Show those findings only that were asked for."""
        for number in range(len(self.model.findings)):
            self.view.setRowHidden(number, self.is_hidden(number))
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

    def _on_current(self, current: QModelIndex, _previous: QModelIndex) -> None:
        if not self._following and current.isValid() and current.row() != self.session.finding:
            self.session.choose_finding(current.row())

    def _on_chosen(self, number: int | None) -> None:
        """Close the one that was open, open the chosen one."""
        if self._opened is not None and self._opened.isValid():
            self.view.setIndexWidget(self._opened, None)  # type: ignore[arg-type]
            self._opened = None
        finding = self.session.finding_at(number)
        if finding is not None and number is not None and number < self.model.rowCount():
            index = self.model.index(number)
            opened = OpenFinding(self.session, finding, self.colours, self.view.viewport(), by_bracket=self.by_bracket)
            self.view.setIndexWidget(index, opened)
            self._opened = index
            self._following = True
            self.view.setCurrentIndex(index)
            self._following = False
        self.view.doItemsLayout()
        if self._opened is not None:
            QTimer.singleShot(0, self, self._show_opened)

    def _show_opened(self) -> None:
        if self._opened is not None and self._opened.isValid():
            self.view.scrollTo(self._opened)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Sentences wrap anew."""
        super().resizeEvent(event)
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
