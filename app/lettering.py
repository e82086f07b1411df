"""The fonts that come with the program, and how big text is."""

from __future__ import annotations

from functools import cache
from importlib import resources

from PySide6.QtCore import QByteArray
from PySide6.QtGui import QFont, QFontDatabase, QGuiApplication

TEXT = "Liberation Serif"
FALLBACKS = ("DejaVu Serif", "DejaVu Sans")
SIGNS_NEEDED = "abcéÔßſ′½⅔⅗⅐♯♭♮▲◆●•◦–…"
_SMALLEST = 9.0


def load_fonts() -> list[str]:
    """Make the shipped fonts known to the application; returns the families."""
    families: list[str] = []
    for file in sorted(resources.files("app.fonts").iterdir(), key=lambda f: f.name):
        if file.name.endswith(".ttf"):
            number = QFontDatabase.addApplicationFontFromData(QByteArray(file.read_bytes()))
            if number >= 0:
                families += QFontDatabase.applicationFontFamilies(number)
    QFont.insertSubstitutions(TEXT, list(FALLBACKS))
    return families


@cache
def _system_points() -> float:
    """The system's own text size, read before we set ours."""
    size = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont).pointSizeF()
    return size if size > 0 else 10.0


class _Size:
    """What the user chose, in per cent of the system's size."""

    per_cent: int = 100


def text_size() -> int:
    """The size of all words, in per cent of the system's."""
    return _Size.per_cent


def set_text_size(per_cent: int) -> None:
    """Make all words larger or smaller from now on."""
    _Size.per_cent = min(max(per_cent, 80), 200)


def text_font(scale: float = 1.0, *, bold: bool = False, italic: bool = False) -> QFont:
    """The one text face, at the system's size times `scale`; nothing under 9 pt."""
    font = QFont([TEXT, *FALLBACKS])
    # the face is small for its size, so a little larger than the system's
    font.setPointSizeF(max(_SMALLEST, max(_system_points(), 10.0) * 1.15 * scale) * _Size.per_cent / 100)
    font.setBold(bold)
    font.setItalic(italic)
    return font


def heading_font(scale: float = 0.86) -> QFont:
    """Division headings: spaced capitals, since the face has no small ones of its own."""
    font = text_font(scale)
    font.setCapitalization(QFont.Capitalization.AllUppercase)
    font.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 108)
    return font


def missing_signs() -> str:
    """Those signs that no font here can draw; they would be boxes or nothing."""
    from PySide6.QtGui import QRawFont

    if QGuiApplication.instance() is None:
        return ""
    raws = [QRawFont.fromFont(QFont(family)) for family in (TEXT, *FALLBACKS)]
    return "".join(sign for sign in SIGNS_NEEDED if not any(raw.supportsCharacter(ord(sign)) for raw in raws))
