"""The player's pencil marks over the engraved pages: slanted, behind a pencil sign, apart from the print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFont, QFontMetricsF, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QToolTip, QWidget

from app.lettering import text_font
from app.translation import tr
from core.markings.gathering import MarkingRead
from core.score.model import MarkingId

if TYPE_CHECKING:
    from app.score_desk import ScoreDesk
    from app.session import Session

SIGN = "✎"
_SMALLEST, _LARGEST = 9.0, 26.0
_HIGH = 430.0  # of the letters, in page units


@dataclass(frozen=True, slots=True)
class Pencilled:
    """A pencil mark where it stands in the viewport."""

    mark: MarkingRead
    rect: QRectF
    text: str


class PencilLayer(QWidget):
    """Lies over the score's pages and lets the mouse through."""

    def __init__(self, desk: ScoreDesk, session: Session) -> None:
        super().__init__(desk.viewport())
        self.desk = desk
        self.session = session
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)
        self.setAccessibleName(tr("Pencil marks"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.lower()
        desk.viewport().installEventFilter(self)
        session.derived_ready.connect(self.update)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """As large as what it lies over."""
        if event.type() == QEvent.Type.Resize and watched is self.desk.viewport():
            self.resize(self.desk.viewport().size())
        return super().eventFilter(watched, event)

    @property
    def marks(self) -> tuple[MarkingRead, ...]:
        """The marks of the organ that is chosen."""
        derived = self.session.derived
        return derived.analysis.pencil if derived is not None else ()

    def at(self, point: QPointF) -> MarkingId | None:
        """The pencil mark under a point of the viewport."""
        return next((one.mark.id for one in self.placed() if one.rect.contains(point)), None)

    def placed(self) -> list[Pencilled]:
        """The marks in view, where they stand: below their staff."""
        derived = self.session.derived
        if derived is None or not derived.analysis.pencil:
            return []
        found = []
        scale = self.desk.scale
        font = self._font()
        metrics = QFontMetricsF(font)
        for piece in self.desk.pieces():
            places = self.desk.store.places(piece.page)
            if places is None:
                continue
            for mark in derived.analysis.pencil:
                bar = places.bars.get(mark.text.bar)
                row = (mark.text.part, mark.text.staff)
                is_here = bar is not None and piece.system in (None, bar.system) and row in derived.index.rows
                x = places.x_of(mark.text.bar, mark.text.onset) if is_here else None
                number = derived.index.rows.index(row) if is_here else 0
                if bar is None or x is None or number >= len(bar.staves):
                    continue
                text = f"{SIGN} {' '.join(mark.text.text.split())}"
                where = piece.origin + QPointF(x - 100, bar.staves[number][1] + 120) * scale
                rect = QRectF(where.x(), where.y(), metrics.horizontalAdvance(text) + 4, metrics.height())
                if rect.intersects(piece.area):
                    found.append(Pencilled(mark, rect, text))
        return found

    def _font(self) -> QFont:
        font = text_font(italic=True)
        font.setPixelSize(round(min(max(_HIGH * self.desk.scale, _SMALLEST * 4 / 3), _LARGEST)))
        return font

    def paintEvent(self, event: QPaintEvent) -> None:
        """Each on a ground of paper, so that it can be read over what is printed."""
        placed = self.placed()
        if not placed:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._font())
        colours = self.desk.colours
        for one in placed:
            painter.fillRect(one.rect, colours.colour("page", 225))
            painter.setPen(colours.colour("faint"))
            painter.drawText(one.rect.adjusted(2, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, one.text)
            painter.setPen(QPen(colours.colour("faint"), 1, Qt.PenStyle.DashLine))
            painter.drawLine(one.rect.bottomLeft(), one.rect.bottomRight())
        painter.end()


class PencilMouse(QObject):
    """Makes pencil marks answer the mouse in the score.

    Signals:
        chosen: one was clicked (argument: its id).
    """

    chosen = Signal(object)

    def __init__(self, layer: PencilLayer) -> None:
        super().__init__(layer)
        self.layer = layer
        layer.desk.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Before the score sees it."""
        if not self.layer.marks:
            return False
        kind = event.type()
        if kind == QEvent.Type.MouseButtonPress and isinstance(event, QMouseEvent):
            marking = self.layer.at(event.position())
            if marking is not None and event.button() == Qt.MouseButton.LeftButton:
                self.chosen.emit(marking)
                return True
        if kind == QEvent.Type.ToolTip and isinstance(event, QHelpEvent) and self.layer.at(QPointF(event.pos())):
            QToolTip.showText(event.globalPos(), tr("Pencilled in: click to change it"), self.layer.desk.viewport())
            return True
        return False
