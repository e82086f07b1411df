"""The size of the score: by wheel, by keys, by pinching; crisp at every size and on screens of any density."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QNativeGestureEvent, QPainter, QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from window_support import wait_for

from app.page_painting import paint_page
from app.palette import LIGHT
from app.tiles import SIDE, Tiles
from app.window import Window

CTRL = Qt.KeyboardModifier.ControlModifier


def _pinch(window: Window, *steps: float) -> None:
    port = window.score.viewport()
    device = QPointingDevice.primaryPointingDevice()
    at = QPointF(port.rect().center())
    kinds = [(Qt.NativeGestureType.BeginNativeGesture, 0.0)]
    kinds += [(Qt.NativeGestureType.ZoomNativeGesture, step) for step in steps]
    kinds.append((Qt.NativeGestureType.EndNativeGesture, 0.0))
    for kind, value in kinds:
        event = QNativeGestureEvent(kind, device, 2, at, at, port.mapToGlobal(at), value, QPointF(), 1)
        QApplication.sendEvent(port, event)


def test_pinching_on_a_touchpad_changes_the_size_round_the_fingers(opened: Window) -> None:
    view = opened.score
    view.set_zoom(100)
    at = QPointF(view.viewport().rect().center())
    held = view.point_on_page(at)
    assert held is not None
    _pinch(opened, *[0.02] * 30)
    assert view.zoom_per_cent == pytest.approx(100 * 1.02**30, rel=0.03), "small steps add up"
    after = view.point_on_page(at)
    assert after is not None
    assert (after[1] - held[1]).manhattanLength() < 400
    _pinch(opened, *[-0.05] * 60)
    assert view.zoom_per_cent == 25, "no smaller"


def test_two_fingers_on_a_touch_screen_change_the_size(opened: Window) -> None:
    view = opened.score
    view.set_zoom(100)
    port, device = view.viewport(), QTest.createTouchDevice()
    centre = port.rect().center()

    def fingers(apart: int, what: str) -> None:
        touch = QTest.touchEvent(port, device, False)
        for number, side in enumerate((-1, 1)):
            getattr(touch, what)(number, centre + QPoint(side * apart, 0), port)
        touch.commit()
        QApplication.processEvents()

    fingers(60, "press")
    for apart in range(70, 190, 10):
        fingers(apart, "move")
    fingers(180, "release")
    assert view.zoom_per_cent > 150


def test_keys_change_the_size(opened: Window) -> None:
    view = opened.score
    view.set_zoom(100)
    QTest.keyClick(opened, Qt.Key.Key_Equal, CTRL)
    assert view.zoom_per_cent == 115
    QTest.keyClick(opened, Qt.Key.Key_Minus, CTRL)
    assert view.zoom_per_cent == 100
    QTest.keyClick(opened, Qt.Key.Key_0, CTRL)
    assert view.zoom == 0


def test_nothing_goes_white_while_the_size_changes(opened: Window) -> None:
    view = opened.score
    wait_for(lambda: not view._idle.isActive())
    view.set_zoom(180)
    tiles = view.tiles
    tiles.set_look(view.scale, view.devicePixelRatioF(), LIGHT)
    picture = QImage(400, 400, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.magenta)
    painter = QPainter(picture)
    tiles.stretch(painter, 0, QPointF(0, 0))
    painter.end()
    assert picture.pixelColor(200, 200) != Qt.GlobalColor.magenta


@pytest.mark.parametrize("per_cent", [100, 137, 400])
@pytest.mark.parametrize("ratio", [1.0, 1.25, 2.0])
def test_staff_lines_are_whole_pixels_at_every_size_and_density(opened: Window, per_cent: int, ratio: float) -> None:
    """A line that is not on whole pixels is grey: then the picture has few pure ones among its rows of ink."""
    compiled = opened.score.store.compiled(0)
    assert compiled is not None
    scale = per_cent / 100 * 794 / 21000
    left, top = compiled.systems[0]["bars"][0]["x"][0], compiled.systems[0]["staves"][0][0]
    bottom = compiled.systems[0]["staves"][0][1]
    picture = QImage(round(60 * ratio), round((bottom - top) * scale * ratio) + 40, QImage.Format.Format_RGB32)
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.white)
    painter = QPainter(picture)
    shift = QPointF(-round((left + 1500) * scale * ratio) / ratio, -round(top * scale * ratio - 10) / ratio)
    painter.translate(shift)
    paint_page(painter, compiled, QColor("black"), scale, QRectF(left, top - 200, 9000, bottom - top + 400))
    painter.end()
    columns = [[picture.pixelColor(x, y).lightness() for y in range(picture.height())] for x in range(picture.width())]
    plain = [column for column in columns if set(column) <= {0, 255}]
    assert plain, "where no note stands, a column is ink or paper, nothing between"
    staves = [run for column in plain if len(run := _runs(column)) == 5]
    assert staves, "five lines"
    assert all(len(set(run)) == 1 for run in staves), "all of one width"


def _runs(column: list[int]) -> list[int]:
    """How long each stretch of ink is."""
    found, length = [], 0
    for value in [*column, 255]:
        if value == 0:
            length += 1
        elif length:
            found.append(length)
            length = 0
    return found


def test_tiles_meet_without_a_seam_on_dense_screens() -> None:
    for ratio in (1.0, 1.25, 1.5, 1.75, 2.0, 3.0):
        assert (SIDE * ratio).is_integer()
    assert Tiles().get((0, 0, 0)) is None
