"""The list of remarks: in score order, or in groups under small headings; painted as a corrector's margin."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter
from PySide6.QtWidgets import QListView, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.lettering import heading_font, text_font
from app.open_finding import MARGIN, place_words, sentence
from app.palette import LEVEL_COLOURS, LEVEL_WORDS, SIGNS, Colours
from app.translation import shown, tr
from core.findings import RANK, Finding

Index = QModelIndex | QPersistentModelIndex
FINDING = Qt.ItemDataRole.UserRole
_SIGN = 22


class FindingsModel(QAbstractListModel):
    """The findings as lines; a line is a finding's number, or the heading of a group."""

    def __init__(self) -> None:
        super().__init__()
        self.findings: tuple[Finding, ...] = ()
        self.lines: list[int | str] = []
        self.paper: Callable[[Finding], str] = lambda _: ""
        self._row_of: dict[int, int] = {}

    def set_findings(
        self,
        findings: tuple[Finding, ...],
        group: Callable[[Finding], str] | None = None,
        *,
        gravest_first: bool = False,
    ) -> None:
        """Show other findings, in score order or by what `group` says of each."""
        self.beginResetModel()
        self.findings = findings
        self.lines = list(range(len(findings))) if group is None else _grouped(findings, group, gravest_first)
        self._row_of = {line: row for row, line in enumerate(self.lines) if isinstance(line, int)}
        self.endResetModel()

    def row_of(self, number: int) -> int:
        """The line of a finding."""
        return self._row_of.get(number, -1)

    def number_at(self, row: int) -> int | None:
        """The finding on a line; None for a heading."""
        line = self.lines[row] if 0 <= row < len(self.lines) else None
        return line if isinstance(line, int) else None

    def rowCount(self, parent: Index | None = None) -> int:
        """Number of lines."""
        return 0 if parent is not None and parent.isValid() else len(self.lines)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """A heading cannot be chosen."""
        return super().flags(index) if self.number_at(index.row()) is not None else Qt.ItemFlag.ItemIsEnabled

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A finding, or a line's words."""
        if not index.isValid():
            return None
        line = self.lines[index.row()]
        finding = self.findings[line] if isinstance(line, int) else None
        if role == FINDING:
            return finding
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return line if finding is None else self._words(finding)
        return None

    def _words(self, finding: Finding) -> str:
        place = ", ".join(filter(None, (place_words(finding), self.paper(finding))))
        return f"{place}: {shown(finding.message)} ({tr(LEVEL_WORDS[finding.level.value])})"


def _grouped(findings: tuple[Finding, ...], group: Callable[[Finding], str], gravest_first: bool) -> list[int | str]:
    """The numbers under the words of their group, groups by what is in them or in the order in which they come."""
    groups: dict[str, list[int]] = {}
    for number, finding in enumerate(findings):
        groups.setdefault(group(finding), []).append(number)
    lines: list[int | str] = []
    ordered = list(groups.items())
    if gravest_first:
        ordered.sort(key=lambda pair: -max(RANK[findings[number].level] for number in pair[1]))
    for words, numbers in ordered:
        lines += [f"{words} · {len(numbers)}", *numbers]
    return lines


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
        finding: Finding | None = index.data(FINDING)
        metrics = QFontMetrics(text_font())
        flags = Qt.TextFlag.TextWordWrap
        if finding is None:
            words = str(index.data(Qt.ItemDataRole.DisplayRole))
            head = QFontMetrics(heading_font()).boundingRect(self._head_rect(), flags, words)
            return QSize(width, head.height() + 14)
        box = metrics.boundingRect(self._text_rect(), flags, sentence(finding))
        return QSize(width, metrics.height() + box.height() + 12)

    def _head_rect(self) -> QRect:
        return self._text_rect().adjusted(-_SIGN, 0, 0, 0)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a finding that is not opened, or a group's heading."""
        if self._opened(index) is not None:
            return
        finding: Finding | None = index.data(FINDING)
        painter.save()
        painter.translate(option.rect.topLeft())
        if finding is None:
            self._paint_head(painter, str(index.data(Qt.ItemDataRole.DisplayRole)))
        else:
            self._paint_finding(painter, finding)
        painter.restore()

    def _paint_head(self, painter: QPainter, words: str) -> None:
        painter.setFont(heading_font())
        painter.setPen(self.colours.colour("ink"))
        painter.drawText(self._head_rect().adjusted(0, 10, 0, 0), int(Qt.TextFlag.TextWordWrap), words)

    def _paint_finding(self, painter: QPainter, finding: Finding) -> None:
        level = finding.level.value
        text = self._text_rect()
        metrics = QFontMetrics(text_font(0.92, italic=True))
        painter.setFont(text_font())
        painter.setPen(self.colours.colour(LEVEL_COLOURS[level]))
        painter.drawText(QRect(MARGIN, 5, _SIGN, QFontMetrics(text_font()).height()), 0, SIGNS[level])
        painter.setFont(text_font(0.92, italic=True))
        painter.setPen(self.colours.colour("faint"))
        model = self.view.model()
        printed = model.paper(finding) if isinstance(model, FindingsModel) else ""
        words = " · ".join(filter(None, (place_words(finding), printed, tr(LEVEL_WORDS[level]))))
        elided = metrics.elidedText(words, Qt.TextElideMode.ElideRight, text.width())
        painter.drawText(text.adjusted(0, 5, 0, 0), 0, elided)
        painter.setFont(text_font())
        painter.setPen(self.colours.colour("ink"))
        below = text.adjusted(0, 5 + QFontMetrics(text_font()).height(), 0, 0)
        painter.drawText(below, int(Qt.TextFlag.TextWordWrap), sentence(finding))
