"""Pinching: two fingers on a touchpad or on a touch screen change the size of the score, round where they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QNativeGestureEvent
from PySide6.QtWidgets import QGestureEvent, QPinchGesture

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk


class Pinching(QObject):
    """Turns pinches into sizes."""

    def __init__(self, desk: ScoreDesk) -> None:
        super().__init__(desk)
        self.desk = desk
        self._size = 0.0  # exact: many small steps must not be lost to rounding
        desk.viewport().setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)
        desk.viewport().grabGesture(Qt.GestureType.PinchGesture)

    def take(self, event: QEvent) -> bool:
        """An event of the viewport: True where it was a pinch."""
        if isinstance(event, QNativeGestureEvent):
            return self._touchpad(event)
        if isinstance(event, QGestureEvent):
            return self._touch_screen(event)
        return False

    def _touchpad(self, event: QNativeGestureEvent) -> bool:
        kind = event.gestureType()
        if kind is Qt.NativeGestureType.BeginNativeGesture:
            self._size = 0.0
        elif kind is Qt.NativeGestureType.ZoomNativeGesture:
            self._resize(1 + event.value(), event.position())
        else:
            return False
        event.accept()
        return True

    def _touch_screen(self, event: QGestureEvent) -> bool:
        pinch = event.gesture(Qt.GestureType.PinchGesture)
        if not isinstance(pinch, QPinchGesture):
            return False
        if pinch.state() is Qt.GestureState.GestureStarted:
            self._size = 0.0
        if pinch.changeFlags() & QPinchGesture.ChangeFlag.ScaleFactorChanged:
            centre = self.desk.viewport().mapFromGlobal(pinch.centerPoint().toPoint())
            self._resize(pinch.scaleFactor(), QPointF(centre))
        event.accept(pinch)
        return True

    def _resize(self, times: float, point: QPointF) -> None:
        if abs(self._size - self.desk.zoom_per_cent) > 1:  # another pinch, or the size was changed otherwise
            self._size = float(self.desk.zoom_per_cent)
        self._size *= max(times, 0.1)
        self.desk.set_zoom(self._size, point)
        self._size = min(max(self._size, 25.0), 800.0)
