"""Lays a paper out on pages: which words stand where. Painting it is `paper.py`'s.

Lengths are tenths of a point, so that the layout is the same on the screen, in a file and on a printer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QTextCharFormat, QTextLayout, QTextOption

from app.lettering import FALLBACKS, TEXT
from core.export.paper import Column, Group, Paper, Picture, Row, Run, Runs, plain

UNITS_PER_MM = 720 / 25.4
MARGIN = 18 * UNITS_PER_MM
COLUMN_GAP = 9 * UNITS_PER_MM
_CELL_GAP = 2.6 * UNITS_PER_MM


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of type in tenths of a point."""

    body: int = 105
    small: int = 92
    heading: int = 94
    title: int = 205

    @classmethod
    def of(cls, paper: Paper) -> Sizes:
        """The sizes of a paper: usual or large print."""
        return cls(body=155, small=135, heading=140, title=250) if paper.large else cls()


@dataclass(frozen=True, slots=True)
class PlacedText:
    """Words laid out, at a place of the page."""

    layout: QTextLayout
    at: QPointF


@dataclass(frozen=True, slots=True)
class PlacedPicture:
    """A picture in its rectangle."""

    picture: Picture
    where: QRectF


@dataclass(frozen=True, slots=True)
class PlacedRule:
    """A hairline from left to right."""

    x: float
    y: float
    width: float


Placed = PlacedText | PlacedPicture | PlacedRule


@dataclass(slots=True)
class Strip:
    """What may not be cut by a page break: a row, or a heading with the row after it."""

    height: float
    items: list[Placed] = field(default_factory=list)

    def moved(self, x: float, y: float) -> Iterable[Placed]:
        """Its items, with its corner elsewhere."""
        for item in self.items:
            if isinstance(item, PlacedText):
                yield PlacedText(item.layout, item.at + QPointF(x, y))
            elif isinstance(item, PlacedPicture):
                yield PlacedPicture(item.picture, item.where.translated(x, y))
            else:
                yield PlacedRule(item.x + x, item.y + y, item.width)


@dataclass(slots=True)
class Block:
    """A group set in its width: strips, the head that is said again after a break, the space after it."""

    strips: list[Strip]
    again: list[Strip]
    space: float

    @property
    def height(self) -> float:
        """Without the space after it."""
        return sum(strip.height for strip in self.strips)


def face(size: int, *, bold: bool = False, italic: bool = False) -> QFont:
    """The text face at a size in tenths of a point."""
    font = QFont([TEXT, *FALLBACKS])
    font.setPixelSize(size)
    font.setBold(bold)
    font.setItalic(italic)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


def heading_face(size: int) -> QFont:
    """Spaced capitals."""
    font = face(size)
    font.setCapitalization(QFont.Capitalization.AllUppercase)
    font.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 108)
    return font


