"""The booklet page as a list whose lines can be dragged, and that tells what its keys ask for."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QPoint, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QApplication, QListView, QWidget

from app.lettering import text_font
from app.organ_page import INDENT
from app.organ_rows import OrganRow
from app.palette import Colours
from app.spec_moves import drop_line, is_movable

ROW = Qt.ItemDataRole.UserRole
_EDGE, _SCROLL_MS = 26, 40

_KEYS = {
    (Qt.Key.Key_F2, False): "rename",
    (Qt.Key.Key_Delete, False): "remove",
    (Qt.Key.Key_Backspace, False): "remove",
    (Qt.Key.Key_Insert, False): "add",
    (Qt.Key.Key_Plus, False): "add",
    (Qt.Key.Key_Up, True): "up",
    (Qt.Key.Key_Down, True): "down",
}
"""(key, with Alt) → what it asks for."""


class SpecView(QListView):
    """The list.

    Signals:
        asked: something about the present line: ``rename``, ``remove``, ``add``, ``up``, ``down``, ``menu``.
        dropped: a line was dragged above another one (row, row it was dropped before).
    """

    asked = Signal(str)
    dropped = Signal(int, int)

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self._pressed: tuple[int, QPoint] | None = None
        self.dragged: int | None = None  # the line under way
        self._at = QPoint()
        self._scroll = QTimer(self)
        self._scroll.setInterval(_SCROLL_MS)
        self._scroll.timeout.connect(self._scroll_on)
        self.setMouseTracking(True)

    def row_at(self, number: int) -> OrganRow | None:
        """The line of that number."""
        index = self.model().index(number, 0)
        row = index.data(ROW) if index.isValid() else None
        return row if isinstance(row, OrganRow) else None

    @property
    def lines(self) -> list[OrganRow]:
        """All lines."""
        return [row for number in range(self.model().rowCount()) if (row := self.row_at(number)) is not None]

    def is_at_edge(self) -> bool:
        """Whether the mouse was released on the sign at a line's right edge."""
        return self._at.x() >= self.viewport().width() - INDENT

    # dragging

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A drag may begin here."""
        index = self.indexAt(event.position().toPoint())
        self._pressed = None
        if event.button() == Qt.MouseButton.LeftButton and index.isValid():
            row = self.row_at(index.row())
            if row is not None and is_movable(row):
                self._pressed = (index.row(), event.position().toPoint())
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Past a few pixels the line under the pointer is taken along."""
        at = event.position().toPoint()
        if self.dragged is None and self._pressed is not None and event.buttons() & Qt.MouseButton.LeftButton:
            number, start = self._pressed
            if (at - start).manhattanLength() >= QApplication.startDragDistance():
                self.dragged = number
                self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
                self._scroll.start()
        if self.dragged is None:
            if not event.buttons():
                super().mouseMoveEvent(event)
            return
        self._at = at
        self.viewport().update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Drop what is dragged."""
        self._pressed = None
        self._at = event.position().toPoint()
        if self.dragged is None:
            super().mouseReleaseEvent(event)
            return
        moved = self.dragged
        before = self.drop_before()
        self.stop_dragging()
        super().mouseReleaseEvent(event)
        if before is not None and self.viewport().rect().adjusted(-40, -20, 40, 20).contains(self._at):
            self.dropped.emit(moved, before)

    def stop_dragging(self) -> None:
        """Leave what is dragged where it was."""
        self.dragged = self._pressed = None
        self._scroll.stop()
        self.viewport().unsetCursor()
        self.viewport().update()

    def drop_before(self) -> int | None:
        """The line above which what is dragged would be put."""
        row = self.row_at(self.dragged) if self.dragged is not None else None
        if row is None:
            return None
        index = self.indexAt(QPoint(self.viewport().width() // 2, self._at.y()))
        count = self.model().rowCount()
        if index.isValid():
            rect = self.visualRect(index)
            number = index.row() + (1 if self._at.y() > rect.center().y() else 0)
        else:
            number = count if self._at.y() > 0 else 0
        return drop_line(self.lines, row, number)

    def _scroll_on(self) -> None:
        """Near an edge the page goes on under the pointer."""
        step = -12 if self._at.y() < _EDGE else 12 if self._at.y() > self.viewport().height() - _EDGE else 0
        if step and not self._at.isNull():
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() + step)
            self.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The page; while a line is dragged, where it would go."""
        super().paintEvent(event)
        before = self.drop_before()
        row = self.row_at(self.dragged) if self.dragged is not None else None
        if before is None or row is None:
            return
        painter = QPainter(self.viewport())
        width = self.viewport().width()
        y = self.line_y(before)
        painter.setPen(QPen(self.colours.colour("accent"), 2))
        painter.drawLine(8, y, width - 8, y)
        painter.setFont(text_font())
        words = painter.fontMetrics().elidedText(f"{row.left} {row.right}".strip(), Qt.TextElideMode.ElideRight, 200)
        box = QRect(self._at + QPoint(10, 6), painter.fontMetrics().boundingRect(words).size()).adjusted(-6, -3, 8, 3)
        box.moveRight(min(box.right(), width - 4))
        painter.fillRect(box, self.colours.colour("chosen"))
        painter.setPen(self.colours.colour("ink"))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
        painter.end()

    def line_y(self, before: int) -> int:
        """Where the edge above a line is."""
        count = self.model().rowCount()
        if before < count:
            return self.visualRect(self.model().index(before, 0)).top()
        return self.visualRect(self.model().index(count - 1, 0)).bottom()

    # keys and menu

    def event(self, event: QEvent) -> bool:
        """Keys that the window's menus have too are the page's own while it has the focus."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and _asked(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys ask for something; the others go from line to line."""
        if event.key() == Qt.Key.Key_Escape and self.dragged is not None:
            self.stop_dragging()
            return
        asked = _asked(event)
        if asked:
            self.asked.emit(asked)
        else:
            super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What can be done with a line."""
        if event.reason() == QContextMenuEvent.Reason.Mouse:
            index = self.indexAt(event.pos())
            if index.isValid():
                self.setCurrentIndex(index)
        self.asked.emit("menu")

    def currentChanged(
        self, current: QModelIndex | QPersistentModelIndex, previous: QModelIndex | QPersistentModelIndex
    ) -> None:
        """The chosen line has a sign at its right edge: paint it anew."""
        super().currentChanged(current, previous)
        self.viewport().update()


def _asked(event: QKeyEvent) -> str:
    modifiers = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier & ~Qt.KeyboardModifier.ShiftModifier
    if modifiers not in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.AltModifier):
        return ""
    with_alt = modifiers == Qt.KeyboardModifier.AltModifier
    return _KEYS.get((Qt.Key(event.key()), with_alt), "")
