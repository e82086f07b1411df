"""What leaves the desk, from the window: opened by keys, made beside it, changed by options, saved, printed."""

from __future__ import annotations

import csv
import json
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox, QFileDialog, QLineEdit, QScrollArea, QSpinBox
from test_watchdog import TARGET, Watchdog, _allowance
from window_support import document_of, make_score, wait_for, words

import app.papers_made
from app.choice_box import ChoiceBox
from app.papers_made import PrintableReport, PrintableSheet, free_of
from app.papers_printable import PrintablePaper, PrintableScore
from app.papers_stop import Stop
from app.papers_view import PapersView
from app.translation import speak
from app.window import Window
from core.document import Document, OrganFile
from core.edits import SettleQuery
from core.errors import UsageError
from core.export.paper import PaperSize, paper_to_json
from core.organ.model import Organ
from pdf_text import page_sizes, pdf_pages


def _open(window: Window, keys: str) -> PapersView:
    """Open a view by its keys, and wait until its pages are there."""
    QTest.keySequence(window, keys)
    view = window.findChildren(PapersView)[-1]
    _wait(view)
    return view


def _wait(view: PapersView) -> None:
    wait_for(lambda: view.stop is None and not view.is_painting)


def _save(view: PapersView, path: Path) -> None:
    assert view.save_to(str(path))
    _wait(view)
    assert view.words.text() == f"Saved {path.name}"


def _text(view: PapersView) -> str:
    assert isinstance(view.pages, PrintablePaper)
    return view.pages.files(".txt")[""].decode()


def _words(view: PapersView) -> str:
    """Every word of the paper, not broken into lines."""
    assert isinstance(view.pages, PrintablePaper)
    return json.dumps(paper_to_json(view.pages.paper), ensure_ascii=False)


def _check(view: PapersView, name: str) -> None:
    box = view.options.editors[name]
    assert isinstance(box, QCheckBox)
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Space)
    _wait(view)


def _type(view: PapersView, name: str, text: str) -> None:
    line = view.options.editors[name]
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, text)
    QTest.keyClick(line, Qt.Key.Key_Return)
    _wait(view)


def test_the_sheet_opens_by_its_keys_and_follows_its_options(opened: Window) -> None:
    view = _open(opened, "Ctrl+R")
    assert "BEFORE PLAYING" in _text(view).upper()
    assert "+ Swell: Oboe 8" in _text(view)
    assert view.options.editors["generals"].isHidden(), "nothing about pistons until they are wanted"
    _check(view, "whole")
    assert "Twelfth" in _text(view), "every stop of the organ, also what is not used"
    _check(view, "cues")
    assert isinstance(view.pages, PrintablePaper)
    assert any(row.picture for group in view.pages.paper.groups for row in group.rows)
    QTest.keyClick(view.large, Qt.Key.Key_Space)
    _wait(view)
    assert isinstance(view.pages, PrintablePaper)
    assert view.pages.paper.large
    QTest.keyClick(view, Qt.Key.Key_Escape)
    assert view.isHidden()


def test_pistons_are_planned_for_those_that_are_free_and_written_as_one_edit(opened: Window) -> None:
    view = _open(opened, "Ctrl+Shift+R")
    assert view.pages is None, "the small organ names no pistons"
    assert "names no pistons" in view.words.text()
    _type(view, "generals", "5-9")
    assert isinstance(view.pages, PrintableSheet)
    hand = view.options.editors["by_hand"]
    assert isinstance(hand, QSpinBox)
    hand.setFocus()
    QTest.keyClick(hand, Qt.Key.Key_Up)
    _wait(view)
    assert hand.value() == 0
    assert "Gen. 5" in _text(view), "the first that is free; nothing is left to hands"
    before = opened.session.document.source
    assert before is not None
    count = opened.session.undo.count()
    link = next(link for deed, link in view.deeds if "Write" in deed.words)
    assert link.isVisible()
    link.setFocus()
    link.linkActivated.emit("#")
    wait_for(lambda: opened.session.document.source is not before)
    assert opened.session.undo.count() == count + 1
    now = opened.session.document.source
    assert now is not None
    assert b"Gen. 5" in now.xml
    wait_for(lambda: opened.session.derived is not None)
    _wait(view)
    assert "written into the score" in view.words.text()
    assert opened.session.derived is not None
    assert not [f for f in opened.session.derived.analysis.findings if f.rule == "piston-not-known"], "the plan knows"
    assert "piston-not-known" in {one.rule for one in opened.session.document.notes.dismissals}
    opened.session.undo.undo()
    assert opened.session.document.source is before
    assert not opened.session.document.notes.dismissals
    wait_for(lambda: opened.session.derived is not None)
    _wait(view)
    view.close()


