"""Turns one page of the engraver's SVG into plain lists that a painter can draw without an SVG library.

Everything is in the drawing's own units (ten to a millimetre's tenth part; a page is 21000 wide), grouped
by bar so that only what is in view is painted. Owners are those of `core.score.engraving`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from lxml import etree

Element = etree._Element
Page = dict[str, Any]

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
_TRANSFORM = re.compile(r"(translate|scale|rotate|matrix)\(([^)]*)\)")
_STRAIGHT = re.compile(r"^M\s*(-?[\d.]+)[ ,](-?[\d.]+) L\s*(-?[\d.]+)[ ,](-?[\d.]+)$")
_BOLD = frozenset({"ending", "fing", "reh", "tempo"})
_ITALIC = frozenset({"dir", "dynam", "mNum"})
_BAR = re.compile(r"^m(\d+)$")
_NOTE = re.compile(r"^n(\d+)$")


class Matrix(NamedTuple):
    """An affine map: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, inner: Matrix) -> Matrix:
        """First `inner`, then this one."""
        return Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A point carried over, rounded to a hundredth."""
        return round(self.a * x + self.c * y + self.e, 2), round(self.b * x + self.d * y + self.f, 2)

    @property
    def is_shift(self) -> bool:
        """Whether nothing is turned or stretched."""
        return self.a == 1 and self.d == 1 and self.b == 0 and self.c == 0


def read_transform(text: str | None) -> Matrix:
    """The map of a ``transform`` attribute."""
    matrix = Matrix()
    for name, inside in _TRANSFORM.findall(text or ""):
        values = [float(number) for number in _NUMBER.findall(inside)]
        matrix = matrix.then(_one_transform(name, values))
    return matrix


def _one_transform(name: str, values: list[float]) -> Matrix:
    if name == "translate":
        return Matrix(e=values[0], f=values[1] if len(values) > 1 else 0.0)
    if name == "scale":
        return Matrix(a=values[0], d=values[1] if len(values) > 1 else values[0])
    if name == "matrix":
        return Matrix(*values)
    from math import cos, radians, sin

    turn = radians(values[0])
    spin = Matrix(cos(turn), sin(turn), -sin(turn), cos(turn))
    if len(values) < 3:
        return spin
    there, back = Matrix(e=values[1], f=values[2]), Matrix(e=-values[1], f=-values[2])
    return there.then(spin).then(back)


class _Where(NamedTuple):
    """What an element inherits on the way down."""

    matrix: Matrix
    owner: str | None = None
    bold: bool = False
    italic: bool = False
    kind: str = ""


def read_page(svg: str, owners: Mapping[str, str]) -> Page:
    """The draw lists of one page.

    Args:
        svg: the engraver's page.
        owners: colour tag to owner.

    Returns:
        ``size``, ``glyphs`` (code → path data), ``chunks`` (per bar: ``uses``, ``lines``, ``shapes``,
        ``texts``), ``systems`` (staves, bars, and ``ink``: left, top, right and bottom of all that is drawn, signs
        by their likely size) and ``notes`` (ordinal, x, y, width unknown).
    """
    root = etree.fromstring(svg.encode())
    return _Reader(owners).read(root)


_SIGN = (-150.0, -320.0, 420.0, 320.0)


def _curve_box(data: str, matrix: list[float] | None) -> list[tuple[float, float, float, float]]:
    """The box round the points of a curve (slurs, ties, braces); none where it is drawn by steps, or turned."""
    turned = matrix is not None and matrix[:4] != [1, 0, 0, 1]
    numbers = [float(number) for number in _NUMBER.findall(data)]
    if turned or len(numbers) < 2 or len(numbers) % 2 or any(sign.islower() and sign != "e" for sign in data):
        return []
    x, y = (matrix[4], matrix[5]) if matrix is not None else (0.0, 0.0)
    across, down = numbers[::2], numbers[1::2]
    return [(min(across) + x, min(down) + y, max(across) + x, max(down) + y)]


def ink_of(chunks: list[Page]) -> list[float]:
    """Left, top, right and bottom of all that some chunks draw; a sign counts by its likely size, not its outline."""
    boxes: list[tuple[float, float, float, float]] = []
    for chunk in chunks:
        for use in chunk["uses"]:
            x, y = use[5], use[6]
            boxes.append((x + _SIGN[0], y + _SIGN[1], x + _SIGN[2], y + _SIGN[3]))
        for _width, _dash, x1, y1, x2, y2, _owner in chunk["lines"]:
            boxes.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
        for data, matrix, *_ in chunk["shapes"]:
            boxes += _curve_box(data, matrix)
        for text in chunk["texts"]:
            size = max((run[1] for run in text["runs"]), default=0.0)
            wide = 0.5 * sum(len(run[0]) * run[1] for run in text["runs"])
            left = text["x"] - wide * {"end": 1.0, "middle": 0.5}.get(text["anchor"], 0.0)
            boxes.append((left, text["y"] - 0.75 * size, left + wide, text["y"] + 0.3 * size))
    if not boxes:
        return [0.0, 0.0, 0.0, 0.0]
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return [min(lefts), min(tops), max(rights), max(bottoms)]


class _Reader:
    """Walks one page; keeps the chunk and the system it is in."""

    def __init__(self, owners: Mapping[str, str]) -> None:
        self.owners = owners
        self.chunks: list[Page] = []
        self.system_of: list[int] = []  # of each chunk; -1: before the first
        self.systems: list[Page] = []
        self.notes: list[tuple[int, float, float]] = []
        self.chunk = self._new_chunk(None)
        self.bar: Page | None = None

    def read(self, root: Element) -> Page:
        glyphs: dict[str, str] = {}
        size = [21000.0, 29700.0]
        start: Element | None = None
        for element in root.iter():
            name = _local(element)
            if name == "defs":
                glyphs.update(_glyphs(element))
            elif name == "svg" and element.get("class") == "definition-scale":
                start = element
                size = [float(number) for number in (element.get("viewBox") or "").split()[2:]] or size
        if start is not None:
            for child in start:
                self._walk(child, _Where(Matrix()))
        filled = [c for c in self.chunks if c["uses"] or c["lines"] or c["shapes"] or c["texts"]]
        for number, system in enumerate(self.systems):
            system["ink"] = ink_of([c for c, of in zip(self.chunks, self.system_of, strict=True) if of == number])
        return {
            "size": size,
            "glyphs": glyphs,
            "chunks": filled,
            "systems": self.systems,
            "notes": self.notes,
        }

    def _new_chunk(self, bar: int | None) -> Page:
        chunk: Page = {"bar": bar, "uses": [], "lines": [], "shapes": [], "texts": []}
        self.chunks.append(chunk)
        self.system_of.append(len(self.systems) - 1)
        return chunk

    def _walk(self, element: Element, where: _Where) -> None:
        name = _local(element)
        if name == "g":
            self._group(element, where)
        elif name == "text":
            self._text(element, where)
        elif name == "use":
            self._use(element, where)
        elif name in ("path", "polygon", "polyline", "rect", "ellipse"):
            self._shape(element, name, where)

    def _group(self, element: Element, where: _Where) -> None:
        kinds = (element.get("class") or "").split()
        if "placeholder" in kinds or element.get("visibility") == "hidden":
            return
        kind = kinds[0] if kinds else ""
        here = self._inherit(element, kind, where)
        if kind == "system":
            self.systems.append({"staves": [], "bars": []})
            self.chunk = self._new_chunk(None)
        elif kind == "measure":
            self._begin_bar(element)
        elif kind == "staff" and self.bar is not None:
            self._staff(element, here)
        for child in element:
            self._walk(child, here)
        if kind in ("system", "measure"):
            self.chunk = self._new_chunk(None)

    def _inherit(self, element: Element, kind: str, where: _Where) -> _Where:
        matrix = where.matrix
        if element.get("transform"):
            matrix = matrix.then(read_transform(element.get("transform")))
        colour = (element.get("color") or element.get("fill") or "").upper()
        owner = self.owners.get(colour, where.owner)
        match = _NOTE.match(element.get("id") or "")
        if match:
            owner = match.group(0)
        return _Where(matrix, owner, where.bold or kind in _BOLD, where.italic or kind in _ITALIC, kind)

    def _begin_bar(self, element: Element) -> None:
        match = _BAR.match(element.get("id") or "")
        self.chunk = self._new_chunk(int(match.group(1)) if match else None)
        self.bar = {"bar": self.chunk["bar"], "x": None, "staves": []}
        if self.systems:
            self.systems[-1]["bars"].append(self.bar)

    def _staff(self, element: Element, where: _Where) -> None:
        """The outer lines of a staff in this bar: they are the staff's first children."""
        assert self.bar is not None
        lines = [_STRAIGHT.match(child.get("d") or "") for child in element if _local(child) == "path"]
        found = [tuple(float(value) for value in match.groups()) for match in lines if match]
        if not found:
            return
        left, top = where.matrix.point(found[0][0], found[0][1])
        right, bottom = where.matrix.point(found[-1][2], found[-1][3])
        self.bar["x"] = [left, right]
        self.bar["staves"].append([top, bottom])
        system = self.systems[-1] if self.systems else None
        if system is not None and len(self.bar["staves"]) > len(system["staves"]):
            system["staves"].append([top, bottom])

    def _use(self, element: Element, where: _Where) -> None:
        code = _code(element.get("href") or element.get("{http://www.w3.org/1999/xlink}href") or "")
        matrix = where.matrix.then(read_transform(element.get("transform")))
        placed = [round(value, 4) for value in matrix]
        self.chunk["uses"].append([code, *placed, where.owner])
        if where.kind == "notehead" and where.owner:
            self.notes.append((int(where.owner[1:]), placed[4], placed[5]))

    def _shape(self, element: Element, name: str, where: _Where) -> None:
        width = float(element.get("stroke-width") or 0)
        dash = [float(number) for number in _NUMBER.findall(element.get("stroke-dasharray") or "")]
        straight = _STRAIGHT.match(element.get("d") or "") if name == "path" else None
        if straight and where.matrix.is_shift:
            x1, y1, x2, y2 = (float(value) for value in straight.groups())
            ends = [*where.matrix.point(x1, y1), *where.matrix.point(x2, y2)]
            self.chunk["lines"].append([width or 1, dash, *ends, where.owner])
            return
        is_clear = element.get("fill") == "none" or element.get("fill-opacity") == "0"
        filled = not is_clear and name != "polyline"
        matrix = None if where.matrix == Matrix() else [round(value, 4) for value in where.matrix]
        self.chunk["shapes"].append([_path_data(element, name), matrix, filled, width, dash, where.owner])

    def _text(self, element: Element, where: _Where) -> None:
        blocks: list[Page] = []
        self._runs(element, where, 0.0, blocks)
        for block in blocks:
            if any(run[0].strip() for run in block["runs"]):
                self.chunk["texts"].append(block)

    def _runs(self, element: Element, where: _Where, size: float, blocks: list[Page]) -> None:
        if (element.get("x") is not None and element.get("y") is not None) or not blocks:
            x, y = where.matrix.point(float(element.get("x") or 0), float(element.get("y") or 0))
            anchor = element.get("text-anchor") or (blocks[0]["anchor"] if blocks else "start")
            blocks.append({"x": x, "y": y, "anchor": anchor, "runs": [], "kind": where.kind})
        size = _length(element.get("font-size")) or size
        where = _styled(element, where, self.owners)
        music = (element.get("font-family") or "") in ("Leipzig", "VerovioText")
        if element.text:
            run = [element.text, size, where.bold, where.italic, music, where.owner]
            blocks[-1]["runs"].append(run)
        for child in element:
            if _local(child) == "tspan":
                self._runs(child, where, size, blocks)


