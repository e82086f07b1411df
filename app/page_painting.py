"""Paints a page of engraved music from its draw lists.

Straight lines that run along an axis are snapped to whole device pixels, so that staves stay even at any
size; everything else is filled outlines, kept ready by bar so that only what is in view is painted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QTransform

from app.lettering import FALLBACKS, TEXT
from core.score.drawing import Page

_TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+(?:e-?\d+)?")
_UNITS = 100.0  # engraved text is measured at this size and scaled: metrics of tiny fonts are rough


def outline(data: str) -> QPainterPath:
    """SVG path data as an outline (the commands that engraved music uses)."""
    return _Pen().draw(_TOKEN.findall(data))


class _Pen:
    """Follows path data: move, line, horizontal, vertical, cubic, smooth and quadratic curves, close."""

    def __init__(self) -> None:
        self.path = QPainterPath()
        self.path.setFillRule(Qt.FillRule.WindingFill)
        self.x = self.y = 0.0
        self.control: tuple[float, float] | None = None
        self.tokens: list[str] = []
        self.at = 0

    def draw(self, tokens: list[str]) -> QPainterPath:
        self.tokens = tokens
        command = ""
        while self.at < len(tokens):
            if tokens[self.at].isalpha():
                command = tokens[self.at]
                self.at += 1
            self._step(command)
            if command in "Zz":
                continue
            if command in "Mm":
                command = "L" if command == "M" else "l"
        return self.path

    def _number(self) -> float:
        self.at += 1
        return float(self.tokens[self.at - 1])

    def _pair(self, relative: bool) -> tuple[float, float]:
        x, y = self._number(), self._number()
        return (self.x + x, self.y + y) if relative else (x, y)

    def _step(self, command: str) -> None:
        relative = command.islower()
        kind = command.upper()
        control = None
        if kind == "Z":
            self.path.closeSubpath()
            end = self.path.currentPosition()
            self.x, self.y = end.x(), end.y()
        elif kind == "M":
            self._go(self._pair(relative))
            self.path.moveTo(self.x, self.y)
        elif kind in "LHV":
            self._go(self._straight(kind, relative))
            self.path.lineTo(self.x, self.y)
        elif kind in "CS":
            first = self._pair(relative) if kind == "C" else self._mirrored()
            control = self._pair(relative)
            end_point = self._pair(relative)
            self.path.cubicTo(*first, *control, *end_point)
            self._go(end_point)
        elif kind == "Q":
            control = self._pair(relative)
            end_point = self._pair(relative)
            self.path.quadTo(*control, *end_point)
            self._go(end_point)
        else:
            self.at = len(self.tokens)  # an unknown command: keep what is drawn so far
        self.control = control

    def _straight(self, kind: str, relative: bool) -> tuple[float, float]:
        if kind == "L":
            return self._pair(relative)
        if kind == "H":
            return (self.x if relative else 0.0) + self._number(), self.y
        return self.x, (self.y if relative else 0.0) + self._number()

    def _mirrored(self) -> tuple[float, float]:
        if self.control is None:
            return self.x, self.y
        return 2 * self.x - self.control[0], 2 * self.y - self.control[1]

    def _go(self, point: tuple[float, float]) -> None:
        self.x, self.y = point


@dataclass(slots=True)
class TextRun:
    """A run of engraved text where it stands: its box, its owner, where each character begins."""

    text: str
    owner: str | None
    box: QRectF
    edges: list[float]
    path: QPainterPath
    baseline: float


@dataclass(slots=True)
class Chunk:
    """What is painted together: a bar, or what stands outside the bars of a system."""

    bar: int | None
    ink: QPainterPath
    strokes: list[tuple[float, QPainterPath, list[float]]]
    lines: list[tuple[float, list[float], QLineF]]
    box: QRectF


@dataclass(slots=True)
class CompiledPage:
    """A page ready to be painted, with the places of notes and texts on it."""

    size: tuple[float, float]
    chunks: list[Chunk]
    runs: list[TextRun]
    systems: list[Any]
    notes: dict[int, tuple[float, float]]
    lines_of: dict[str, list[QRectF]] = field(default_factory=dict)


class Glyphs:
    """Outlines of the engraver's signs by code, parsed once."""

    def __init__(self) -> None:
        self._data: dict[str, str] = {}
        self._paths: dict[str, QPainterPath] = {}

    def learn(self, glyphs: dict[str, str]) -> None:
        """Take the path data that a page brought."""
        self._data.update(glyphs)

    def path(self, code: str) -> QPainterPath:
        """The outline of a sign, y axis down; empty where it is not known."""
        found = self._paths.get(code)
        if found is None:
            found = QTransform.fromScale(1, -1).map(outline(self._data.get(code, "")))
            self._paths[code] = found
        return found


def compile_page(page: Page, glyphs: Glyphs) -> CompiledPage:
    """Make the outlines of a page."""
    glyphs.learn(page["glyphs"])
    compiled = CompiledPage(
        size=(page["size"][0], page["size"][1]),
        chunks=[],
        runs=[],
        systems=page["systems"],
        notes={int(n): (x, y) for n, x, y in page["notes"]},
    )
    for chunk in page["chunks"]:
        compiled.chunks.append(_compile_chunk(chunk, glyphs, compiled))
    return compiled