def test_a_stepper_and_divisionals_are_asked_for_in_words(small_organ: Organ) -> None:
    values = {"pistons": "stepper", "steps": "10-30", "generals": "", "divisionals": "", "levels": ""}
    assert free_of(small_organ, values).steps == (10, 30)
    values |= {"pistons": "pistons", "divisionals": "Swell: 1-3; great:2", "generals": "0", "levels": "3-4"}
    free = free_of(small_organ, values)
    assert free.divisionals == {"swell": (1, 2, 3), "great": (2,)}
    assert free.generals == ()
    assert free.levels == (3, 4)
    with pytest.raises(UsageError, match="Bombarde"):
        free_of(small_organ, values | {"divisionals": "Bombarde: 1-3"})
    with pytest.raises(UsageError, match="Free generals"):
        free_of(small_organ, values | {"generals": "five"})


def test_a_saved_plan_keeps_its_numbers(opened: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    view = _open(opened, "Ctrl+Shift+R")
    _type(view, "generals", "5-9")
    view.options.set_value("by_hand", 0)
    _wait(view)
    _save(view, tmp_path / "plan.json")
    saved = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    assert {c["slot"]["number"] for c in saved["combinations"]} <= {5, 6, 7, 8, 9}
    _save(view, tmp_path / "plan.csv")
    table = list(csv.DictReader((tmp_path / "plan.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["piston"] for row in table] == [c["piston"] for c in saved["combinations"]]
    _type(view, "generals", "1-9")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: (str(tmp_path / "plan.json"), ""))
    keep = next(link for deed, link in view.deeds if "Keep" in deed.words)
    keep.linkActivated.emit("#")
    _wait(view)
    assert "Gen. 5" in _text(view)
    assert "Gen. 1\n" not in _text(view)
    view.close()


def test_needs_are_set_against_every_open_organ(opened: Window, small_organ: Organ) -> None:
    other = OrganFile(path=None, text="", organ=Organ(name="The House Organ", divisions=small_organ.divisions[1:2]))
    document = opened.session.document
    opened.session.set_document(Document(source=document.source, organs=(*document.organs, other), chosen=0))
    wait_for(lambda: opened.session.derived is not None)
    view = _open(opened, "Ctrl+E")
    assert small_organ.name in _words(view)
    assert "The House Organ" in _words(view)
    _check(view, "against")
    assert "The House Organ" not in _words(view)
    view.close()


def test_the_report_is_saved_as_pages_and_as_a_table(opened: Window, tmp_path: Path) -> None:
    view = _open(opened, "Ctrl+Shift+E")
    number = next(link for deed, link in view.deeds if "Number" in deed.words)
    number.linkActivated.emit("#")
    wait_for(lambda: bool(opened.session.document.notes.queries))
    wait_for(lambda: isinstance(view.pages, PrintableReport) and any(line.query for line in view.pages.lines))
    _wait(view)
    for name, begins in (("r.pdf", b"%PDF"), ("r.html", b"<!doctype"), ("r.csv", b"query,state"), ("r.json", b"[")):
        _save(view, tmp_path / name)
        assert (tmp_path / name).read_bytes().startswith(begins), name
    rows = list(csv.DictReader((tmp_path / "r.csv").read_text(encoding="utf-8").splitlines()))
    numbers = [int(row["query"]) for row in rows if row["query"]]
    assert numbers == list(range(1, len(numbers) + 1)), "in the order of the score"
    opened.session.perform(SettleQuery(number=1, state="answered", answer="as printed"))
    wait_for(lambda: "as printed" in _text(view))
    which = view.options.editors["which"]
    assert isinstance(which, ChoiceBox)
    which.setFocus()
    QTest.keyClick(which, Qt.Key.Key_Down)
    _wait(view)
    assert isinstance(view.pages, PrintableReport)
    assert len(view.pages.lines) == len(rows) - 1, "what is open"
    QTest.keyClick(which, Qt.Key.Key_Down)
    _wait(view)
    assert isinstance(view.pages, PrintableReport)
    assert [line.query.query.number for line in view.pages.lines if line.query] == numbers
    opened.session.undo.undo()
    opened.session.undo.undo()
    assert not opened.session.document.notes.queries
    view.close()


def test_what_differs_from_another_file_is_told_in_either_direction(
    opened: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "second proof.musicxml"
    texts = {0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2), words("Ped. Bourdon 16", 3)]}
    other.write_bytes(make_score(12, {**texts, 7: [words("Sw. Stopped Diapason 8")]}, notes=4))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: (str(other), ""))
    opened.actions_by_id["compare_files"].trigger()
    view = opened.findChildren(PapersView)[-1]
    _wait(view)
    assert "second proof.musicxml" in _text(view)
    lines = [line for line in _text(view).splitlines() if "Stopped Diapason" in line]
    assert any("removed" in line for line in lines), lines
    box = view.options.editors["other"]
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Down)
    _wait(view)
    lines = [line for line in _text(view).splitlines() if "Stopped Diapason" in line]
    assert any("added" in line for line in lines), lines
    view.close()