def _styled(element: Element, where: _Where, owners: Mapping[str, str]) -> _Where:
    weight, slant = element.get("font-weight"), element.get("font-style")
    owner = owners.get((element.get("fill") or "").upper(), where.owner)
    return where._replace(
        owner=owner,
        bold=where.bold if weight is None else weight == "bold",
        italic=where.italic if slant is None else slant in ("italic", "oblique"),
    )


def _local(element: Element) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _code(href: str) -> str:
    return href.lstrip("#").partition("-")[0]


def _length(text: str | None) -> float:
    match = _NUMBER.match(text or "")
    return float(match.group(0)) if match else 0.0


def _glyphs(defs: Element) -> dict[str, str]:
    """Outline of each sign by its code; the outlines' y axis points up."""
    found = {}
    for group in defs:
        path = next((child for child in group if _local(child) == "path"), None)
        if path is not None:
            found[_code(group.get("id") or "")] = path.get("d") or ""
    return found


def _path_data(element: Element, name: str) -> str:
    if name == "path":
        return element.get("d") or ""
    if name in ("polygon", "polyline"):
        numbers = _NUMBER.findall(element.get("points") or "")
        pairs = [f"{x} {y}" for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
        return "M" + " L".join(pairs) + (" Z" if name == "polygon" else "")
    if name == "rect":
        x, y = float(element.get("x") or 0), float(element.get("y") or 0)
        right, bottom = x + float(element.get("width") or 0), y + float(element.get("height") or 0)
        return f"M{x} {y} L{right} {y} L{right} {bottom} L{x} {bottom} Z"
    cx, cy = float(element.get("cx") or 0), float(element.get("cy") or 0)
    rx, ry = float(element.get("rx") or 0), float(element.get("ry") or 0)
    kx, ky = rx * 0.5523, ry * 0.5523  # a quarter of a circle as one Bézier curve
    return (
        f"M{cx - rx} {cy} C{cx - rx} {cy - ky} {cx - kx} {cy - ry} {cx} {cy - ry}"
        f" C{cx + kx} {cy - ry} {cx + rx} {cy - ky} {cx + rx} {cy}"
        f" C{cx + rx} {cy + ky} {cx + kx} {cy + ry} {cx} {cy + ry}"
        f" C{cx - kx} {cy + ry} {cx - rx} {cy + ky} {cx - rx} {cy} Z"
    )
