"""What was understood of the pasted text, row by row."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractListModel, QEvent, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.lettering import heading_font, text_font
from app.palette import Colours
from app.paste_reading import Kind, Mark, ReadingRow
from app.paste_text import COLOUR_OF, SIGN_OF

Index = QModelIndex | QPersistentModelIndex
ROW = Qt.ItemDataRole.UserRole
_INDENT = 20
_EDGE = 10
_MARK_OF = {Kind.UNREAD: Mark.UNREAD, Kind.DOUBT: Mark.DOUBT}


def mark_of(row: ReadingRow) -> Mark:
    """The sign that a row bears."""
    return Mark.DOUBT if row.doubt else _MARK_OF.get(row.kind, Mark.READ)


class ReadingModel(QAbstractListModel):
    """The rows of a reading."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: tuple[ReadingRow, ...] = ()

    def set_rows(self, rows: tuple[ReadingRow, ...]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        """How many."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words, also for those who hear them."""
        row = self.rows[index.row()]
        if role == ROW:
            return row
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            words = {Mark.UNREAD: self.tr("not read: "), Mark.DOUBT: self.tr("in doubt: ")}.get(mark_of(row), "")
            return f"{words}{row.left} {row.right}".rstrip()
        if role == Qt.ItemDataRole.ToolTipRole:
            where = ", ".join(map(str, row.lines))
            from_lines = self.tr("line {0}").format(where) if where else ""
            return "\n".join(text for text in (row.tip, row.doubt, from_lines) if text)
        return None

    def rows_of_line(self, line: int) -> list[int]:
        """The rows that came from a line of the text."""
        return [number for number, row in enumerate(self.rows) if line in row.lines]


class ReadingList(QListView):
    """The rows.

    Signals:
        row_pointed: the mouse is over that row, or over none (-1).
    """

    row_pointed = Signal(int)

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self.lit: frozenset[int] = frozenset()
        self.reading = ReadingModel(self)
        self.setModel(self.reading)
        self.setItemDelegate(_Painter(self))
        self.setAccessibleName(self.tr("What was understood"))
        self.setFrameShape(QListView.Shape.NoFrame)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setMouseTracking(True)

    def light(self, rows: frozenset[int], *, scroll: bool = False) -> None:
        """Light rows up."""
        if rows != self.lit:
            self.lit = rows
            self.viewport().update()
        if scroll and rows:
            self.scrollTo(self.reading.index(min(rows)), QListView.ScrollHint.EnsureVisible)

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The rows; where there are none, what would stand here."""
        super().paintEvent(event)
        if not self.reading.rows:
            painter = QPainter(self.viewport())
            painter.setFont(text_font(italic=True))
            painter.setPen(self.colours.colour("faint"))
            words = self.tr("The organ would stand here as it was understood, each stop beside the line it came from.")
            painter.drawText(self.viewport().rect().adjusted(_EDGE + _INDENT, 4, -_EDGE, 0), _FLAGS, words)
            painter.end()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Tell which row the mouse is over; rows that scroll by under a mouse at rest are not pointed at."""
        super().mouseMoveEvent(event)
        self.row_pointed.emit(self.indexAt(event.position().toPoint()).row())

    def viewportEvent(self, event: QEvent) -> bool:
        """The mouse left the rows."""
        if event.type() == QEvent.Type.Leave:
            self.row_pointed.emit(-1)
        return super().viewportEvent(event)


class _Painter(QStyledItemDelegate):
    """Paints a row: sign, name left, pitch right; long words on several lines."""

    def __init__(self, view: ReadingList) -> None:
        super().__init__(view)
        self.view = view

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """As high as its words need."""
        row: ReadingRow = index.data(ROW)
        font = _font(row)
        width = self.view.viewport().width()
        words = self._words(QRect(0, 0, width, 10_000), row, QFontMetrics(font))
        height = QFontMetrics(font).boundingRect(words, _FLAGS, row.left).height()
        above = 12 if row.kind is Kind.HEADING and index.row() else 2
        return QSize(width, height + above + 3)

    def _words(self, area: QRect, row: ReadingRow, metrics: QFontMetrics) -> QRect:
        right = metrics.horizontalAdvance(row.right) + 12 if row.right else 0
        return area.adjusted(_EDGE + _INDENT, 0, -(_EDGE + min(right, area.width() // 2)), 0)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint it."""
        row: ReadingRow = index.data(ROW)
        colours, font = self.view.colours, _font(row)
        metrics = QFontMetrics(font)
        area: QRect = option.rect
        painter.save()
        if index.row() in self.view.lit:
            painter.fillRect(area, colours.colour("chosen"))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.fillRect(QRect(area.left(), area.top(), 3, area.height()), colours.colour("accent"))
        area = area.adjusted(0, 12 if row.kind is Kind.HEADING and index.row() else 2, 0, 0)
        mark = mark_of(row)
        painter.setFont(text_font())
        painter.setPen(colours.colour(COLOUR_OF[mark]))
        painter.drawText(area.adjusted(_EDGE, 0, 0, 0), Qt.AlignmentFlag.AlignTop, SIGN_OF[mark])
        painter.setFont(font)
        painter.setPen(colours.colour("faint" if row.kind in (Kind.ASSUMED, Kind.UNREAD) else "ink"))
        painter.drawText(self._words(area, row, metrics), _FLAGS, row.left)
        painter.setFont(text_font(0.92, italic=True) if row.kind is Kind.HEADING else text_font())
        painter.setPen(colours.colour("faint" if row.kind is Kind.HEADING else "ink"))
        painter.drawText(area.adjusted(0, 0, -_EDGE, 0), Qt.AlignmentFlag.AlignRight, row.right)
        painter.restore()


_FLAGS = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)


def _font(row: ReadingRow) -> QFont:
    if row.kind is Kind.HEADING:
        return heading_font()
    return text_font(italic=row.kind in (Kind.ASSUMED, Kind.DOUBT))
