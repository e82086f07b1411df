"""Takes out of a list what its columns add to each stop: counts of pipes, and figures grown together with names."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from core.organ.lists.lines import Piece

_FEET = r"(?<![\d/.])(?:64|32|16|8|4|3|2|1)(?:\s?\d/\d|\s?[⅓⅔⅖⅗½⅕⅐])?\s?(?:['′’]|ft\.?)?"
_BEHIND = re.compile(
    rf"(?:{_FEET}|\branks?\.?|\brks\.?|(?<=\d)f\.?)[ \t|]+(?P<count>\d{{2,3}})(?=\s|$|[,;|])", re.IGNORECASE
)
_AT_END = re.compile(
    rf"(?:^|[,;:|])\s*(?:{_FEET}|[IVX]{{1,4}})\s+[^\W\d][^,;:\d]*?(?:\([^()]*\)\s*)?(?P<count>\d{{2,3}})(?=\s*(?:[,;.|]|$))"
)
_USUAL = frozenset(
    (12, 18, 20, 24, 25, 27, 29, 30, 32, 37, 39, 42, 44, 45, 46, 48, 49, 50, 51, 54, 56, 58, 61, 68, 73, 85, 97)
)
_KEYS = (30, 32, 49, 54, 56, 58, 61, 73)
_MOST_RANKS = 8
_FEWEST = 5
_GLUED_ROW = re.compile(r"^\s*\d{1,3}[A-ZÀ-ÖØ-Ý][^\d]{2,40}\d")
_NUMBER_GLUED = re.compile(r"^(\s*\d{1,3})(?=[A-ZÀ-ÖØ-Ý][a-zß-ÿ])")
_YEAR_GLUED = re.compile(r"(?<=['′’a-z])(?:1[4-9]\d\d|20[0-3]\d)\s*$")


def tidied(lines: Sequence[Piece]) -> list[Piece]:
    """Lines without counts of pipes behind the pitch or the name, and with glued numbers set apart."""
    made = list(lines)
    if sum(bool(_GLUED_ROW.match(line.text)) for line in made) >= _FEWEST:
        made = [replace(line, text=_unglued(line.text)) for line in made]
    for form in (_BEHIND, _AT_END):
        if _are_counts(made, form):
            made = [_blanked(line, form) for line in made]
    return made


def _unglued(text: str) -> str:
    if not _GLUED_ROW.match(text):
        return text
    return re.sub(r"(?<=[a-zß-ÿ])(?=\d)", " ", _YEAR_GLUED.sub("", _NUMBER_GLUED.sub(r"\1 ", text)))


def _are_counts(lines: Sequence[Piece], form: re.Pattern[str]) -> bool:
    """Whether the figures that stand so are counts of pipes: usual numbers, and few different ones."""
    figures = [int(found["count"]) for line in lines for found in form.finditer(line.text)]
    usual = [figure for figure in figures if _usual(figure)]
    often = sum(count for _, count in Counter(usual).most_common(4))
    return len(usual) >= _FEWEST and len(usual) * 10 >= 9 * len(figures) and often * 10 >= 7 * len(usual)


def _usual(figure: int) -> bool:
    return figure in _USUAL or any(figure % keys == 0 and 2 <= figure // keys <= _MOST_RANKS for keys in _KEYS)


def _blanked(line: Piece, form: re.Pattern[str]) -> Piece:
    text = line.text
    if not re.search(r" {3}|[\t|]", text.strip()):
        short = form.sub(lambda found: found.group()[: found.start("count") - found.start()].rstrip(), text)
        return replace(line, text=short)
    for found in form.finditer(line.text):
        start, end = found.span("count")
        text = text[:start] + " " * (end - start) + text[end:]
    return replace(line, text=text.rstrip())