def test_a_file_that_is_no_score_is_told_in_the_view(opened: Window, tmp_path: Path) -> None:
    (tmp_path / "x.musicxml").write_text("no score", encoding="utf-8")
    view = opened.papers.compare_with(str(tmp_path / "x.musicxml"))
    assert view is not None
    _wait(view)
    assert "x.musicxml" in view.words.text()
    assert not view.save_button.isEnabled()
    view.close()


def test_the_front_page_is_worded_as_chosen(opened: Window) -> None:
    view = opened.papers.front_page()
    assert view is not None
    _wait(view)
    english = _text(view)
    assert "Open Diapason" in english
    view.options.set_value("style", "fr")
    _wait(view)
    assert _text(view) != english
    view.close()


def test_the_score_is_engraved_with_and_without_remarks_and_printed(opened: Window, tmp_path: Path) -> None:
    view = _open(opened, "Ctrl+P")
    assert isinstance(view.pages, PrintableScore)
    assert not view.large.isVisible()
    assert not any(view.pages.marks)
    assert all(label.pixmap().width() > 100 for label in view._labels)
    _check(view, "findings")
    assert isinstance(view.pages, PrintableScore)
    assert any(view.pages.marks)
    view.size_box.setFocus()
    QTest.keyClick(view.size_box, Qt.Key.Key_Down)
    _wait(view)
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    view.print_on(printer)
    for name in ("printed.pdf", "saved.pdf"):
        if name == "saved.pdf":
            _save(view, tmp_path / name)
        data = (tmp_path / name).read_bytes()
        assert page_sizes(data) == [(612, 792)] * view.pages.count
        assert "Salicional" in pdf_pages(data)[0], name
    _save(view, tmp_path / "drawn.svg")
    assert len(list(tmp_path.glob("drawn-*.svg"))) == view.pages.count
    view.close()


