"""Numbers as score files write them, and the lengths of note shapes."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from core.errors import ScoreError

Element = etree._Element

QUARTERS = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}


def read_int(text: str | None, otherwise: int) -> int:
    """A whole number of the file (``"4"``, ``" 4 "``, ``"4.0"``), or `otherwise`."""
    try:
        return int((text or "").strip())
    except ValueError:
        try:
            return int(float(text or ""))
        except (ValueError, OverflowError):
            return otherwise


def read_fraction(text: str | None) -> Fraction | None:
    """A number of the file, exact: ``"8"``, ``"1.5"``; None for anything else, absurd lengths too."""
    plain = (text or "").strip()
    if not plain or len(plain) > 15 or "/" in plain or "e" in plain.lower():
        return None
    try:
        return Fraction(plain)
    except ValueError:
        return None


def read_divisions(element: Element, path: str | None) -> Fraction:
    """A `divisions` element's number. Raises ScoreError where it is no positive one."""
    number = read_fraction(element.text)
    if number is None or number <= 0:
        line = element.sourceline
        raise ScoreError(
            f"divisions is {(element.text or '')[:20]!r}, not a positive number, so no note has a length",
            path=path,
            line=line if isinstance(line, int) else None,
            where="divisions",
            remedy="Export the score again",
        )
    return number