def _compile_chunk(chunk: Page, glyphs: Glyphs, page: CompiledPage) -> Chunk:
    ink = QPainterPath()
    ink.setFillRule(Qt.FillRule.WindingFill)
    for code, a, b, c, d, e, f, _owner in chunk["uses"]:
        ink.addPath(QTransform(a, b, c, d, e, f).map(glyphs.path(code)))
    strokes: list[tuple[float, QPainterPath, list[float]]] = []
    for data, matrix, filled, width, dash, owner in chunk["shapes"]:
        path = outline(data)
        if matrix:
            path = QTransform(*matrix).map(path)
        if filled and not dash:
            ink.addPath(path)
        if width or not filled:
            strokes.append((width or 1.0, path, dash))
        if owner and owner.startswith("b"):
            page.lines_of.setdefault(owner, []).append(path.boundingRect())
    for text in chunk["texts"]:
        for run in _compile_text(text, glyphs):
            ink.addPath(run.path)
            page.runs.append(run)
    lines = []
    box = ink.boundingRect()
    for width, dash, x1, y1, x2, y2, owner in chunk["lines"]:
        line = QLineF(x1, y1, x2, y2)
        lines.append((width, dash, line))
        rect = QRectF(line.p1(), line.p2()).normalized().adjusted(-width, -width, width, width)
        box = box.united(rect)
        if owner and owner.startswith("b"):
            page.lines_of.setdefault(owner, []).append(rect)
    for width, path, _ in strokes:
        box = box.united(path.boundingRect().adjusted(-width, -width, width, width))
    return Chunk(bar=chunk["bar"], ink=ink, strokes=strokes, lines=lines, box=box)


def engraved_font(bold: bool, italic: bool) -> QFont:
    """The face of engraved text, at the size at which it is measured."""
    font = QFont([TEXT, *FALLBACKS])
    font.setPixelSize(int(_UNITS))
    font.setBold(bold)
    font.setItalic(italic)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


def _compile_text(text: Page, glyphs: Glyphs) -> list[TextRun]:
    """The runs of one text block, set one after the other from its anchor."""
    pieces = [_measure(run, glyphs) for run in text["runs"]]
    x = float(text["x"])
    total = sum(edges[-1] for _, edges in pieces)
    if text["anchor"] == "end":
        x -= total
    elif text["anchor"] == "middle":
        x -= total / 2
    runs = []
    for (words, size, *_, owner), (path, edges) in zip(text["runs"], pieces, strict=True):
        placed = QTransform.fromTranslate(x, text["y"]).map(path)
        box = QRectF(x, text["y"] - size * 0.75, edges[-1], size)
        runs.append(TextRun(words, owner, box, [x + edge for edge in edges], placed, float(text["y"]) + size * 0.12))
        x += edges[-1]
    return runs


def _measure(run: list[Any], glyphs: Glyphs) -> tuple[QPainterPath, list[float]]:
    """Outline of a run at the origin, and where each of its characters begins (and the last ends)."""
    words, size, bold, italic, music, _owner = run
    scale = size / _UNITS
    if music:
        path = QPainterPath()
        edges = [size * 0.12]
        for sign in words:
            shape = QTransform.fromScale(size / 1000, size / 1000).map(glyphs.path(f"{ord(sign):04X}"))
            path.addPath(shape.translated(edges[-1], 0))
            edges.append(edges[-1] + shape.boundingRect().right() + size * 0.05)
        return path, edges
    font = engraved_font(bold, italic)
    metrics = QFontMetricsF(font)
    path = QPainterPath()
    path.addText(QPointF(0, 0), font, words)
    edges = [metrics.horizontalAdvance(words[:count]) * scale for count in range(len(words) + 1)]
    return QTransform.fromScale(scale, scale).map(path), edges


def paint_page(painter: QPainter, page: CompiledPage, ink: QColor, scale: float, clip: QRectF) -> None:
    """Paint what of a page lies in `clip` (page units); the painter stands at the page's corner.

    Args:
        painter: unscaled: one unit is one logical pixel.
        page: what to paint.
        ink: its colour.
        scale: pixels to a page unit.
        clip: the stretch wanted, in page units.
    """
    ratio = painter.device().devicePixelRatio() if painter.device() else 1.0
    for chunk in page.chunks:
        if not chunk.box.intersects(clip):
            continue
        _paint_lines(painter, chunk, ink, scale, ratio)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.scale(scale, scale)
        painter.fillPath(chunk.ink, ink)
        for width, path, dash in chunk.strokes:
            painter.strokePath(path, _pen(ink, width, dash))
        painter.restore()


def _pen(ink: QColor, width: float, dash: list[float]) -> QPen:
    pen = QPen(ink, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
    if dash:
        pen.setDashPattern([max(part / width, 0.1) for part in dash])
    return pen


def _paint_lines(painter: QPainter, chunk: Chunk, ink: QColor, scale: float, ratio: float) -> None:
    """Straight lines: those along an axis as filled rectangles on whole device pixels."""
    step = 1 / ratio
    for width, dash, line in chunk.lines:
        if dash or (line.dx() and line.dy()):
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
            painter.scale(scale, scale)
            painter.setPen(_pen(ink, width, dash))
            painter.drawLine(line)
            painter.restore()
            continue
        thick = max(1, round(width * scale * ratio)) * step
        x = round((min(line.x1(), line.x2()) * scale) * ratio) * step
        y = round((min(line.y1(), line.y2()) * scale) * ratio) * step
        if line.dy() == 0:
            length = round(abs(line.dx()) * scale * ratio) * step
            painter.fillRect(QRectF(x, y - step * ((round(thick * ratio)) // 2), length + step, thick), ink)
        else:
            length = round(abs(line.dy()) * scale * ratio) * step
            painter.fillRect(QRectF(x - step * (round(thick * ratio) // 2), y, thick, length + step), ink)
