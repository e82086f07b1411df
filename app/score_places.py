"""From the view to the score's places and back: what lies under a point, where a rectangle of a page is, the cursor."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QWidget

from app.overlay import LANE_TOP, lane_step
from app.page_desk import PageDesk, Piece
from app.page_store import PageStore
from app.session import Session
from app.strip import JOIN


class ScorePlaces(PageDesk):
    """A desk with the session's score on it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.store = PageStore()

    def rect_on_view(self, page: int, rect: QRectF) -> QRectF | None:
        """A rectangle of a page (page units) in the viewport, wherever that is scrolled to."""
        piece = self.piece_with(page, rect.top())
        if piece is None:
            return None
        scale = self.scale
        where = QRectF(rect.x() * scale, rect.y() * scale, rect.width() * scale, rect.height() * scale)
        return where.translated(piece.origin)

    def point_on_page(self, point: QPointF) -> tuple[int, QPointF] | None:
        """The page under a point of the viewport, and where on it (page units); None beside all pages."""
        for piece in self.pieces():
            if self.is_strip:
                if piece.system is not None and piece.area.left() <= point.x() < piece.area.right() + JOIN * self.scale:
                    return piece.page, self._off_strip(piece, (point - piece.origin) / self.scale)
            elif piece.area.contains(point):
                return piece.page, (point - piece.origin) / self.scale
        return None

    def _off_strip(self, piece: Piece, where: QPointF) -> QPointF:
        """A point of a system on the strip, with its lane where the page has it."""
        places = self.store.places(piece.page) if self.store.is_ready(piece.page) else None
        if places is None or piece.system is None:
            return where
        system = places.systems[piece.system]
        top = min(system.top, system.staves[0][0] if system.staves else system.top)
        y, drop = where.y(), self.lane_drop(piece)
        if y > system.bottom:
            y = max(system.bottom, y - drop)
        return QPointF(where.x(), max(y, top - 250) if piece.page or piece.system else y)

    def lane_drop(self, piece: Piece) -> float:
        """How much lower a system's lane stands on the strip, where all lanes are at one height."""
        places = self.store.places(piece.page)
        if places is None or piece.system is None or not self.is_strip:
            return 0.0
        system = places.systems[piece.system]
        return max(0.0, system.staves[0][0] + self.strip.below - system.bottom) if system.staves else 0.0

    def cursor_rect(self) -> QRectF | None:
        """Where the cursor stands in the viewport, from the system's top to its lane's end."""
        found = self._cursor_on_page()
        if found is None:
            return None
        page, x, top, bottom = found
        rect = self.rect_on_view(page, QRectF(x, top, 1, bottom - top))
        return QRectF(rect.x(), rect.y(), 1, rect.height()) if rect is not None else None

    def _cursor_page(self) -> int | None:
        """The page with the cursor's bar, as far as it has come."""
        score = self.session.score
        if score is None or not score.bars:
            return None
        return self.store.page_of(score.bar_at(self.session.cursor.onset).index)

    def _cursor_on_page(self) -> tuple[int, float, float, float] | None:
        score = self.session.score
        page = self._cursor_page()
        if score is None or page is None:
            return None
        bar = score.bar_at(self.session.cursor.onset).index
        places = self.store.places(page) if page is not None else None
        if places is None or bar not in places.bars:
            return None
        system = places.systems[places.bars[bar].system]
        x = places.x_of(bar, self.session.cursor.onset)
        lines = len(self.store.lines)
        lane = LANE_TOP + lane_step(lines) * lines
        if self.is_strip:
            lane += max(0.0, system.staves[0][0] + self.strip.below - system.bottom)
        return page, x or 0.0, min(system.top, system.staves[0][0]) - 60, system.bottom + lane
