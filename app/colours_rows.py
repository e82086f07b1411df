"""The lines of the colour book's list: sections, colours with their manual, and what the organ has not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.lettering import heading_font, text_font
from app.palette import Colours
from core.organ.model import Organ
from core.resolve.colour_book.customs import sections
from core.resolve.colour_book.model import Colour, Gap
from core.resolve.colour_book.words import Found

Index = QModelIndex | QPersistentModelIndex
ROW = Qt.ItemDataRole.UserRole
_INDENT = 16


class Line(Enum):
    """What a line of the list is."""

    HEADING = "heading"
    COLOUR = "colour"
    GAP = "gap"


@dataclass(frozen=True, slots=True)
class BookRow:
    """One line: words left and right, and what it stands for."""

    line: Line
    left: str
    right: str = ""
    colour: Colour | None = None
    gap: Gap | None = None


def book_rows(organ: Organ, found: Found, tr: Callable[[str], str], *, by_section: bool, lacking: str) -> list[BookRow]:
    """The lines of what was found; under their sections where nothing is sought."""
    rows: list[BookRow] = []
    titles = dict(sections())
    last = ""
    for colour in found.colours:
        if by_section and colour.section != last:
            last = colour.section
            rows.append(BookRow(Line.HEADING, tr(titles[last])))
        rows.append(BookRow(Line.COLOUR, colour.name.translated(tr), organ.division(colour.division).name, colour))
    if found.gaps:
        rows.append(BookRow(Line.HEADING, lacking))
        rows += (BookRow(Line.GAP, gap.said.translated(tr), gap=gap) for gap in found.gaps)
    return rows


class BookModel(QAbstractListModel):
    """The lines as a list that a view can show."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[BookRow] = []

    def set_rows(self, rows: list[BookRow]) -> None:
        """Show other lines."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """Number of lines."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Headings cannot be chosen."""
        if index.isValid() and self.rows[index.row()].line is Line.HEADING:
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A line, or its words."""
        if not index.isValid():
            return None
        row = self.rows[index.row()]
        if role == ROW:
            return row
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return f"{row.left}, {row.right}" if row.right else row.left
        return None


class BookDelegate(QStyledItemDelegate):
    """Sets a line: the colour's name left, its manual right in italics."""

    def __init__(self, colours: Colours, parent: QWidget) -> None:
        super().__init__(parent)
        self.colours = colours

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Headings have white space before them; what is lacking may take several lines."""
        row: BookRow = index.data(ROW)
        metrics = QFontMetrics(_font(row))
        width = max(120, option.rect.width() or 200)
        high = metrics.height()
        if row.line is Line.GAP:
            inner = QRect(0, 0, width - 2 * _INDENT, 900)
            high = metrics.boundingRect(inner, int(Qt.TextFlag.TextWordWrap), row.left).height()
        return QSize(width, high + (14 if row.line is Line.HEADING else 5))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a line."""
        row: BookRow = index.data(ROW)
        painter.save()
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, self.colours.colour("chosen"))
        inner = rect.adjusted(_INDENT, 0, -_INDENT, 0)
        painter.setFont(_font(row))
        painter.setPen(self.colours.colour("faint" if row.line is Line.GAP else "ink"))
        if row.line is Line.GAP:
            painter.drawText(inner, int(Qt.TextFlag.TextWordWrap), row.left)
        elif row.line is Line.HEADING:
            painter.drawText(inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, row.left)
        else:
            self._colour(painter, inner, row)
        painter.restore()

    def _colour(self, painter: QPainter, inner: QRect, row: BookRow) -> None:
        middle = Qt.AlignmentFlag.AlignVCenter
        italic = text_font(0.9, italic=True)
        right = QFontMetrics(italic).elidedText(row.right, Qt.TextElideMode.ElideRight, inner.width() // 2)
        room = inner.width() - QFontMetrics(italic).horizontalAdvance(right) - 10
        left = painter.fontMetrics().elidedText(row.left, Qt.TextElideMode.ElideRight, room)
        painter.drawText(inner, middle | Qt.AlignmentFlag.AlignLeft, left)
        painter.setFont(italic)
        painter.setPen(self.colours.colour("faint"))
        painter.drawText(inner, middle | Qt.AlignmentFlag.AlignRight, right)


def _font(row: BookRow) -> QFont:
    if row.line is Line.HEADING:
        return heading_font()
    return text_font(0.95, italic=True) if row.line is Line.GAP else text_font()
