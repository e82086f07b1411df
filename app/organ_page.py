"""The lines of the booklet page as a model, and how each is set."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.lettering import heading_font, text_font
from app.organ_rows import On, OrganRow, RowKind
from app.palette import Colours
from app.translation import tr

Index = QModelIndex | QPersistentModelIndex
ROW = Qt.ItemDataRole.UserRole
INDENT = 16
_ON_WORDS = {On.DRAWN: "drawn", On.PREPARED: "prepared", On.OFF: ""}
_STRONG = (RowKind.TITLE, RowKind.STOP, RowKind.ANSWER)
_WRAPPED = (RowKind.TITLE, RowKind.PLACE, RowKind.NOTE, RowKind.SUMMARY)
HAVE_MENU = (
    RowKind.TITLE, RowKind.HEADING, RowKind.STOP, RowKind.COUPLER, RowKind.TREMULANT, RowKind.AID,
)  # fmt: skip
"""Lines with which something can be done; a sign at the right edge says so of the chosen one."""
_HINTED = (RowKind.COUPLER, RowKind.TREMULANT, RowKind.AID)
_DOTS = {On.DRAWN: "•", On.PREPARED: "◦", On.OFF: ""}


class OrganModel(QAbstractListModel):
    """The lines of the booklet page."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[OrganRow] = []

    def set_rows(self, rows: list[OrganRow]) -> None:
        """Show other lines; where only what is on differs, the view stays where it is."""
        same_lines = [(r.kind, r.left) for r in rows] == [(r.kind, r.left) for r in self.rows]
        if same_lines:
            self.rows = rows
            if rows:
                self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """Number of lines."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A line, or its words."""
        if not index.isValid():
            return None
        row = self.rows[index.row()]
        if role == ROW:
            return row
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            words = f"{row.left} {row.right}".strip()
            if role == Qt.ItemDataRole.AccessibleTextRole and row.kind is RowKind.HEADING and row.division:
                words = f"{row.left}, {self.tr('division')}, {row.right}".rstrip(", ")
            return f"{words}, {tr(_ON_WORDS[row.on])}" if row.on is not On.OFF else words
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.tip or self._hint(row)
        return None

    def _hint(self, row: OrganRow) -> str | None:
        """What can be done with a line that has nothing else to tell."""
        if row.kind is RowKind.STOP or (row.kind is RowKind.HEADING and row.division):
            return self.tr("Double-click to change it, drag to move it.")
        return self.tr("Double-click to change it.") if row.kind in _HINTED else None


class OrganDelegate(QStyledItemDelegate):
    """Sets a line as a booklet does: name left, pitch right, in columns."""

    def __init__(self, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.colours = colours

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Headings have white space before them."""
        row: OrganRow = index.data(ROW)
        font = _font(row)
        metrics = QFontMetrics(font)
        width = max(120, option.rect.width() or 200)
        lines = 1
        if row.kind in _WRAPPED:
            flags = Qt.TextFlag.TextWordWrap
            box = metrics.boundingRect(QRect(0, 0, width - 2 * INDENT, 900), flags, row.left)
            lines = max(1, round(box.height() / metrics.height()))
        extra = {RowKind.HEADING: 16, RowKind.TITLE: 4}.get(row.kind, 3)
        return QSize(width, metrics.height() * lines + extra)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a line."""
        row: OrganRow = index.data(ROW)
        painter.save()
        rect = option.rect
        state: QStyle.StateFlag = option.state
        if state & QStyle.StateFlag.State_Selected and state & QStyle.StateFlag.State_HasFocus:
            painter.fillRect(rect, self.colours.colour("chosen"))
        font = _font(row)
        painter.setFont(font)
        inner = rect.adjusted(INDENT, 0, -INDENT, 0)
        strong = row.kind in _STRONG or row.on is not On.OFF
        painter.setPen(self.colours.colour("faint" if row.faint or not strong else "ink"))
        if state & QStyle.StateFlag.State_Selected and row.kind in HAVE_MENU:
            edge = QRect(rect.right() - INDENT + 4, rect.top(), INDENT - 4, rect.height())
            side = Qt.AlignmentFlag.AlignBottom if row.kind is RowKind.HEADING else Qt.AlignmentFlag.AlignVCenter
            painter.drawText(edge, side | Qt.AlignmentFlag.AlignLeft, "▾")
        if row.kind in _WRAPPED:
            painter.drawText(inner, int(Qt.TextFlag.TextWordWrap), row.left)
        elif row.kind is RowKind.HEADING:
            self._heading(painter, inner, row)
        else:
            self._line(painter, rect, inner, row, font)
        painter.restore()

    def _heading(self, painter: QPainter, inner: QRect, row: OrganRow) -> None:
        painter.setPen(self.colours.colour("ink"))
        bottom = Qt.AlignmentFlag.AlignBottom
        painter.drawText(inner, bottom | Qt.AlignmentFlag.AlignLeft, row.left)
        painter.setFont(text_font(0.9, italic=True))
        painter.setPen(self.colours.colour("faint"))
        painter.drawText(inner, bottom | Qt.AlignmentFlag.AlignRight, row.right)

    def _line(self, painter: QPainter, rect: QRect, inner: QRect, row: OrganRow, font: QFont) -> None:
        middle = Qt.AlignmentFlag.AlignVCenter
        dot = QRect(rect.left() + 3, rect.top(), INDENT - 3, rect.height())
        painter.setFont(text_font(bold=True))  # the dot is never underlined
        painter.drawText(dot, middle | Qt.AlignmentFlag.AlignLeft, _DOTS[row.on])
        painter.setFont(font)
        metrics = QFontMetrics(font)
        left = row.left + (" →" if row.kind is RowKind.ANSWER else "")
        if row.kind is RowKind.ANSWER:
            words = metrics.elidedText(f"{left} {row.right}", Qt.TextElideMode.ElideRight, inner.width() - 14)
            painter.drawText(inner, middle | Qt.AlignmentFlag.AlignLeft, words)
            painter.drawText(inner, middle | Qt.AlignmentFlag.AlignRight, "▾")
            return
        right = metrics.horizontalAdvance(row.right)
        room = inner.width() - right - 10
        painter.drawText(
            inner,
            middle | Qt.AlignmentFlag.AlignLeft,
            metrics.elidedText(left, Qt.TextElideMode.ElideRight, room),
        )
        painter.drawText(inner, middle | Qt.AlignmentFlag.AlignRight, row.right)


def _font(row: OrganRow) -> QFont:
    if row.kind is RowKind.TITLE:
        return text_font(1.3)
    if row.kind is RowKind.HEADING:
        return heading_font()
    if row.kind in (RowKind.PLACE, RowKind.NOTE, RowKind.ADD, RowKind.SUMMARY):
        return text_font(0.95, italic=True)
    font = text_font(bold=row.on is On.DRAWN)
    font.setUnderline(row.solo and row.on is On.DRAWN)
    return font
