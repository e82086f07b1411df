"""Pages seen before they are printed or saved: which paper, usual or large print."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap, QResizeEvent
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import LIGHT, Colours
from app.paper import set_page
from app.papers_printable import KINDS, Printable, PrintablePaper
from app.said import button
from core.errors import StopwrightError
from core.export.paper import Paper, PaperSize
from core.files import write_bytes

_EDGE = 14
_WIDEST = 900


class _Desk(QScrollArea):
    """Where the pages lie; they are as wide as there is room."""

    widened = Signal()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Tell of another width."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.widened.emit()


class PagesView(QDialog):
    """Shows pages, saves them under one of their endings, prints them. What they are is its heirs' affair.

    Signals:
        told: a sentence about what was saved or printed.
    """

    told = Signal(str)

    def __init__(self, file_name: str, colours: Colours, parent: QWidget | None = None) -> None:
        """Make the view.

        Args:
            file_name: proposed for saving, without an ending.
            colours: of what lies round the pages; the pages are as printed.
            parent: the window it belongs to.
        """
        super().__init__(parent)
        self.file_name = file_name
        self.colours = colours
        self.pages: Printable | None = None
        self._labels: list[QLabel] = []
        self._images: Iterator[QImage] = iter(())
        self._painted = 0
        self._painting = QTimer(self)
        self._painting.setInterval(0)
        self._painting.timeout.connect(self._paint_next)
        self.setSizeGripEnabled(True)
        self._lay_out()
        self.resize(self.sizeHint())  # the toolkit would keep to two thirds of the screen

    def sizeHint(self) -> QSize:
        """Nearly as large as the window it belongs to."""
        parent = self.parentWidget()
        return QSize(900, 800) if parent is None else QSize(int(parent.width() * 0.8), int(parent.height() * 0.94))

    def _lay_out(self) -> None:
        self.sheet = QWidget(self)
        self.column = QVBoxLayout(self.sheet)
        self.column.setSpacing(_EDGE)
        self.column.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self.desk = _Desk(self)
        self.desk.widened.connect(self._show_pages)
        self.desk.setWidgetResizable(True)
        self.desk.setWidget(self.sheet)
        self.desk.setAccessibleName(self.tr("The pages"))
        self.desk.setStyleSheet(f"QScrollArea, QScrollArea > QWidget > QWidget {{ background: {self.colours.desk}; }}")
        self.middle = QHBoxLayout()
        self.middle.setSpacing(0)
        self.middle.addWidget(self.desk, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 10)
        layout.addLayout(self.middle, 1)
        self.words = QLabel(self)
        self.words.setFont(text_font())
        self.words.setWordWrap(True)
        self.words.setContentsMargins(14, 0, 14, 0)
        layout.addWidget(self.words)
        layout.addLayout(self._foot())

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setContentsMargins(14, 0, 14, 0)
        self.size_box = ChoiceBox(self)
        self.size_box.setFont(text_font())
        self.size_box.setAccessibleName(self.tr("Paper"))
        for size, name in ((PaperSize.A4, self.tr("A4")), (PaperSize.LETTER, self.tr("Letter"))):
            self.size_box.addItem(name, size)
        self.size_box.currentIndexChanged.connect(self._on_choice)
        self.large = QCheckBox(self.tr("&Large print"), self)
        self.large.setFont(text_font())
        self.large.toggled.connect(self._on_choice)
        foot.addWidget(self.size_box)
        foot.addWidget(self.large)
        foot.addStretch(1)
        self.save_button = button(self.tr("&Save as …"), self.save, self)
        self.print_button = button(self.tr("&Print …"), self.print, self)
        for one in (self.save_button, self.print_button, button(self.tr("Close"), self.reject, self)):
            foot.addWidget(one)
        return foot

    def _on_choice(self) -> None:
        self.refresh()

    @property
    def size_of_paper(self) -> PaperSize:
        """The paper chosen."""
        return PaperSize(self.size_box.currentData())

    def refresh(self) -> None:
        """Make the pages anew."""
        raise NotImplementedError

    def show_printable(self, pages: Printable) -> None:
        """Show these pages."""
        self.pages = pages
        self.setWindowTitle(pages.title)
        self._show_pages()
        self.words.setText(self.tr("1 page") if pages.count == 1 else self.tr("{0} pages").format(pages.count))

    def _show_pages(self) -> None:
        """Lay the pages out blank but for the first; the others are painted one after the other."""
        self._painting.stop()
        while (item := self.column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._labels = []
        if self.pages is None:
            return
        ratio = self.devicePixelRatioF()
        width = max(300, min(_WIDEST, self.desk.viewport().width() - 2 * _EDGE - 8))
        self._images = self.pages.images(round(width * ratio))
        page_width, page_height = self.size_of_paper.millimetres
        for number in range(1, self.pages.count + 1):
            label = QLabel(self.sheet)
            label.setFixedSize(width + 2, round(width * page_height / page_width) + 2)
            label.setStyleSheet(f"border: 1px solid {LIGHT.rule}; background: white")
            label.setAccessibleName(self.tr("Page {0}").format(number))
            self.column.addWidget(label)
            label.show()
            self._labels.append(label)
        self._painted = 0
        self._begin_painting()

    @property
    def is_painting(self) -> bool:
        """Whether a page is blank still."""
        return self._painted < len(self._labels)

    def _begin_painting(self) -> None:
        self._paint_next()
        self._painting.start()

    def _paint_next(self) -> None:
        image = next(self._images, None)
        if image is None or not self.is_painting:
            self._painting.stop()
        else:
            self._put(image)

    def _put(self, image: QImage) -> None:
        """Show the next page's picture."""
        image.setDevicePixelRatio(self.devicePixelRatioF())
        self._labels[self._painted].setPixmap(QPixmap.fromImage(image))
        self._painted += 1

    # out

    def save(self) -> None:
        """Ask where, and write the pages as the file's ending says."""
        if self.pages is None:
            return
        kinds = self.pages.kinds
        path, chosen = QFileDialog.getSaveFileName(
            self,
            self.tr("Save the page"),
            f"{self.file_name}{kinds[0]}",
            ";;".join(self.tr(KINDS[kind]) for kind in kinds),
        )
        if path:
            ending = next((kind for kind in kinds if f"*{kind}" in chosen), kinds[0])
            is_known = Path(path).suffix.lower() in (*kinds, ".htm")
            self.save_to(path if is_known else path + ending)

    def save_to(self, path: str) -> bool:
        """Write the pages; False where they could not be written."""
        if self.pages is None:
            return False
        where = Path(path)
        try:
            write_pages(self.pages, where)
        except StopwrightError as error:
            self.words.setText(str(error))
            return False
        self._say(self.tr("Saved {0}").format(where.name))
        return True

    def print(self) -> None:
        """Ask for a printer and print."""
        if self.pages is None:
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(self.pages.title)
        set_page(printer, self.size_of_paper)
        dialog = QPrintDialog(printer, self)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange, self.pages.count > 1)
        dialog.setMinMax(1, self.pages.count)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Print the pages that the printer's dialogue chose."""
        if self.pages is None:
            return
        set_page(printer, self.size_of_paper)
        self.pages.paint(printer, max(1, printer.fromPage()), printer.toPage())
        self._say(self.tr("Sent to the printer"))

    def _say(self, words: str) -> None:
        self.words.setText(words)
        self.told.emit(words)


def write_pages(pages: Printable, where: Path) -> None:
    """Write pages as the file's ending says, whole or not at all. Raises WriteError."""
    for behind, data in pages.files(where.suffix.lower()).items():
        write_bytes(where.with_name(f"{where.stem}{behind}{where.suffix}"), data)


class PaperView(PagesView):
    """A paper that is made in no time, in large print or not."""

    def __init__(
        self, make: Callable[[bool], Paper], file_name: str, colours: Colours, parent: QWidget | None = None
    ) -> None:
        """Make the view; `make` gives the paper, in large print or not."""
        super().__init__(file_name, colours, parent)
        self.make = make
        self.refresh()

    def refresh(self) -> None:
        """Set the pages anew."""
        self.show_printable(PrintablePaper(self.make(self.large.isChecked()), self.size_of_paper))
