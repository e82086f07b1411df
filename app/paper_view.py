"""A paper seen before it is printed or saved: its pages, which paper, usual or large print."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPixmap, QResizeEvent
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.palette import LIGHT, Colours
from app.paper import page_images, paint_pages, pdf_bytes, set_page
from app.paper_pages import Pages
from core.errors import StopwrightError
from core.export.html import page_html
from core.export.paper import Paper, PaperSize
from core.export.plain_text import page_text
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


class PaperView(QDialog):
    """Shows a paper, saves it as PDF, HTML or plain text, prints it.

    Signals:
        told: a sentence about what was saved or printed.
    """

    told = Signal(str)

    def __init__(
        self, make: Callable[[bool], Paper], file_name: str, colours: Colours, parent: QWidget | None = None
    ) -> None:
        """Make the view.

        Args:
            make: the paper, in large print or not.
            file_name: proposed for saving, without an ending.
            colours: of what lies round the pages; the pages are as printed.
            parent: the window it belongs to.
        """
        super().__init__(parent)
        self.make = make
        self.file_name = file_name
        self.colours = colours
        self.pages = Pages(make(False), PaperSize.A4)
        self.setSizeGripEnabled(True)
        self._lay_out()
        self.resize(self.sizeHint())  # the toolkit would keep to two thirds of the screen
        self.refresh()

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
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 10)
        layout.addWidget(self.desk, 1)
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
        self.size_box.currentIndexChanged.connect(self.refresh)
        self.large = QCheckBox(self.tr("&Large print"), self)
        self.large.setFont(text_font())
        self.large.toggled.connect(self.refresh)
        foot.addWidget(self.size_box)
        foot.addWidget(self.large)
        foot.addStretch(1)
        for words, call in (
            (self.tr("&Save as …"), self.save),
            (self.tr("&Print …"), self.print),
            (self.tr("Close"), self.reject),
        ):
            button = QPushButton(words, self)
            button.setFont(text_font())
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, call=call: call())
            foot.addWidget(button)
        return foot

    @property
    def size_of_paper(self) -> PaperSize:
        """The paper chosen."""
        return PaperSize(self.size_box.currentData())

    def refresh(self) -> None:
        """Set the pages anew."""
        self.pages = Pages(self.make(self.large.isChecked()), self.size_of_paper)
        self.setWindowTitle(self.pages.paper.title)
        self._show_pages()
        count = len(self.pages.pages)
        self.words.setText(self.tr("1 page") if count == 1 else self.tr("{0} pages").format(count))

    def _show_pages(self) -> None:
        while (item := self.column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        ratio = self.devicePixelRatioF()
        width = max(300, min(_WIDEST, self.desk.viewport().width() - 2 * _EDGE - 8))
        for number, image in enumerate(page_images(self.pages, round(width * ratio)), 1):
            image.setDevicePixelRatio(ratio)
            label = QLabel(self.sheet)
            label.setPixmap(QPixmap.fromImage(image))
            label.setStyleSheet(f"border: 1px solid {LIGHT.rule}")
            label.setAccessibleName(self.tr("Page {0}").format(number))
            self.column.addWidget(label)
            label.show()

    # out

    def save(self) -> None:
        """Ask where, and write the page: PDF, HTML or plain text by the file's ending."""
        path, chosen = QFileDialog.getSaveFileName(
            self,
            self.tr("Save the page"),
            f"{self.file_name}.pdf",
            self.tr("PDF (*.pdf);;Web page (*.html *.htm);;Plain text (*.txt)"),
        )
        if path:
            ending = next((e for e in (".html", ".txt", ".pdf") if e in chosen), ".pdf")
            self.save_to(path if Path(path).suffix.lower() in (".pdf", ".html", ".htm", ".txt") else path + ending)

    def save_to(self, path: str) -> bool:
        """Write the page; False where it could not be written."""
        ending = Path(path).suffix.lower()
        if ending == ".pdf":
            data = pdf_bytes(self.pages.paper, self.size_of_paper)
        else:
            in_html = ending in (".html", ".htm")
            paper = self.pages.paper
            text = page_html(paper, self.size_of_paper) if in_html else page_text(paper)
            data = text.encode("utf-8", "replace")
        try:
            write_bytes(path, data)
        except StopwrightError as error:
            self.words.setText(str(error))
            return False
        self._say(self.tr("Saved {0}").format(Path(path).name))
        return True

    def print(self) -> None:
        """Ask for a printer and print."""
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(self.pages.paper.title)
        set_page(printer, self.size_of_paper)
        dialog = QPrintDialog(printer, self)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange, len(self.pages.pages) > 1)
        dialog.setMinMax(1, len(self.pages.pages))
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Print the pages that the printer's dialogue chose."""
        set_page(printer, self.size_of_paper)
        paint_pages(self.pages, printer, max(1, printer.fromPage()), printer.toPage())
        self._say(self.tr("Sent to the printer"))

    def _say(self, words: str) -> None:
        self.words.setText(words)
        self.told.emit(words)
