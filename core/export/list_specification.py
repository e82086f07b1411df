"""A stop list that was read, as a specification: what was not read and what is in doubt stand in it as remarks."""

from __future__ import annotations

from core.organ.lists import ListReading
from core.organ.writing import write_organ

_WIDEST = 300


def list_specification(reading: ListReading) -> str:
    """The YAML text; read again it gives the organ that was read (but for the lines it came from)."""
    parts = [write_organ(reading.organ)]
    parts += _remarks(
        "Lines of the list from which nothing was read:", [(one.line, one.text) for one in reading.unread]
    )
    parts += _remarks("Lines that may be read otherwise:", [(doubt.line, str(doubt.text)) for doubt in reading.doubts])
    return "".join(parts)


def _remarks(heading: str, lines: list[tuple[int, str]]) -> list[str]:
    if not lines:
        return []
    return [f"\n# {heading}\n", *(f"#   line {number}: {_on_one_line(text)}\n" for number, text in lines)]


def _on_one_line(text: str) -> str:
    """A text that cannot leave its remark, whatever signs it holds."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    return shown if len(shown) <= _WIDEST else f"{shown[:_WIDEST]} …"
