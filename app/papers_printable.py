"""What is seen before it is printed or saved: a paper, or an engraved score; both by the same few doors."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping, Sequence

from PySide6.QtGui import QColor, QImage, QPagedPaintDevice, QPainter

from app.engraved_pdf import engraved_pdf, paint_score, paint_whole
from app.page_painting import Glyphs
from app.paper import page_images, paint_pages, pdf_bytes
from app.paper_pages import Pages
from core.export.drawn_svg import Mark, page_svg
from core.export.html import page_html
from core.export.paper import Paper, PaperSize
from core.export.plain_text import page_text
from core.score.drawing import Page

KINDS = {
    ".pdf": "PDF (*.pdf)",
    ".html": "Web page (*.html *.htm)",
    ".txt": "Plain text (*.txt)",
    ".csv": "Table (*.csv)",
    ".json": "For programs (*.json)",
    ".svg": "Drawings, one a page (*.svg)",
}
"""Each ending under which something may be saved, as the dialogue for files names it."""


class Printable(ABC):
    """Pages that can be shown, printed and saved.

    Attributes:
        title: in the view's title bar, and of the document printed.
        kinds: the endings under which it can be saved, the usual one first.
        is_slow: a page takes so long to paint that it is better done beside the window.
    """

    title: str
    kinds: tuple[str, ...]
    is_slow = False

    @property
    @abstractmethod
    def count(self) -> int:
        """Number of pages."""

    @abstractmethod
    def images(self, width: int) -> Iterator[QImage]:
        """Each page as a picture so many pixels wide, painted when it is asked for."""

    @abstractmethod
    def paint(self, device: QPagedPaintDevice, first: int, last: int) -> None:
        """Paint pages, from `first` to `last` (0: all)."""

    @abstractmethod
    def files(self, ending: str) -> dict[str, bytes]:
        """What is written under an ending: by what is put behind the name (mostly nothing), the file's bytes."""


class PrintablePaper(Printable):
    """A paper; `tables` are further endings with what makes their text."""

    def __init__(self, paper: Paper, size: PaperSize, tables: Mapping[str, Callable[[], str]] | None = None) -> None:
        self.paper = paper
        self.size = size
        self.title = paper.title
        self.tables = tables or {}
        self.kinds = (".pdf", ".html", ".txt", *self.tables)
        self.pages = Pages(paper, size)

    @property
    def count(self) -> int:
        """Number of pages."""
        return len(self.pages.pages)

    def images(self, width: int) -> Iterator[QImage]:
        """Each page as a picture."""
        return page_images(self.pages, width)

    def paint(self, device: QPagedPaintDevice, first: int, last: int) -> None:
        """Paint pages."""
        paint_pages(self.pages, device, first, last)

    def files(self, ending: str) -> dict[str, bytes]:
        """One file: PDF, HTML, plain text or a table."""
        if ending == ".pdf":
            return {"": pdf_bytes(self.paper, self.size)}
        if ending in self.tables:
            text = self.tables[ending]()
        else:
            text = page_html(self.paper, self.size) if ending in (".html", ".htm") else page_text(self.paper)
        return {"": text.encode("utf-8", "replace")}


class PrintableScore(Printable):
    """An engraved score; `marks` are its highlights by page."""

    kinds = (".pdf", ".svg")
    is_slow = True

    def __init__(
        self, pages: Sequence[Page], title: str, size: PaperSize, marks: Sequence[Sequence[Mark]] = ()
    ) -> None:
        self.pages = pages
        self.title = title
        self.size = size
        self.marks = marks

    @property
    def count(self) -> int:
        """Number of pages."""
        return len(self.pages)

    def images(self, width: int) -> Iterator[QImage]:
        """Each page as a picture."""
        glyphs = Glyphs()
        for number, page in enumerate(self.pages):
            page_width, page_height = page["size"]
            scale = width / page_width
            image = QImage(width, round(page_height * scale), QImage.Format.Format_RGB32)
            image.fill(QColor("white"))
            painter = QPainter(image)
            painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
            painter.scale(scale, scale)
            paint_whole(painter, self.pages, number, glyphs, self.marks)
            painter.end()
            yield image

    def paint(self, device: QPagedPaintDevice, first: int, last: int) -> None:
        """Paint pages."""
        paint_score(self.pages, device, self.marks, first, last)

    def files(self, ending: str) -> dict[str, bytes]:
        """One PDF, or a drawing for each page."""
        if ending == ".pdf":
            return {"": engraved_pdf(self.pages, self.title, self.size, self.marks)}
        shown = [*self.marks, *([()] * (len(self.pages) - len(self.marks)))]
        return {
            f"-{number}": page_svg(page, marks=list(marks)).encode("utf-8")
            for number, (page, marks) in enumerate(zip(self.pages, shown, strict=True), 1)
        }
