"""The title block above the first page, which the engraver leaves out: title, composer, what to prepare."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from app.lettering import text_font
from app.palette import Colours

MARGIN = 1200.0
_WIDTH = 21000.0


@dataclass(frozen=True, slots=True)
class TitleLine:
    """A line of the title block, in page units; `credit` is its number in the file."""

    text: str
    rect: QRectF
    size: float
    align: Qt.AlignmentFlag
    italic: bool
    credit: int | None


def lay_out(headings: list[dict[str, Any]]) -> tuple[list[TitleLine], float]:
    """The lines of the title block, and its height (0 where there is none)."""
    lines: list[TitleLine] = []
    y = 1000.0
    for role, size in (("title", 900.0), ("subtitle", 560.0)):
        for heading in (h for h in headings if h["role"] == role):
            lines.append(_line(heading, y, size, Qt.AlignmentFlag.AlignHCenter, italic=role != "title"))
            y += _height(heading, size)
    left = y
    for heading in (h for h in headings if h["role"] == "composer"):
        lines.append(_line(heading, y, 420.0, Qt.AlignmentFlag.AlignRight, italic=False))
        y += _height(heading, 420.0)
    for heading in (h for h in headings if h["role"] == "text"):
        lines.append(_line(heading, left, 420.0, Qt.AlignmentFlag.AlignLeft, italic=True))
        left += _height(heading, 420.0)
    bottom = max(y, left)
    return lines, (bottom if lines else 0.0)


def _height(heading: dict[str, Any], size: float) -> float:
    return size * 1.35 * max(1, str(heading["text"]).count("\n") + 1)


def _line(heading: dict[str, Any], y: float, size: float, align: Qt.AlignmentFlag, *, italic: bool) -> TitleLine:
    rect = QRectF(MARGIN, y, _WIDTH - 2 * MARGIN, _height(heading, size))
    return TitleLine(str(heading["text"]), rect, size, align, italic, heading["credit"])


def paint_title(
    painter: QPainter,
    lines: list[TitleLine],
    colours: Colours,
    scale: float,
    marked: frozenset[int] = frozenset(),
) -> None:
    """Paint the title block; the painter stands at the page's corner, unscaled.

    Args:
        painter: where.
        lines: the laid-out lines.
        colours: in which colours.
        scale: pixels to a page unit.
        marked: credits that hold registration; they are set off by a rule at their side.
    """
    for line in lines:
        font = text_font(italic=line.italic)
        font.setPixelSize(max(6, round(line.size * scale)))
        painter.setFont(font)
        rect = line.rect
        where = QRectF(rect.x() * scale, rect.y() * scale, rect.width() * scale, rect.height() * scale)
        if line.credit in marked:
            painter.fillRect(QRectF(where.x() - 6, where.y() + 2, 1.2, where.height() - 4), colours.colour("faint"))
        painter.setPen(colours.colour("ink"))
        painter.drawText(where, line.align | Qt.AlignmentFlag.AlignTop, line.text)
