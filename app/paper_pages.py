"""Breaks a paper into pages: blocks down the columns, as level as they can be, then the next page."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QPointF

from app.paper_layout import (
    COLUMN_GAP,
    MARGIN,
    UNITS_PER_MM,
    Block,
    BlockSetter,
    Placed,
    PlacedText,
    Sizes,
    Strip,
    face,
    set_text,
)
from core.export.paper import Flow, Paper, PaperSize, Run, plain

_FEW = 3
_FOOT = 6 * UNITS_PER_MM


@dataclass(slots=True)
class Page:
    """What stands on one page."""

    items: list[Placed] = field(default_factory=list)


Column = list[tuple[Strip, float]]  # strips with their height above


class Pages:
    """The pages of a paper."""

    def __init__(self, paper: Paper, size: PaperSize = PaperSize.A4) -> None:
        self.paper = paper
        self.sizes = Sizes.of(paper)
        wide, high = size.millimetres
        self.page_width, self.page_height = wide * UNITS_PER_MM, high * UNITS_PER_MM
        self.width = self.page_width - 2 * MARGIN
        self.bottom = self.page_height - MARGIN - _FOOT
        self.pages = [Page()]
        self.y = MARGIN
        self._title()
        for flow in paper.flows:
            self._flow(flow)
        self._feet()

    # head and foot

    def _title(self) -> None:
        self._add(plain(self.paper.title), self.sizes.title, 0.25)
        for line in self.paper.under:
            self._add((Run(line, italic=True),), self.sizes.body, 0.0)
        self.y += self.sizes.body * 1.5

    def _add(self, runs: tuple[Run, ...], size: int, after: float) -> None:
        layout, height = set_text(runs, face(size), self.width)
        self.pages[-1].items.append(PlacedText(layout, QPointF(MARGIN, self.y)))
        self.y += height + size * after

    def _feet(self) -> None:
        if len(self.pages) == 1:
            return
        y = self.page_height - MARGIN
        for number, page in enumerate(self.pages, 1):
            for text, right in ((self.paper.title, False), (f"{number} / {len(self.pages)}", True)):
                layout, _ = set_text((Run(text, italic=not right),), face(self.sizes.small), self.width * 0.8)
                if right:
                    layout, _ = set_text(plain(text), face(self.sizes.small), self.width, right=True)
                page.items.append(PlacedText(layout, QPointF(MARGIN, y)))

    # flows

    def _flow(self, flow: Flow) -> None:
        count = max(1, flow.columns)
        width = (self.width - COLUMN_GAP * (count - 1)) / count
        setter = BlockSetter(self.sizes, width)
        rest = [setter.block(group) for group in flow.groups]
        while rest:
            columns, rest = self._page_of(rest, count)
            deepest = 0.0
            for number, column in enumerate(columns):
                x = MARGIN + number * (width + COLUMN_GAP)
                for strip, y in column:
                    self.pages[-1].items.extend(strip.moved(x, self.y + y))
                    deepest = max(deepest, y + strip.height)
            self.y += deepest + self.sizes.body * 1.3
            if rest:
                self.pages.append(Page())
                self.y = MARGIN

    def _page_of(self, blocks: list[Block], count: int) -> tuple[list[Column], list[Block]]:
        """The columns of this page and what is left for the next."""
        room = self.bottom - self.y
        is_fresh = self.y <= MARGIN
        whole = fill(blocks, count, room, cuts=False)
        if not whole[1]:
            return _levelled(blocks, count, room, cuts=False), []
        cut = fill(blocks, count, room, cuts=True)
        if not cut[1]:
            return _levelled(blocks, count, room, cuts=True), []
        if not any(cut[0]) and is_fresh:  # a strip higher than a page: better over the edge than never
            first = blocks[0]
            return [[(first.strips[0], 0.0)]], [Block(first.strips[1:], first.again, first.space), *blocks[1:]]
        return cut


def _levelled(blocks: list[Block], count: int, room: float, *, cuts: bool) -> list[Column]:
    """All blocks in as low columns as they will go."""
    low, high = 0.0, room
    for _ in range(14):
        middle = (low + high) / 2
        if fill(blocks, count, middle, cuts=cuts)[1]:
            low = middle
        else:
            high = middle
    return fill(blocks, count, high, cuts=cuts)[0]


def fill(blocks: list[Block], count: int, height: float, *, cuts: bool) -> tuple[list[Column], list[Block]]:
    """Blocks down so many columns of a height, and those that are left over.

    Args:
        blocks: in their order.
        count: of columns.
        height: of a column.
        cuts: a block may be cut between its rows; a few stay together on either side.
    """
    columns: list[Column] = [[]]
    left, y = list(blocks), 0.0
    while left:
        block = left[0]
        if y + block.height <= height:
            y = _put(columns[-1], block.strips, y) + block.space
            left.pop(0)
            continue
        part = _cut(block, height - y) if cuts else 0
        if part:
            _put(columns[-1], block.strips[:part], y)
            left[0] = Block([*block.again, *block.strips[part:]], block.again, block.space)
        elif not columns[-1] and (len(columns) == 1 or not cuts):
            return columns, left
        if len(columns) == count:
            return columns, left
        columns.append([])
        y = 0.0
    return columns, left


def _put(column: Column, strips: list[Strip], y: float) -> float:
    for strip in strips:
        column.append((strip, y))
        y += strip.height
    return y


def _cut(block: Block, room: float) -> int:
    """After how many strips a block may be cut to fit; 0: not here."""
    height, fitting = 0.0, 0
    for strip in block.strips:
        height += strip.height
        if height > room:
            break
        fitting += 1
    few = len(block.again) + _FEW
    most = len(block.strips) - _FEW
    fitting = min(fitting, most) if len(block.strips) >= 2 * _FEW else fitting
    return fitting if fitting >= min(few, len(block.strips)) else 0
