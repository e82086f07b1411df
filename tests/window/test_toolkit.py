"""What the toolkit's version must hold, and the fonts."""

from __future__ import annotations

import sys

from PySide6.QtCore import QPointF
from PySide6.QtGui import QFontInfo
from PySide6.QtWidgets import QApplication

from app.lettering import load_fonts, missing_signs, text_font


def test_void_calls_do_not_lose_references_to_none() -> None:
    """One version lost one with every void call and aborted the interpreter after thousands."""
    point = QPointF()
    before = sys.getrefcount(None)
    for number in range(1000):
        point.setX(number)
    assert sys.getrefcount(None) > before - 200


def test_the_shipped_fonts_have_every_sign(application: QApplication) -> None:
    families = load_fonts()
    assert {"Liberation Serif", "DejaVu Serif", "DejaVu Sans"} <= set(families)
    assert missing_signs() == ""


def test_nothing_is_smaller_than_nine_points(application: QApplication) -> None:
    for scale in (0.5, 0.8, 0.9, 1.0, 1.3):
        assert QFontInfo(text_font(scale)).pointSizeF() >= 8.9
