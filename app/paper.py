"""A paper painted: into a PDF file, on a printer, as pictures. Text stays text, in the fonts we ship."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QLineF, QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter, QPen
from PySide6.QtSvg import QSvgRenderer

from app.paper_layout import PlacedPicture, PlacedRule, PlacedText
from app.paper_pages import Page, Pages
from core import __version__
from core.export.paper import Paper, PaperSize
from core.files import write_bytes

_RESOLUTION = 1200
_HAIRLINE = 4.0  # tenths of a point
_SIGNS = re.compile(rb"(?<=\[)(?:\s*<[0-9A-F]{4,}>)+(?=\s*\]\s*(?:<[0-9A-F]{4}> <[0-9A-F]{4}> \[|endbfrange))")
_SIZES = {PaperSize.A4: QPageSize.PageSizeId.A4, PaperSize.LETTER: QPageSize.PageSizeId.Letter}


def pdf_bytes(paper: Paper, size: PaperSize = PaperSize.A4) -> bytes:
    """The paper as a PDF file, its fonts inside."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(paper.title)
    writer.setCreator(f"Stopwright {__version__}")
    writer.setResolution(_RESOLUTION)
    set_page(writer, size)
    paint_pages(Pages(paper, size), writer)
    del writer  # what it writes last, it writes when it goes
    buffer.close()
    return with_spaces(bytes(data.data()))


def with_spaces(pdf: bytes) -> bytes:
    """A PDF file whose spaces are copied as spaces.

    The toolkit writes the sign that a glyph stands for by the first sign drawn with it, and the tab is drawn with
    the space's glyph. The tables are not compressed, and what is put in their place is as long, so all else holds.
    """
    return _SIGNS.sub(lambda table: table[0].replace(b"<0009>", b"<0020>"), pdf)


def write_pdf(paper: Paper, path: str | Path, size: PaperSize = PaperSize.A4) -> None:
    """Write the PDF whole or not at all. Raises WriteError."""
    write_bytes(path, pdf_bytes(paper, size))


def set_page(device: QPagedPaintDevice, size: PaperSize) -> None:
    """Give a device that paper, upright, without margins of its own."""
    page = QPageLayout(QPageSize(_SIZES[size]), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    page.setMode(QPageLayout.Mode.FullPageMode)
    device.setPageLayout(page)


def paint_pages(pages: Pages, device: QPagedPaintDevice, first: int = 1, last: int = 0) -> None:
    """Paint pages on a device, from `first` to `last` (0: all)."""
    chosen = pages.pages[first - 1 : last or None]
    painter = QPainter(device)
    scale = painter.device().logicalDpiX() / 720
    for number, page in enumerate(chosen):
        if number:
            device.newPage()
        painter.save()
        painter.scale(scale, scale)
        paint_page(painter, page)
        painter.restore()
    painter.end()


def paint_page(painter: QPainter, page: Page, ink: QColor | None = None) -> None:
    """Paint one page; the painter's unit is a tenth of a point."""
    painter.setPen(QPen(ink if ink is not None else QColor(Qt.GlobalColor.black), _HAIRLINE))
    for item in page.items:
        if isinstance(item, PlacedText):
            item.layout.draw(painter, item.at)
        elif isinstance(item, PlacedRule):
            painter.drawLine(QLineF(item.x, item.y, item.x + item.width, item.y))
        elif isinstance(item, PlacedPicture):
            QSvgRenderer(QByteArray(item.picture.svg.encode("utf-8"))).render(painter, item.where)


def page_images(
    pages: Pages, width: int, *, ink: QColor | None = None, ground: QColor | None = None
) -> Iterator[QImage]:
    """Each page as a picture so many pixels wide."""
    scale = width / pages.page_width
    for page in pages.pages:
        image = QImage(width, round(pages.page_height * scale), QImage.Format.Format_RGB32)
        image.fill(ground if ground is not None else QColor(Qt.GlobalColor.white))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.scale(scale, scale)
        paint_page(painter, page, ink)
        painter.end()
        yield image


def text_places(page: Page) -> Iterator[tuple[str, QRectF]]:
    """Every text of a page with the rectangle it fills."""
    for item in page.items:
        if isinstance(item, PlacedText):
            for number in range(item.layout.lineCount()):
                where = item.layout.lineAt(number).naturalTextRect()
                yield item.layout.text(), where.translated(QPointF(item.at))
