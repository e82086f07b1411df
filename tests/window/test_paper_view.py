"""The specification page in the window: seen, saved by its ending, printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from app.palette import LIGHT
from app.paper_view import PaperView
from app.window import Window
from core.document import Document, OrganFile
from core.export.paper import PaperSize
from core.export.specification_page import specification_page
from core.organ.model import Organ
from pdf_text import page_sizes, pdf_pages


@pytest.fixture
def view(application: QApplication, small_organ: Organ) -> Iterator[PaperView]:
    """The view by itself."""
    made = PaperView(lambda large: specification_page(small_organ, large=large), "little-marling", LIGHT)
    made.resize(900, 700)
    made.show()
    yield made
    made.close()
    made.deleteLater()
    application.processEvents()


def _pictures(view: PaperView) -> list[QLabel]:
    return [one for one in view.sheet.findChildren(QLabel) if not one.isHidden()]


def test_the_pages_are_shown_as_wide_as_there_is_room(view: PaperView, application: QApplication) -> None:
    application.processEvents()
    assert len(_pictures(view)) == 1
    narrow = _pictures(view)[0].pixmap().width()
    view.resize(600, 700)
    application.processEvents()
    assert _pictures(view)[0].pixmap().width() < narrow


def test_paper_and_large_print_are_chosen_by_keys(view: PaperView, qtbot: QtBot) -> None:
    view.size_box.setFocus()
    qtbot.keyClick(view.size_box, Qt.Key.Key_Down)
    assert view.size_of_paper is PaperSize.LETTER
    qtbot.keyClick(view.large, Qt.Key.Key_Space)
    assert view.pages.paper.large


@pytest.mark.parametrize(("name", "begins"), [("p.pdf", b"%PDF"), ("p.html", b"<!doctype"), ("p.txt", b"ST OSYTH")])
def test_it_is_saved_as_its_ending_says(view: PaperView, tmp_path: Path, name: str, begins: bytes) -> None:
    told: list[str] = []
    view.told.connect(told.append)
    assert view.save_to(str(tmp_path / name))
    assert (tmp_path / name).read_bytes().startswith(begins)
    assert told == [f"Saved {name}"]


def test_a_name_without_an_ending_gets_that_of_the_chosen_kind(
    view: PaperView, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = (str(tmp_path / "page"), "Web page (*.html *.htm)")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: answer)
    view.save()
    assert (tmp_path / "page.html").is_file()


def test_what_cannot_be_written_is_said_and_nothing_is_left(view: PaperView, tmp_path: Path) -> None:
    assert not view.save_to(str(tmp_path / "no such folder" / "p.pdf"))
    assert "no such folder" in view.words.text()
    assert not list(tmp_path.iterdir())


def test_a_printer_gets_the_same_pages(view: PaperView, tmp_path: Path) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    view.size_box.setCurrentIndex(1)
    view.print_on(printer)
    data = (tmp_path / "printed.pdf").read_bytes()
    assert "Stopped" in pdf_pages(data)[0]
    assert page_sizes(data) == [(612, 792)]


def test_the_menu_opens_the_page_of_the_chosen_organ(window: Window, small_organ: Organ, qtbot: QtBot) -> None:
    assert window.listing.show_page() is None  # no organ: said, not shown
    assert "Open an organ first" in window.statusBar().currentMessage()
    file = OrganFile(path=None, text="", organ=replace(small_organ, name="<b>St & Co</b>"))
    window.session.set_document(Document(organs=(file,), chosen=0))
    window.actions_by_id["organ_page"].trigger()
    views = window.findChildren(PaperView)
    assert [one.windowTitle() for one in views] == ["<b>St & Co</b>"]
    qtbot.keyClick(views[0], Qt.Key.Key_Escape)
    assert views[0].isHidden()
