"""Doubtful beginnings and ends of solos in the score: bands that thin out, flags that are taken by one click."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from window_support import document_of, make_score, wait_for, words

from app.open_finding import OpenFinding
from app.overlay import Flag
from app.window import Window
from core.organ.model import Organ
from making import Piece

_SIGN = (
    b'<direction placement="above"><direction-type><rehearsal>B</rehearsal></direction-type></direction>'
    b"<attributes><key><fifths>-3</fifths></key></attributes>"
)


def _open(window: Window, organ: Organ, texts: dict[int, list[str]]) -> None:
    score = make_score(12, texts, notes=8).replace(b'<measure number="9">', b'<measure number="9">' + _SIGN)
    window.session.set_document(document_of(score, organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))


@pytest.fixture
def no_end(window: Window, small_organ: Organ) -> Window:
    """A solo that nothing ends."""
    _open(window, small_organ, {0: [words("Gt. Open Diapason 8", 1, "below")], 2: [words("R.H. Sw. Oboe 8")]})
    return window


@pytest.fixture
def no_beginning(window: Window, small_organ: Organ) -> Window:
    """A solo whose marking stands over a held chord, a beat before the upbeat."""
    chords, line = ("C4+E4+G4 C4+E4+G4 C4+E4+G4 C4+E4+G4", "C3+G3:4", "C3:4"), ("E5 G5 A5 G5", "C3+G3:4", "C3:4")
    piece = Piece().text(1, 1, "Gt. Open Diapason 8").text(1, 1, "Ped. Bourdon 16", staff=3)
    piece.repeat_bars(3, *chords).bar("C4+E4+G4:3 E5", "C3+G3:4", "C3:4").repeat_bars(4, *line)
    piece.repeat_bars(2, *chords).text(4, 3, "Sw. Solo").text(9, 1, "Gt.")
    window.session.set_document(document_of(piece.xml(), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window


def _flags(window: Window, *, is_start: bool = False) -> list[Flag]:
    overlay = window.score.store.overlay(0)
    assert overlay is not None
    return [flag for flag in overlay.flags if flag.is_start == is_start]


def _on_view(window: Window, flag: Flag) -> QPoint:
    piece = window.score.piece_with(0, flag.y)
    assert piece is not None
    across = 120 if flag.is_start else -120
    return (piece.origin + QPointF(flag.x + across, flag.y - 150) * window.score.scale).toPoint()


def _settle(window: Window, count: int) -> None:
    wait_for(lambda: window.session.undo.count() >= count and not window.workers.is_busy)
    wait_for(lambda: window.session.derived is not None)


@pytest.mark.parametrize(("by_bracket", "name"), [(True, "add a bracket"), (False, "add ‘R.H. Great’")])
def test_one_click_on_a_flag_ends_the_solo_there(no_end: Window, by_bracket: bool, name: str) -> None:
    no_end.set_brackets(by_bracket)
    best = next(flag for flag in _flags(no_end) if flag.number == 1)
    assert "A click does it" in no_end.score._flag_words(best)
    QTest.mouseClick(no_end.score.viewport(), Qt.MouseButton.LeftButton, pos=_on_view(no_end, best))
    _settle(no_end, 1)
    assert no_end.session.undo.undoText().startswith(name)
    derived = no_end.session.derived
    assert derived is not None
    assert derived.analysis.passages[0].end_onset == best.onset
    assert not _flags(no_end)


def test_a_doubtful_end_thins_out_and_a_marked_one_does_not(no_end: Window) -> None:
    overlay = no_end.score.store.overlay(0)
    assert overlay is not None
    assert any(band.fade is not None for band in overlay.bands)
    flag = _flags(no_end)[0]
    QTest.mouseClick(no_end.score.viewport(), Qt.MouseButton.LeftButton, pos=_on_view(no_end, flag))
    _settle(no_end, 1)
    overlay = no_end.score.store.overlay(0)
    assert overlay is not None
    assert overlay.bands
    assert all(band.fade is None for band in overlay.bands)


def test_a_solo_that_is_clear_has_no_flags_and_its_note_is_kept(no_end: Window) -> None:
    findings = no_end.proof.model.findings
    number = next(n for n, f in enumerate(findings) if f.rule == "solo-without-end")
    no_end.session.choose_finding(number)
    opened = next(iter(no_end.proof.findChildren(OpenFinding)))
    QTest.keyClicks(opened.reason, "until the chords")
    QTest.keyClick(opened.reason, Qt.Key.Key_Return)
    _settle(no_end, 1)
    assert [d.reason for d in no_end.session.document.notes.dismissals] == ["until the chords"]
    assert not _flags(no_end)
    no_end.session.undo.undo()
    wait_for(lambda: not no_end.workers.is_busy)
    assert _flags(no_end)


def test_a_doubtful_beginning_has_flags_and_one_click_settles_it(no_beginning: Window) -> None:
    flags = _flags(no_beginning, is_start=True)
    assert flags
    assert any(f.rule == "solo-start-doubtful" for f in no_beginning.proof.model.findings)
    QTest.mouseClick(no_beginning.score.viewport(), Qt.MouseButton.LeftButton, pos=_on_view(no_beginning, flags[0]))
    _settle(no_beginning, 1)
    assert not any(f.rule == "solo-start-doubtful" for f in no_beginning.proof.model.findings)


def test_keys_go_from_solo_to_solo(window: Window, small_organ: Organ) -> None:
    texts = {
        0: [words("Gt. Open Diapason 8", 1, "below")],
        2: [words("R.H. Sw. Oboe 8")],
        4: [words("Both hands Gt.")],
        8: [words("R.H. Sw. Oboe 8")],
    }
    _open(window, small_organ, texts)
    session = window.session
    assert session.derived is not None
    starts = [p.start_onset for p in session.derived.analysis.passages]
    assert len(starts) == 2
    QTest.keyClick(window, Qt.Key.Key_F9)
    assert session.cursor.onset == starts[0]
    QTest.keyClick(window, Qt.Key.Key_F9)
    assert session.cursor.onset == starts[1]
    QTest.keyClick(window, Qt.Key.Key_F9, Qt.KeyboardModifier.ShiftModifier)
    assert session.cursor.onset == starts[0]
