"""Engraved pages as a PDF file: outlines as outlines, words as words that can be searched and copied."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPagedPaintDevice, QPainter, QPdfWriter, QPen, QTransform

from app.page_painting import Glyphs, engraved_font, outline
from app.paper import set_page, with_spaces
from core import __version__
from core.export.drawn_svg import Mark, words_of
from core.export.paper import PaperSize
from core.score.drawing import Page

_RESOLUTION = 1200
_UNITS_AN_INCH = 2540.0
_INK = QColor(Qt.GlobalColor.black)
_BAND, _EDGE = QColor("#f3e3b3"), QColor("#8a6d1f")
_SIGN = 0.62  # size of a music sign among words, to its size in the music font


def engraved_pdf(pages: Sequence[Page], title: str, size: PaperSize, marks: Sequence[Sequence[Mark]] = ()) -> bytes:
    """The pages as one PDF file.

    Args:
        pages: draw lists, each with all the outlines that it uses.
        title: of the document.
        size: of the paper.
        marks: highlights by page.
    """
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator(f"Stopwright {__version__}")
    writer.setResolution(_RESOLUTION)
    set_page(writer, size)
    paint_score(pages, writer, marks)
    del writer  # what it writes last, it writes when it goes
    buffer.close()
    return with_spaces(bytes(data.data()))


def paint_score(
    pages: Sequence[Page],
    device: QPagedPaintDevice,
    marks: Sequence[Sequence[Mark]] = (),
    first: int = 1,
    last: int = 0,
) -> None:
    """Paint engraved pages on a device, from `first` to `last` (0: all)."""
    painter = QPainter(device)
    glyphs = Glyphs()
    scale = painter.device().logicalDpiX() / _UNITS_AN_INCH
    for number in range(first - 1, last or len(pages)):
        if number >= first:
            device.newPage()
        painter.save()
        painter.scale(scale, scale)
        paint_whole(painter, pages, number, glyphs, marks)
        painter.restore()
    painter.end()


def paint_whole(
    painter: QPainter, pages: Sequence[Page], number: int, glyphs: Glyphs, marks: Sequence[Sequence[Mark]] = ()
) -> None:
    """Paint one of the pages (from 0) with its highlights and its number; the painter's unit is a page unit."""
    for mark in marks[number] if number < len(marks) else ():
        _paint_mark(painter, mark)
    paint_drawn(painter, pages[number], glyphs)
    _paint_number(painter, pages[number], number + 1, len(pages))


def paint_drawn(painter: QPainter, page: Page, glyphs: Glyphs) -> None:
    """Paint a page; the painter's unit is a page unit."""
    glyphs.learn(page["glyphs"])
    for chunk in page["chunks"]:
        for code, a, b, c, d, e, f, _owner in chunk["uses"]:
            painter.fillPath(QTransform(a, b, c, d, e, f).map(glyphs.path(code)), _INK)
        for width, dash, x1, y1, x2, y2, _owner in chunk["lines"]:
            painter.setPen(_pen(width, dash))
            painter.drawLine(QLineF(x1, y1, x2, y2))
        for data, matrix, filled, width, dash, _owner in chunk["shapes"]:
            path = QTransform(*matrix).map(outline(data)) if matrix else outline(data)
            if filled and not dash:
                painter.fillPath(path, _INK)
            if width or not filled:
                painter.strokePath(path, _pen(width or 1.0, dash))
        painter.setPen(QPen(_INK))
        for text in chunk["texts"]:
            _paint_text(painter, text, glyphs)


def _pen(width: float, dash: Sequence[float]) -> QPen:
    pen = QPen(_INK, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
    if dash:
        pen.setDashPattern([max(part / width, 0.1) for part in dash])
    return pen


def _paint_text(painter: QPainter, text: Page, glyphs: Glyphs) -> None:
    runs = text["runs"]
    if all(run[4] for run in runs):
        x = float(text["x"])
        for content, size, *_ in runs:
            for sign in content:
                shape = QTransform.fromScale(size / 1000, size / 1000).map(glyphs.path(f"{ord(sign):04X}"))
                painter.fillPath(shape.translated(x, text["y"]), _INK)
                x += shape.boundingRect().right() + size * 0.05
        return
    pieces = [(words_of(run), _font(run)) for run in runs]
    widths = [QFontMetricsF(font, painter.device()).horizontalAdvance(words) for words, font in pieces]
    x = float(text["x"]) - {"end": sum(widths), "middle": sum(widths) / 2}.get(text["anchor"], 0.0)
    for (words, font), width in zip(pieces, widths, strict=True):
        painter.setFont(font)
        painter.drawText(QPointF(x, float(text["y"])), words)
        x += width


def _font(run: Sequence[object]) -> QFont:
    _words, size, bold, italic, music, _owner = run
    font = engraved_font(bool(bold) and not music, bool(italic))
    font.setPixelSize(max(1, round(float(str(size)) * (_SIGN if music else 1.0))))
    return font


def _paint_mark(painter: QPainter, mark: Mark) -> None:
    where = QRectF(mark.x, mark.y, mark.width, mark.height)
    painter.fillRect(where, _BAND)
    pen = QPen(_EDGE, 14)
    pen.setDashPattern([5, 3])
    painter.setPen(pen)
    painter.drawRect(where)
    font = engraved_font(True, False)
    font.setPixelSize(280)
    painter.setFont(font)
    painter.drawText(QPointF(mark.x, mark.y - 60), mark.sign)


def _paint_number(painter: QPainter, page: Page, number: int, last: int) -> None:
    """The page's number at the foot."""
    if last < 2:
        return
    width, height = page["size"]
    font = engraved_font(False, True)
    font.setPixelSize(330)
    painter.setFont(font)
    painter.setPen(QPen(_INK))
    painter.drawText(QRectF(0, height - 1000, width, 500), Qt.AlignmentFlag.AlignCenter, str(number))
