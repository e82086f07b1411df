"""Pages on a desk: how large they are shown and where each lies. What is on them is painted elsewhere."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

PAGE_WIDTH, PAGE_HEIGHT = 21000.0, 29700.0
WIDTH_AT_100 = 794.0
"""An A4 page is 794 pixels wide at 96 to the inch."""
WIDEST_FIT = 1.2
"""On a wide screen a page as wide as the view would show one system at a time."""
SHADOW = 14
GAP = 18


class PageDesk(QAbstractScrollArea):
    """Pages of one size, one below the other; the first is higher by its title block.

    Signals:
        zoom_changed: per cent.
    """

    zoom_changed = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.zoom = 0.0  # 0: as wide as the view
        self.page_count = 0
        self.title_height = 0.0
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)

    @property
    def scale(self) -> float:
        """Pixels to a page unit."""
        if self.zoom <= 0:
            width = max(300.0, self.viewport().width() - 2 * SHADOW)
            return min(width, WIDTH_AT_100 * WIDEST_FIT) / PAGE_WIDTH
        return self.zoom / 100 * WIDTH_AT_100 / PAGE_WIDTH

    @property
    def zoom_per_cent(self) -> int:
        """The size shown, in per cent."""
        return round(self.scale * PAGE_WIDTH / WIDTH_AT_100 * 100)

    def set_zoom(self, per_cent: float, around: QPointF | None = None) -> None:
        """Show at another size (0: as wide as the view), what is at `around` staying there."""
        point = around if around is not None else QPointF(self.viewport().rect().center())
        before = self.scale
        y = (self.verticalScrollBar().value() + point.y()) / before
        x = (self.horizontalScrollBar().value() + point.x()) / before
        self.zoom = min(max(per_cent, 25.0), 800.0) if per_cent > 0 else 0.0
        self.set_ranges()
        self.verticalScrollBar().setValue(round(y * self.scale - point.y()))
        self.horizontalScrollBar().setValue(round(x * self.scale - point.x()))
        self.zoom_changed.emit(self.zoom_per_cent)
        self.viewport().update()

    def page_height(self, page: int) -> float:
        """Height in pixels, the first page with its title block."""
        return (PAGE_HEIGHT + (self.title_height if page == 0 else 0)) * self.scale

    def page_rect(self, page: int) -> QRectF:
        """Where a page lies in the viewport."""
        width = PAGE_WIDTH * self.scale
        room = self.viewport().width()
        x = max(SHADOW, (room - width) / 2) - self.horizontalScrollBar().value()
        y = float(GAP)
        if page > 0:
            y += self.page_height(0) + GAP + (page - 1) * (PAGE_HEIGHT * self.scale + GAP)
        return QRectF(x, y - self.verticalScrollBar().value(), width, self.page_height(page))

    def first_visible(self) -> int:
        """Number of the first page in view, from 0."""
        for page in range(self.page_count):
            if self.page_rect(page).bottom() > 0:
                return page
        return 0

    def visible_pages(self) -> list[int]:
        """Numbers of the pages in view."""
        pages = []
        for page in range(self.first_visible(), self.page_count):
            if self.page_rect(page).top() > self.viewport().height():
                break
            pages.append(page)
        return pages

    def set_ranges(self) -> None:
        """Tell the scroll bars how much there is."""
        height = GAP * (self.page_count + 1) + sum(self.page_height(n) for n in range(self.page_count))
        room = self.viewport().size()
        self.verticalScrollBar().setRange(0, max(0, round(height) - room.height()))
        self.verticalScrollBar().setPageStep(room.height())
        self.verticalScrollBar().setSingleStep(48)
        width = PAGE_WIDTH * self.scale + 2 * SHADOW
        self.horizontalScrollBar().setRange(0, max(0, round(width) - room.width()))
        self.horizontalScrollBar().setPageStep(room.width())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the beginning of what was in view."""
        super().resizeEvent(event)
        self.set_ranges()
        self.zoom_changed.emit(self.zoom_per_cent)

    def page_point(self, page: int, point: QPointF) -> QPointF:
        """A point of the viewport in the page's units, the engraving's own corner as origin."""
        rect = self.page_rect(page)
        top = self.title_height if page == 0 else 0.0
        return QPointF((point.x() - rect.x()) / self.scale, (point.y() - rect.y()) / self.scale - top)
