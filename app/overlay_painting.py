"""Paints what stands on a page besides the engraving. Patterns tell as much as colours do."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QFont,
    QFontMetricsF,
    QLinearGradient,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
)

from app.lettering import text_font
from app.overlay import Band, Flag, LaneRow, Overlay, Rule, Sign
from app.palette import LEVEL_COLOURS, SIGNS, Colours
from app.score_index import Mark
from core.score.model import MarkingId

LANE_TEXT = 365.0
_MARK_COLOURS = {
    Mark.PLAIN: "faint",
    Mark.DOTTED: "doubt",
    Mark.WAVY: "doubt",
    Mark.CROSSED: "error",
}


class OverlayPainter:
    """Paints one page's overlay; the painter stands at the page's corner, unscaled."""

    def __init__(self, painter: QPainter, colours: Colours, scale: float) -> None:
        self.painter = painter
        self.colours = colours
        self.scale = scale
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)

    def paint(self, overlay: Overlay, finding: int | None, marking: MarkingId | None) -> None:
        """Everything but the lane, chosen ones set off."""
        for band in overlay.bands:
            self._band(band)
        for rule in overlay.rules:
            self._rule(rule, rule.marking == marking)
        for flag in overlay.flags:
            self._flag(flag)
        for sign in overlay.signs:
            self._sign(sign, sign.finding == finding)

    def lane(self, rows: Iterable[LaneRow], *, names: bool) -> None:
        """The lane's lines, with their names at the left where they are wanted."""
        for row in rows:
            self._lane_row(row)
            if names:
                self._lane_name(row.name, row.y * self.scale, (row.left - 130) * self.scale)

    def lane_names(self, names: list[str], step: float) -> None:
        """The names of the lane's lines at the left edge, over what is there; the painter stands at the lane's top."""
        self.painter.setFont(self._font(LANE_TEXT * 0.95, italic=True))
        metrics = QFontMetricsF(self.painter.font())
        width = max(metrics.horizontalAdvance(name) for name in names) + 12
        high = (len(names) + 0.4) * step * self.scale
        self.painter.fillRect(QRectF(0, -2, width, high), self.colours.colour("page", 235))
        for number, name in enumerate(names):
            self._lane_name(name, (number + 0.6) * step * self.scale, width - 6)

    def _lane_name(self, name: str, y: float, right: float) -> None:
        self.painter.setFont(self._font(LANE_TEXT * 0.95, italic=True))
        self.painter.setPen(self.colours.colour("faint"))
        label = QRectF(0, y - 300 * self.scale, right, 400 * self.scale)
        self.painter.drawText(label, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, name)

    def _font(self, units: float, *, italic: bool = False) -> QFont:
        font = text_font(italic=italic)
        font.setPixelSize(max(7, round(units * self.scale)))
        return font

    def _band(self, band: Band) -> None:
        edges = [None if x is None else x * self.scale for x in (band.rise, band.fade)]
        self._hatch(self._rect(band.rect), *edges)

    def _hatch(self, rect: QRectF, rise: float | None, fade: float | None) -> None:
        """Slanted lines across a rectangle; up to `rise` they gather, from `fade` on they thin out to nothing."""
        painter = self.painter
        painter.save()
        painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
        painter.setPen(QPen(self._thinning(rect, rise, fade), 1.0))
        step = 8.0
        x = rect.left() - rect.height()
        lines = []
        while x < rect.right():
            lines.append(QLineF(x, rect.bottom(), x + rect.height(), rect.top()))
            x += step
        painter.drawLines(lines)
        painter.drawLine(QLineF(rect.topLeft(), rect.topRight()))
        painter.restore()

    def _thinning(self, rect: QRectF, rise: float | None, fade: float | None) -> QBrush:
        """The hatching's colour: even, or gathering and thinning out where a boundary is in doubt."""
        solid, nothing = self.colours.colour("accent", 84), self.colours.colour("accent", 0)
        if (rise is None and fade is None) or rect.width() <= 0:
            return QBrush(solid)
        gradient = QLinearGradient(rect.left(), 0, rect.right(), 0)
        if rise is not None:
            sure = min(max((rise - rect.left()) / rect.width(), 0.001), 1.0)
            gradient.setColorAt(0, nothing)
            gradient.setColorAt(sure, solid)
        else:
            gradient.setColorAt(0, solid)
        if fade is not None:
            gradient.setColorAt(min(max((fade - rect.left()) / rect.width(), 0.002), 0.998), solid)
            gradient.setColorAt(1, nothing)
        return QBrush(gradient)

    def _rule(self, rule: Rule, chosen: bool) -> None:
        painter = self.painter
        colour = self.colours.colour("accent" if chosen else _MARK_COLOURS[rule.kind])
        left, right, y = rule.left * self.scale, rule.right * self.scale, rule.y * self.scale + 1.5
        if chosen:
            painter.fillRect(self._rect(rule.box).adjusted(-3, -2, 3, 3), self.colours.colour("accent", 36))
        pen = QPen(colour, 1.2 if not chosen else 2.0)
        if rule.kind is Mark.DOTTED:
            pen.setWidthF(1.6)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pen.setDashPattern([0.1, 2.2])
        painter.setPen(pen)
        if rule.kind is Mark.WAVY:
            painter.drawPath(_wave(left, right, y + 1.5))
        else:
            painter.drawLine(QLineF(left, y, right, y))
        if rule.kind is Mark.CROSSED:
            x = left + 3
            while x < right:
                painter.drawLine(QLineF(x - 2.5, y + 2.5, x + 2.5, y - 2.5))
                x += 8

    def _sign(self, sign: Sign, chosen: bool) -> None:
        painter = self.painter
        painter.setFont(self._font(400))
        where = QRectF(0, 0, 520 * self.scale, 520 * self.scale)
        where.moveCenter(QPointF(sign.x * self.scale, sign.y * self.scale))
        if chosen:
            painter.setPen(QPen(self.colours.colour("accent"), 1.5))
            painter.setBrush(self.colours.colour("chosen"))
            painter.drawEllipse(where)
        painter.setPen(self.colours.colour(LEVEL_COLOURS[sign.level]))
        painter.drawText(where, Qt.AlignmentFlag.AlignCenter, SIGNS[sign.level])

    def _flag(self, flag: Flag) -> None:
        """A numbered flag: it flies towards the solo, so a beginning's flies on and an end's back."""
        painter = self.painter
        x, y = flag.x * self.scale, flag.y * self.scale
        size = max(11.0, 300 * self.scale)
        painter.setPen(QPen(self.colours.colour("accent"), 1.2, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(x, y, x, y + 1200 * self.scale))
        box = QRectF(x if flag.is_start else x - size, y - size * 1.1, size, size * 1.1)
        painter.setPen(QPen(self.colours.colour("accent"), 1.2))
        painter.setBrush(self.colours.colour("page"))
        painter.drawRect(box)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        font = self._font(260)
        font.setPixelSize(max(8, round(size * 0.85)))
        painter.setFont(font)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(flag.number))

    def _lane_row(self, row: LaneRow) -> None:
        painter = self.painter
        y = row.y * self.scale
        for left, right in row.bands:
            self._hatch(QRectF(left * self.scale, y - 2, (right - left) * self.scale, 150 * self.scale), None, None)
        painter.setPen(QPen(self.colours.colour("faint", 150), 1.0))
        for left, right in row.held:
            painter.drawLine(QLineF(left * self.scale, y, right * self.scale, y))
        for text in row.texts:
            font = self._font(LANE_TEXT, italic=text.pencil)
            metrics = QFontMetricsF(font)
            painter.setFont(font)
            words = metrics.elidedText(text.text, Qt.TextElideMode.ElideRight, text.room * self.scale)
            at = QPointF(text.x * self.scale, y - metrics.descent())
            ground = metrics.boundingRect(words).translated(at).adjusted(-1, 0, 4, 0)
            painter.fillRect(ground, self.colours.colour("page", 225))
            painter.setPen(self.colours.colour("faint" if text.pencil else "ink"))
            painter.drawText(at, words)
            painter.setPen(QPen(self.colours.colour("ink"), 1.2))
            painter.drawLine(QLineF(at.x() - 1, y - 4, at.x() - 1, y + 3))

    def cursor(self, x: float, top: float, bottom: float) -> None:
        """The cursor: a line through system and lane, with a small head."""
        painter = self.painter
        colour = self.colours.colour("accent")
        left, y0, y1 = x * self.scale, top * self.scale, bottom * self.scale
        painter.fillRect(QRectF(left - 3, y0, 7, y1 - y0), self.colours.colour("accent", 28))
        painter.setPen(QPen(colour, 1.4))
        painter.drawLine(QLineF(left, y0, left, y1))
        painter.setBrush(colour)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPolygon(QPolygonF([QPointF(left - 5, y0 - 6), QPointF(left + 5, y0 - 6), QPointF(left, y0)]))

    def bracket(self, start: QPointF, end: QPointF, *, begins: bool, ends: bool, is_below: bool = False) -> None:
        """A bracket that is being drawn, with its hooks."""
        left, right = start * self.scale, end * self.scale
        hook = max(7.0, 200 * self.scale) * (-1 if is_below else 1)
        self.painter.setPen(QPen(self.colours.colour("accent"), 2.4))
        self.painter.drawLine(left, right)
        for place, is_end in ((left, begins), (right, ends)):
            if is_end:
                self.painter.drawLine(place, place + QPointF(0, hook))

    def chosen_bracket(self, lines: Iterable[QRectF], ends: Iterable[QPointF]) -> None:
        """A chosen bracket: drawn over, with a handle at each end."""
        colour = self.colours.colour("accent")
        self.painter.setPen(QPen(colour, 2.4))
        for line in lines:
            where = self._rect(line)
            self.painter.drawLine(QLineF(where.left(), where.center().y(), where.right(), where.center().y()))
        self.painter.setBrush(self.colours.colour("page"))
        for end in ends:
            self.painter.setPen(QPen(colour, 1.6))
            self.painter.drawRect(QRectF(end.x() * self.scale - 4, end.y() * self.scale - 4, 8, 8))

    def ghost(self, words: str, x: float, y: float) -> None:
        """Words that are to be written at a place, in a dashed frame."""
        self.painter.setFont(self._font(LANE_TEXT, italic=True))
        metrics = QFontMetricsF(self.painter.font())
        at = QPointF(x * self.scale, y * self.scale)
        frame = metrics.boundingRect(words).translated(at).adjusted(-3, -1, 4, 1)
        self.painter.fillRect(frame, self.colours.colour("page", 235))
        self.painter.setPen(QPen(self.colours.colour("accent"), 1.2, Qt.PenStyle.DashLine))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(frame)
        self.painter.drawText(at, words)

    def spot(self, rect: QRectF) -> None:
        """The stretch of the chosen finding: a faint ground with an edge at both ends."""
        where = self._rect(rect)
        self.painter.fillRect(where, self.colours.colour("accent", 26))
        self.painter.setPen(QPen(self.colours.colour("accent", 160), 1.2))
        self.painter.drawLine(QLineF(where.topLeft(), where.bottomLeft()))
        self.painter.drawLine(QLineF(where.topRight(), where.bottomRight()))

    def _rect(self, rect: QRectF) -> QRectF:
        s = self.scale
        return QRectF(rect.x() * s, rect.y() * s, rect.width() * s, rect.height() * s)


def _wave(left: float, right: float, y: float) -> QPainterPath:
    path = QPainterPath(QPointF(left, y))
    x, up = left, True
    while x < right:
        path.quadTo(QPointF(x + 2.5, y - 3 if up else y + 3), QPointF(x + 5, y))
        x, up = x + 5, not up
    return path
