"""Unsaved work outlives a fallen program, and is offered once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QMessageBox
from window_support import document_of, wait_for

from app.recovery import Kept, Recovery, pack, unpack
from app.window import Window
from core.edits import AddMarking

_EDIT = AddMarking(part=0, bar=5, staff=1, in_bar=0, text="Sw. Oboe", measure="6")
_FALLS = """
import os, sys, time
sys.path.insert(0, {support!r})
import conftest
from pathlib import Path
from PySide6.QtWidgets import QApplication
from window_support import wait_for
from app.recovery import Recovery
from app.window import Window
from core.edits import AddMarking
app = QApplication([])
window = Window()
window.recovery = Recovery(window, Path({folder!r}), every_ms=50)
window.open({score!r})
wait_for(lambda: window.session.derived is not None)
window.session.perform(AddMarking(part=0, bar=5, staff=1, in_bar=0, text="Sw. Oboe", measure="6"))
wait_for(lambda: window.recovery.file.exists())
print("kept", flush=True)
while True:
    app.processEvents(); time.sleep(0.01)
"""


@pytest.fixture
def on_disc(window: Window, short_piece: bytes, tmp_path: Path) -> tuple[Window, Path]:
    path = tmp_path / "Voluntary.musicxml"
    path.write_bytes(short_piece)
    window.open(path)
    wait_for(lambda: window.session.derived is not None)
    return window, path


def _keeper(window: Window, folder: Path) -> Recovery:
    window.recovery = Recovery(window, folder, every_ms=3_600_000)
    return window.recovery


def _edit(window: Window) -> None:
    window.session.perform(_EDIT)
    wait_for(lambda: window.session.undo.count() == 1 and not window.workers.is_busy)


def test_unsaved_work_is_kept_and_forgotten_once_it_is_undone(on_disc: tuple[Window, Path], tmp_path: Path) -> None:
    window, _ = on_disc
    keeper = _keeper(window, tmp_path / "state")
    keeper.keep()
    assert not keeper.file.exists(), "all is saved: nothing is kept"
    _edit(window)
    keeper.keep()
    wait_for(lambda: not window.workers.is_busy)
    kept = unpack(keeper.file.read_bytes())
    assert kept.edits == ("add ‘Sw. Oboe’ at bar 6",)
    assert kept.document.source is not None
    assert kept.document.source.data == window.session.document.source.data  # type: ignore[union-attr]
    assert not keeper.left_behind(), "a living window's work is not offered"
    window.session.undo.undo()
    keeper.keep()
    assert not keeper.file.exists()
    wait_for(lambda: not window.workers.is_busy)


def test_closing_as_wished_leaves_nothing(on_disc: tuple[Window, Path], tmp_path: Path) -> None:
    window, _ = on_disc
    keeper = _keeper(window, tmp_path / "state")
    _edit(window)
    keeper.keep()
    wait_for(lambda: keeper.file.exists() and not window.workers.is_busy)
    window.session.undo.setClean()
    window.close()
    assert not list((tmp_path / "state").iterdir())


def test_the_work_of_a_killed_program_is_offered_and_taken_up(
    window: Window, short_piece: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, folder = tmp_path / "Voluntary.musicxml", tmp_path / "state"
    path.write_bytes(short_piece)
    code = _FALLS.format(support=str(Path(__file__).parent), folder=str(folder), score=str(path))
    child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline().strip() == "kept"
    keeper = _keeper(window, folder)
    assert not keeper.left_behind(), "the other window still lives"
    os.kill(child.pid, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    child.wait()
    child.stdout.close()
    asked: list[Kept] = []
    monkeypatch.setattr(keeper, "ask", lambda kept: asked.append(kept) or QMessageBox.StandardButton.Yes)
    assert keeper.offer()
    wait_for(lambda: window.session.undo.count() == 1 and window.session.derived is not None)
    assert asked[0].edits == ("add ‘Sw. Oboe’ at bar 6",)
    assert window.session.score is not None
    assert any(text.text == "Sw. Oboe" for text in window.session.score.texts)
    assert not window.session.undo.isClean(), "it is still to be saved"
    assert not keeper.left_behind()
    wait_for(lambda: not window.workers.is_busy)
    window.actions_by_id["save"].trigger()
    assert b"Sw. Oboe" in path.read_bytes()


def test_work_over_a_file_that_changed_is_not_written_over_it(on_disc: tuple[Window, Path], tmp_path: Path) -> None:
    window, _ = on_disc
    keeper = _keeper(window, tmp_path / "state")
    kept = Kept(document=window.session.document, base="another file's", when="today", edits=("x",))
    keeper.take_up(kept, tmp_path / "none.unsaved")
    wait_for(lambda: window.session.undo.count() == 1)
    assert window.session.document.source is not None
    assert window.session.document.source.path is None
    assert "has changed" in window.banner.words.text()
    wait_for(lambda: not window.workers.is_busy and window.session.derived is not None)


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"form": 1}', b'{"form": 9}', b'{"form": 1, "score": 3}'])
def test_what_cannot_be_read_is_set_aside(window: Window, tmp_path: Path, content: bytes) -> None:
    keeper = _keeper(window, tmp_path)
    left = tmp_path / "1-dead.unsaved"
    left.write_bytes(content)
    assert not keeper.offer()
    assert not keeper.left_behind()
    assert left.with_suffix(".unreadable").read_bytes() == content


def test_what_is_packed_comes_back_whole(short_piece: bytes) -> None:
    document = document_of(short_piece, None)
    again = unpack(pack(Kept(document=document, base="b", when="w", edits=("e",)))).document
    assert again.source is not None
    assert again.source.data == short_piece
    assert again.notes == document.notes


_NEVER_SAVED = _FALLS.replace(
    "window.open({score!r})",
    "from window_support import document_of\n"
    "window.session.set_document(document_of(Path({score!r}).read_bytes(), None))",
)


def test_a_piece_that_was_never_saved_outlives_a_killed_window(
    window: Window, short_piece: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    score, folder = tmp_path / "made.musicxml", tmp_path / "state"
    score.write_bytes(short_piece)
    code = _NEVER_SAVED.format(support=str(Path(__file__).parent), folder=str(folder), score=str(score))
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stdout.readline().strip() == "kept"
        child.kill()
        child.wait()
    score.unlink()
    keeper = _keeper(window, folder)
    left = keeper.left_behind()
    assert len(left) == 1
    monkeypatch.setattr(keeper, "ask", lambda kept: QMessageBox.StandardButton.Yes)
    assert keeper.offer()
    wait_for(lambda: window.session.undo.count() == 1 and window.session.derived is not None)
    source = window.session.document.source
    assert source is not None
    assert source.path is None
    assert window.session.score is not None
    assert any(text.text == "Sw. Oboe" for text in window.session.score.texts)
    wait_for(lambda: keeper.file.exists() and not left[0].exists() and not window.workers.is_busy)
    kept = unpack(keeper.file.read_bytes())
    assert kept.document.source is not None
    assert kept.document.source.data == source.data, "it is kept anew before the old file goes"
