"""Hostile files opened, dropped, pasted and found among unsaved work: one sentence, and the window goes on."""

from __future__ import annotations

import json
import os
from base64 import b64encode
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication
from window_support import wait_for

import bombs
from app.recovery import Recovery
from app.window import Window

SCORES = [
    "entity bomb",
    "outside entity",
    "deep",
    "zip bomb with a forged size",
    "cut off",
    "UTF-7",
    "gzip named as a score",
]
YAML = ["alias bomb", "merge bomb", "python tag", "deep lists", "binary", "a number of 5,000 digits"]


def _told(window: Window) -> str:
    wait_for(lambda: bool(window.banner.words.text()) and window.banner.isVisible())
    said = window.banner.words.text()
    window.banner.words.setText("")
    assert "Traceback" not in said
    assert "went wrong" not in said
    return said


def _drop(window: Window, path: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    event = QDropEvent(
        QPointF(20, 20), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    window.dropEvent(event)


@pytest.fixture
def still_works(window: Window, short_piece: bytes, tmp_path: Path) -> None:
    """The window has a piece, which must be there afterwards."""
    path = tmp_path / "Voluntary.musicxml"
    path.write_bytes(short_piece)
    window.open(path)
    wait_for(lambda: window.session.derived is not None)


@pytest.mark.usefixtures("still_works")
@pytest.mark.parametrize("way", ["open", "drop"])
def test_scores(window: Window, tmp_path: Path, way: str) -> None:
    before = window.session.document
    for name in SCORES:
        path = tmp_path / "bomb.musicxml"
        path.write_bytes(bombs.SCORES[name]())
        window.open(path) if way == "open" else _drop(window, path)
        assert "bomb.musicxml" in _told(window), name
        wait_for(lambda: not window.workers.is_busy)
        assert window.session.document is before, name


@pytest.mark.usefixtures("still_works")
@pytest.mark.parametrize("way", ["open", "drop"])
def test_specifications(window: Window, tmp_path: Path, way: str) -> None:
    before = window.session.document
    for name in YAML:
        path = tmp_path / "bomb.yaml"
        path.write_bytes(bombs.YAML[name]())
        window.open(None, [path]) if way == "open" else _drop(window, path)
        assert "bomb.yaml" in _told(window), name
        wait_for(lambda: not window.workers.is_busy)
        assert window.session.document is before, name


@pytest.mark.usefixtures("still_works")
def test_words_beside_a_score_that_are_no_words(window: Window, short_piece: bytes, tmp_path: Path) -> None:
    for name in ("binary", "alias bomb", "not UTF-8"):
        path = tmp_path / "Second.musicxml"
        path.write_bytes(short_piece)
        (tmp_path / "Second.words.yaml").write_bytes(bombs.YAML[name]())
        window.open(path)
        assert "Second.words.yaml" in _told(window), name
        wait_for(lambda: window.session.derived is not None and not window.workers.is_busy)
        assert window.session.own_words.words == ()


TEXTS = {
    "brackets": "[" * 20_000,
    "controls": "\0\x1b[2J\u202e" * 500,
    "5,000 stops": "Diapason 8\n" * 5000,
    "one line of half a million": "x" * 500_000,
    "markup": "<script>alert(1)</script>\nGREAT\n<b>Diapason</b> 8\n",
}


@pytest.mark.parametrize("name", TEXTS)
def test_pasted_texts(window: Window, name: str) -> None:
    QGuiApplication.clipboard().setText(TEXTS[name])
    view = window.listing.paste()
    wait_for(lambda: view.is_settled and not window.workers.is_busy, 40)
    view.close()
    QGuiApplication.clipboard().clear()


@pytest.mark.parametrize("name", ["binary", "NULs", "5 MB", "empty"])
def test_dropped_lists(window: Window, tmp_path: Path, name: str) -> None:
    path = tmp_path / "bomb.txt"
    path.write_bytes(bombs.YAML[name]())
    _drop(window, path)
    view = window.listing.view
    assert view is None or view.is_settled
    assert window.session.organ is None
    if view is not None:
        view.close()


def _form(**changed: object) -> bytes:
    whole = {
        "form": 1,
        "when": "today",
        "base": "",
        "edits": ["x"],
        "path": None,
        "score": None,
        "notes": "stopwright notes: 1\n",
    }
    return json.dumps({**whole, "organs": [], "chosen": None, **changed}).encode()


LEFT = {
    "deep lists": b"[" * 200_000,
    "no notes": _form(notes="- a"),
    "alias notes": _form(notes="a: &a x\nb: *a\n"),
    "no score": _form(score="????"),
    "a path that is none": _form(path=3),
    "chosen, but there is none": _form(chosen="first"),
    "organ without text": _form(organs=[{"path": None}]),
    "organ of aliases": _form(organs=[{"path": "a.yaml", "text": bombs.YAML["alias bomb"]().decode()}]),
    "not UTF-8": b"\xff\xfe{}",
    "number of 5,000 digits": b'{"form": ' + b"9" * 5000 + b"}",
    **{
        name: _form(score=b64encode(bombs.SCORES[name]()).decode())
        for name in ("entity bomb", "zip bomb", "deep", "cut off")
    },
}


@pytest.mark.parametrize("name", LEFT)
def test_unsaved_work_that_is_a_bomb_is_set_aside(
    window: Window, tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = window.recovery = Recovery(window, tmp_path, every_ms=3_600_000)
    monkeypatch.setattr(keeper, "ask", lambda kept: pytest.fail("it was offered"))
    left = tmp_path / "1-dead.unsaved"
    left.write_bytes(LEFT[name])
    assert not keeper.offer()
    assert not keeper.left_behind()
    assert left.with_suffix(".unreadable").read_bytes() == LEFT[name]


@pytest.mark.skipif(os.name == "nt", reason="modes are POSIX's")
@pytest.mark.usefixtures("still_works")
def test_unsaved_work_is_for_its_owner_alone(window: Window, tmp_path: Path) -> None:
    from core.edits import AddMarking

    keeper = window.recovery = Recovery(window, tmp_path / "state", every_ms=3_600_000)
    window.session.perform(AddMarking(part=0, bar=5, staff=1, in_bar=0, text="Sw. Oboe", measure="6"))
    wait_for(lambda: window.session.undo.count() == 1 and not window.workers.is_busy)
    keeper.keep()
    wait_for(lambda: keeper.file.exists() and not window.workers.is_busy)
    assert keeper.file.stat().st_mode & 0o777 == 0o600
    assert keeper.folder.stat().st_mode & 0o777 == 0o700
