"""The three people at the window, each from the opening page to the saved file, by mouse and keys.

A composer marks up a piece for a church; an organist sees what a piece asks for and pencils in what is played here;
an editor proofreads, lets a remark stand, and gets a newer file.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMenu, QWidget
from window_support import make_score, wait_for, words

from app.builtin import sample_organs
from app.links import LinkLabel
from app.window import Window
from core.document import open_document
from core.notes_file import load_notes

FIRST_PROOF = {
    0: [words("Swell Salicional 8")],
    4: [words("Sw. Flomptuba 8 &amp; Oboe")],
    8: [words("Great Principal 4", 2)],
}
NEXT_PROOF = {
    1: [words("Sw. Salicional 8")],
    5: [words("Sw. Flomptuba 8 &amp; Oboe")],
    9: [words("Gt. Fifteenth 2", 2)],
}


def church(folder: Path) -> Path:
    """A church's list as it would be copied from its page."""
    path = folder / "st-wenna.txt"
    path.write_text(
        "Great\nOpen Diapason 8\nStopped Diapason 8\nPrincipal 4\nFifteenth 2\n\n"
        "Swell\nLieblich Gedackt 8\nSalicional 8\nGemshorn 4\nCornopean 8\nOboe 8\n\n"
        "Pedal\nBourdon 16\nBass Flute 8\n\nCouplers\nSwell to Great\nGreat to Pedal\nSwell to Pedal\n"
    )
    return path


def piece(folder: Path, texts: dict[int, list[str]], name: str = "voluntary.musicxml", bars: int = 12) -> Path:
    path = folder / name
    path.write_bytes(make_score(bars, texts, notes=4))
    return path


def click_link(window: QWidget, has: str) -> None:
    link = next(one for one in window.findChildren(LinkLabel) if has in one.words and one.isVisible())
    QTest.mouseClick(link, Qt.MouseButton.LeftButton, pos=QPoint(10, min(10, link.height() - 4)))


def worked(window: Window) -> Callable[[], bool]:
    before = window.session.derived
    return lambda: window.session.derived is not None and window.session.derived is not before


def choose_file(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))


def click_bar(window: Window, bar: int) -> None:
    """Click the first beat of a bar in the engraved page."""
    score = window.session.score
    assert score is not None
    window.session.move_to(score.bars[bar - 1].onset)
    window.score.show_cursor()
    rect = window.score.cursor_rect()
    assert rect is not None
    window.session.move_to(score.bars[0].onset)
    places = window.score.store.places(0)
    assert places is not None
    piece_ = next(one for one in window.score.pieces() if one.page == 0)
    top = piece_.origin.y() + places.bars[bar - 1].staves[0][0] * window.score.scale
    middle = top + 300 * window.score.scale
    QTest.mouseClick(window.score.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(round(rect.x()) + 2, round(middle)))


