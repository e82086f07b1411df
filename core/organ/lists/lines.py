"""The lines of a pasted text: cleaned of leaders, bullets and odd spaces, with their numbers."""

from __future__ import annotations

import html
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
_RULE = re.compile(r"^[\s|+:\-=_*~.!]*$")
_TAG = re.compile(
    r"<!--.*?(?:-->|$)|<ref\b[^>]*?(?:/>|>.*?(?:</ref>|$))|</?[a-z][a-z0-9]*(?:\s[^<>]*)?/?>", re.IGNORECASE
)
_BREAK_TAG = re.compile(r"</?(?:br|li|p|div|tr|table|ul|h\d)\b[^<>]*>", re.IGNORECASE)
_CELL_TAG = re.compile(r"</t[dh]>\s*(?:<t[dh]\b[^>]*>)?", re.IGNORECASE)
_RAISED = re.compile(r"(?<=\d)\s*<sup>\s*(?=\d+\s*</sup>\s*[/⁄])", re.IGNORECASE)
_WIKI_TABLE = re.compile(r"^\s*(?:\{\||\|\}|\|-)")
_WIKI_ATTRIBUTES = re.compile(r"(^\s*[|!]|\|\||!!)\s*(?:[a-z]+\s*=\s*(?:\"[^\"]*\"|[^\s|]+)\s*)+\|(?!\|)")
_WIKI_LINK = re.compile(r"\[\[(?:[^\[\]|]*\|)?([^\[\]|]*)\]\]")
_WIKI_TEMPLATE = re.compile(r"\{\{[^{}]*\}\}")
_WIKI_STARRED = re.compile(r"^\*+\s*(?='')")
_WIKI_QUOTES = re.compile(r"(?<![\w'])'{2,5}(?=\S)([^'\n]{2,90}?)(?<=\S)'{2,5}(?!\w)")
_COMPASS_COLUMNS = re.compile(r"compass[- ]?low:?\s*(\S+)\s+compass[- ]?high:?\s*(\S+)", re.IGNORECASE)
_KEYS_COLUMN = re.compile(r"\bkeys:?\s+(\d{2})\b", re.IGNORECASE)
_ACTION_COLUMN = re.compile(r"\b(?:key|stop|combination|coupler) action:?\s+[\w-]+", re.IGNORECASE)


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
    printed = text.split("\n")
    starred = sum(line.lstrip().startswith("* ") for line in printed)
    bullets = starred >= 3 and starred * 2 >= sum(bool(line.strip()) for line in printed)
    return [Piece(_clean(line, bullets=bullets), (number,)) for number, line in enumerate(printed, 1)]


def _clean(line: str, *, bullets: bool) -> str:
    line = _unmarked(line).translate(_SPACES)
    if _RULE.match(line):
        return ""
    if bullets:
        line = re.sub(r"^(\s*)\* ", r"\1  ", line)
    line = _MARKDOWN.sub(lambda found: " " * len(found.group()), line)
    line = re.sub(r"(?<=[:.;])[—–](?=\w)", " ", line)
    line = re.sub(r"(?<=['′’\d] )[—–](?=[A-ZÀ-Ž][a-z])", " ", line)
    line = _FRENCH_FRACTION.sub(r"\1 \2", line)
    line = _ITALIC.sub(r" \1 ", line)
    line = _LEADERS.sub(lambda found: " " * len(found.group()), line)
    return _BULLET.sub(lambda found: " " * len(found.group()), line).rstrip()


def _unmarked(line: str) -> str:
    """A line without what web pages, wikis and registers of organs mark it with."""
    if "<" in line:
        line = _BREAK_TAG.sub(" ", _CELL_TAG.sub(" | ", _RAISED.sub(" ", line)))
        line = _TAG.sub("", line)
        line = re.sub(r"(?<=\d)\s+([/⁄])\s+(?=\d)", r"\1", line)
    if "&" in line:
        line = html.unescape(line)
    if _WIKI_TABLE.match(line):
        return ""
    if "''" in line or "[[" in line or "{{" in line or "||" in line or line.lstrip()[:1] in ("|", "!"):
        line = _WIKI_TEMPLATE.sub(" ", _WIKI_LINK.sub(r"\1", _WIKI_ATTRIBUTES.sub(r"\1 ", line)))
        line = _WIKI_QUOTES.sub(r"\1", _WIKI_STARRED.sub("", line)).replace("||", "|").replace("!!", "|")
        line = re.sub(r"^(\s*)!", r"\1|", line)
        if line.count("|") == 1:
            line = re.sub(r"^\s*\|\s*|\s*\|\s*$", "", line)
    if line.count("|") == 1:
        line = re.sub(r"\s*\|\s*$", "", line)
    if "ompass" in line or "action" in line:
        line = _COMPASS_COLUMNS.sub(r"\1–\2", line)
        line = " ".join(_KEYS_COLUMN.sub(r" \1 keys", _ACTION_COLUMN.sub(" ", line)).split())
    return line
