"""What is decided in the window reaches the files, and is not lost without asking."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QMessageBox
from window_support import wait_for

from app.builtin import demo_piece, is_builtin
from app.window import Window
from core.document import OrganFile
from core.edits import AddMarking
from core.organ.model import Organ


@pytest.fixture
def on_disc(window: Window, short_piece: bytes, tmp_path: Path) -> tuple[Window, Path]:
    path = tmp_path / "Voluntary.musicxml"
    path.write_bytes(short_piece)
    window.open(path)
    wait_for(lambda: window.session.derived is not None)
    return window, path


def _add(window: Window) -> None:
    window.session.perform(AddMarking(part=0, bar=5, staff=1, in_bar=0, text="Sw. Oboe", measure="6"))
    wait_for(lambda: window.session.undo.count() > 0 and not window.workers.is_busy)


def test_an_added_marking_is_named_in_undo_and_saved(on_disc: tuple[Window, Path]) -> None:
    window, path = on_disc
    before = path.read_bytes()
    _add(window)
    assert window.session.undo.undoText() == "add ‘Sw. Oboe’ at bar 6"
    assert path.read_bytes() == before, "nothing is written before it is saved"
    assert window.session.derived is not None
    assert any(m.text.text == "Sw. Oboe" for m in window.session.derived.index.marks.values())
    window.actions_by_id["save"].trigger()
    assert b"Sw. Oboe" in path.read_bytes().replace(before, b"")
    assert window.session.undo.isClean()


def test_undo_goes_back_to_the_same_bytes(on_disc: tuple[Window, Path]) -> None:
    window, path = on_disc
    _add(window)
    window.session.undo.undo()
    wait_for(lambda: not window.workers.is_busy)
    source = window.session.document.source
    assert source is not None
    assert source.data == path.read_bytes()


def test_undo_keeps_the_organ_chosen_since(on_disc: tuple[Window, Path], small_organ: Organ) -> None:
    window, path = on_disc
    _add(window)
    document = window.session.document
    file = OrganFile(path=None, text="", organ=small_organ)
    window.session.set_document(replace(document, organs=(file,), chosen=0))
    window.session.undo.undo()
    wait_for(lambda: not window.workers.is_busy)
    assert window.session.organ is small_organ
    source = window.session.document.source
    assert source is not None
    assert source.data == path.read_bytes()


def test_an_edit_that_does_not_fit_is_one_sentence(on_disc: tuple[Window, Path]) -> None:
    window, _ = on_disc
    window.session.perform(AddMarking(part=0, bar=500, staff=1, in_bar=0, text="Sw. Oboe"))
    wait_for(window.banner.isVisible)
    assert window.session.undo.count() == 0
    assert window.banner.words.text()


def test_unsaved_changes_are_asked_for(on_disc: tuple[Window, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    window, path = on_disc
    _add(window)
    answers = [QMessageBox.StandardButton.Cancel]
    monkeypatch.setattr(window.saving, "ask", lambda: answers[-1])
    event = QCloseEvent()
    window.closeEvent(event)
    assert not event.isAccepted()
    answers.append(QMessageBox.StandardButton.Save)
    assert window.saving.may_lose_changes()
    assert b"Sw. Oboe" in path.read_bytes()


def test_a_built_in_piece_is_never_written(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    piece = demo_piece()
    assert piece is not None
    assert is_builtin(str(piece))
    before = piece.read_bytes()
    window.open(piece)
    wait_for(lambda: window.session.derived is not None)
    _add(window)
    monkeypatch.setattr(window.saving, "ask_for_path", lambda path: "")
    assert not window.saving.save()
    assert piece.read_bytes() == before
    assert not window.session.undo.isClean()
