"""The score in one strip: the same engraving, set down in one line, worked with by the same clicks and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, QSettings, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from window_support import document_of, make_score, wait_for, words

from app.settings import Settings, load_settings, save_settings
from app.strip import JOIN, Strip, cut_of
from app.window import Window
from core.organ.model import Organ

_SYSTEM = {
    "staves": [[1000.0, 1720.0], [2500.0, 3220.0]],
    "bars": [{"bar": 0, "x": [1500.0, 9000.0]}, {"bar": 1, "x": [9000.0, 20000.0]}],
    "ink": [1100.0, 200.0, 20000.0, 3900.0],
}


def test_systems_follow_each_other_with_their_top_staves_at_one_height() -> None:
    strip = Strip()
    lower = {**_SYSTEM, "staves": [[9000.0, 9720.0]], "ink": [1300.0, 8900.0, 20000.0, 9800.0]}
    strip.put(0, [_SYSTEM, lower])
    strip.lay_out(1, 0.0)
    one, two = strip.between(0, strip.width)
    assert (one.page, one.system, two.system) == (0, 0, 1)
    assert two.x == one.end + JOIN
    assert strip.above == 860, "the higher one's room, from its staff up to its topmost sign and a little over"
    assert strip.slab_of(0, 3000.0) == one
    assert strip.slab_of(0, 5000.0) == one, "what is below a system, its lane, belongs to it"
    assert strip.slab_of(0, 9100.0) == two


def test_pages_that_have_not_come_are_reckoned_like_those_that_have() -> None:
    strip = Strip()
    strip.put(1, [_SYSTEM, _SYSTEM])
    strip.lay_out(3, 0.0)
    slabs = strip.between(0, strip.width)
    assert [(slab.page, slab.system) for slab in slabs] == [(0, None), (1, 0), (1, 1), (2, None)]
    assert slabs[0].end - slabs[0].x == pytest.approx(slabs[2].end - slabs[1].x)


def test_a_system_without_staves_is_left_out() -> None:
    assert cut_of({"staves": [], "bars": []}) is None


@pytest.fixture
def on_strip(window: Window, small_organ: Organ) -> Window:
    """A piece of several pages, in one strip."""
    texts = {0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2)], 40: [words("add Oboe")]}
    window.session.set_document(document_of(make_score(120, texts), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.engraver.pages > 1)
    wait_for(lambda: len(window.score.engraver._done) == window.score.engraver.pages)
    QTest.keyClick(window, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    return window


def _bar_point(window: Window, bar: int, staff: int = 0) -> QPoint:
    """Where a bar's first note stands in the viewport, below a staff."""
    view, score = window.score, window.session.score
    assert score is not None
    page = view.store.page_of(bar)
    assert page is not None
    places = view.store.places(page)
    assert places is not None
    x, y = places.x_of(bar, score.bars[bar].onset), places.bars[bar].staves[staff][1] + 60
    assert x is not None
    piece = view.piece_with(page, y)
    assert piece is not None
    return (piece.origin + QPointF(x + 20, y) * view.scale).toPoint()


