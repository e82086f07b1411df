"""The lines of a pasted text: cleaned of leaders, bullets and odd spaces, with their numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

_BLANKS = "\u00a0\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u202f\u3000\r\f\v"
_NOTHING = "\u200b\u200c\u200d\ufeff\u00ad\u2060"
_SPACES: dict[int, str | None] = {ord(sign): " " for sign in _BLANKS}
_SPACES.update(dict.fromkeys(map(ord, _NOTHING)))
_LEADERS = re.compile(r"(?:\.{3,}|(?:\s\.){2,}|_{3,}|-{4,}|…+|·{2,}|={4,}|—{2,}|(?:\.\s){3,})")
_BULLET = re.compile(r"^(\s*)(?:[•●▪◦‣■□○∙·►–—]|-(?=\s))\s*")
_MARKDOWN = re.compile(r"^(\s*)#{1,6}\s+|(\*\*|__)(?=\S)|(?<=\S)(\*\*|__)")
_ITALIC = re.compile(r"_([^_\n]{1,60})_")
_FRENCH_FRACTION = re.compile(r"(\d)\s?['′’]\s?(\d/\d)")
_RULE = re.compile(r"^[\s|+:\-=_*~.]*$")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the source: its text, the lines it came from, the column it begins at."""

    text: str
    lines: tuple[int, ...]
    at: int = 0

    def cut(self, start: int, end: int | None = None) -> Piece:
        """A part of the text; spaces at its ends dropped."""
        part = self.text[start:end]
        lead = len(part) - len(part.lstrip())
        return replace(self, text=part.strip(), at=self.at + start + lead)

    def joined(self, other: Piece, glue: str = " ") -> Piece:
        """This piece and one after it as one."""
        return Piece(f"{self.text}{glue}{other.text}", merged(self.lines, other.lines), self.at)


def merged(*groups: tuple[int, ...]) -> tuple[int, ...]:
    """Line numbers in order, each once."""
    return tuple(sorted({line for group in groups for line in group}))


def read_lines(text: str) -> list[Piece]:
    """Every line of the text, cleaned; blank ones have an empty text."""
    return [Piece(_clean(line), (number,)) for number, line in enumerate(text.split("\n"), 1)]


def _clean(line: str) -> str:
    line = line.translate(_SPACES)
    if _RULE.match(line):
        return ""
    line = _MARKDOWN.sub(lambda found: " " * len(found.group()), line)
    line = _FRENCH_FRACTION.sub(r"\1 \2", line)
    line = _ITALIC.sub(r" \1 ", line)
    line = _LEADERS.sub(lambda found: " " * len(found.group()), line)
    return _BULLET.sub(lambda found: " " * len(found.group()), line).rstrip()
