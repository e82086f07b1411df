"""Pages on a desk, or their systems in one strip: how large they are shown and where each lies.

What is on them is painted elsewhere. Both are the same engraving; a `Piece` of it is a page, or a system of the strip.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from app.strip import Slab, Strip

PAGE_WIDTH, PAGE_HEIGHT = 21000.0, 29700.0
WIDTH_AT_100 = 794.0
"""An A4 page is 794 pixels wide at 96 to the inch."""
WIDEST_FIT = 1.2
"""On a wide screen a page as wide as the view would show one system at a time."""
SHADOW = 14
GAP = 18
STRIP_EDGE = 10
SMALLEST, LARGEST = 25.0, 800.0


class Piece(NamedTuple):
    """A page, or a system of the strip, in the viewport.

    Attributes:
        origin: where the engraving's own corner lies; the title block stands above it.
        area: what is shown of it, in pixels.
        system: which of the page's systems; None for a whole page, and for what has not come.
    """

    page: int
    origin: QPointF
    area: QRectF
    system: int | None = None


class PageDesk(QAbstractScrollArea):
    """Pages of one size, one below the other, the first higher by its title block; or their systems side by side.

    Signals:
        zoom_changed: per cent.
    """

    zoom_changed = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.zoom = 0.0  # 0: as wide as the view
        self.page_count = 0
        self.title_height = 0.0
        self.is_strip = False
        self.lane_height = 0.0
        self.strip = Strip()
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)

    @property
    def scale(self) -> float:
        """Pixels to a page unit."""
        if self.zoom > 0:
            return self.zoom / 100 * WIDTH_AT_100 / PAGE_WIDTH
        widest = WIDTH_AT_100 * WIDEST_FIT / PAGE_WIDTH
        if self.is_strip:
            return max(0.5 * widest, min(widest, (self.viewport().height() - 2 * STRIP_EDGE) / self.strip_height))
        return min(max(300.0, self.viewport().width() - 2 * SHADOW) / PAGE_WIDTH, widest)

    @property
    def zoom_per_cent(self) -> int:
        """The size shown, in per cent."""
        return round(self.scale * PAGE_WIDTH / WIDTH_AT_100 * 100)

    @property
    def strip_height(self) -> float:
        """Height of the strip with its lane, in page units."""
        return self.strip.above + self.strip.below + self.lane_height

    def set_zoom(self, per_cent: float, around: QPointF | None = None) -> None:
        """Show at another size (0: as wide as the view), what is at `around` staying there."""
        point = around if around is not None else QPointF(self.viewport().rect().center())
        held = self.held_at(point)
        self.zoom = min(max(per_cent, SMALLEST), LARGEST) if per_cent > 0 else 0.0
        self.set_ranges()
        self.hold(held, point)
        self.zoom_changed.emit(self.zoom_per_cent)
        self.viewport().update()

    def held_at(self, point: QPointF) -> tuple[Piece, QPointF] | None:
        """What lies at a point of the viewport, or nearest to it: for `hold`."""
        pieces = self.pieces()
        if not pieces:
            return None
        piece = next((p for p in pieces if p.area.contains(point)), None)
        if piece is None:
            piece = min(pieces, key=lambda p: (p.area.center() - point).manhattanLength())
        return piece, (point - piece.origin) / self.scale

    def hold(self, held: tuple[Piece, QPointF] | None, point: QPointF) -> None:
        """Scroll so that what was held lies at a point of the viewport."""
        if held is None:
            return
        piece, where = held
        if self.is_strip:
            slab = self.strip.slab_like(piece.page, piece.system)
            if slab is None:
                return
            origin = self._slab_piece(slab).origin
        else:
            origin = self._page_piece(piece.page).origin
        off = origin + where * self.scale - point
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(round(across.value() + off.x()))
        down.setValue(round(down.value() + off.y()))

    # pages

    def page_height(self, page: int) -> float:
        """Height in pixels, the first page with its title block."""
        return (PAGE_HEIGHT + (self.title_height if page == 0 else 0)) * self.scale

    def page_rect(self, page: int) -> QRectF:
        """Where a page lies in the viewport, where pages are shown; on whole pixels, so that it is crisp."""
        width = PAGE_WIDTH * self.scale
        room = self.viewport().width()
        x = max(SHADOW, (room - width) / 2) - self.horizontalScrollBar().value()
        y = float(GAP)
        if page > 0:
            y += self.page_height(0) + GAP + (page - 1) * (PAGE_HEIGHT * self.scale + GAP)
        return QRectF(
            self._snapped(x), self._snapped(y - self.verticalScrollBar().value()), width, self.page_height(page)
        )

    def _snapped(self, pixels: float) -> float:
        ratio = self.devicePixelRatioF()
        return round(pixels * ratio) / ratio

    def _page_piece(self, page: int) -> Piece:
        rect = self.page_rect(page)
        lift = self.title_height * self.scale if page == 0 else 0.0
        return Piece(page, rect.topLeft() + QPointF(0, lift), rect)

    def page_point(self, page: int, point: QPointF) -> QPointF:
        """A point of the viewport in the page's units, the engraving's own corner as origin (where pages are shown)."""
        return (point - self._page_piece(page).origin) / self.scale

    # the strip

    @property
    def strip_top(self) -> float:
        """Where the strip begins in the viewport: in its middle, where there is room."""
        free = self.viewport().height() - self.strip_height * self.scale
        return max(float(STRIP_EDGE), free / 2) - self.verticalScrollBar().value()

    def _slab_piece(self, slab: Slab) -> Piece:
        scale, cut = self.scale, slab.cut
        x = slab.x * scale - self.horizontalScrollBar().value()
        staff = self.strip_top + self.strip.above * scale
        if slab.system is None:
            top = self._snapped(staff - self.strip.above * scale)
            return Piece(slab.page, QPointF(x, top), QRectF(x, top, cut.right * scale, self.strip_height * scale))
        origin = QPointF(self._snapped(x - cut.left * scale), self._snapped(staff - cut.staff * scale))
        rect = QRectF(cut.left * scale, cut.top * scale, (cut.right - cut.left) * scale, (cut.bottom - cut.top) * scale)
        return Piece(slab.page, origin, rect.translated(origin), slab.system)

    # both

    def pieces(self, before: float = 0.0, after: float = 0.0) -> list[Piece]:
        """What is in view, and so many pixels further back and on."""
        room = self.viewport().size()
        if self.is_strip:
            left = self.horizontalScrollBar().value()
            edges = (left - before) / self.scale, (left + room.width() + after) / self.scale
            return [self._slab_piece(slab) for slab in self.strip.between(*edges)]
        found = []
        for page in range(self.page_count):
            piece = self._page_piece(page)
            if piece.area.top() > room.height() + after:
                break
            if piece.area.bottom() > -before:
                found.append(piece)
        return found

    def piece_with(self, page: int, y: float) -> Piece | None:
        """The piece that shows a height of a page (page units), wherever it lies."""
        if not self.is_strip:
            return self._page_piece(page)
        slab = self.strip.slab_of(page, y)
        return self._slab_piece(slab) if slab is not None else None

    def first_visible(self) -> int:
        """Number of the first page in view, from 0."""
        pieces = self.pieces()
        return pieces[0].page if pieces else 0

    def visible_pages(self) -> list[int]:
        """Numbers of the pages of which something is in view."""
        return list(dict.fromkeys(piece.page for piece in self.pieces()))

    def set_ranges(self) -> None:
        """Tell the scroll bars how much there is."""
        room = self.viewport().size()
        if self.is_strip:
            self._set_strip_ranges(room)
            return
        height = GAP * (self.page_count + 1) + sum(self.page_height(n) for n in range(self.page_count))
        self.verticalScrollBar().setRange(0, max(0, round(height) - room.height()))
        self.verticalScrollBar().setPageStep(room.height())
        self.verticalScrollBar().setSingleStep(48)
        width = PAGE_WIDTH * self.scale + 2 * SHADOW
        self.horizontalScrollBar().setRange(0, max(0, round(width) - room.width()))
        self.horizontalScrollBar().setPageStep(room.width())

    def _set_strip_ranges(self, room: QSize) -> None:
        self.strip.lay_out(self.page_count, self.title_height)
        height = round(self.strip_height * self.scale) + 2 * STRIP_EDGE
        self.verticalScrollBar().setRange(0, max(0, height - room.height()))
        self.verticalScrollBar().setPageStep(room.height())
        self.horizontalScrollBar().setRange(0, max(0, round(self.strip.width * self.scale) - room.width()))
        self.horizontalScrollBar().setPageStep(round(room.width() * 0.9))
        self.horizontalScrollBar().setSingleStep(48)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the beginning of what was in view."""
        super().resizeEvent(event)
        self.set_ranges()
        self.zoom_changed.emit(self.zoom_per_cent)
