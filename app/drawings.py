"""The icons: our own drawings, coloured by the palette."""

from __future__ import annotations

from importlib import resources

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from app.palette import Colours

_INK = "#22201c"
_SIZES = (16, 24, 32, 48)


def drawing(name: str, colours: Colours) -> QIcon:
    """An icon by its name; an empty one where there is no such drawing."""
    file = resources.files("icons").joinpath(f"{name}.svg")
    icon = QIcon()
    if not file.is_file():
        return icon
    svg = file.read_text(encoding="utf-8").replace(_INK, colours.ink)
    renderer = QSvgRenderer(QByteArray(svg.encode()))
    for size in _SIZES:
        pixmap = QPixmap(size, size)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        renderer.render(painter, QRectF(0, 0, size, size))
        painter.end()
        icon.addPixmap(pixmap)
    return icon