def test_a_key_turns_pages_into_a_strip_and_back(on_strip: Window) -> None:
    view = on_strip.score
    assert view.is_strip
    assert on_strip.settings.strip
    assert view.horizontalScrollBar().maximum() > 10 * view.viewport().width()
    assert view.verticalScrollBar().maximum() == 0
    QTest.keyClick(on_strip, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert not view.is_strip
    assert view.horizontalScrollBar().maximum() == 0


def test_bars_stand_in_order_along_the_strip(on_strip: Window) -> None:
    points = [_bar_point(on_strip, bar) for bar in range(0, 120, 7)]
    assert [p.x() for p in points] == sorted(p.x() for p in points)
    assert max(p.y() for p in points) - min(p.y() for p in points) <= 2, "their staves are at one height"


def test_a_click_on_the_strip_chooses_the_beat(on_strip: Window) -> None:
    session = on_strip.session
    assert session.score is not None
    session.move_to(session.score.bars[60].onset)
    QApplication.processEvents()
    QTest.mouseClick(on_strip.score.viewport(), Qt.MouseButton.LeftButton, pos=_bar_point(on_strip, 61, 1))
    assert session.score.bar_at(session.cursor.onset).index == 61
    assert on_strip.score.writing.staff == (0, 2)


def test_the_cursor_stays_in_view_as_it_goes_on(on_strip: Window) -> None:
    session, view = on_strip.session, on_strip.score
    assert session.score is not None
    for bar in (0, 30, 90, 119, 3):
        session.move_to(session.score.bars[bar].onset)
        wait_for(lambda: view.cursor_rect() is not None)
        rect = view.cursor_rect()
        assert rect is not None
        assert 0 <= rect.x() <= view.viewport().width()


def test_the_cursor_is_painted_in_its_own_system_alone(on_strip: Window) -> None:
    session, view = on_strip.session, on_strip.score
    assert session.score is not None
    for bar in range(0, 60, 3):
        session.move_to(session.score.bars[bar].onset)
        wait_for(lambda: view.cursor_rect() is not None)
        found, rect = view._cursor_on_page(), view.cursor_rect()
        assert found is not None
        assert rect is not None
        pieces = [piece for piece in view.pieces() if piece.page == found[0] and view._is_on(piece, found[2])]
        assert len(pieces) == 1
        assert pieces[0].area.left() <= rect.x() <= pieces[0].area.right()
        band = view.strip_top, view.strip_top + view.strip_height * view.scale
        assert band[0] - 12 <= rect.top() < rect.bottom() <= band[1] + 12


def test_all_lanes_are_at_one_height(on_strip: Window) -> None:
    view = on_strip.score
    heights = set()
    for piece in view.pieces(0, 20000):
        overlay = view.store.overlay(piece.page)
        assert overlay is not None
        row = next(row for row in overlay.rows if row.system == piece.system)
        heights.add(round(piece.origin.y() + (row.y + view.lane_drop(piece)) * view.scale))
    assert max(heights) - min(heights) <= 1


def test_the_wheel_goes_on_in_the_music(on_strip: Window) -> None:
    view = on_strip.score
    view.horizontalScrollBar().setValue(0)
    centre = QPointF(view.viewport().rect().center())
    wheel = QWheelEvent(
        centre, view.viewport().mapToGlobal(centre), QPoint(), QPoint(0, -240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view.viewport(), wheel)
    assert view.horizontalScrollBar().value() > 0
    assert view.verticalScrollBar().value() == 0


def test_pages_that_come_later_do_not_move_what_is_in_view(window: Window, small_organ: Organ) -> None:
    window.set_strip(True)
    window.session.set_document(document_of(make_score(300, {}), small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.engraver.pages > 5)
    view, session = window.score, window.session
    assert session.score is not None
    session.move_to(session.score.bars[200].onset)
    wait_for(lambda: view.cursor_rect() is not None)
    seen = set()
    while len(view.engraver._done) < view.engraver.pages:
        rect = view.cursor_rect()
        assert rect is not None
        seen.add(round(rect.x()))
        QApplication.processEvents()
    assert max(seen, default=0) - min(seen, default=0) <= 2


def test_a_marking_is_written_on_the_strip(on_strip: Window) -> None:
    session = on_strip.session
    assert session.score is not None
    session.move_to(session.score.bars[80].onset)
    QTest.keyClicks(on_strip.score, "S")
    card = on_strip.score.writing.card
    assert card.isVisible()
    QTest.keyClicks(card.field, "w.")
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    wait_for(lambda: session.undo.count() == 1 and session.derived is not None)
    assert on_strip.score.is_strip
    assert any(text.text == "Sw." and text.bar == 80 for text in session.score.texts)


def test_the_strip_is_remembered(tmp_path: Path) -> None:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    assert not load_settings(store).strip
    save_settings(store, Settings(strip=True))
    assert load_settings(store).strip
