"""Painted pieces of pages, so that scrolling only copies pixels."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPixmap

from app.page_painting import CompiledPage, paint_page
from app.palette import Colours

SIDE = 512
ROOM = 48 << 20
"""Bytes that tiles may take; on a dense screen as many as a large view needs at the least."""
FEWEST = 28
Key = tuple[int, int, int]


class Tiles:
    """Tiles of one size and one set of colours; a change of either empties them."""

    def __init__(self) -> None:
        self._tiles: OrderedDict[Key, QPixmap] = OrderedDict()
        self._of: tuple[float, float, str] | None = None
        self._old: dict[Key, QPixmap] = {}  # of another size: stretched until the new ones are painted
        self._old_scale = 0.0

    def clear(self) -> None:
        """Throw all away."""
        self._tiles.clear()
        self._old.clear()

    def forget(self, page: int) -> None:
        """Throw away one page's."""
        for tiles in (self._tiles, self._old):
            for key in [key for key in tiles if key[0] == page]:
                del tiles[key]

    def set_look(self, scale: float, ratio: float, colours: Colours) -> None:
        """At which size, for which screen, in which colours."""
        look = (scale, ratio, colours.ink)
        if look != self._of:
            if self._of is not None and self._of[1:] == look[1:] and self._tiles:
                self._old, self._old_scale = dict(self._tiles), self._of[0]
            self._of = look
            self._tiles.clear()

    def get(self, key: Key) -> QPixmap | None:
        """A tile, where it is painted."""
        tile = self._tiles.get(key)
        if tile is not None:
            self._tiles.move_to_end(key)
        return tile

    def stretch(self, painter: QPainter, page: int, corner: QPointF) -> None:
        """Paint what there was of a page at another size, so that nothing goes white while the size changes."""
        if self._of is None or not self._old:
            return
        times = self._of[0] / self._old_scale
        side = SIDE * times
        for key, tile in self._old.items():
            if key[0] == page:
                where = QRectF(corner.x() + key[1] * side, corner.y() + key[2] * side, side, side)
                painter.drawPixmap(where, tile, QRectF(tile.rect()))

    def drop_old(self) -> None:
        """All is painted at the present size."""
        self._old.clear()

    def paint(self, key: Key, page: CompiledPage, colours: Colours, top: float) -> QPixmap:
        """Paint a tile; `top` is the height of the title block above the engraving, in page units."""
        assert self._of is not None
        scale, ratio, _ = self._of
        tile = QPixmap(math.ceil(SIDE * ratio), math.ceil(SIDE * ratio))
        tile.setDevicePixelRatio(ratio)
        tile.fill(colours.colour("page"))
        painter = QPainter(tile)
        left, upper = key[1] * SIDE, key[2] * SIDE
        painter.translate(-left, top * scale - upper)
        clip = QRectF(left / scale, upper / scale - top, SIDE / scale, SIDE / scale)
        paint_page(painter, page, colours.colour("ink"), scale, clip)
        painter.end()
        self._tiles[key] = tile
        while len(self._tiles) > most(ratio):
            self._tiles.popitem(last=False)
        return tile


def most(ratio: float) -> int:
    """How many tiles are kept on a screen of so many pixels to a logical one."""
    return max(FEWEST, int(ROOM / (4 * (SIDE * ratio) ** 2)))


def tiles_over(page: int, area: QRectF) -> Iterator[Key]:
    """The tiles that cover an area of a page (pixels from the page's corner)."""
    for row in range(max(0, int(area.top() // SIDE)), int(area.bottom() // SIDE) + 1):
        for column in range(max(0, int(area.left() // SIDE)), int(area.right() // SIDE) + 1):
            yield page, column, row
