"""The same marking elsewhere: by the clipboard, and at several beats at once."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from window_support import wait_for

from app.links import LinkLabel
from app.window import Window
from core.score.model import MarkingId

CTRL = Qt.KeyboardModifier.ControlModifier


def _marking(window: Window, text: str) -> MarkingId:
    assert window.session.derived is not None
    return next(m.id for m in window.session.derived.index.marks.values() if text in m.text.text)


def _settle(window: Window, count: int) -> None:
    wait_for(lambda: window.session.undo.count() >= count and not window.workers.is_busy)
    wait_for(lambda: window.session.derived is not None)


def _beat(window: Window, bar: int, staff: int) -> QPoint:
    view, score = window.score, window.session.score
    assert score is not None
    places = view.store.places(0)
    assert places is not None
    x, y = places.x_of(bar, score.bars[bar].onset), places.bars[bar].staves[staff][1] + 60
    piece = view.piece_with(0, y)
    assert x is not None
    assert piece is not None
    return (piece.origin + QPointF(x + 20, y) * view.scale).toPoint()


def _standing(window: Window, text: str) -> list[tuple[int, int]]:
    assert window.session.score is not None
    return [(t.bar, t.staff) for t in window.session.score.texts if t.text == text]


def test_a_copied_marking_is_pasted_at_the_cursor(opened: Window) -> None:
    opened.score.setFocus()
    opened.session.choose_marking(_marking(opened, "Ped. Bourdon"))
    QTest.keyClick(opened, Qt.Key.Key_C, CTRL)
    assert QGuiApplication.clipboard().text() == "Ped. Bourdon 16"
    score = opened.session.score
    assert score is not None
    opened.session.choose_marking(None)
    opened.session.move_to(score.bars[5].onset)
    QTest.keyClick(opened, Qt.Key.Key_V, CTRL)
    _settle(opened, 1)
    assert _standing(opened, "Ped. Bourdon 16") == [(0, 3), (5, 3)], "on its own staff"
    assert opened.session.undo.undoText() == "add ‘Ped. Bourdon 16’ at bar 6"
    opened.session.undo.undo()
    wait_for(lambda: opened.session.derived is not None)
    assert _standing(opened, "Ped. Bourdon 16") == [(0, 3)]


def test_words_from_elsewhere_are_pasted_too(opened: Window) -> None:
    QGuiApplication.clipboard().setText("Sw. Stopped Diapason 8")
    opened.score.setFocus()
    QTest.mouseClick(opened.score.viewport(), Qt.MouseButton.LeftButton, pos=_beat(opened, 4, 1))
    QTest.keyClick(opened, Qt.Key.Key_V, CTRL)
    _settle(opened, 1)
    assert _standing(opened, "Sw. Stopped Diapason 8") == [(4, 2)], "on the staff that was clicked"


def test_with_nothing_chosen_or_copied_a_sentence_says_what_to_do(opened: Window) -> None:
    QGuiApplication.clipboard().clear()
    opened.score.setFocus()
    QTest.keyClick(opened, Qt.Key.Key_V, CTRL)
    assert "nothing" in opened.statusBar().currentMessage() or "no marking" in opened.statusBar().currentMessage()
    QTest.keyClick(opened, Qt.Key.Key_C, CTRL)
    assert "Choose a marking" in opened.statusBar().currentMessage()
    assert opened.session.undo.count() == 0


def test_a_marking_is_put_at_several_beats_in_one_step_of_undo(opened: Window) -> None:
    before = opened.session.document.source
    opened.session.choose_marking(_marking(opened, "add Oboe"))
    links = [link for link in opened.score.card.findChildren(LinkLabel) if "other places" in link.words]
    links[0].linkActivated.emit("#")
    copying = opened.score.copying
    assert copying.card.isVisible()
    port = opened.score.viewport()
    for bar, staff in ((4, 0), (5, 1), (7, 0), (5, 1)):  # the second one is taken back
        QTest.mouseClick(port, Qt.MouseButton.LeftButton, pos=_beat(opened, bar, staff))
    assert [(p.staff, opened.session.score.bar_at(p.onset).index) for p in copying.places] == [(1, 4), (1, 7)]  # type: ignore[union-attr]
    assert opened.session.undo.count() == 0, "nothing is written before Enter"
    QTest.keyClick(opened.score, Qt.Key.Key_Return)
    _settle(opened, 1)
    assert _standing(opened, "add Oboe") == [(3, 1), (4, 1), (7, 1)]
    assert opened.session.undo.count() == 1
    assert opened.session.undo.undoText() == "put ‘add Oboe’ at 2 places"
    opened.session.undo.undo()
    assert opened.session.document.source is before
    wait_for(lambda: not opened.workers.is_busy)


def test_places_are_chosen_by_keys_too_and_escape_leaves_all_as_it_was(opened: Window) -> None:
    opened.score.setFocus()
    opened.session.choose_marking(_marking(opened, "add Oboe"))
    QTest.keyClick(opened, Qt.Key.Key_C, CTRL | Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(opened.score, Qt.Key.Key_Right)
    QTest.keyClick(opened.score, Qt.Key.Key_Space)
    QTest.keyClick(opened.score, Qt.Key.Key_Right)
    QTest.keyClick(opened.score, Qt.Key.Key_Space)
    assert len(opened.score.copying.places) == 2
    QTest.keyClick(opened.score, Qt.Key.Key_Escape)
    assert not opened.score.copying.is_open
    assert opened.session.undo.count() == 0


@pytest.mark.parametrize("enter", [False, True])
def test_what_is_typed_before_the_piece_is_read_is_not_lost(opened: Window, enter: bool) -> None:
    opened.score.setFocus()
    document = opened.session.document
    opened.session.set_document(document)  # worked through anew
    opened.session.derived = None
    QTest.keyClicks(opened.score, "Swx")
    QTest.keyClick(opened.score, Qt.Key.Key_Backspace)
    QTest.keyClicks(opened.score, ". ")
    QTest.keyClicks(opened.score, "Oboe")
    assert opened.score.ahead.text == "Sw. Oboe"
    assert opened.score.ahead.card.isVisible()
    if enter:
        QTest.keyClick(opened.score, Qt.Key.Key_Return)
    wait_for(lambda: opened.session.derived is not None)
    if enter:
        _settle(opened, 1)
        assert _standing(opened, "Sw. Oboe") == [(0, 1)]
    else:
        assert opened.score.writing.card.isVisible()
        assert opened.score.writing.card.field.text() == "Sw. Oboe"
    assert not opened.score.ahead.card.isVisible()


def test_a_marking_begun_while_another_is_worked_out_stays_open(opened: Window) -> None:
    score = opened.session.score
    assert score is not None
    opened.session.move_to(score.bars[4].onset)
    QTest.keyClicks(opened.score, "S")
    card = opened.score.writing.card
    QTest.keyClicks(card.field, "w.")
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    opened.session.move_to(score.bars[7].onset)
    QTest.keyClicks(opened.score, "G")  # at once
    QTest.keyClicks(card.field, "t.")
    _settle(opened, 1)
    assert card.isVisible()
    assert card.field.text() == "Gt."
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    _settle(opened, 2)
    assert _standing(opened, "Sw.") == [(4, 1)]
    assert _standing(opened, "Gt.") == [(7, 1)]