def test_a_long_score_on_paper_does_not_hold_the_window_up(window: Window, small_organ: Organ, tmp_path: Path) -> None:
    texts = {bar: [words("Sw. Oboe 8")] for bar in range(0, 300, 10)}
    window.session.set_document(document_of(make_score(300, texts), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.engraver.pages > 5, 60)
    QApplication.processEvents()
    allowance = _allowance()
    view = window.papers.score()
    assert view is not None
    dog = Watchdog()
    dog.start()
    wait_for(lambda: view.stop is None and not view.is_painting, 120)
    assert view.save_to(str(tmp_path / "long.pdf"))
    wait_for(lambda: view.stop is None, 60)
    dog.stop()
    assert (tmp_path / "long.pdf").is_file()
    longest = sorted(dog.gaps, reverse=True)[:3]
    assert longest[1] < TARGET * allowance, f"gaps {[round(g * 1000) for g in longest]} ms, allowance {allowance:.1f}"
    view.close()


def test_making_can_be_stopped_and_begun_again(opened: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    real = app.papers_made.pictures_of
    begun: list[Stop | None] = []

    def slow(*args: object, is_wanted: object = None, **kwargs: object) -> object:
        begun.append(None)
        while callable(is_wanted) and is_wanted() and len(begun) == 1:
            time.sleep(0.005)
        return real(*args, is_wanted=is_wanted, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr(app.papers_made, "pictures_of", slow)
    view = _open(opened, "Ctrl+R")
    cues = view.options.editors["cues"]
    cues.setFocus()
    QTest.keyClick(cues, Qt.Key.Key_Space)
    wait_for(lambda: bool(begun))
    assert view.progress.isVisible()
    wait_for(lambda: "engraved" in view.doing.text())
    assert not view.save_button.isEnabled()
    QTest.mouseClick(view.stop_button, Qt.MouseButton.LeftButton)
    assert view.words.text() == "Stopped."
    assert view.pages is not None, "what was shown before stays"
    wait_for(lambda: not opened.papers.workers.is_busy)
    QTest.mouseClick(view.again_button, Qt.MouseButton.LeftButton)
    _wait(view)
    assert len(begun) == 2
    assert view.save_button.isEnabled()
    view.close()


def test_closing_the_window_ends_what_is_being_made(opened: Window) -> None:
    opened.papers.score()
    opened.session.undo.setClean()
    begun = time.monotonic()
    opened.close()
    assert time.monotonic() - begun < 3
    QApplication.processEvents()


def test_without_a_piece_or_an_organ_it_is_said_what_is_wanted(window: Window, short_piece: bytes) -> None:
    for name in ("sheet", "report", "needs", "print_score", "compare_files", "front_page", "mark_up"):
        window.actions_by_id[name].trigger()
        assert "Open a score first" in window.statusBar().currentMessage(), name
    window.session.set_document(document_of(short_piece, None))
    wait_for(lambda: window.session.derived is not None)
    for name in ("sheet", "pistons", "front_page"):
        window.actions_by_id[name].trigger()
        assert "organ first" in window.statusBar().currentMessage(), name
    assert not window.findChildren(PapersView)


def test_every_control_of_a_view_has_a_name(opened: Window) -> None:
    view = _open(opened, "Ctrl+Shift+R")
    for editor in view.options.editors.values():
        assert editor.accessibleName()
        assert editor.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert view.progress.accessibleName()
    assert view.desk.accessibleName()
    view.close()


def test_the_paper_chosen_last_is_the_next_views(opened: Window) -> None:
    view = _open(opened, "Ctrl+R")
    view.size_box.setFocus()
    QTest.keyClick(view.size_box, Qt.Key.Key_Down)
    _wait(view)
    view.close()
    again = opened.papers.report()
    assert again is not None
    _wait(again)
    assert again.pages is not None
    assert again.size_of_paper is PaperSize.LETTER
    again.close()


@pytest.mark.parametrize("language", ["en", "de", "fr"])
def test_no_option_is_cut_in_any_language(opened: Window, language: str) -> None:
    speak(language)
    try:
        for view in (opened.papers.pistons(), opened.papers.report(), opened.papers.score()):
            assert view is not None
            _wait(view)
            room = next(area for area in view.findChildren(QScrollArea) if area.isAncestorOf(view.options))
            for box in view.options.findChildren(QCheckBox):
                right = box.mapTo(room, QPoint(0, 0)).x() + box.minimumSizeHint().width()
                assert right <= room.viewport().width(), box.text()
            view.close()
    finally:
        speak("en")