def set_text(runs: Runs, font: QFont, width: float, *, right: bool = False) -> tuple[QTextLayout, float]:
    """Words broken into lines of a width, and how high they stand."""
    text, formats, at = "", [], 0
    for run in runs:
        shape = QTextLayout.FormatRange()
        shape.start, shape.length = at, _utf16(run.text)
        style = QTextCharFormat()
        if run.bold:
            style.setFontWeight(QFont.Weight.Bold)
        if run.italic:
            style.setFontItalic(True)
        if run.raised:
            style.setVerticalAlignment(QTextCharFormat.VerticalAlignment.AlignSuperScript)
        shape.format = style
        formats.append(shape)
        text += run.text
        at += shape.length
    layout = QTextLayout(text.replace("\n", "\u2028"), font)
    option = QTextOption(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    layout.setTextOption(option)
    layout.setFormats(formats)
    height = 0.0
    layout.beginLayout()
    lead = QFontMetricsF(font).height() * 1.08
    while (line := layout.createLine()).isValid():
        line.setLineWidth(width)
        line.setPosition(QPointF(0, height))
        height += lead
    layout.endLayout()
    return layout, height


def _utf16(text: str) -> int:
    """Length as the toolkit counts it."""
    return len(text.encode("utf-16-le")) // 2


def natural_width(runs: Runs, size: int) -> float:
    """How wide words are on one line."""
    widest = 0.0
    at = 0.0
    for run in runs:
        metrics = QFontMetricsF(face(size * 2 // 3 if run.raised else size, bold=run.bold, italic=run.italic))
        first, *others = run.text.split("\n")
        at += metrics.horizontalAdvance(first)
        for line in others:
            widest, at = max(widest, at), metrics.horizontalAdvance(line)
    return max(widest, at)


class BlockSetter:
    """Sets groups in a width."""

    def __init__(self, sizes: Sizes, width: float, continued: str = "(continued)") -> None:
        self.sizes = sizes
        self.width = width
        self.continued = continued

    def block(self, group: Group) -> Block:
        """A group as strips."""
        size = self.sizes.small if group.small else self.sizes.body
        head = self._heading(group.heading, group.note)
        widths = column_widths(group, size, self.width)
        rows = [self._row(row, group.columns, widths, size, ruled=group.ruled) for row in group.rows]
        again: list[Strip] = []
        if group.head is not None:
            names = tuple(tuple(replace(run, italic=True) for run in cell) for cell in group.head.cells)
            strip = self._row(Row(cells=names), group.columns, widths, self.sizes.small, ruled=True)
            again = [strip]
        strips = [*again, *rows]
        if group.heading and len(rows) > 1:
            more = self._heading(f"{group.heading} {self.continued}", "")
            again = [_joined(more, again[0]) if again else more] if more is not None else again
        if head is not None:
            strips = [_joined(head, strips[0]), *strips[1:]] if strips else [head]
        return Block(strips=strips, again=again, space=size * 1.15)

    def _heading(self, heading: str, note: str) -> Strip | None:
        strip = Strip(0.0)
        if heading:
            layout, height = set_text(plain(heading), heading_face(self.sizes.heading), self.width)
            strip.items.append(PlacedText(layout, QPointF(0, 0)))
            strip.height += height
        if note:
            layout, height = set_text((Run(note, italic=True),), face(self.sizes.small), self.width)
            strip.items.append(PlacedText(layout, QPointF(0, strip.height)))
            strip.height += height
        strip.height += self.sizes.body * 0.16 if strip.items else 0
        return strip if strip.items else None

    def _row(self, row: Row, columns: tuple[Column, ...], widths: list[float], size: int, *, ruled: bool) -> Strip:
        if row.picture is not None:
            wide = min(row.picture.width * UNITS_PER_MM, self.width)
            high = wide * row.picture.height / max(row.picture.width, 0.1)
            return Strip(high, [PlacedPicture(row.picture, QRectF(0, 0, wide, high))])
        strip, x, padding = Strip(0.0), 0.0, size * 0.18 if ruled else 0.0
        for cell, column, width in zip(row.cells, columns, widths, strict=False):
            layout, height = set_text(cell, face(size), width, right=column.right)
            strip.items.append(PlacedText(layout, QPointF(x, padding)))
            strip.height = max(strip.height, height + 2 * padding)
            x += width + _CELL_GAP
        if ruled:
            strip.items.append(PlacedRule(0, strip.height, self.width))
        return strip


def _joined(above: Strip, below: Strip) -> Strip:
    return Strip(above.height + below.height, [*above.items, *below.moved(0, above.height)])


def column_widths(group: Group, size: int, width: float) -> list[float]:
    """Widths of a group's columns: those without a share as wide as they need, the others share the rest."""
    rows = [*group.rows, *([group.head] if group.head is not None else [])]
    room = width - _CELL_GAP * (len(group.columns) - 1)
    shares = sum(column.share for column in group.columns)
    needed = [
        max((natural_width(row.cells[n], size) for row in rows if n < len(row.cells)), default=0.0) + 4
        if not column.share
        else 0.0
        for n, column in enumerate(group.columns)
    ]
    most = room * (0.6 if shares else 1.0)
    if sum(needed) > most:  # too much for the page: they give way evenly
        needed = [one * most / sum(needed) for one in needed]
    rest = room - sum(needed)
    return [
        column.share / shares * rest if column.share else need
        for column, need in zip(group.columns, needed, strict=True)
    ]
