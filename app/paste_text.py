"""The pasted text: editable, a sign beside each line that needs one, a pattern under it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from PySide6.QtCore import QEvent, QMimeData, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QTextCharFormat,
    QTextCursor,
    QTextFormat,
)
from PySide6.QtWidgets import QPlainTextEdit, QTextEdit, QWidget

from app.lettering import text_font
from app.palette import SIGNS, Colours
from app.paste_reading import Mark, too_long

SIGN_OF = {Mark.UNREAD: "✕", Mark.DOUBT: SIGNS["warning"], Mark.READ: ""}
COLOUR_OF = {Mark.UNREAD: "error", Mark.DOUBT: "doubt", Mark.READ: "faint"}
_LINE_END = re.compile("\r\n|[\r\v\f\x1c-\x1e\x85\u2028\u2029]")
_UNDERLINE = {
    Mark.UNREAD: QTextCharFormat.UnderlineStyle.WaveUnderline,
    Mark.DOUBT: QTextCharFormat.UnderlineStyle.DotLine,
}


class PasteText(QPlainTextEdit):
    """The text with its margin.

    Signals:
        line_pointed: the mouse is over that line (from 1), or over none (0).
        refused: a text was not taken in; a sentence says why.
    """

    line_pointed = Signal(int)
    refused = Signal(str)

    def __init__(self, colours: Colours, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.colours = colours
        self.marks: Mapping[int, Mark] = {}
        self.lit: frozenset[int] = frozenset()
        self.setFont(text_font())
        self.setAccessibleName(self.tr("The pasted text"))
        self.setPlaceholderText(self.tr("Paste or type a stop list here, or drop a text file on this window."))
        self.setTabChangesFocus(True)
        self.setFrameShape(QPlainTextEdit.Shape.NoFrame)
        self.margin = _Margin(self)
        self.setViewportMargins(self.margin_width(), 0, 0, 0)
        self.viewport().setMouseTracking(True)
        self.updateRequest.connect(self._on_update)

    # what is shown

    def set_marks(self, marks: Mapping[int, Mark]) -> None:
        """What is to be said of each line (from 1)."""
        self.marks = marks
        self._show()

    def light(self, lines: frozenset[int], *, scroll: bool = False) -> None:
        """Light lines up; the cursor stays where it is."""
        if lines != self.lit:
            self.lit = lines
            self._show()
        if scroll and lines:
            self._bring_into_view(min(lines))

    def set_colours(self, colours: Colours) -> None:
        """Paint in other colours."""
        self.colours = colours
        self._show()

    def _show(self) -> None:
        chosen = [self._selection(line, None) for line in sorted(self.lit)]
        marked = [self._selection(line, mark) for line, mark in self.marks.items() if mark in _UNDERLINE]
        self.setExtraSelections([one for one in (*chosen, *marked) if one is not None])
        self.margin.update()

    def _selection(self, line: int, mark: Mark | None) -> QTextEdit.ExtraSelection | None:
        block = self.document().findBlockByNumber(line - 1)
        if not block.isValid():
            return None
        selection = QTextEdit.ExtraSelection()
        shape = QTextCharFormat()
        cursor = QTextCursor(block)
        if mark is None:
            shape.setBackground(self.colours.colour("chosen"))
            shape.setProperty(QTextFormat.Property.FullWidthSelection, True)
        else:
            shape.setUnderlineStyle(_UNDERLINE[mark])
            shape.setUnderlineColor(self.colours.colour(COLOUR_OF[mark]))
            cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
        selection.cursor = cursor
        selection.format = shape
        return selection

    def _bring_into_view(self, line: int) -> None:
        block = self.document().findBlockByNumber(line - 1)
        where = self.blockBoundingGeometry(block).translated(self.contentOffset())
        if where.top() < 0 or where.bottom() > self.viewport().height():
            self.verticalScrollBar().setValue(max(0, block.firstLineNumber() - 3))

    # lines

    def line_at(self, where: QPoint) -> int:
        """The line (from 1) at a place of the view, 0 under the last one."""
        block = self.firstVisibleBlock()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        while block.isValid():
            top += self.blockBoundingRect(block).height()
            if where.y() < top:
                return block.blockNumber() + 1
            block = block.next()
        return 0

    @property
    def line(self) -> int:
        """The cursor's line, from 1."""
        return self.textCursor().blockNumber() + 1

    def go_to_line(self, line: int) -> None:
        """Set the cursor at the beginning of a line."""
        block = self.document().findBlockByNumber(line - 1)
        if block.isValid():
            self.setTextCursor(QTextCursor(block))
            self.ensureCursorVisible()

    # what is put in

    def put(self, text: str) -> bool:
        """Another text in the place of the present one, undone like any edit; False where it is refused."""
        words = too_long(len(text))
        if words:
            self.refused.emit(words)
            return False
        cursor = self.textCursor()
        cursor.select(QTextCursor.SelectionType.Document)
        cursor.insertText(in_lines(text))
        cursor.movePosition(QTextCursor.MoveOperation.Start)
        self.setTextCursor(cursor)
        return True

    def canInsertFromMimeData(self, source: QMimeData) -> bool:
        """Plain text only; files are opened by the window."""
        return source.hasText() and not source.hasUrls()

    def insertFromMimeData(self, source: QMimeData) -> None:
        """Take in what is pasted, unless it is far too long for a list."""
        text = source.text()
        words = too_long(self.document().characterCount() + len(text))
        if words:
            self.refused.emit(words)
        elif text:
            self.textCursor().insertText(in_lines(text))
            self.ensureCursorVisible()

    # mouse, margin

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Tell which line the mouse is over."""
        super().mouseMoveEvent(event)
        self.line_pointed.emit(self.line_at(event.position().toPoint()))

    def viewportEvent(self, event: QEvent) -> bool:
        """The mouse left the text."""
        if event.type() == QEvent.Type.Leave:
            self.line_pointed.emit(0)
        return super().viewportEvent(event)

    def margin_width(self) -> int:
        """Room for a line number and a sign."""
        return self.fontMetrics().horizontalAdvance("9999 ✕ ")

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The margin is as high as the text."""
        super().resizeEvent(event)
        inside = self.contentsRect()
        self.margin.setGeometry(QRect(inside.left(), inside.top(), self.margin_width(), inside.height()))

    def _on_update(self, where: QRect, by: int) -> None:
        if by:
            self.margin.scroll(0, by)
        else:
            self.margin.update(0, where.y(), self.margin.width(), where.height())

    def paint_margin(self, painter: QPainter, area: QRect) -> None:
        """Line numbers, and behind them the signs."""
        metrics = self.fontMetrics()
        sign_at = self.margin.width() - metrics.horizontalAdvance("✕ ")
        block = self.firstVisibleBlock()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        while block.isValid() and top <= area.bottom():
            height = self.blockBoundingRect(block).height()
            line = block.blockNumber() + 1
            mark = self.marks.get(line, Mark.READ)
            if line in self.lit:
                painter.fillRect(
                    QRect(0, round(top), self.margin.width(), round(height)), self.colours.colour("chosen")
                )
            painter.setPen(self.colours.colour("faint"))
            row = QRect(0, round(top), sign_at - 4, metrics.height())
            painter.drawText(row, Qt.AlignmentFlag.AlignRight, str(line))
            painter.setPen(QColor(self.colours.colour(COLOUR_OF[mark])))
            painter.drawText(sign_at, round(top) + metrics.ascent(), SIGN_OF[mark])
            top += height
            block = block.next()


def in_lines(text: str) -> str:
    """A text whose lines end in a line feed, whatever ended them, so that its lines are those that are read."""
    return _LINE_END.sub("\n", text).replace("\0", " ")


class _Margin(QWidget):
    """What stands left of the text."""

    def __init__(self, text: PasteText) -> None:
        super().__init__(text)
        self.text = text
        self.setFont(text.font())

    def sizeHint(self) -> QSize:
        """As wide as the text wants it."""
        return QSize(self.text.margin_width(), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The text knows what to paint."""
        painter = QPainter(self)
        painter.setFont(self.text.font())
        self.text.paint_margin(painter, event.rect())
        painter.end()
