"""Brackets drawn, moved and taken away with a real mouse and real keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from window_support import document_of, make_score, wait_for, words

from app.bracket_places import BracketSpot, bracket_spots
from app.window import Window
from core.organ.model import Organ


@pytest.fixture
def piece(window: Window, small_organ: Organ) -> Window:
    """A piece whose right hand plays a solo from bar 3 on."""
    texts = {0: [words("Gt. Open Diapason 8"), words("Gt. Open Diapason 8", 2)], 2: [words("R.H. Sw. Oboe 8")]}
    window.session.set_document(document_of(make_score(24, texts, notes=4), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    wait_for(lambda: len(window.score.engraver._done) == window.score.engraver.pages)
    return window


def _note(window: Window, bar: int, beat: int = 0, staff: int = 0) -> QPoint:
    """Where a quarter of a bar stands, in the middle of a staff."""
    view, score = window.score, window.session.score
    assert score is not None
    page = view.store.page_of(bar)
    assert page is not None
    places = view.store.places(page)
    assert places is not None
    x = places.x_of(bar, score.bars[bar].onset + beat * score.ticks)
    top, bottom = places.bars[bar].staves[staff]
    piece = view.piece_with(page, top)
    assert x is not None
    assert piece is not None
    return (piece.origin + QPointF(x + 80, (top + bottom) / 2) * view.scale).toPoint()


def _move(window: Window, to: QPoint) -> None:
    """A move of the mouse with the button down (the toolkit's own test helper moves without)."""
    port = window.score.viewport()
    at = QPointF(to)
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        at,
        QPointF(port.mapToGlobal(to)),
        Qt.MouseButton.NoButton,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(port, event)


def _drag(window: Window, start: QPoint, *points: QPoint) -> None:
    port = window.score.viewport()
    QTest.mousePress(port, Qt.MouseButton.LeftButton, pos=start)
    for point in points:
        _move(window, point)
    QTest.mouseRelease(port, Qt.MouseButton.LeftButton, pos=points[-1])


def _settle(window: Window, count: int) -> None:
    wait_for(lambda: window.session.undo.count() >= count and not window.workers.is_busy)
    wait_for(lambda: window.session.derived is not None)
    engraver = window.score.engraver
    wait_for(lambda: engraver.pages > 0 and len(engraver._done) == engraver.pages)


def _spot(window: Window) -> BracketSpot:
    places = window.score.store.places(0)
    assert places is not None
    return bracket_spots(places)[0]


def _on_view(window: Window, point: QPointF | None) -> QPoint:
    assert point is not None
    piece = window.score.piece_with(0, point.y())
    assert piece is not None
    return (piece.origin + point * window.score.scale).toPoint()


def _bracket(window: Window) -> tuple[int, int, int, int, int]:
    """Staff, first bar and beat, last bar and beat of the only bracket."""
    score = window.session.score
    assert score is not None
    (bracket,) = score.brackets
    assert bracket.end is not None
    first, last = score.bar_at(bracket.onset), score.bar_at(bracket.end)
    beats = [(onset - bar.onset) // score.ticks for onset, bar in ((bracket.onset, first), (bracket.end, last))]
    return bracket.staff, first.index, beats[0], last.index, beats[1]


def test_dragging_along_a_staff_draws_a_bracket_in_one_step(piece: Window) -> None:
    before = piece.session.document.source
    _drag(piece, _note(piece, 2), _note(piece, 3, 1), _note(piece, 4, 2))
    _settle(piece, 1)
    assert _bracket(piece) == (1, 2, 0, 4, 2)
    assert piece.session.undo.undoText() == "add a bracket from bar 3 to bar 5"
    wait_for(lambda: "from bar 3 to bar 5" in piece.statusBar().currentMessage())
    solo = piece.session.derived.analysis.passages[0]  # type: ignore[union-attr]
    assert solo.marked_end
    assert not any(f.rule == "solo-without-end" for f in piece.proof.model.findings)
    QTest.keyClick(piece, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert piece.session.document.source is before
    wait_for(lambda: not piece.workers.is_busy)


def test_the_bracket_is_shown_while_it_is_drawn(piece: Window) -> None:
    port = piece.score.viewport()
    QTest.mousePress(port, Qt.MouseButton.LeftButton, pos=_note(piece, 2))
    before = port.grab().toImage()
    _move(piece, _note(piece, 3, 2))
    stretch = piece.score.brackets.stretch
    assert stretch is not None
    assert stretch.is_something
    assert port.grab().toImage() != before
    _move(piece, _note(piece, 2))
    QTest.mouseRelease(port, Qt.MouseButton.LeftButton, pos=_note(piece, 2))
    assert piece.session.undo.count() == 0, "back where it began: nothing is written"
    assert piece.score.brackets.stretch is None


def test_a_drag_stays_on_its_staff_and_may_go_backwards(piece: Window) -> None:
    _drag(piece, _note(piece, 3, 2, staff=1), _note(piece, 2, 0, staff=0), _note(piece, 1, 1, staff=0))
    _settle(piece, 1)
    assert _bracket(piece) == (2, 1, 1, 3, 2)


def test_a_click_that_trembles_draws_nothing(piece: Window) -> None:
    start = _note(piece, 2)
    _drag(piece, start, start + QPoint(2, 1))
    assert piece.score.brackets.stretch is None
    assert piece.session.undo.count() == 0


def test_escape_ends_a_drag(piece: Window) -> None:
    port = piece.score.viewport()
    QTest.mousePress(port, Qt.MouseButton.LeftButton, pos=_note(piece, 2))
    _move(piece, _note(piece, 3, 2))
    QTest.keyClick(piece.score, Qt.Key.Key_Escape)
    QTest.mouseRelease(port, Qt.MouseButton.LeftButton, pos=_note(piece, 3, 2))
    assert piece.session.undo.count() == 0


def test_a_drag_beside_the_staves_draws_nothing(piece: Window) -> None:
    below = QPoint(0, round(1500 * piece.score.scale))
    _drag(piece, _note(piece, 2, 0, 2) + below, _note(piece, 3, 0, 2) + below)
    assert piece.session.undo.count() == 0


def test_an_end_is_dragged_elsewhere(piece: Window) -> None:
    _drag(piece, _note(piece, 2), _note(piece, 3, 2))
    _settle(piece, 1)
    _drag(piece, _on_view(piece, _spot(piece).end), _note(piece, 2, 3), _note(piece, 2, 2))
    _settle(piece, 2)
    assert _bracket(piece) == (1, 2, 0, 2, 2)
    assert piece.session.undo.undoText() == "move a bracket’s end to bar 3"
    _drag(piece, _on_view(piece, _spot(piece).start), _note(piece, 1, 1), _note(piece, 1, 0))
    _settle(piece, 3)
    assert _bracket(piece) == (1, 1, 0, 2, 2)
    assert piece.session.undo.undoText() == "move a bracket’s beginning to bar 2"


@pytest.mark.parametrize("by", ["key", "link"])
def test_a_chosen_bracket_is_taken_away(piece: Window, by: str) -> None:
    _drag(piece, _note(piece, 2), _note(piece, 3, 2))
    _settle(piece, 1)
    middle = _on_view(piece, _spot(piece).lines[0].center())
    QTest.mouseClick(piece.score.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    brackets = piece.score.brackets
    assert brackets.chosen is not None
    assert brackets.card.isVisible()
    if by == "key":
        QTest.keyClick(piece.score, Qt.Key.Key_Delete)
    else:
        brackets.card.lines.itemAt(2).widget().linkActivated.emit("#")  # type: ignore[union-attr]
    _settle(piece, 2)
    assert piece.session.score is not None
    assert not piece.session.score.brackets
    assert not brackets.card.isVisible()
    assert piece.session.undo.undoText() == "delete the bracket at bar 3"


def test_a_bracket_is_drawn_by_keys_alone(piece: Window) -> None:
    score = piece.session.score
    assert score is not None
    piece.session.move_to(score.bars[2].onset)
    piece.score.setFocus()
    QTest.keyClick(piece, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    for _ in range(5):
        QTest.keyClick(piece.score, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(piece.score, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(piece.score, Qt.Key.Key_Return)
    _settle(piece, 1)
    assert _bracket(piece) == (1, 2, 0, 3, 1)


def test_a_bracket_over_two_systems_is_shown_and_can_be_chosen_on_both(piece: Window) -> None:
    places = piece.score.store.places(0)
    assert places is not None
    last = places.systems[0].bars[-1]
    _drag(piece, _note(piece, last), _note(piece, last + 1, 1))
    _settle(piece, 1)
    spot = _spot(piece)
    assert len(spot.lines) == 2
    for line in spot.lines:
        found = piece.score.brackets.spot_at(QPointF(_on_view(piece, line.center())))
        assert found is not None
        assert found[0].bracket == spot.bracket