def test_the_composer(window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = piece(tmp_path, {})
    before = path.read_bytes()
    choose_file(monkeypatch, path)
    click_link(window, "Mark up a piece")
    wait_for(lambda: window.session.derived is not None and window.score.store.is_ready(0))
    menu = next(one for one in window.organ.findChildren(QMenu) if one.isVisible())
    menu.close()
    wait = worked(window)
    window.session.add_organs([str(church(tmp_path))])
    wait_for(wait)
    assert window.session.organ is not None
    window.score.grab()
    wait_for(lambda: window.score.store.places(0) is not None)
    click_bar(window, 5)
    score = window.session.score
    assert score is not None
    assert score.bar_at(window.session.cursor.onset).number == "5"
    QTest.keyClicks(window.score, "S")
    card = window.score.writing.card
    assert card.isVisible()
    QTest.keyClicks(card.field, "w. Oboe")
    wait_for(lambda: "Oboe 8" in card.told.text())
    wait = worked(window)
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    wait_for(wait)
    step = window.session.step
    assert step is not None
    assert [window.session.organ.stop(stop).name for stop in step.registration.drawn] == ["Oboe"]
    assert window.session.undo.undoText() == "add ‘Sw. Oboe’ at bar 5"
    window.session.undo.undo()
    window.session.undo.redo()
    wait_for(lambda: not window.workers.is_busy)
    QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    if path.read_bytes() == before:  # the platform's shortcuts need an active window
        window.actions_by_id["save"].trigger()
    assert b"Sw. Oboe" in path.read_bytes()
    assert window.session.undo.isClean()


def test_the_organist(window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    texts = {0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2)], 6: [words("Sw. Vox Humana 8")]}
    path = piece(tmp_path, texts)
    data = path.read_bytes()
    choose_file(monkeypatch, path)
    click_link(window, "See what a piece asks for")
    needs = window.ways.needs
    wait_for(lambda: needs.paper is not None)
    assert "Vox Humana" in needs.page.toPlainText()
    window.session.add_organs([str(church(tmp_path)), sample_organs()[0][1]])
    wait_for(lambda: len(window.session.document.organs) == 2 and window.session.derived is not None)
    names = [file.organ.name for file in window.session.document.organs]
    wait_for(lambda: all(name in needs.page.toPlainText() for name in names))
    click_link(needs, "To the score")
    window.session.choose_organ(0)
    wait_for(lambda: not window.workers.is_busy and window.session.derived is not None)
    wait_for(lambda: window.score.store.is_ready(0))
    assert any("Vox Humana" in str(finding.message) for finding in window.proof.model.findings)
    score = window.session.score
    assert score is not None
    window.session.move_to(score.bars[6].onset)
    window.actions_by_id["pencil"].trigger()
    wait = worked(window)
    QTest.keyClicks(window.pencil.card.field, "Sw. Oboe instead")
    QTest.keyClick(window.pencil.card.field, Qt.Key.Key_Return)
    wait_for(wait)
    assert [one.text for one in window.pencil.layer.placed()] == ["✎ Sw. Oboe instead"]
    window.actions_by_id["next_organ"].trigger()
    wait_for(lambda: window.organ.switch.switched is not None)
    assert not window.pencil.layer.placed()
    window.actions_by_id["next_organ"].trigger()
    wait_for(lambda: not window.workers.is_busy)
    window.actions_by_id["save"].trigger()
    assert path.read_bytes() == data, "what is pencilled in is no part of the print"
    again = open_document(path)
    assert [(line.organ, line.text) for line in again.notes.player] == [(names[0], "Sw. Oboe instead")]


def test_the_editor(window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = piece(tmp_path, FIRST_PROOF)
    choose_file(monkeypatch, path)
    click_link(window, "Proofread the registration")
    wait_for(lambda: window.session.finding is not None)
    proof = window.proof
    style = proof.by_style
    wait = worked(window)
    style.setCurrentIndex(style.findData("en"))
    wait_for(wait)
    proof.search()
    QTest.keyClicks(proof.sieve.search, "flomptuba")
    QTest.keyClick(proof.sieve.search, Qt.Key.Key_Return)
    wait_for(lambda: proof.opened is not None)
    score = window.session.score
    assert score is not None
    assert score.bar_at(window.session.cursor.onset).number == "5", "the score follows"
    wait = worked(window)
    QTest.keyClick(proof.view, Qt.Key.Key_Delete)
    assert proof.opened is not None
    QTest.keyClicks(proof.opened.reason, "a jest")
    QTest.keyClick(proof.opened.reason, Qt.Key.Key_Return)
    wait_for(wait)
    proof.sieve.search.clear()
    sieve = proof.sieve
    sieve.by_kind.setCurrentIndex(sieve.by_kind.findData("off-style"))
    first = proof.step(None, 1)
    assert first is not None
    window.session.choose_finding(first)
    wait_for(lambda: proof.opened is not None)
    wait = worked(window)
    click_link(proof.opened, "of this kind")  # type: ignore[arg-type]
    wait_for(wait)
    assert not any(finding.rule == "off-style" for finding in proof.model.findings)
    window.actions_by_id["save"].trigger()
    assert b"Sw. Salicional 8" in path.read_bytes()
    assert load_notes(path).notes.dismissals[0].reason == "a jest"
    _next_proof(window, tmp_path, monkeypatch)


def _next_proof(window: Window, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The engraver sends the next proof: a bar more at the head, one marking another."""
    proof = window.proof
    newer = piece(folder, NEXT_PROOF, "voluntary-2.musicxml", 13)
    choose_file(monkeypatch, newer)
    window.actions_by_id["newer_file"].trigger()
    wait_for(lambda: window.newer.view is not None and window.session.derived is not None)
    view = window.newer.view
    assert view is not None
    assert "a jest" in {row.reason for row in window.session.document.notes.dismissals}
    assert view.carried.editions.differences
    wait_for(lambda: not window.workers.is_busy)
    assert all(finding.rule != "marking-not-understood" for finding in proof.model.findings)
    assert proof.stood.count == 1
    view.close()
    window.actions_by_id["save"].trigger()
    assert load_notes(newer).notes.dismissals[0].reason == "a jest"
