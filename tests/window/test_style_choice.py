"""The wording proved against a house style in the window: chosen with real keys, mended with one click, copied."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from window_support import document_of, make_score, wait_for, words

from app.links import LinkLabel
from app.open_finding import OpenFinding
from app.settings import Settings, load_settings, save_settings
from app.window import Window
from core.findings import Finding
from core.markings.house_style import read_style
from core.organ.model import Organ


@pytest.fixture
def piece(window: Window, small_organ: Organ) -> Window:
    score = make_score(6, {0: [words("Gt. Open Diapason 8", 2)], 3: [words("Sw Oboe 8ft")]}, notes=4)
    window.session.set_document(document_of(score, small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window


def _off(window: Window) -> list[Finding]:
    return [finding for finding in window.proof.model.findings if finding.rule == "off-style"]


def _pick(window: Window, words: str) -> None:
    box = window.proof.by_style
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Home)
    for _ in range(box.count()):
        if words in box.currentText():
            break
        QTest.keyClick(box, Qt.Key.Key_Down)
    assert words in box.currentText()


def test_nothing_is_said_of_style_until_one_is_chosen(piece: Window) -> None:
    assert piece.proof.by_style.isVisible()
    assert not _off(piece)
    _pick(piece, "English, abbreviated")
    wait_for(lambda: bool(_off(piece)))
    assert piece.settings.style == "en"
    _pick(piece, "No house style")
    wait_for(lambda: not _off(piece))
    assert piece.settings.style == ""


def test_one_click_writes_the_styles_wording_and_undo_takes_it_back(piece: Window) -> None:
    _pick(piece, "English, abbreviated")
    wait_for(lambda: bool(_off(piece)))
    piece.session.choose_finding(piece.proof.model.findings.index(_off(piece)[0]))
    wait_for(lambda: bool(piece.proof.findChildren(OpenFinding)))
    QTest.qWait(20)
    link = next(one for one in piece.proof.findChildren(LinkLabel) if "Sw. Oboe 8" in one.words)
    QTest.mouseClick(link, Qt.MouseButton.LeftButton, pos=QPoint(8, link.height() // 4))
    wait_for(lambda: piece.session.score is not None and not piece.workers.is_busy)
    wait_for(lambda: any(t.text == "Sw. Oboe 8" for t in piece.session.score.texts))  # type: ignore[union-attr]
    assert not _off(piece)
    QTest.keyClick(piece, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    wait_for(lambda: piece.session.derived is not None and bool(_off(piece)))


def test_a_built_in_style_is_copied_and_the_copy_holds(
    piece: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "house.yaml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(own), ""))
    piece.proof.by_style.take("en")
    box = piece.proof.by_style
    piece.doing.do_style_copy()
    assert box.style_name == str(own)
    assert "house.yaml" in box.currentText()
    assert read_style(own).signs == read_style("en").signs


def test_a_style_file_that_cannot_be_used_is_told_and_the_former_stays(
    piece: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("language: xx\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(bad), ""))
    box = piece.proof.by_style
    box.take("en")
    piece.doing.do_style_file()
    assert "bad.yaml" in piece.banner.words.text()
    assert box.style_name == "en"
    assert "English, abbreviated" in box.currentText()


def test_the_style_is_remembered(tmp_path: Path) -> None:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    save_settings(store, Settings(style="fr"))
    assert load_settings(store).style == "fr"
